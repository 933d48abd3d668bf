"""New collections, made beside their place and moved there when they are whole."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from uuid import uuid4

from landmarks.changes import ChangeSet, Document, difference
from landmarks.collection import About, about_parts
from landmarks.sentences import Sentence
from landmarks.storage import opening, writing
from landmarks.storage.contract import FORMAT, NO_REVISIONS
from landmarks.storage.engine import engine_on
from landmarks.storage.new_folder import check_free
from landmarks.storage.schema import create_tables


def make_file(path: Path, about: About, patience_s: float) -> None:
    """Make a new collection beside its place and move it there when it is whole."""
    with new_file(path) as unfinished:
        unfinished.touch()
        engine = engine_on(unfinished, read_only=False, patience_s=patience_s)
        try:
            with engine.connect() as connection:
                connection = connection.execution_options(begins="BEGIN IMMEDIATE")
                with connection.begin():
                    connection.exec_driver_sql(
                        f"PRAGMA application_id={opening.APPLICATION_ID}"
                    )
                    connection.exec_driver_sql(f"PRAGMA user_version={FORMAT}")
                    create_tables(connection)
                    writing.commit(connection, _beginning(about), NO_REVISIONS)
        finally:
            engine.dispose()


@contextmanager
def new_file(path: Path) -> Iterator[Path]:
    """Give a place to write a file that then appears whole under ``path``, or not."""
    check_free(path)
    unfinished = path.with_name(f".{path.name}.{uuid4().hex[:8]}")
    try:
        yield unfinished
        _sync(unfinished)
        unfinished.rename(path)
        opening.sync_folder(path.parent)
    finally:
        unfinished.unlink(missing_ok=True)


def _sync(path: Path) -> None:
    with path.open("rb+") as file:
        os.fsync(file.fileno())


def _beginning(about: About) -> ChangeSet:
    document = Document("collection", about.id)
    return ChangeSet(
        id=about.id,
        deed=Sentence("deed.new_collection"),
        changes=difference(document, {}, about_parts(about)),
        at=about.created,
    )
