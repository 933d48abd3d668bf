"""Picture files: where each is now, told by content, never by name alone."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from landmarks.changes import Change, Document
from landmarks.collection import Picture
from landmarks.errors import PictureError
from landmarks.picture import hash_file
from landmarks.sentences import Sentence

HERE, MOVED, CHANGED, GONE = "here", "moved", "changed", "gone"
EMPTY, FOLDER, WITHHELD = "empty", "folder", "withheld"

_INSTEAD = {
    "picture.empty": EMPTY,
    "picture.is_folder": FOLDER,
    "picture.no_permission": WITHHELD,
}
"""What stands in the place of a picture, by what is said of reading it."""

MOST_FILES = 1_000_000
"""Files that are looked at under the given folders."""

Progress = Callable[[int, int], None]


@dataclass(frozen=True, slots=True)
class Whereabouts:
    """Where the file of a picture is.

    Attributes
    ----------
    state
        ``here``; ``moved`` (the same content lies at ``path``); ``changed`` (another content
        stands where it was, and it was found nowhere); ``empty``, ``folder`` or ``withheld``
        (an emptied file, a folder, or a file that may not be read stands there, likewise);
        ``gone``.
    path
        Where its content is, or None.
    """

    picture: Picture
    state: str
    path: Path | None = None

    @property
    def sentence(self) -> Sentence | None:
        """Return what to do about it, or None where all is well."""
        if self.state == HERE:
            return None
        values: dict[str, object] = {"file": self.picture.path}
        if self.path is not None:
            values["found"] = str(self.path)
        return Sentence(f"check.picture_{self.state}", values)


def whereabouts(
    pictures: Sequence[Picture],
    collection: Path,
    folders: Iterable[Path] = (),
    *,
    progress: Progress = lambda done, total: None,
) -> tuple[Whereabouts, ...]:
    """Return where the file of every picture is, looking under folders for those that moved.

    The folder of the collection is looked through last, also where none is given. Files are
    only read; links to folders are not followed.

    Parameters
    ----------
    collection
        The collection file that paths are relative to.
    """
    base = collection.absolute().parent
    found: list[Whereabouts] = []
    for n, one in enumerate(pictures, 1):
        path = base / one.path
        state = GONE if _elsewhere(one.path) else _state(one, path)
        found.append(Whereabouts(one, state, path if state == HERE else None))
        progress(n, len(pictures))
    wanted: dict[int, set[str]] = {}
    for row in found:
        if row.state != HERE:
            wanted.setdefault(row.picture.file.n_bytes, set()).add(row.picture.file.sha256)
    if not wanted:
        return tuple(found)
    elsewhere = _by_content((*folders, base), wanted)
    return tuple(
        replace(row, state=MOVED, path=elsewhere[row.picture.file.sha256])
        if row.state != HERE and row.picture.file.sha256 in elsewhere
        else row
        for row in found
    )


def path_changes(found: Iterable[Whereabouts], collection: Path) -> tuple[Change, ...]:
    """Return the changes that let moved pictures be found where they are now."""
    base = collection.resolve().parent
    changes = []
    for row in found:
        if row.state == MOVED and row.path is not None:
            path = row.path.resolve()
            inside = path.is_relative_to(base)
            written = path.relative_to(base).as_posix() if inside else str(path)
            document = Document("picture", row.picture.id)
            changes.append(Change(document, "path", row.picture.path, written))
    return tuple(changes)


def _by_content(
    folders: Iterable[Path], wanted: Mapping[int, set[str]]
) -> Mapping[str, Path]:
    """Return where these contents are; only files of the right size are read."""
    found: dict[str, Path] = {}
    n_wanted = len(set().union(*wanted.values()))
    for n, path in enumerate(_files(folders)):
        if n >= MOST_FILES or len(found) == n_wanted:
            break
        try:
            size = path.stat().st_size
        except OSError:
            continue
        if size in wanted and (content := _content(path)) in wanted[size]:
            found.setdefault(str(content), path)
    return found


def _files(folders: Iterable[Path]) -> Iterator[Path]:
    for folder in folders:
        for where, inside, names in os.walk(folder):
            inside.sort()
            for name in sorted(names):
                path = Path(where) / name
                if path.is_file():
                    yield path


def _elsewhere(path: str) -> bool:
    """Return whether a path would make this machine call another: no file may ask for that."""
    return path.replace("\\", "/").startswith("//") or "\0" in path


def _state(picture: Picture, path: Path) -> str:
    """Return what stands where a picture was."""
    try:
        content, _ = hash_file(path)
    except PictureError as fault:
        return _INSTEAD.get(fault.sentence.key, GONE)
    return HERE if content == picture.file.sha256 else CHANGED


def _content(path: Path) -> str | None:
    try:
        return hash_file(path)[0]
    except PictureError:
        return None
