"""Looking through what is written row by row: damaged contents, and a record beside its history.

Every step of the history holds what each part became, in the very form in which the part
itself is kept. So the two tell of each other: where they part, one of them was damaged or
changed by something else than this program.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from landmarks.changes import Document, part_name
from landmarks.errors import StoreError
from landmarks.sentences import Sentence
from landmarks.storage.contract import Loaded

if TYPE_CHECKING:
    from sqlalchemy import ColumnElement, Connection

MOST = 50
"""Rows of one kind that are told; a file damaged all over is told of by a few as well."""

DAMAGED = "store.damaged_content"


def damaged_rows(connection: Connection, damaged: Collection[str]) -> tuple[Sentence, ...]:
    """Return which parts and steps of the history hold a content that cannot be read.

    Parameters
    ----------
    damaged
        Hashes of the packed contents that are damaged.
    """
    return (
        *_damaged_parts(connection, damaged),
        *_damaged_steps(connection, damaged),
        *_beside_history(connection, damaged),
    )


def loaded_soundly(
    load: Callable[[Sequence[Document]], Mapping[Document, Loaded]],
    wanted: Sequence[Document],
) -> Iterator[tuple[Document, Loaded]]:
    """Load documents; those that hold what cannot be read are left out.

    Raises
    ------
    StoreError
        Where anything else is wrong with the file.
    """
    try:
        found = load(wanted)
    except StoreError as fault:
        if fault.sentence.key != DAMAGED:
            raise
        if len(wanted) > 1:
            for one in wanted:
                yield from loaded_soundly(load, (one,))
        return
    yield from found.items()


def _damaged_parts(connection: Connection, damaged: Collection[str]) -> Iterator[Sentence]:
    from sqlalchemy import select

    from landmarks.storage.schema import DOCUMENTS, PARTS

    statement = (
        select(DOCUMENTS.c.kind, DOCUMENTS.c.id, PARTS.c.document, PARTS.c.part)
        .join(DOCUMENTS, DOCUMENTS.c.number == PARTS.c.document)
        .where(_is_damaged(PARTS.c.content, damaged))
        .limit(MOST)
    )
    for row in connection.execute(statement):
        yield Sentence("store.fault_part", _whose(connection, row))


def _damaged_steps(connection: Connection, damaged: Collection[str]) -> Iterator[Sentence]:
    from sqlalchemy import or_, select

    from landmarks.storage.schema import CHANGE_SETS, CHANGES, DOCUMENTS

    both = (_is_damaged(one, damaged) for one in (CHANGES.c.before, CHANGES.c.after))
    statement = (
        select(
            DOCUMENTS.c.kind, DOCUMENTS.c.id, CHANGES.c.document, CHANGES.c.part,
            CHANGE_SETS.c.at,
        )
        .join(DOCUMENTS, DOCUMENTS.c.number == CHANGES.c.document)
        .join(CHANGE_SETS, CHANGE_SETS.c.sequence == CHANGES.c.sequence)
        .where(or_(*both))
        .order_by(CHANGES.c.sequence)
        .limit(MOST)
    )  # fmt: skip
    for row in connection.execute(statement):
        yield Sentence("store.fault_step", {**_whose(connection, row), "at": row.at})


def _beside_history(connection: Connection, damaged: Collection[str]) -> Iterator[Sentence]:
    """Return the parts that are not what the newest step that touched them made of them.

    What is damaged is told of already.
    """
    from sqlalchemy import exists, not_, select

    from landmarks.storage.schema import CHANGES, DOCUMENTS, PARTS

    later = CHANGES.alias()
    last = (
        select(CHANGES.c.after)
        .where(CHANGES.c.document == PARTS.c.document, CHANGES.c.part == PARTS.c.part)
        .order_by(CHANGES.c.sequence.desc())
        .limit(1)
        .scalar_subquery()
    )
    others = select(PARTS.c.document, PARTS.c.part).where(
        PARTS.c.content.is_distinct_from(last),
        not_(_is_damaged(PARTS.c.content, damaged)),
    )
    same = (PARTS.c.document == CHANGES.c.document) & (PARTS.c.part == CHANGES.c.part)
    changed = (later.c.document == CHANGES.c.document) & (later.c.part == CHANGES.c.part)
    lost = select(CHANGES.c.document, CHANGES.c.part).where(
        CHANGES.c.after.is_not(None),
        ~exists().where(same),
        ~exists().where(changed & (later.c.sequence > CHANGES.c.sequence)),
    )
    for found in (others, lost):
        one = found.limit(MOST).subquery()
        statement = select(DOCUMENTS.c.kind, DOCUMENTS.c.id, one.c.document, one.c.part)
        statement = statement.join(DOCUMENTS, DOCUMENTS.c.number == one.c.document)
        for row in connection.execute(statement):
            yield Sentence("store.fault_past", _whose(connection, row))


def _is_damaged(content: ColumnElement[Any], damaged: Collection[str]) -> Any:
    """Return the condition that a content is no JSON, or points to none that can be read."""
    from sqlalchemy import and_, func, or_, select

    from landmarks.storage.schema import BLOBS

    named = func.substr(content, 2)
    points = content.startswith("#", autoescape=True)
    lost = or_(named.not_in(select(BLOBS.c.hash)), named.in_(sorted(damaged)))
    broken = and_(~points, func.json_valid(content) == 0)
    return or_(and_(points, lost), broken)


def _whose(connection: Connection, row: Any) -> dict[str, object]:
    """Return what a row is called: its part, the kind of its document, number or id."""
    from sqlalchemy import select

    from landmarks.storage.schema import LISTING

    statement = select(LISTING.c.catalogue_number).where(LISTING.c.document == row.document)
    number = connection.execute(statement).scalar()
    return {
        "part": part_name(row.part),
        "kind": Sentence(f"document.{row.kind}"),
        "id": number or row.id,
    }
