"""A whole collection as a folder of plain JSON, one document to a file, and back, exactly.

::

    README.txt         what lies where
    collection.json    the collection itself, its people, its saved filters
    pictures/<id>.json, specimens/<id>.json
    history.jsonl      every change set, oldest first, one to a line

A specimen's file is a record as :mod:`landmarks.documents` reads it. What a record has no
words for - a part of a later version - stands under ``other_parts``, so nothing is lost. The
pictures themselves stay where they are; they are known by content.

Files may be changed by hand or written by another program: restoring plays the history, and
whatever the files say differently becomes one more step of it.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import closing, suppress
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from shutil import rmtree
from typing import Any, TextIO
from uuid import uuid4

from landmarks.changes import Change, ChangeSet, Document, Parts, difference
from landmarks.codec import decode, encode, read_json, write_json
from landmarks.collection import (
    About,
    Picture,
    about_of,
    about_parts,
    person_of,
    person_parts,
    picture_of,
    picture_parts,
)
from landmarks.documents import (
    FORMAT,
    Whole,
    read_collection,
    read_record,
    write_collection,
)
from landmarks.documents import write_record as record_of
from landmarks.errors import DocumentError, HingelineError, NewerFormatError, StoreError
from landmarks.finding import saved_filter_parts, saved_filters_of
from landmarks.sentences import Sentence, text
from landmarks.specimen import parts_of, specimen_of
from landmarks.storage.contract import Conflict, Saved, Store
from landmarks.storage.deeds import deed_json, deed_of
from landmarks.storage.whole import collection_in

AT_ONCE = 200
"""Documents or change sets that are held at a time."""

OTHER = "other_parts"


@dataclass(frozen=True, slots=True)
class Written:
    """What a folder was written with."""

    folder: Path
    n_specimens: int
    n_pictures: int
    n_deeds: int


Progress = Callable[[int, int], None]
"""Told how many documents are done, of how many."""


def write_folder(
    store: Store,
    folder: Path,
    *,
    specimens: Sequence[str] | None = None,
    history: bool = True,
    progress: Progress = lambda done, total: None,
) -> Written:
    """Write a collection to a new folder; it appears whole, or not at all.

    Parameters
    ----------
    specimens
        Ids of those to write, with the pictures that show them and without history; None
        for everything.

    Raises
    ------
    StoreError
        If the folder stands already or cannot be written.
    DocumentError
        If a part has not the form of the format; ``Store.check`` names all of them.
    """
    values = {"file": folder.name, "folder": str(folder.absolute().parent)}
    if folder.exists():
        raise StoreError("store.exists", **values)
    if not folder.absolute().parent.is_dir():
        raise StoreError("store.no_folder", **values)
    unfinished = folder.with_name(f".{folder.name}.{uuid4().hex[:8]}")
    try:
        (unfinished / "pictures").mkdir(parents=True)
        (unfinished / "specimens").mkdir()
        made = _write_all(store, unfinished, specimens, progress, history=history)
        unfinished.rename(folder)
    except OSError as fault:
        raise StoreError("store.disk_says", **values, reason=fault.strerror or "") from None
    finally:
        rmtree(unfinished, ignore_errors=True)
    return Written(folder, *made)


def restore_folder(
    folder: Path,
    path: Path,
    *,
    person: str = "",
    at: str = "",
    progress: Progress = lambda done, total: None,
) -> Written:
    """Make a new collection file of a folder; it appears whole, or not at all.

    Parameters
    ----------
    person, at
        Who restores and when (UTC), for the step that says what the files changed.

    Raises
    ------
    DocumentError
        If a file cannot be read; it is named.
    StoreError
        If the collection stands already or cannot be written.
    """
    from landmarks.storage.sqlite import open_sqlite

    values = {"file": path.name, "folder": str(path.absolute().parent)}
    if path.exists():
        raise StoreError("store.exists", **values)
    whole, collection, others = _read_collection_file(folder)
    deeds = _deeds(folder / "history.jsonl") if _has_history(folder) else iter(())
    first = next(deeds, None)
    about = _begun(first, folder) if first is not None else whole.about
    if about.id != whole.about.id:
        raise DocumentError("export.other_history", file="history.jsonl")
    unfinished = path.with_name(f".{path.name}.{uuid4().hex[:8]}.part")
    n_deeds = 0 if first is None else 1
    try:
        with closing(open_sqlite(unfinished, create=True, about=about)) as store:
            for deed in deeds:
                _commit(store, deed, folder)
                n_deeds += 1
            keep = _Keeper(store, person, at, folder)
            keep.put({collection: _collection_parts(whole, others)})
            for one in whole.people:
                more = others.get(f"person/{one.id}", {})
                keep.put({Document("person", one.id): person_parts(one) | dict(more)})
            files = _files(folder)
            for n, file in enumerate(files):
                keep.put(_document_in(file))
                progress(n + 1, len(files))
            keep.finish()
            store.copy_to(path)
            n_specimens, n_pictures = (
                len(store.documents(kind)) for kind in ("specimen", "picture")
            )
    except OSError as fault:
        raise StoreError("store.disk_says", **values, reason=fault.strerror or "") from None
    finally:
        for ending in ("", "-wal", "-shm", "-journal"):
            with suppress(OSError):
                unfinished.with_name(unfinished.name + ending).unlink(missing_ok=True)
    return Written(path, n_specimens, n_pictures, n_deeds)


# -- writing -------------------------------------------------------------------------------


def _write_all(
    store: Store,
    folder: Path,
    specimens: Sequence[str] | None,
    progress: Progress,
    *,
    history: bool,
) -> tuple[int, int, int]:
    collection = collection_in(store)
    latest = store.latest()
    parts = store.load(collection)[collection].parts
    people = store.load(*store.documents("person"))
    whole = Whole(
        about_of(collection.id, parts),
        tuple(person_of(one.id, found.parts) for one, found in people.items()),
        filters=saved_filters_of(parts),
        extra=parts.get("extra", {}),
    )
    raw = write_collection(whole)
    rest = {"collection": _others(parts, _collection_parts(whole, {}))}
    made = {one.id: person_parts(one) for one in whole.people}
    rest |= {
        f"person/{one.id}": _others(found.parts, made[one.id])
        for one, found in people.items()
    }
    rest = {name: found for name, found in rest.items() if found}
    _write(folder / "collection.json", raw | ({OTHER: rest} if rest else {}))
    everything = store.documents("specimen")
    if specimens is not None:
        wanted = set(specimens)
        everything = tuple(one for one in everything if one.id in wanted)
    pictures = store.documents("picture") if specimens is None else None
    total = len(everything) + len(pictures or ())
    done = 0
    shown: dict[Document, None] = {}
    for some in _slices(everything):
        for one, found in store.load(*some).items():
            specimen = specimen_of(one.id, found.parts)
            shown |= {Document("picture", f.picture): None for f in specimen.frames}
            record = record_of(specimen)
            other = _others(found.parts, parts_of(specimen))
            _write(
                folder / "specimens" / _file_name(one.id),
                record | ({OTHER: other} if other else {}),
            )
            done += 1
            progress(done, total)
    pictures = tuple(shown) if pictures is None else pictures
    n_pictures = 0
    for some in _slices(pictures):
        for one, found in store.load(*some).items():
            picture = picture_of(one.id, found.parts)
            other = _others(found.parts, picture_parts(picture))
            _write(
                folder / "pictures" / _file_name(one.id),
                {"format": FORMAT, "picture": encode(picture)}
                | ({OTHER: other} if other else {}),
            )
            n_pictures += 1
            done += 1
            progress(done, max(total, done))
    n_deeds = 0
    if history and specimens is None:
        with (folder / "history.jsonl").open("w", encoding="utf-8", newline="\n") as file:
            n_deeds = _write_history(store, latest, file)
    key = "export.readme" if n_deeds else "export.readme_without_history"
    (folder / "README.txt").write_text(
        text(Sentence(key, {"name": whole.about.name or whole.about.id})) + "\n",
        encoding="utf-8",
    )
    return len(everything), n_pictures, n_deeds


def _write_history(store: Store, latest: int, file: TextIO) -> int:
    n_deeds = 0
    for start in range(0, latest, AT_ONCE):
        before = min(start + AT_ONCE, latest) + 1
        for past in reversed(store.history(limit=before - start - 1, before=before)):
            deed = past.change_set
            raw = {
                "id": deed.id,
                "deed": deed_json(deed.deed),
                "person": deed.person,
                "at": deed.at,
                "undoes": deed.undoes,
                "extra": dict(deed.extra),
                "changes": [
                    {
                        "kind": change.document.kind,
                        "id": change.document.id,
                        "part": change.part,
                        "before": change.before,
                        "after": change.after,
                    }
                    for change in deed.changes
                ],
            }
            file.write(f"{write_json(raw)}\n")
            n_deeds += 1
    return n_deeds


def _others(parts: Parts, made: Parts) -> dict[str, Any]:
    """Return the parts that the values made of them would not give back as they are."""
    return {name: raw for name, raw in parts.items() if made.get(name) != raw}


def _write(path: Path, raw: Mapping[str, Any]) -> None:
    content = json.dumps(raw, ensure_ascii=False, indent=1, allow_nan=False)
    path.write_text(f"{content}\n", encoding="utf-8", newline="\n")


def _file_name(document_id: str) -> str:
    """Return a name that every file system takes and tells apart."""
    plain = re.fullmatch(r"[a-z0-9][a-z0-9-]{0,63}", document_id)
    name = document_id if plain else f"x{sha256(document_id.encode()).hexdigest()[:40]}"
    return f"{name}.json"


# -- reading -------------------------------------------------------------------------------


class _Keeper:
    """Puts documents into a store where it has them otherwise, many to a step."""

    def __init__(self, store: Store, person: str, at: str, folder: Path) -> None:
        self._store, self._person, self._at, self._folder = store, person, at, folder
        self._waiting: dict[Document, Parts] = {}
        self._seen: set[Document] = set()

    def put(self, found: Mapping[Document, Parts]) -> None:
        """Keep these documents; each may come once."""
        for document, parts in found.items():
            if document in self._seen:
                raise DocumentError(
                    "document.twice", where=self._folder.name, id=document.id
                )
            self._seen.add(document)
            self._waiting[document] = parts
        if len(self._waiting) >= AT_ONCE:
            self._write()

    def finish(self) -> None:
        """Write what waits; what no file holds any more goes."""
        self._write()
        for kind in ("specimen", "picture", "person"):
            gone = [one for one in self._store.documents(kind) if one not in self._seen]
            for some in _slices(gone):
                loaded = self._store.load(*some)
                self._commit({one: (found.parts, {}) for one, found in loaded.items()})

    def _write(self) -> None:
        loaded = self._store.load(*self._waiting)
        self._commit(
            {
                one: (loaded[one].parts if one in loaded else {}, parts)
                for one, parts in self._waiting.items()
            }
        )
        self._waiting = {}

    def _commit(self, pairs: Mapping[Document, tuple[Parts, Parts]]) -> None:
        from landmarks.storage.packing import settled

        changes = tuple(
            change
            for document, (now, then) in pairs.items()
            for change in difference(document, now, then)
            if settled(change.before) != settled(change.after)
        )
        if changes:
            words = Sentence("deed.from_folder", {"folder": self._folder.name})
            _commit(
                self._store,
                ChangeSet(str(uuid4()), words, changes, self._person, self._at),
                self._folder,
            )


def _commit(store: Store, deed: ChangeSet, folder: Path) -> None:
    answer = store.commit(deed)
    if isinstance(answer, Conflict):
        raise DocumentError("export.broken_history", file="history.jsonl", id=deed.id)
    assert isinstance(answer, Saved)


def _read_collection_file(
    folder: Path,
) -> tuple[Whole, Document, Mapping[str, Mapping[str, Any]]]:
    raw = dict(_json_in(folder / "collection.json"))
    others = raw.pop(OTHER, {})
    whole = read_collection(raw, "collection.json")
    others = decode(Mapping[str, Mapping[str, Any]], others, f"collection.json: {OTHER}")  # type: ignore[type-abstract]
    if whole.specimens or whole.pictures:
        raise DocumentError("export.not_a_folder", folder=folder.name)
    return whole, Document("collection", whole.about.id), others


def _collection_parts(
    whole: Whole, others: Mapping[str, Mapping[str, Any]]
) -> dict[str, Any]:
    parts = about_parts(whole.about)
    if whole.extra:
        parts["extra"] = dict(whole.extra)
    for saved in whole.filters:
        parts |= saved_filter_parts(saved)
    return parts | dict(others.get("collection", {}))


def _files(folder: Path) -> list[Path]:
    return [
        file
        for name in ("pictures", "specimens")
        for file in sorted((folder / name).glob("*.json"))
        if file.is_file()
    ]


def _document_in(file: Path) -> dict[Document, Parts]:
    raw = dict(_json_in(file))
    where = f"{file.parent.name}/{file.name}"
    other = decode(Mapping[str, Any], raw.pop(OTHER, {}), f"{where}: {OTHER}")  # type: ignore[type-abstract]
    if file.parent.name == "pictures":
        _check_format(raw, where)
        picture = decode(Picture, raw.get("picture"), f"{where}: picture")
        return {Document("picture", picture.id): picture_parts(picture) | dict(other)}
    specimen, pictures = read_record(raw, where)
    made: dict[Document, Parts] = {
        Document("picture", one.id): picture_parts(one) for one in pictures
    }
    made[Document("specimen", specimen.id)] = parts_of(specimen) | dict(other)
    return made


def _check_format(raw: Mapping[str, Any], where: str) -> None:
    if "format" not in raw:
        raise DocumentError("document.no_format", where=where, known=FORMAT)
    found = decode(int, raw["format"], f"{where}: format")
    if found > FORMAT:
        raise NewerFormatError(
            "document.newer_format", where=where, found=found, known=FORMAT
        )


def _json_in(file: Path) -> Mapping[str, Any]:
    where = (
        file.name
        if file.parent.name not in ("pictures", "specimens")
        else (f"{file.parent.name}/{file.name}")
    )
    try:
        content = file.read_bytes()
    except FileNotFoundError:
        raise DocumentError(
            "export.lacks_file", file=where, folder=file.parent.name
        ) from None
    except OSError as fault:
        reason = fault.strerror or ""
        raise DocumentError("document.cannot_read", file=where, reason=reason) from None
    raw = read_json(content, where)
    return decode(Mapping[str, Any], raw, where)  # type: ignore[type-abstract]


def _has_history(folder: Path) -> bool:
    return (folder / "history.jsonl").is_file()


def _deeds(file: Path) -> Iterator[ChangeSet]:
    try:
        with file.open("rb") as lines:
            for n, line in enumerate(lines, 1):
                where = f"{file.name}, line {n}"
                yield _deed(decode(Mapping[str, Any], read_json(line, where), where), where)  # type: ignore[type-abstract]
    except OSError as fault:
        reason = fault.strerror or ""
        raise DocumentError("document.cannot_read", file=file.name, reason=reason) from None


def _deed(raw: Mapping[str, Any], where: str) -> ChangeSet:
    words = {
        name: decode(str, raw.get(name, ""), f"{where}: {name}")
        for name in ("id", "person", "at", "undoes")
    }
    rows = decode(
        tuple[Mapping[str, Any], ...], raw.get("changes", []), f"{where}: changes"
    )
    changes = tuple(
        Change(
            Document(
                *(decode(str, row.get(key), f"{where}: {key}") for key in ("kind", "id"))
            ),
            decode(str, row.get("part"), f"{where}: part"),
            row.get("before"),
            row.get("after"),
        )
        for row in rows
    )
    extra = decode(Mapping[str, Any], raw.get("extra", {}), f"{where}: extra")  # type: ignore[type-abstract]
    return ChangeSet(deed=deed_of(raw.get("deed")), changes=changes, extra=extra, **words)


def _begun(first: ChangeSet, folder: Path) -> About:
    """Return what the collection said of itself when it was begun."""
    parts = {
        change.part: change.after
        for change in first.changes
        if change.document.kind == "collection"
    }
    ids = {change.document.id for change in first.changes}
    if ids != {first.id} or "about" not in parts:
        raise DocumentError("export.broken_history", file="history.jsonl", id=first.id)
    return about_of(first.id, parts)


def _slices(items: Iterable[Any]) -> Iterator[Sequence[Any]]:
    found = list(items)
    for start in range(0, len(found), AT_ONCE):
        yield found[start : start + AT_ONCE]


__all__ = ["HingelineError", "Written", "restore_folder", "write_folder"]
