"""Writing a deed within one transaction: it enters whole, or nothing of it does.

A deed may touch ten thousand documents. Everything that is asked or written of them is asked
and written for many at once, so that such a deed takes a second.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from operator import itemgetter

from sqlalchemy import Connection, bindparam, delete, insert, select, update

from landmarks.changes import ChangeSet, Clash, Document
from landmarks.codec import write_json
from landmarks.storage import indexing, reading
from landmarks.storage.contract import Conflict, Saved
from landmarks.storage.deciding import (
    EXISTS,
    Now,
    Turn,
    decide,
    removes,
    stand_beside,
    turns_of,
)
from landmarks.storage.deeds import deed_json
from landmarks.storage.engine import one_of, run_many
from landmarks.storage.follows import turned_once
from landmarks.storage.packing import LONG_TEXT, hash_of, packed
from landmarks.storage.remembering import latest
from landmarks.storage.schema import BLOBS, CHANGE_SETS, CHANGES, DOCUMENTS, PARTS
from landmarks.stretches import stretches

Turns = Mapping[Document, Mapping[str, Turn]]
State = tuple[int, int]
"""Number and revision of a document."""

_GONE_OR_BACK = (
    update(DOCUMENTS)
    .where(DOCUMENTS.c.number == bindparam("of_document"))
    .values(deleted=bindparam("now_deleted"))
)
_ONE_PART = (PARTS.c.document == bindparam("of_document")) & (
    PARTS.c.part == bindparam("of_part")
)
_CHANGE_PART = update(PARTS).where(_ONE_PART).values(content=bindparam("new_content"))
_DELETE_PART = delete(PARTS).where(_ONE_PART)
_ADD_PART, _ADD_CHANGE, _ADD_BLOB = insert(PARTS), insert(CHANGES), insert(BLOBS)
_BEGIN = insert(DOCUMENTS)


def commit(
    connection: Connection, change_set: ChangeSet, expected: Mapping[Document, int]
) -> Saved | Conflict:
    """Write one change set into the open transaction, or nothing of it."""
    turns = turns_of(change_set)
    states = _states(connection, turns)
    revisions = {one: states[one][1] if one in states else 0 for one in turns}
    earlier = connection.execute(
        select(CHANGE_SETS.c.sequence).where(CHANGE_SETS.c.id == change_set.id)
    ).scalar()
    if earlier is not None:
        return Saved(earlier, revisions)
    there = _as_they_are(connection, turns, states)
    decisions = {one: decide(parts, there[one]) for one, parts in turns.items()}
    clashes: dict[Document, tuple[Clash, ...]] = {
        one: made.clashes for one, made in decisions.items() if made.clashes
    }
    if clashes:
        return Conflict(clashes, revisions)
    moved_on = tuple(
        one for one in turns if one in expected and expected[one] != revisions[one]
    )
    sequence = latest(connection) + 1
    _record(connection, sequence, change_set)
    made = {one: decision.turns for one, decision in decisions.items() if decision.turns}
    numbers = _keep_documents(connection, made, states)
    stored = _stored(connection, made)
    _keep_parts(connection, made, numbers, stored)
    _keep_changes(connection, sequence, made, numbers, stored)
    old = {one: made[one] for one in made if one in states}
    beside = {one for one, parts in old.items() if stand_beside(one.kind, parts)}
    outdated = [one.id for one in old if one.kind == "picture" and one not in beside]
    indexing.outdate(connection, outdated)
    indexing.carry_over(
        connection, [numbers[one] for one in beside if one.kind == "specimen"]
    )
    once = turned_once(change_set)
    listed = [one for one in made if one.kind == "specimen"]
    indexing.keep_listed(
        connection,
        sequence,
        {numbers[one]: made[one] for one in listed},
        {numbers[one]: once[one] for one in listed if one in once},
    )
    return Saved(
        sequence, {**revisions, **{one: revisions[one] + 1 for one in made}}, moved_on
    )


def _states(connection: Connection, wanted: Iterable[Document]) -> dict[Document, State]:
    """Return number and revision of every document that is or was there."""
    by_kind: dict[str, list[str]] = {}
    for document in wanted:
        by_kind.setdefault(document.kind, []).append(document.id)
    found: dict[Document, State] = {}
    for kind, ids in by_kind.items():
        for some in stretches(ids, reading.AT_ONCE):
            statement = select(
                DOCUMENTS.c.id, DOCUMENTS.c.number, DOCUMENTS.c.revision
            ).where(DOCUMENTS.c.kind == kind, DOCUMENTS.c.id.in_(some))
            for id_, number, revision in connection.execute(statement).all():
                found[Document(kind, id_)] = number, revision
    return found


def _as_they_are(
    connection: Connection, turns: Turns, states: Mapping[Document, State]
) -> dict[Document, Now]:
    """Return what the collection has of every document, as far as its turns need to know."""
    whole: dict[int, bool] = {}
    wanted: dict[int, set[str]] = {}
    for one, touched in turns.items():
        if one in states:
            whole[states[one][0]] = removes(touched)
            wanted[states[one][0]] = {EXISTS, *touched}
    stored: dict[int, dict[str, str]] = {}
    for some in stretches(list(wanted), reading.AT_ONCE):
        question = select(PARTS.c.document, PARTS.c.part, PARTS.c.content)
        question = question.where(PARTS.c.document.in_(one_of(some)))
        asked = set().union(*(wanted[number] for number in some))
        if len(asked) <= reading.AT_ONCE and not any(whole[number] for number in some):
            question = question.where(PARTS.c.part.in_(sorted(asked)))
        for number, part, content in connection.execute(question).all():
            if whole[number] or part in wanted[number]:
                stored.setdefault(number, {})[part] = content
    contents = (content for parts in stored.values() for content in parts.values())
    texts = reading.contents(connection, contents)
    now: dict[Document, Now] = {}
    for one in turns:
        if one not in states:
            now[one] = Now()
            continue
        number, revision = states[one]
        parts = {part: texts[content] for part, content in stored.get(number, {}).items()}
        now[one] = Now(revision, EXISTS in parts, parts)
    return now


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


def _keep_documents(
    connection: Connection, made: Turns, states: Mapping[Document, State]
) -> dict[Document, int]:
    """Give every touched document its next revision, and new ones their place."""
    numbers = {one: states[one][0] for one in made if one in states}
    if numbers:
        here = update(DOCUMENTS).where(DOCUMENTS.c.number.in_(one_of(numbers.values())))
        connection.execute(here.values(revision=DOCUMENTS.c.revision + 1))
    turned = [
        (number, int(made[one][EXISTS].after is None))
        for one, number in numbers.items()
        if EXISTS in made[one]
    ]
    run_many(connection, _GONE_OR_BACK, ("of_document", "now_deleted"), turned)
    new = [one for one in made if one not in states]
    if new:
        rows = [(kind, id_, 1, 0) for kind, id_ in new]
        run_many(connection, _BEGIN, ("kind", "id", "revision", "deleted"), rows)
        numbers |= {one: state[0] for one, state in _states(connection, new).items()}
    return numbers


def _keep_parts(
    connection: Connection,
    made: Turns,
    numbers: Mapping[Document, int],
    stored: Mapping[str | None, str | None],
) -> None:
    new, changed, gone = [], [], []
    # In the order in which they lie in the file: twice as quick where they are many.
    for document, turns in sorted(made.items(), key=lambda one: numbers[one[0]]):
        number = numbers[document]
        for part, turn in turns.items():
            if turn.after is None:
                gone.append((number, part))
            elif turn.before is None:
                new.append((number, part, stored[turn.after]))
            else:
                changed.append((number, part, stored[turn.after]))
    here = "of_document", "of_part"
    run_many(connection, _DELETE_PART, here, gone)
    run_many(connection, _CHANGE_PART, (*here, "new_content"), changed)
    run_many(connection, _ADD_PART, ("document", "part", "content"), new)


def _keep_changes(
    connection: Connection,
    sequence: int,
    made: Turns,
    numbers: Mapping[Document, int],
    stored: Mapping[str | None, str | None],
) -> None:
    turned = (
        (numbers[document], part, turn)
        for document, turns in made.items()
        for part, turn in turns.items()
    )
    rows = [
        (sequence, place, number, part, stored[turn.before], stored[turn.after])
        for place, (number, part, turn) in enumerate(turned)
    ]
    rows.sort(key=itemgetter(2))
    columns = "sequence", "place", "document", "part", "before", "after"
    run_many(connection, _ADD_CHANGE, columns, rows)


def _stored(connection: Connection, made: Turns) -> dict[str | None, str | None]:
    """Return how each text is stored: itself, or the name of the blob that holds it."""
    texts = {
        text
        for turns in made.values()
        for turn in turns.values()
        for text in turn
        if text is not None
    }
    stored: dict[str | None, str | None] = {None: None}
    stored |= {one: one for one in texts if len(one) <= LONG_TEXT}
    names = {hash_of(one): one for one in texts if len(one) > LONG_TEXT}
    there: set[str] = set()
    for some in stretches(sorted(names), reading.AT_ONCE):
        known = select(BLOBS.c.hash).where(BLOBS.c.hash.in_(some))
        there |= set(connection.execute(known).scalars())
    new = sorted(names.keys() - there)
    run_many(
        connection,
        _ADD_BLOB,
        ("hash", "packed"),
        [(one, packed(names[one])) for one in new],
    )
    return stored | {text: f"#{name}" for name, text in names.items()}
