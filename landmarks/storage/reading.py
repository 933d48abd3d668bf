"""Reading a collection through one connection: every question one or two statements."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from sqlalchemy import Connection, Select, func, select

from landmarks.changes import Change, ChangeSet, Document, Parts
from landmarks.storage.contract import Happened, Loaded, Past, Query, Row, Stamp
from landmarks.storage.deeds import deed_of
from landmarks.storage.listing import searched_words
from landmarks.storage.packing import read_text, unpacked
from landmarks.storage.schema import (
    BLOBS,
    CACHE,
    CHANGE_SETS,
    CHANGES,
    DOCUMENTS,
    LISTING,
    PARTS,
)

AT_ONCE = 500
"""How many keys one statement is asked for; databases limit its length."""

_ORDERS = {
    "catalogue_number": LISTING.c.catalogue_key,
    "name": LISTING.c.name_key,
    "changed": LISTING.c.changed,
    "created": LISTING.c.document,
}


def rows(connection: Connection, query: Query) -> tuple[Row, ...]:
    """Return one row for each specimen that the query asks for."""
    key = _ORDERS.get(query.order, LISTING.c.catalogue_key)
    found = _found(select(LISTING.c.document, key.label("key")), query)
    if query.text:
        # Left alone, the database would walk the whole list in order and look every row up
        # to read its words: ten times slower where few match.
        chosen = select(found.cte("found").prefix_with("MATERIALIZED"))
    else:
        chosen = select(found.subquery())
    chosen = chosen.order_by(*_in_order(chosen.selected_columns, query))
    # The page is chosen on narrow rows alone; only its own are looked up elsewhere.
    if query.offset or query.limit is not None:
        chosen = chosen.offset(query.offset).limit(query.limit)
    page = chosen.subquery()
    joined = (
        page.join(LISTING, LISTING.c.document == page.c.document)
        .join(DOCUMENTS, DOCUMENTS.c.number == page.c.document)
        .outerjoin(CACHE, CACHE.c.document == page.c.document)
    )
    statement = (
        select(
            DOCUMENTS.c.id,
            DOCUMENTS.c.revision,
            LISTING,
            CACHE.c.summary,
            CACHE.c.revision.label("derived_from"),
            CACHE.c.tables_hash,
            CACHE.c.engine,
        )
        .select_from(joined)
        .order_by(*_in_order(page.c, query))
    )
    return tuple(
        Row(
            specimen=row.id,
            catalogue_number=row.catalogue_number,
            name=row.name,
            taxa=_taxa(row.taxa),
            level=row.level,
            qualifier=row.qualifier,
            n_pictures=row.n_pictures,
            picture=row.picture,
            revision=row.revision,
            summary=None if row.summary is None else read_text(row.summary),
            stamp=None
            if row.summary is None
            else Stamp(row.derived_from, row.tables_hash, row.engine),
        )
        for row in connection.execute(statement)
    )


def count(connection: Connection, query: Query) -> int:
    """Return how many specimens the query finds."""
    return int(
        connection.execute(
            _found(select(func.count()).select_from(LISTING), query)
        ).scalar_one()
    )


def documents(connection: Connection, kind: str) -> tuple[Document, ...]:
    """Return all documents of a kind that are there, oldest first."""
    statement = (
        select(DOCUMENTS.c.id)
        .where(DOCUMENTS.c.kind == kind, DOCUMENTS.c.deleted == 0)
        .order_by(DOCUMENTS.c.number)
    )
    return tuple(Document(kind, found) for found in connection.execute(statement).scalars())


def load(connection: Connection, wanted: Sequence[Document]) -> dict[Document, Loaded]:
    """Return these documents as they are now, in the order asked; the gone are left out."""
    found: dict[Document, tuple[int, int]] = {}
    for kind in dict.fromkeys(document.kind for document in wanted):
        ids = [document.id for document in wanted if document.kind == kind]
        for some in _slices(ids):
            statement = select(DOCUMENTS).where(
                DOCUMENTS.c.kind == kind, DOCUMENTS.c.id.in_(some), DOCUMENTS.c.deleted == 0
            )
            for row in connection.execute(statement):
                found[Document(kind, row.id)] = (row.number, row.revision)
    parts = _parts(connection, [number for number, _ in found.values()])
    return {
        document: Loaded(document, parts.get(found[document][0], {}), found[document][1])
        for document in dict.fromkeys(wanted)
        if document in found
    }


def latest(connection: Connection) -> int:
    """Return the sequence of the last change set, 0 before the first."""
    return connection.execute(select(func.max(CHANGE_SETS.c.sequence))).scalar() or 0


def since(connection: Connection, sequence: int) -> tuple[Happened, ...]:
    """Return what was saved after a sequence, oldest first."""
    statement = (
        select(CHANGES.c.sequence, CHANGES.c.part, DOCUMENTS.c.kind, DOCUMENTS.c.id)
        .join(DOCUMENTS, DOCUMENTS.c.number == CHANGES.c.document)
        .where(CHANGES.c.sequence > sequence)
        .order_by(CHANGES.c.sequence, CHANGES.c.place)
    )
    touched: dict[int, dict[Document, list[str]]] = {}
    for row in connection.execute(statement):
        parts = touched.setdefault(row.sequence, {})
        parts.setdefault(Document(row.kind, row.id), []).append(row.part)
    sets = (
        select(CHANGE_SETS)
        .where(CHANGE_SETS.c.sequence > sequence)
        .order_by(CHANGE_SETS.c.sequence)
    )
    return tuple(
        Happened(
            row.sequence,
            row.id,
            deed_of(read_text(row.deed)),
            row.person,
            row.at,
            row.undoes,
            {
                document: tuple(parts)
                for document, parts in touched.get(row.sequence, {}).items()
            },
        )
        for row in connection.execute(sets)
    )


def history(
    connection: Connection, document: Document | None, limit: int | None, before: int
) -> tuple[Past, ...]:
    """Return change sets newest first, of one document or of the whole collection."""
    sets = select(CHANGE_SETS).where(CHANGE_SETS.c.sequence < before)
    number = None
    if document is not None:
        number = _number(connection, document)
        touching = select(CHANGES.c.sequence).where(CHANGES.c.document == (number or 0))
        sets = sets.where(CHANGE_SETS.c.sequence.in_(touching))
    sets = sets.order_by(CHANGE_SETS.c.sequence.desc())
    found = connection.execute(sets.limit(limit) if limit is not None else sets).all()
    sequences = [row.sequence for row in found]
    changes: dict[int, list[Change]] = {}
    n_documents: dict[int, int] = {}
    for some in _slices(sequences):
        statement = (
            select(CHANGES, DOCUMENTS.c.kind, DOCUMENTS.c.id)
            .join(DOCUMENTS, DOCUMENTS.c.number == CHANGES.c.document)
            .where(CHANGES.c.sequence.in_(some))
            .order_by(CHANGES.c.sequence, CHANGES.c.place)
        )
        if number is not None:
            statement = statement.where(CHANGES.c.document == number)
        touched = connection.execute(statement).all()
        texts = contents(
            connection, (t for row in touched for t in (row.before, row.after))
        )
        for row in touched:
            pair = [
                None if t is None else read_text(texts[t]) for t in (row.before, row.after)
            ]
            changes.setdefault(row.sequence, []).append(
                Change(Document(row.kind, row.id), row.part, *pair)
            )
        counted = (
            select(CHANGES.c.sequence, func.count(CHANGES.c.document.distinct()))
            .where(CHANGES.c.sequence.in_(some))
            .group_by(CHANGES.c.sequence)
        )
        n_documents |= {row[0]: row[1] for row in connection.execute(counted)}
    return tuple(
        Past(
            row.sequence,
            ChangeSet(
                id=row.id,
                deed=deed_of(read_text(row.deed)),
                changes=tuple(changes.get(row.sequence, ())),
                person=row.person,
                at=row.at,
                undoes=row.undoes,
                extra=_extra(row.extra),
            ),
            n_documents.get(row.sequence, 0),
        )
        for row in found
    )


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
    wanted = {one for one in stored if one is not None}
    texts = {one: one for one in wanted if not one.startswith("#")}
    for some in _slices([one[1:] for one in wanted if one.startswith("#")]):
        statement = select(BLOBS.c.hash, BLOBS.c.packed).where(BLOBS.c.hash.in_(some))
        for row in connection.execute(statement):
            texts[f"#{row.hash}"] = unpacked(row.packed)
    if len(texts) < len(wanted):
        from landmarks.errors import StoreError

        raise StoreError("store.damaged_content")
    return texts


def _taxa(text: str) -> tuple[str, ...]:
    taxa = read_text(text)
    return tuple(map(str, taxa)) if isinstance(taxa, list) else ()


def _extra(text: str) -> Mapping[str, object]:
    extra = read_text(text)
    return extra if isinstance(extra, dict) else {}


def _in_order(columns: Any, query: Query) -> tuple[Any, ...]:
    ordered = (columns.key, columns.document)
    return tuple(column.desc() for column in ordered) if query.descending else ordered


def _found(statement: Select[Any], query: Query) -> Select[Any]:
    for word in searched_words(query.text):
        statement = statement.where(LISTING.c.words.contains(word, autoescape=True))
    return statement


def _number(connection: Connection, document: Document) -> int | None:
    statement = select(DOCUMENTS.c.number).where(
        DOCUMENTS.c.kind == document.kind, DOCUMENTS.c.id == document.id
    )
    return connection.execute(statement).scalar()


def _parts(connection: Connection, numbers: Sequence[int]) -> dict[int, Parts]:
    made: dict[int, dict[str, Any]] = {}
    for some in _slices(numbers):
        statement = select(PARTS).where(PARTS.c.document.in_(some))
        stored = connection.execute(statement).all()
        texts = contents(connection, (row.content for row in stored))
        for row in stored:
            made.setdefault(row.document, {})[row.part] = read_text(texts[row.content])
    return dict(made)


def _slices(items: Sequence[Any]) -> Iterator[Sequence[Any]]:
    for start in range(0, len(items), AT_ONCE):
        yield items[start : start + AT_ONCE]
