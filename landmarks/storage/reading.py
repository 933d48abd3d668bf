"""Reading documents through one connection: every question one or two statements."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import Any

from sqlalchemy import ColumnElement, Connection, or_, select

from landmarks.changes import Document, Parts
from landmarks.errors import StoreError
from landmarks.storage.contract import Loaded, Stamp
from landmarks.storage.deciding import EXISTS, asked_for
from landmarks.storage.engine import one_of
from landmarks.storage.packing import read_text, unpacked
from landmarks.storage.schema import BLOBS, CACHE, DOCUMENTS, PARTS
from landmarks.stretches import stretches

AT_ONCE = 500
"""How many keys one statement is asked for; databases limit its length."""

LARGEST_UNPACKED = 256 * 1024 * 1024
"""Letters that the packed contents of one question may unpack to: a stranger packs gigabytes
into a few kilobytes."""


def documents(connection: Connection, kind: str) -> tuple[Document, ...]:
    """Return all documents of a kind that are there, oldest first."""
    statement = (
        select(DOCUMENTS.c.id)
        .where(DOCUMENTS.c.kind == kind, DOCUMENTS.c.deleted == 0)
        .order_by(DOCUMENTS.c.number)
    )
    return tuple(Document(kind, found) for found in connection.execute(statement).scalars())


def load(
    connection: Connection,
    wanted: Sequence[Document],
    kinds: Collection[str] | None = None,
) -> dict[Document, Loaded]:
    """Return these documents as they are now, in the order asked; the gone are left out."""
    found: dict[Document, tuple[int, int]] = {}
    for kind in dict.fromkeys(document.kind for document in wanted):
        ids = [document.id for document in wanted if document.kind == kind]
        for some in stretches(ids, AT_ONCE):
            statement = select(DOCUMENTS).where(
                DOCUMENTS.c.kind == kind, DOCUMENTS.c.id.in_(some), DOCUMENTS.c.deleted == 0
            )
            for row in connection.execute(statement).all():
                found[Document(kind, row.id)] = (row.number, row.revision)
    parts = _parts(connection, [number for number, _ in found.values()], kinds)
    return {
        document: Loaded(document, parts.get(found[document][0], {}), found[document][1])
        for document in dict.fromkeys(wanted)
        if document in found
    }


def cached(connection: Connection, document: Document, stamp: Stamp) -> Any:
    """Return the value kept with exactly this stamp, or None."""
    statement = (
        select(CACHE.c.value)
        .join(DOCUMENTS, DOCUMENTS.c.number == CACHE.c.document)
        .where(
            DOCUMENTS.c.kind == document.kind,
            DOCUMENTS.c.id == document.id,
            CACHE.c.revision == stamp.revision,
            CACHE.c.tables_hash == stamp.tables_hash,
            CACHE.c.engine == stamp.engine,
        )
    )
    found = connection.execute(statement).scalar()
    return None if found is None else read_text(found)


def contents(connection: Connection, stored: Iterable[str | None]) -> Mapping[str, str]:
    """Return the text of each stored content, packed or not."""
    texts = {one: one for one in stored if one is not None}
    names = [one[1:] for one in texts if one.startswith("#")]
    room, n_found = LARGEST_UNPACKED, 0
    for some in stretches(names, AT_ONCE):
        statement = select(BLOBS.c.hash, BLOBS.c.packed).where(BLOBS.c.hash.in_(some))
        for row in connection.execute(statement):
            text = texts[f"#{row.hash}"] = unpacked(row.packed)
            n_found += 1
            room -= len(text)
            if room < 0:
                raise StoreError("store.damaged_content")
    if n_found < len(names):
        raise StoreError("store.damaged_content")
    return texts


def of_kinds(kinds: Collection[str]) -> ColumnElement[bool]:
    """Return the condition that a part is of one of these kinds."""
    named = [PARTS.c.part.between(f"{kind}/", f"{kind}0") for kind in sorted(kinds)]
    return or_(PARTS.c.part.in_(sorted(kinds)), *named)


def number_of(connection: Connection, document: Document) -> int | None:
    """Return the number of a document that is or was there, or None."""
    statement = select(DOCUMENTS.c.number).where(
        DOCUMENTS.c.kind == document.kind, DOCUMENTS.c.id == document.id
    )
    return connection.execute(statement).scalar()


def _parts(
    connection: Connection, numbers: Sequence[int], kinds: Collection[str] | None
) -> dict[int, Parts]:
    made: dict[int, dict[str, Any]] = {}
    for some in stretches(numbers, AT_ONCE):
        statement = select(PARTS).where(PARTS.c.document.in_(one_of(some)))
        if kinds is not None:
            statement = statement.where(of_kinds({EXISTS, *kinds}))
        found = connection.execute(statement).all()
        stored = [row for row in found if asked_for(row.part, kinds)]
        texts = contents(connection, (row.content for row in stored))
        for row in stored:
            made.setdefault(row.document, {})[row.part] = read_text(texts[row.content])
    return dict(made)
