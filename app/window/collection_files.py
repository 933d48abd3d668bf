"""Files of collections: how they are named, where they begin, opened and copied."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import closing
from pathlib import Path

from app.session.journal import commit_all
from landmarks.changes import ChangeSet
from landmarks.errors import StoreError
from landmarks.sentences import say
from landmarks.storage import Store

SUFFIX = ".hingeline"


def dialog_filter() -> str:
    """Return which files a dialog offers that asks for a collection."""
    return f"{say('files.collections')} (*{SUFFIX})"


def with_ending(path: Path) -> Path:
    """Return a path with the ending of a collection, where it has not got it yet."""
    return path if _is_collection(path) else path.with_name(path.name + SUFFIX)


def sorted_out(paths: Sequence[Path]) -> tuple[list[Path], list[Path]]:
    """Return which of these are collections, and which pictures or folders of pictures."""
    collections = [path for path in paths if _is_collection(path)]
    return collections, [path for path in paths if path not in collections]


def own_folder() -> Path:
    """Return where a person's own collections begin, making the folder if need be."""
    from platformdirs import user_documents_path

    folder = user_documents_path() / "Hingeline"
    folder.mkdir(parents=True, exist_ok=True)
    return folder


def unused(path: Path) -> Path:
    """Return a path at which nothing stands yet: the one named, or with a number."""
    number, made = 1, path
    while made.exists():
        number += 1
        made = path.with_stem(f"{path.stem} {number}")
    return made


def open_collection_file(path: Path, *, create: bool = False) -> Store:
    """Open a collection; one that may not be written to is opened for reading."""
    from landmarks.storage import open_sqlite

    try:
        return open_sqlite(path, create=create)
    except StoreError as fault:
        if create or fault.sentence.key != "store.cannot_write":
            raise
        return open_sqlite(path, read_only=True)


def copy_collection(store: Store, path: Path, waiting: Sequence[ChangeSet]) -> None:
    """Write a copy of a collection, with what could not be saved yet."""
    store.copy_to(path)
    if waiting:
        with closing(open_collection_file(path)) as copy:
            commit_all(copy, waiting)


def _is_collection(path: Path) -> bool:
    return path.suffix.lower() == SUFFIX
