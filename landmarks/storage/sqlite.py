"""A collection in one SQLite file: every deed on the disk before it is acknowledged.

Importing this module loads SQLAlchemy; import it late, in a worker.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import closing, contextmanager
from datetime import UTC, datetime
from pathlib import Path
from tempfile import TemporaryDirectory
from threading import Condition
from typing import Any
from uuid import uuid4

from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.pool import QueuePool

from landmarks.changes import ChangeSet, Document, Parts, difference
from landmarks.collection import About, Person, about_of, about_parts, person_of
from landmarks.errors import StoreError
from landmarks.sentences import Sentence
from landmarks.storage import opening, reading, upgrade, writing
from landmarks.storage.contract import (
    EVERYTHING,
    FORMAT,
    NO_QUERY,
    NO_REVISIONS,
    Conflict,
    Derived,
    Happened,
    Loaded,
    Past,
    Query,
    Row,
    Saved,
    Stamp,
)
from landmarks.storage.faults import may_only_read, told
from landmarks.storage.schema import create_tables

PATIENCE_S = 5.0
"""How long to wait for another program that is writing, in seconds."""


def open_sqlite(
    path: Path | str,
    *,
    create: bool = False,
    read_only: bool = False,
    about: About | None = None,
    patience_s: float = PATIENCE_S,
) -> SqliteStore:
    """Return the collection in a file.

    Parameters
    ----------
    create
        Make a new one; it is refused where a file stands already.
    read_only
        Nothing is written, and nothing is left beside the file.
    about
        What a new collection says of itself; named after the file where it is not told.

    Raises
    ------
    StoreError
        One sentence for whatever is wrong with the file; the file is unharmed.
    NewerFormatError
        If a later version wrote it.
    """
    path = Path(path)
    with told(path):
        if create:
            _make(path, about or About(str(uuid4()), path.stem, _now()))
        opening.look_at(path)
        try:
            return _opened(path, read_only=read_only, patience_s=patience_s)
        except BaseException:
            if read_only:
                opening.tidy_up(path)
            raise


class SqliteStore:
    """The ``Store`` contract on one SQLite file."""

    def __init__(
        self,
        path: Path,
        *,
        file: Path,
        scratch: TemporaryDirectory[str] | None,
        read_only: bool,
        journal: str,
        notes: tuple[Sentence, ...],
        patience_s: float,
    ) -> None:
        self.path: Path | None = path
        self.read_only = read_only
        self.notes = notes
        self.journal = journal
        self._path = path
        self._scratch = scratch
        self._idle = Condition()
        self._n_busy = 0
        self._identity = opening.identity(path)
        self._only_reads: list[Path] = []
        self._engine: Engine | None = _engine(
            file,
            read_only=read_only,
            patience_s=patience_s,
            journal=journal,
            only_reads=self._only_reads,
        )

    def about(self) -> About:
        """Return the collection itself."""
        with self._reading() as connection:
            for document in reading.documents(connection, "collection"):
                loaded = reading.load(connection, (document,))[document]
                return about_of(document.id, loaded.parts)
        raise StoreError("store.damaged", **self._where)

    def people(self) -> tuple[Person, ...]:
        """Return everybody who works in the collection."""
        with self._reading() as connection:
            loaded = reading.load(connection, reading.documents(connection, "person"))
        return tuple(person_of(one.document.id, one.parts) for one in loaded.values())

    def list(self, query: Query = NO_QUERY) -> tuple[Row, ...]:
        """Return one row for each specimen that the query asks for."""
        with self._reading() as connection:
            return reading.rows(connection, query)

    def count(self, query: Query = NO_QUERY) -> int:
        """Return how many specimens the query finds."""
        with self._reading() as connection:
            return reading.count(connection, query)

    def following(self, query: Query, after: str = "") -> Row | None:
        """Return the first specimen that the query finds after another one."""
        with self._reading() as connection:
            return reading.following(connection, query, after)

    def documents(self, kind: str) -> tuple[Document, ...]:
        """Return all documents of a kind, in the order in which they were made."""
        with self._reading() as connection:
            return reading.documents(connection, kind)

    def load(self, *documents: Document) -> Mapping[Document, Loaded]:
        """Return these documents as they are now."""
        with self._reading() as connection:
            return reading.load(connection, documents)

    def commit(
        self, change_set: ChangeSet, expected: Mapping[Document, int] | None = None
    ) -> Saved | Conflict:
        """Save one deed, whole or not at all; ``Saved`` means it is on the disk."""
        if self.read_only:
            raise StoreError("store.opened_to_read", **self._where)
        with self._writing() as connection:
            return writing.commit(connection, change_set, expected or NO_REVISIONS)

    def latest(self) -> int:
        """Return the sequence of the last change set."""
        with self._reading() as connection:
            return reading.latest(connection)

    def since(self, sequence: int) -> tuple[Happened, ...]:
        """Return what was saved after a sequence, oldest first."""
        with self._reading() as connection:
            return reading.since(connection, sequence)

    def history(
        self,
        document: Document | None = None,
        *,
        limit: int | None = None,
        before: int = EVERYTHING,
    ) -> tuple[Past, ...]:
        """Return change sets newest first, of one document or of the whole collection."""
        with self._reading() as connection:
            return reading.history(connection, document, limit, before)

    def as_of(self, document: Document, sequence: int) -> Parts:
        """Return the parts that a document had right after a change set."""
        with self._reading() as connection:
            return reading.as_of(connection, document, sequence)

    def cached(self, document: Document, stamp: Stamp) -> Any:
        """Return the value kept with exactly this stamp, or None."""
        with self._reading() as connection:
            return reading.cached(connection, document, stamp)

    def keep_cache(self, *derived: Derived) -> None:
        """Keep derived values; silently none where nothing can be written."""
        if derived and not self.read_only:
            with self._writing() as connection:
                writing.keep_cache(connection, derived)

    def relist(self) -> None:
        """Take everything that lists and searches rest on anew from the parts."""
        if self.read_only:
            raise StoreError("store.opened_to_read", **self._where)
        with self._writing() as connection:
            writing.relist_all(connection)

    def copy_to(self, path: Path) -> None:
        """Write the whole collection, history included, to a new file."""
        path = Path(path)
        with told(path), _new_file(path) as unfinished, self._raw() as connection:
            connection.exec_driver_sql("VACUUM INTO ?", (str(unfinished),))

    def check(self) -> tuple[Sentence, ...]:
        """Return every fault of structure, content or reference."""
        from landmarks.storage.checking import content_faults, structure_faults

        with self._reading() as connection:
            return structure_faults(connection) or content_faults(connection)

    def close(self) -> None:
        """Let go of the file when nobody is at it; its journal is worked off."""
        with self._idle:
            engine, self._engine = self._engine, None
            self._idle.wait_for(lambda: self._n_busy == 0)
        if engine is not None:
            engine.dispose()
            if self.read_only:
                opening.tidy_up(self._path)
        if self._scratch is not None:
            self._scratch.cleanup()

    @property
    def _where(self) -> dict[str, str]:
        return {"file": self._path.name, "folder": str(self._path.parent)}

    @contextmanager
    def _raw(self, **options: Any) -> Iterator[Connection]:
        with self._idle:
            if self._engine is None:
                raise StoreError("store.closed", **self._where)
            engine = self._engine
            self._n_busy += 1
        try:
            with told(self._path), engine.connect() as connection:
                yield connection.execution_options(**options)
        finally:
            with self._idle:
                self._n_busy -= 1
                self._idle.notify_all()

    @contextmanager
    def _reading(self) -> Iterator[Connection]:
        with self._raw(begins="BEGIN") as connection, connection.begin():
            yield connection

    @contextmanager
    def _writing(self) -> Iterator[Connection]:
        self._still_there()
        engine = self._engine
        if self._only_reads and engine is not None:
            # Where permission came back, this attempt shall find it.
            self._only_reads.clear()
            engine.dispose()
        with self._raw(begins="BEGIN IMMEDIATE") as connection, connection.begin():
            yield connection
        # A file deleted or exchanged underneath still takes what is written; nobody would
        # ever see it again, so it must not be acknowledged.
        self._still_there()

    def _still_there(self) -> None:
        now = opening.identity(self._path)
        if now is None:
            raise StoreError("store.gone", **self._where)
        if now != self._identity:
            raise StoreError("store.exchanged", **self._where)


def _opened(path: Path, *, read_only: bool, patience_s: float) -> SqliteStore:
    notes: list[Sentence] = []
    journal = ""
    scratch = _up_to_date(path, notes, read_only=read_only, patience_s=patience_s)
    file = path if scratch is None else Path(scratch.name) / path.name
    connection = opening.connect(file, read_only=read_only, patience_s=patience_s)
    with closing(connection):
        opening.inspect(connection, file)
        if not read_only:
            journal = opening.choose_journal(connection, file)
            if journal != "wal":
                notes.append(Sentence("store.safe_journal", {"file": path.name}))
    return SqliteStore(
        path,
        file=file,
        scratch=scratch,
        read_only=read_only,
        journal=journal,
        notes=tuple(notes),
        patience_s=patience_s,
    )


def _up_to_date(
    path: Path, notes: list[Sentence], *, read_only: bool, patience_s: float
) -> TemporaryDirectory[str] | None:
    """Bring an older file to today's format, or a copy of it where it is only read.

    Returns
    -------
    The folder in which the copy lies under the same name, or None where there is no need.
    """
    with closing(opening.connect(path, read_only=read_only, patience_s=patience_s)) as old:
        found = opening.format_of(old, path)
        if found == FORMAT:
            return None
        formats = {"file": path.name, "found": found, "known": FORMAT}
        if read_only:
            scratch = TemporaryDirectory(prefix="hingeline-", ignore_cleanup_errors=True)
            try:
                copy = Path(scratch.name) / path.name
                upgrade.upgraded_copy(old, copy, path, found, FORMAT)
            except BaseException:
                scratch.cleanup()
                raise
            notes.append(Sentence("store.upgraded_to_read", formats))
            return scratch
    kept = upgrade.upgrade(path, found, FORMAT, patience_s=patience_s)
    notes.append(Sentence("store.upgraded", {**formats, "backup": kept.name}))
    return None


def _engine(
    path: Path,
    *,
    read_only: bool,
    patience_s: float,
    journal: str = "",
    only_reads: list[Path] | None = None,
) -> Engine:
    """Return an engine on the file; ``only_reads`` takes note where it may not be written."""

    def connect() -> Any:
        try:
            return opening.connect(
                path, read_only=read_only, patience_s=patience_s, journal=journal
            )
        except sqlite3.OperationalError as fault:
            # Permission was withdrawn while it is open: what is saved can still be read.
            if read_only or not may_only_read(fault):
                raise
            if only_reads is not None:
                only_reads.append(path)
            return opening.connect(path, read_only=True, patience_s=patience_s)

    engine = create_engine(
        "sqlite://", creator=connect, poolclass=QueuePool, pool_size=4, max_overflow=12
    )
    event.listen(engine, "begin", _begin)
    return engine


def _begin(connection: Connection) -> None:
    """Begin as the work needs it: writers at once, so that two never half-begin."""
    begins = connection.get_execution_options().get("begins")
    if begins:
        connection.exec_driver_sql(begins)


def _make(path: Path, about: About) -> None:
    """Make a new collection beside its place and move it there when it is whole."""
    with _new_file(path) as unfinished:
        unfinished.touch()
        engine = _engine(unfinished, read_only=False, patience_s=PATIENCE_S)
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
def _new_file(path: Path) -> Iterator[Path]:
    """Give a place to write a file that then appears whole under ``path``, or not."""
    if path.exists():
        raise StoreError("store.exists", file=path.name, folder=str(path.parent))
    if not path.parent.is_dir():
        raise StoreError("store.no_folder", file=path.name, folder=str(path.parent))
    unfinished = path.with_name(f".{path.name}.{uuid4().hex[:8]}")
    try:
        yield unfinished
        _sync(unfinished)
        unfinished.rename(path)
        opening.sync_folder(path.parent)
    finally:
        unfinished.unlink(missing_ok=True)


def _sync(path: Path) -> None:
    import os

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


def _now() -> str:
    return datetime.now(UTC).isoformat(timespec="seconds").replace("+00:00", "Z")
