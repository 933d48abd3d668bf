"""What happened in a collection: its change sets, newest first, and what was before them."""

from __future__ import annotations

from collections.abc import Mapping

from sqlalchemy import Connection, func, select

from landmarks.changes import Change, ChangeSet, Document, Parts, before_all
from landmarks.storage.contract import EVERYTHING, Happened, Past
from landmarks.storage.deeds import deed_of
from landmarks.storage.packing import read_text
from landmarks.storage.reading import AT_ONCE, contents, load, number_of
from landmarks.storage.schema import CHANGE_SETS, CHANGES, DOCUMENTS
from landmarks.stretches import stretches


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
    connection: Connection,
    document: Document | None,
    limit: int | None,
    before: int,
    after: int = 0,
) -> tuple[Past, ...]:
    """Return change sets newest first, of one document or of the whole collection."""
    sets = select(CHANGE_SETS).where(
        CHANGE_SETS.c.sequence < before, CHANGE_SETS.c.sequence > after
    )
    number = None
    if document is not None:
        number = number_of(connection, document)
        touching = select(CHANGES.c.sequence).where(CHANGES.c.document == (number or 0))
        sets = sets.where(CHANGE_SETS.c.sequence.in_(touching))
    sets = sets.order_by(CHANGE_SETS.c.sequence.desc())
    found = connection.execute(sets.limit(limit) if limit is not None else sets).all()
    sequences = [row.sequence for row in found]
    changes: dict[int, list[Change]] = {}
    n_documents: dict[int, int] = {}
    for some in stretches(sequences, AT_ONCE):
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


def as_of(connection: Connection, document: Document, sequence: int) -> Parts:
    """Return the parts that a document had right after a change set."""
    now = load(connection, (document,)).get(document)
    later = history(connection, document, None, EVERYTHING, after=sequence)
    return before_all(now.parts if now else {}, [past.change_set for past in later])


def _extra(text: str) -> Mapping[str, object]:
    extra = read_text(text)
    return extra if isinstance(extra, dict) else {}
