"""Writing a collection within one transaction: a deed enters whole, or nothing does."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict
from typing import Any

from sqlalchemy import Connection, bindparam, delete, func, insert, select, update

from landmarks.changes import ChangeSet, Clash, Document
from landmarks.codec import write_json
from landmarks.finding import Fact, fields
from landmarks.storage import reading
from landmarks.storage.contract import OUTDATED, Conflict, Derived, Saved
from landmarks.storage.deciding import (
    EXISTS,
    Now,
    Turn,
    decide,
    removes,
    turns_of,
)
from landmarks.storage.deeds import deed_json
from landmarks.storage.listing import listed, recorded_facts, shown_in_list, word_of
from landmarks.storage.packing import LONG_TEXT, hash_of, packed, read_text
from landmarks.storage.schema import (
    BLOBS,
    CACHE,
    CHANGE_SETS,
    CHANGES,
    DOCUMENTS,
    LISTING,
    NUMBERS,
    PARTS,
    WORDS,
)

# Statements of every document of a deed are made once: over ten thousand of them, making
# each anew took four fifths of the time.
_STATE = select(DOCUMENTS.c.number, DOCUMENTS.c.revision).where(
    DOCUMENTS.c.kind == bindparam("of_kind"), DOCUMENTS.c.id == bindparam("of_id")
)
_ALL_PARTS = select(PARTS.c.part, PARTS.c.content).where(
    PARTS.c.document == bindparam("of_document")
)
_SOME_PARTS = _ALL_PARTS.where(PARTS.c.part.in_(bindparam("of_parts", expanding=True)))
_NEXT_REVISION = (
    update(DOCUMENTS)
    .where(DOCUMENTS.c.number == bindparam("of_document"))
    .values(revision=DOCUMENTS.c.revision + 1)
)
_ONE_PART = (PARTS.c.document == bindparam("of_document")) & (
    PARTS.c.part == bindparam("of_part")
)
_CHANGE_PART = update(PARTS).where(_ONE_PART).values(content=bindparam("new_content"))
_DELETE_PART = delete(PARTS).where(_ONE_PART)
_ADD_PARTS = insert(PARTS)
_UNLIST = delete(LISTING).where(LISTING.c.document == bindparam("of_document"))
_LIST = insert(LISTING)
_FACTS = {
    table: (
        delete(table).where(
            table.c.document == bindparam("of_document"),
            table.c.derived == bindparam("of_kind"),
        ),
        insert(table),
    )
    for table in (WORDS, NUMBERS)
}


def commit(
    connection: Connection, change_set: ChangeSet, expected: Mapping[Document, int]
) -> Saved | Conflict:
    """Write one change set into the open transaction, or nothing of it."""
    turns = turns_of(change_set)
    earlier = connection.execute(
        select(CHANGE_SETS.c.sequence).where(CHANGE_SETS.c.id == change_set.id)
    ).scalar()
    if earlier is not None:
        return Saved(earlier, {one: _state(connection, one)[1] for one in turns})
    numbers: dict[Document, int | None] = {}
    revisions: dict[Document, int] = {}
    made: dict[Document, Mapping[str, Turn]] = {}
    clashes: dict[Document, tuple[Clash, ...]] = {}
    for document, parts in turns.items():
        numbers[document], now = _now(connection, document, parts)
        revisions[document] = now.revision
        decision = decide(parts, now)
        made[document] = decision.turns
        if decision.clashes:
            clashes[document] = decision.clashes
    if clashes:
        return Conflict(clashes, revisions)
    moved_on = tuple(
        one for one in turns if one in expected and expected[one] != revisions[one]
    )
    sequence = reading.latest(connection) + 1
    _record(connection, sequence, change_set)
    rows: list[dict[str, Any]] = []
    for document, changed in made.items():
        if not changed:
            continue
        number = _keep_document(connection, numbers[document], document, changed)
        revisions[document] += 1
        _keep_parts(connection, number, changed)
        rows += [
            {
                "sequence": sequence,
                "document": number,
                "part": part,
                "before": _stored(connection, turn.before),
                "after": _stored(connection, turn.after),
            }
            for part, turn in changed.items()
        ]
        if document.kind == "picture" and numbers[document] is not None:
            _outdate(connection, document.id)
        if document.kind == "specimen":
            new = numbers[document] is None
            _keep_listing(connection, number, sequence, changed, new=new)
    if rows:
        placed = [row | {"place": place} for place, row in enumerate(rows)]
        connection.execute(insert(CHANGES), placed)
    return Saved(sequence, revisions, moved_on)


def keep_cache(connection: Connection, derived: Sequence[Derived]) -> None:
    """Keep derived values for the documents that are there."""
    for one in derived:
        number, revision = _state(connection, one.document)
        if number is None or revision == 0:
            continue
        connection.execute(delete(CACHE).where(CACHE.c.document == number))
        connection.execute(
            insert(CACHE).values(
                document=number,
                revision=one.stamp.revision,
                tables_hash=one.stamp.tables_hash,
                engine=one.stamp.engine,
                value=write_json(one.value),
                summary=write_json(one.summary),
            )
        )
        # What was removed in the meantime is found by nothing.
        listed_now = connection.execute(
            select(LISTING.c.document).where(LISTING.c.document == number)
        ).scalar()
        known = fields() if listed_now is not None else {}
        facts = [
            fact for fact in one.facts if fact.field in known and known[fact.field].derived
        ]
        _keep_facts(connection, number, facts, derived=True)


def relist_all(connection: Connection) -> None:
    """Take the whole list anew from the parts: after a format step, or where it is wrong."""
    last = (
        select(func.max(CHANGES.c.sequence))
        .where(CHANGES.c.document == DOCUMENTS.c.number)
        .scalar_subquery()
    )
    statement = (
        select(DOCUMENTS.c.number, func.coalesce(last, 0).label("changed"))
        .where(DOCUMENTS.c.kind == "specimen")
        .order_by(DOCUMENTS.c.number)
    )
    found = connection.execute(statement).all()
    connection.execute(delete(LISTING))
    for row in found:
        relist(connection, row.number, row.changed)


def relist(connection: Connection, number: int, sequence: int) -> None:
    """Take the row of the list anew from the parts of a specimen."""
    connection.execute(_UNLIST, {"of_document": number})
    stored = connection.execute(_ALL_PARTS, {"of_document": number}).all()
    shown = {row.part: row.content for row in stored if shown_in_list(row.part)}
    texts = reading.contents(connection, shown.values())
    _list(
        connection,
        number,
        sequence,
        {part: texts[content] for part, content in shown.items()},
    )


def _state(connection: Connection, document: Document) -> tuple[int | None, int]:
    of = {"of_kind": document.kind, "of_id": document.id}
    found = connection.execute(_STATE, of).one_or_none()
    return (None, 0) if found is None else (found.number, found.revision)


def _now(
    connection: Connection, document: Document, turns: Mapping[str, Turn]
) -> tuple[int | None, Now]:
    """Return what the collection has of a document, as far as the turns need to know."""
    number, revision = _state(connection, document)
    if number is None:
        return None, Now()
    if removes(turns):
        found = connection.execute(_ALL_PARTS, {"of_document": number})
    else:
        some = {"of_document": number, "of_parts": [EXISTS, *turns]}
        found = connection.execute(_SOME_PARTS, some)
    stored = {row.part: row.content for row in found}
    texts = reading.contents(connection, stored.values())
    parts = {part: texts[content] for part, content in stored.items()}
    return number, Now(revision, EXISTS in parts, parts)


def _record(connection: Connection, sequence: int, change_set: ChangeSet) -> None:
    connection.execute(
        insert(CHANGE_SETS).values(
            sequence=sequence,
            id=change_set.id,
            deed=write_json(deed_json(change_set.deed)),
            person=change_set.person,
            at=change_set.at,
            undoes=change_set.undoes,
            extra=write_json(dict(change_set.extra)),
        )
    )


def _keep_document(
    connection: Connection,
    number: int | None,
    document: Document,
    turns: Mapping[str, Turn],
) -> int:
    if number is None:
        made = connection.execute(
            insert(DOCUMENTS).values(
                kind=document.kind, id=document.id, revision=1, deleted=0
            )
        )
        return int(made.inserted_primary_key[0])  # type: ignore[index]
    connection.execute(_NEXT_REVISION, {"of_document": number})
    if EXISTS in turns:
        deleted = int(turns[EXISTS].after is None)
        connection.execute(
            update(DOCUMENTS).where(DOCUMENTS.c.number == number).values(deleted=deleted)
        )
    return number


def _keep_parts(connection: Connection, number: int, turns: Mapping[str, Turn]) -> None:
    new = []
    for part, turn in turns.items():
        content = _stored(connection, turn.after)
        if turn.before is None:
            new.append({"document": number, "part": part, "content": content})
            continue
        here = {"of_document": number, "of_part": part}
        if content is None:
            connection.execute(_DELETE_PART, here)
        else:
            connection.execute(_CHANGE_PART, {**here, "new_content": content})
    if new:
        connection.execute(_ADD_PARTS, new)


def _keep_listing(
    connection: Connection,
    number: int,
    sequence: int,
    turns: Mapping[str, Turn],
    *,
    new: bool,
) -> None:
    if new:
        texts = {part: turn.after for part, turn in turns.items() if turn.after is not None}
        _list(connection, number, sequence, texts)
    elif any(shown_in_list(part) for part in turns):
        relist(connection, number, sequence)
    else:
        connection.execute(
            update(LISTING).where(LISTING.c.document == number).values(changed=sequence)
        )


def _list(
    connection: Connection, number: int, sequence: int, texts: Mapping[str, str]
) -> None:
    parts = {part: read_text(text) for part, text in texts.items() if shown_in_list(part)}
    facts: tuple[Fact, ...] = ()
    if EXISTS in parts:
        made = listed(parts)
        facts = recorded_facts(parts, made)
        row = asdict(made)
        row["taxa"] = write_json(row["taxa"])
        connection.execute(_LIST, {"document": number, "changed": sequence, **row})
    else:
        _keep_facts(connection, number, (), derived=True)
    _keep_facts(connection, number, facts, derived=False)


def _keep_facts(
    connection: Connection, number: int, facts: Sequence[Fact], *, derived: bool
) -> None:
    """Let these facts of one kind stand for those that were there."""
    for forget, _ in _FACTS.values():
        connection.execute(forget, {"of_document": number, "of_kind": int(derived)})
    said = {"document": number, "derived": int(derived)}
    words = {(one.field, one.word) for one in facts if one.number is None}
    if words:
        rows = [{**said, "field": field, "word": word} for field, word in sorted(words)]
        connection.execute(_FACTS[WORDS][1], rows)
    numbers = {one.field: one for one in facts if one.number is not None}
    if numbers:
        rows = [
            {
                **said,
                "field": field,
                "number": one.number,
                "sigma": one.sigma,
                "at_least": int(one.at_least),
            }
            for field, one in numbers.items()
        ]
        connection.execute(_FACTS[NUMBERS][1], rows)


def _outdate(connection: Connection, picture: str) -> None:
    """Mark what was derived from a picture as stale: no revision of a specimen tells it."""
    shown = select(WORDS.c.document).where(
        WORDS.c.field == "picture", WORDS.c.word == word_of(picture)
    )
    connection.execute(
        update(CACHE).where(CACHE.c.document.in_(shown)).values(revision=OUTDATED)
    )


def _stored(connection: Connection, text: str | None) -> str | None:
    """Return how a text is stored: itself, or the name of the blob that holds it."""
    if text is None or len(text) <= LONG_TEXT:
        return text
    name = hash_of(text)
    there = connection.execute(select(BLOBS.c.hash).where(BLOBS.c.hash == name)).scalar()
    if there is None:
        connection.execute(insert(BLOBS).values(hash=name, packed=packed(text)))
    return f"#{name}"
