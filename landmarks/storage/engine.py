"""The way to one SQLite file: how connections to it are made, and how their work begins."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable, Sequence
from functools import cache
from operator import itemgetter
from pathlib import Path
from typing import Any

from sqlalchemy import (
    Connection,
    Engine,
    Executable,
    Select,
    create_engine,
    event,
    func,
    select,
)
from sqlalchemy.dialects import sqlite
from sqlalchemy.pool import QueuePool

from landmarks.storage import opening
from landmarks.storage.faults import may_only_read


def engine_on(
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


def one_of(numbers: Iterable[int]) -> Select[Any]:
    """Return the numbers of documents as a list to look up in: one value, however many.

    Each value of an ordinary list is named and spelled by itself, which takes longer than to
    read the rows it finds.
    """
    listed = func.json_each(json.dumps(list(numbers))).table_valued("value")
    return select(listed.c.value)


def run_many(
    connection: Connection,
    statement: Executable,
    names: tuple[str, ...],
    rows: Sequence[tuple[Any, ...]],
) -> None:
    """Run one statement for each of many rows; for none, nothing is run.

    It is spelled once, and the rows are handed to the driver as they are: looked through value
    by value first, ten thousand of them take half as long again.

    Parameters
    ----------
    statement
        A lasting one: how it is spelled is remembered.
    names
        What the values of each row are: columns, or parameters of the statement.
    """
    if rows:
        text, order = _spelled(statement, names)
        if order != tuple(range(len(names))):
            rows = list(map(itemgetter(*order), rows))
        connection.exec_driver_sql(text, list(rows))


@cache
def _spelled(statement: Any, names: tuple[str, ...]) -> tuple[str, tuple[int, ...]]:
    """Return a statement as text, and which value of a row stands at each of its places."""
    compiled = statement.compile(dialect=sqlite.dialect(), column_keys=list(names))
    return str(compiled), tuple(map(names.index, compiled.positiontup))


def _begin(connection: Connection) -> None:
    """Begin as the work needs it: writers at once, so that two never half-begin."""
    begins = connection.get_execution_options().get("begins")
    if begins:
        connection.exec_driver_sql(begins)
