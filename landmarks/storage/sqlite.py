"""A collection in one SQLite file: every deed on the disk before it is acknowledged.

Importing this module loads SQLAlchemy; import it late, in a worker.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from contextlib import closing, contextmanager
from datetime import UTC, datetime
from pathlib import Path
from tempfile import TemporaryDirectory
from threading import Condition
from typing import Any
from uuid import uuid4

from sqlalchemy import Connection, Engine

from landmarks.changes import ChangeSet, Document, Parts
from landmarks.collection import About, Person, about_of, person_of
from landmarks.errors import StoreError
from landmarks.sentences import Sentence
from landmarks.storage import (
    indexing,
    opening,
    querying,
    reading,
    remembering,
    upgrade,
    writing,
)
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
from landmarks.storage.engine import engine_on
from landmarks.storage.faults import told
from landmarks.storage.making import make_file, new_file

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
    opening.check_sqlite()
    with told(path):
        if create:
            make_file(path, about or About(str(uuid4()), path.stem, _now()), PATIENCE_S)
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
        self._engine: Engine | None = engine_on(
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
            return querying.rows(connection, query)

    def ids(self, query: Query = NO_QUERY) -> tuple[str, ...]:
        """Return the ids of the specimens that the query asks for."""
        with self._reading() as connection:
            return querying.ids(connection, query)

    def count(self, query: Query = NO_QUERY) -> int:
        """Return how many specimens the query finds."""
        with self._reading() as connection:
            return querying.count(connection, query)

    def following(self, query: Query, after: str = "") -> Row | None:
        """Return the first specimen that the query finds after another one."""
        with self._reading() as connection:
            return querying.following(connection, query, after)

    def documents(self, kind: str) -> tuple[Document, ...]:
        """Return all documents of a kind, in the order in which they were made."""
        with self._reading() as connection:
            return reading.documents(connection, kind)

    def load(
        self, *documents: Document, kinds: Collection[str] | None = None
    ) -> Mapping[Document, Loaded]:
        """Return these documents as they are now."""
        with self._reading() as connection:
            return reading.load(connection, documents, kinds)

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
            return remembering.latest(connection)

    def since(self, sequence: int) -> tuple[Happened, ...]:
        """Return what was saved after a sequence, oldest first."""
        with self._reading() as connection:
            return remembering.since(connection, sequence)

    def history(
        self,
        document: Document | None = None,
        *,
        limit: int | None = None,
        before: int = EVERYTHING,
    ) -> tuple[Past, ...]:
        """Return change sets newest first, of one document or of the whole collection."""
        with self._reading() as connection:
            return remembering.history(connection, document, limit, before)

    def as_of(self, document: Document, sequence: int) -> Parts:
        """Return the parts that a document had right after a change set."""
        with self._reading() as connection:
            return remembering.as_of(connection, document, sequence)

    def cached(self, document: Document, stamp: Stamp) -> Any:
        """Return the value kept with exactly this stamp, or None."""
        with self._reading() as connection:
            return reading.cached(connection, document, stamp)

    def keep_cache(self, *derived: Derived) -> None:
        """Keep derived values; silently none where nothing can be written."""
        if derived and not self.read_only:
            with self._writing() as connection:
                indexing.keep_cache(connection, derived)

    def relist(self) -> None:
        """Take everything that lists and searches rest on anew from the parts."""
        if self.read_only:
            raise StoreError("store.opened_to_read", **self._where)
        with self._writing() as connection:
            indexing.relist_all(connection)

    def copy_to(self, path: Path) -> None:
        """Write the whole collection, history included, to a new file."""
        path = Path(path)
        with told(path), new_file(path) as unfinished, self._raw() as connection:
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


def _now() -> str:
    return datetime.now(UTC).isoformat(timespec="seconds").replace("+00:00", "Z")
