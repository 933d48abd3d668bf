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

from collections.abc import Sequence
from contextlib import closing, suppress
from dataclasses import dataclass
from pathlib import Path
from uuid import uuid4

from landmarks.changes import Document
from landmarks.collection import person_parts
from landmarks.errors import DocumentError, HingelineError, StoreError
from landmarks.storage.contract import Store
from landmarks.storage.folder_keeping import Keeper, play
from landmarks.storage.folder_reading import (
    begun_with,
    deeds_in,
    document_files,
    document_in,
    read_collection_file,
)
from landmarks.storage.folder_writing import Progress, collection_parts, write_all
from landmarks.storage.new_folder import check_free, new_folder


@dataclass(frozen=True, slots=True)
class Written:
    """What a folder was written with."""

    folder: Path
    n_specimens: int
    n_pictures: int
    n_deeds: int


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
    with new_folder(folder) as unfinished:
        (unfinished / "pictures").mkdir()
        (unfinished / "specimens").mkdir()
        made = write_all(store, unfinished, specimens, progress, history=history)
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

    values = check_free(path)
    whole, collection, others = read_collection_file(folder)
    deeds = deeds_in(folder / "history.jsonl") if _has_history(folder) else iter(())
    first = next(deeds, None)
    about = begun_with(first, folder) if first is not None else whole.about
    if about.id != whole.about.id:
        raise DocumentError("export.other_history", file="history.jsonl")
    unfinished = path.with_name(f".{path.name}.{uuid4().hex[:8]}.part")
    n_deeds = 0 if first is None else 1
    try:
        with closing(open_sqlite(unfinished, create=True, about=about)) as store:
            for deed in deeds:
                play(store, deed, folder)
                n_deeds += 1
            keep = Keeper(store, person, at, folder)
            keep.put({collection: collection_parts(whole, others)})
            for one in whole.people:
                more = others.get(f"person/{one.id}", {})
                keep.put({Document("person", one.id): person_parts(one) | dict(more)})
            files = document_files(folder)
            for n, file in enumerate(files):
                keep.put(document_in(file))
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


def _has_history(folder: Path) -> bool:
    return (folder / "history.jsonl").is_file()


__all__ = ["HingelineError", "Written", "restore_folder", "write_folder"]
