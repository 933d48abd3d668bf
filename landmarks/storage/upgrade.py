"""Bringing a collection of an older format to today's: step by step, on a copy.

A step takes a format to the next one within a transaction; where it rewrites a part, it does
so in the history too, which keeps parts in the same form. The file itself is exchanged only
when the copy is whole, and is kept under another name; whatever goes wrong before leaves it as
it was.
"""

from __future__ import annotations

import os
import shutil
import sqlite3
from collections.abc import Callable, Mapping
from contextlib import closing
from pathlib import Path
from types import MappingProxyType
from uuid import uuid4

from landmarks.errors import StoreError
from landmarks.storage import opening

Step = Callable[[sqlite3.Connection], None]


def _step_1(connection: sqlite3.Connection) -> None:
    """Make room for what specimens are found by; the list itself is taken anew afterwards."""
    for statement in (
        "CREATE TABLE words (document INTEGER NOT NULL, field TEXT NOT NULL, "
        "word TEXT NOT NULL, derived INTEGER NOT NULL, "
        "PRIMARY KEY (document, field, word), "
        "FOREIGN KEY(document) REFERENCES documents (number)) WITHOUT ROWID, STRICT",
        "CREATE INDEX words_by_word ON words (field, word, document)",
        "CREATE TABLE numbers (document INTEGER NOT NULL, field TEXT NOT NULL, "
        "number REAL NOT NULL, sigma REAL, at_least INTEGER NOT NULL, "
        "derived INTEGER NOT NULL, PRIMARY KEY (document, field), "
        "FOREIGN KEY(document) REFERENCES documents (number)) WITHOUT ROWID, STRICT",
        "CREATE INDEX numbers_by_number "
        "ON numbers (field, number, document, sigma, at_least)",
        "CREATE INDEX cache_by_stamp ON cache (document, revision, tables_hash, engine)",
    ):
        connection.execute(statement)


def _step_2(connection: sqlite3.Connection) -> None:
    """Make room for the region of the first frame; the list is taken anew afterwards."""
    for statement in (
        "DROP TABLE listing",
        "CREATE TABLE listing (document INTEGER NOT NULL, catalogue_number TEXT NOT NULL, "
        "catalogue_key TEXT NOT NULL, name TEXT NOT NULL, name_key TEXT NOT NULL, "
        "taxa TEXT NOT NULL, level TEXT NOT NULL, qualifier TEXT NOT NULL, "
        "n_pictures INTEGER NOT NULL, picture TEXT NOT NULL, region TEXT NOT NULL, "
        "words TEXT NOT NULL, changed INTEGER NOT NULL, PRIMARY KEY (document), "
        "FOREIGN KEY(document) REFERENCES documents (number)) STRICT",
        "CREATE INDEX listing_by_number ON listing (catalogue_key, document)",
        "CREATE INDEX listing_by_name ON listing (name_key, document)",
        "CREATE INDEX listing_by_change ON listing (changed, document)",
    ):
        connection.execute(statement)


STEPS: Mapping[int, Step] = MappingProxyType({1: _step_1, 2: _step_2})
"""The step from each format to the next."""


def upgrade(path: Path, found: int, known: int, *, patience_s: float) -> Path:
    """Bring a collection file to the known format; return where the old one is kept.

    Raises
    ------
    StoreError
        If a step is missing or somebody has the file open; the file is as it was.
    """
    unfinished = path.with_name(f".{path.name}.{uuid4().hex[:8]}")
    try:
        with closing(opening.connect(path, read_only=False, patience_s=patience_s)) as old:
            # Alone with the file, and with nothing of it left in a journal beside it, which
            # would otherwise be taken for part of the new file.
            journal = old.execute("PRAGMA journal_mode=DELETE").fetchone()[0]
            if journal != "delete":
                raise StoreError("store.locked", file=path.name, folder=str(path.parent))
            upgraded_copy(old, unfinished, path, found, known)
        kept = _free_name(path, found)
        try:
            os.link(path, kept)
        except OSError:  # Not every file system can give a file a second name.
            shutil.copy2(path, kept)
        unfinished.replace(path)
        opening.sync_folder(path.parent)
    finally:
        unfinished.unlink(missing_ok=True)
    return kept


def upgraded_copy(
    old: sqlite3.Connection, copy: Path, path: Path, found: int, known: int
) -> None:
    """Write a copy in the known format; ``path`` names the collection in sentences."""
    values = {"file": path.name, "folder": str(path.parent)}
    for step in range(found, known):
        if step not in STEPS:
            raise StoreError("store.no_step", **values, found=found, known=known)
    opening.refuse_what_runs(old, path)
    copy.touch()
    with closing(opening.connect(copy, read_only=False, patience_s=1.0)) as new:
        old.backup(new)
        for step in range(found, known):
            new.execute("BEGIN IMMEDIATE")
            STEPS[step](new)
            new.execute(f"PRAGMA user_version={step + 1}")
            new.execute("COMMIT")
        opening.inspect(new, copy)
        new.execute("PRAGMA journal_mode=DELETE")
    _take_list_anew(copy)
    with copy.open("rb+") as file:
        os.fsync(file.fileno())


def _take_list_anew(copy: Path) -> None:
    """Take everything that lists and searches rest on from the parts, as today's do."""
    from sqlalchemy import create_engine
    from sqlalchemy.pool import StaticPool

    from landmarks.storage.indexing import relist_all

    with closing(opening.connect(copy, read_only=False, patience_s=1.0)) as raw:
        engine = create_engine("sqlite://", creator=lambda: raw, poolclass=StaticPool)
        with engine.connect() as connection:
            connection.exec_driver_sql("BEGIN IMMEDIATE")
            relist_all(connection)
            connection.exec_driver_sql("COMMIT")
        engine.dispose()


def _free_name(path: Path, found: int) -> Path:
    """Return a name beside the file that is not taken: ``drawer (format 1).hingeline``."""
    names = (f"{path.stem} (format {found}{more}){path.suffix}" for more in _counted())
    return next(kept for name in names if not (kept := path.with_name(name)).exists())


def _counted() -> list[str]:
    return ["", *(f", {n}" for n in range(2, 1000))]
