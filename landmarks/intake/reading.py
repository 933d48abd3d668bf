"""Files found, read and said: header, hash, metadata and the memory that opening will need.

Reading runs on a few threads, for hashing lets others run; nothing is decoded here.
"""

from __future__ import annotations

import os
import warnings
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path

from landmarks.collection import Rights
from landmarks.errors import PictureError
from landmarks.intake.metadata import completed, read_metadata
from landmarks.picture import (
    MEMORY_LIMIT,
    SUFFIXES,
    PictureFile,
    described,
    hash_file,
    memory_to_decode,
    n_pictures,
    opened,
)
from landmarks.sentences import Sentence
from landmarks.threads import give_way

WORTH_SAYING = 500_000_000
"""Bytes of memory from which on a picture's need is announced."""

WORKERS = 2


@dataclass(frozen=True, slots=True)
class Found:
    """A picture file that can be taken in.

    Attributes
    ----------
    path, file
        Where it is, and what its header says, filled up from XMP.
    rights
        Creator, licence and so on, as the file or its sidecar says.
    memory
        Bytes that decoding it will hold at most.
    notes
        What a person should know: other pages left out, much memory, bad metadata.
    """

    path: Path
    file: PictureFile
    rights: Rights = field(default_factory=Rights)
    memory: int = 0
    notes: tuple[Sentence, ...] = ()


@dataclass(frozen=True, slots=True)
class Refused:
    """A file that cannot be taken in, and why."""

    path: Path
    why: Sentence


def read_one(path: Path, *, limit: int = MEMORY_LIMIT) -> Found:
    """Return one picture file with all that it says of itself.

    Parameters
    ----------
    limit
        Bytes of memory that decoding may need.

    Raises
    ------
    PictureError
        If it cannot be read, is no picture, would need more memory than the limit, or has a
        name that no record can hold.
    """
    _check_name(path)
    digest, n_bytes = hash_file(path)
    with opened(path) as image:
        file = described(image, digest, n_bytes)
        memory, pages = memory_to_decode(image), n_pictures(image)
        if memory > limit:
            raise PictureError(
                "picture.too_much_memory",
                file=path.name,
                need=round(memory / 1e9, 1),
                limit=round(limit / 1e9, 1),
            )
        found = read_metadata(path, image)
    notes = [*_notes(path, file, memory, pages), *found.notes]
    return Found(path, completed(file, found), found.rights, memory, tuple(notes))


def read_all(
    paths: Sequence[Path],
    *,
    workers: int = WORKERS,
    watch: Callable[[int, int], bool] = lambda _done, _all: True,
) -> tuple[tuple[Found, ...], tuple[Refused, ...]]:
    """Read many files, in their order; what cannot be read is refused with its sentence.

    Parameters
    ----------
    watch
        Called after each file with how many are done, of how many; returns whether to go
        on. When it says no, the rest is neither found nor refused.
    """
    found: list[Found] = []
    refused: list[Refused] = []
    readers = ThreadPoolExecutor(workers, "reading", initializer=give_way)
    with warnings.catch_warnings(), readers as pool:
        # Each thread silences Pillow's warnings for itself, and one that ends does not know
        # of the others: so they are silent around all of them.
        warnings.simplefilter("ignore")
        answers = pool.map(_read, paths)
        for n, one in enumerate(answers, 1):
            if isinstance(one, Found):
                found.append(one)
            else:
                refused.append(one)
            if not watch(n, len(paths)):
                pool.shutdown(cancel_futures=True)
                break
    return tuple(found), tuple(refused)


def files_in(paths: Iterable[Path]) -> tuple[Path, ...]:
    """Return the files named, and in place of folders the pictures inside them, sorted.

    Hidden files and folders are left out, links are not followed into folders, and each
    file stands once.
    """
    found: dict[Path, None] = {}
    for path in paths:
        # Asked this way, a place that may not be looked into is no fault here.
        if os.path.isdir(path):  # noqa: PTH112
            found |= dict.fromkeys(_inside(path))
        else:
            found[path] = None
    return tuple(found)


def passed_over(paths: Iterable[Path]) -> Sentence | None:
    """Return in a sentence which files of folders are no pictures, or None where all are.

    A folder of a camera's raw files would otherwise seem to be an empty one.
    """
    n, endings = 0, Counter[str]()
    for path in paths:
        if not os.path.isdir(path):  # noqa: PTH112 - see above.
            continue
        for _, folders, names in os.walk(path):
            folders[:] = [one for one in folders if one[0] != "."]
            for name in names:
                ending = Path(name).suffix.lower()
                if not is_picture_name(name) and name[0] != "." and ending not in _BESIDE:
                    n += 1
                    endings[ending or name] += 1
    if not n:
        return None
    named = tuple(one for one, _ in endings.most_common(_NAMED))
    return Sentence("intake.passed_over", {"n": n, "endings": named})


_BESIDE = (".xmp", ".txt", ".db", ".ini")
"""Endings of what stands beside pictures and is nothing that anybody misses."""

_NAMED = 4
"""So many endings of files that were passed over are named."""


def is_picture_name(name: str) -> bool:
    """Return whether a file of a folder is meant, by its name."""
    return not name.startswith(".") and Path(name).suffix.lower() in SUFFIXES


def natural(name: str) -> tuple[tuple[int, str], ...]:
    """Return a key that sorts names as people count: ``a2`` before ``a10``.

    >>> sorted(["a10.jpg", "a2.jpg"], key=natural)
    ['a2.jpg', 'a10.jpg']
    """
    from re import findall

    pieces = findall(r"\d+|\D+", name.casefold())
    return tuple(
        (int(piece[:18]), "") if piece.isdecimal() else (-1, piece) for piece in pieces
    )


def _inside(folder: Path) -> list[Path]:
    found: list[Path] = []
    for where, folders, names in os.walk(folder):
        folders[:] = sorted((one for one in folders if one[0] != "."), key=natural)
        at = Path(where)
        found.extend(
            at / name for name in sorted(names, key=natural) if is_picture_name(name)
        )
    return found


def _check_name(path: Path) -> None:
    """Refuse a file named in bytes that are no text, which no record could name."""
    for one in (path, path.resolve()):
        named = os.fsencode(one).decode("utf-8", "replace")
        if named != str(one):
            raise PictureError(
                "picture.name_is_no_text",
                file=Path(named).name,
                folder=str(Path(named).parent),
            )


def _read(path: Path) -> Found | Refused:
    try:
        return read_one(path)
    except PictureError as fault:
        return Refused(path, fault.sentence)
    except Exception as fault:  # A stranger's file may do anything but stop the others.
        values = {"file": path.name, "reason": str(fault)[:120] or type(fault).__name__}
        return Refused(path, Sentence("picture.cannot_read", values))


def _notes(path: Path, file: PictureFile, memory: int, pages: int) -> list[Sentence]:
    notes = []
    if pages > 1:
        key = "intake.main_of_many" if file.format == "HEIF" else "intake.first_of_many"
        notes.append(Sentence(key, {"file": path.name, "n": pages}))
    if memory > WORTH_SAYING:
        mega = round(file.width * file.height / 1e6)
        values = {"file": path.name, "mega": mega, "need": round(memory / 1e9, 1)}
        notes.append(Sentence("intake.much_memory", values))
    return notes
