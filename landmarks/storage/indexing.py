"""What lists and searches rest on, kept true within the transaction that changes a part.

The row of the list and the facts of a specimen follow from its parts; what is derived is kept
beside them when somebody has derived it. Only what differs is written: most deeds leave most
facts as they were.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence, Set
from functools import cache
from typing import Any

from sqlalchemy import (
    BindParameter,
    Connection,
    Select,
    Table,
    Update,
    bindparam,
    delete,
    func,
    insert,
    select,
    update,
)

from landmarks.changes import Document
from landmarks.codec import write_json
from landmarks.finding import Fact, fields
from landmarks.storage import reading
from landmarks.storage.contract import OUTDATED, Derived
from landmarks.storage.deciding import EXISTS, kind_of
from landmarks.storage.engine import one_of, run_many
from landmarks.storage.follows import ONCE, WHOLE, Follows, Turned, follows_from
from landmarks.storage.listing import Listed, listed, recorded_facts, word_of
from landmarks.storage.packing import read_text
from landmarks.storage.schema import (
    CACHE,
    CHANGES,
    DOCUMENTS,
    LISTING,
    NUMBERS,
    PARTS,
    WORDS,
)
from landmarks.stretches import stretches

_OF_DOCUMENT: BindParameter[int] = bindparam("of_document")
_UNLIST = delete(LISTING).where(LISTING.c.document == _OF_DOCUMENT)
_FORGET_WORD = delete(WORDS).where(
    WORDS.c.document == _OF_DOCUMENT,
    WORDS.c.field == bindparam("of_field"),
    WORDS.c.word == bindparam("of_word"),
)
_OF_WORD = ("of_document", "of_field", "of_word")
_FORGET_NUMBER = delete(NUMBERS).where(
    NUMBERS.c.document == _OF_DOCUMENT, NUMBERS.c.field == bindparam("of_field")
)
_FORGET_CACHE = delete(CACHE).where(CACHE.c.document == _OF_DOCUMENT)
_LIST, _CACHE, _WORD, _NUMBER = map(insert, (LISTING, CACHE, WORDS, NUMBERS))

_RECORDED, _DERIVED = 0, 1

_NOTHING: Mapping[int, Mapping[str, Turned]] = {}


def keep_listed(
    connection: Connection,
    sequence: int,
    touched: Mapping[int, Collection[str]],
    once: Mapping[int, Mapping[str, Turned]],
) -> None:
    """Keep the list true of specimens of which these parts were changed.

    Only what follows from what was changed is taken anew.

    Parameters
    ----------
    once
        What became of the parts there are once, where a deed says anything of them.
    """
    alike: dict[Follows, list[int]] = {}
    for number, turns in touched.items():
        follows = follows_from(turns, once.get(number, {}))
        alike.setdefault(follows, []).append(number)
    for follows, numbers in alike.items():
        relist(connection, dict.fromkeys(numbers, sequence), follows, once)
        if not follows.columns:
            here = update(LISTING).where(LISTING.c.document.in_(one_of(numbers)))
            connection.execute(here.values(changed=sequence))


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
    found = {row.number: row.changed for row in connection.execute(statement)}
    connection.execute(delete(LISTING))
    relist(connection, found)


def relist(
    connection: Connection,
    changed: Mapping[int, int],
    follows: Follows = WHOLE,
    once: Mapping[int, Mapping[str, Turned]] = _NOTHING,
) -> None:
    """Take rows and facts of specimens anew from their parts.

    Parameters
    ----------
    changed
        The sequence of the last change by the number of each specimen.
    follows
        What is taken anew; the rest of rows and facts stays as it is. Where that is not all,
        the specimens are there.
    once
        As of :func:`keep_listed`: these parts need not be read.
    """
    columns, about = tuple(sorted(follows.columns)), sorted(follows.facts)
    for some in stretches(sorted(changed) if columns or about else (), reading.AT_ONCE):
        there = _shown_parts(connection, some, follows, once)
        made = {number: listed(one, follows.columns) for number, one in there.items()}
        rows = [
            (*_values(one, columns), changed[number], number)
            for number, one in made.items()
        ]
        names = (*columns, "changed", "document")
        if follows == WHOLE:
            run_many(connection, _UNLIST, ("of_document",), [(number,) for number in some])
            run_many(connection, _LIST, names, rows)
        elif columns:
            renamed = tuple(f"new_{one}" for one in names)
            run_many(connection, _renewing(columns), renamed, rows)
        if about:
            facts = {
                number: recorded_facts(there[number], made[number], follows.facts)
                if number in there
                else ()
                for number in some
            }
            _keep_facts(connection, facts, _RECORDED, about)
        gone = [number for number in some if number not in there]
        _keep_facts(connection, dict.fromkeys(gone, ()), _DERIVED)


def keep_cache(connection: Connection, derived: Sequence[Derived]) -> None:
    """Keep derived values for the documents that are there."""
    last = {one.document: one for one in derived}
    for some in stretches(list(last.values()), reading.AT_ONCE):
        numbers = _numbers(connection, [one.document for one in some])
        there = select(LISTING.c.document).where(LISTING.c.document.in_(numbers.values()))
        now_listed = set(connection.execute(there).scalars())
        rows = [
            (
                numbers[one.document],
                one.stamp.revision,
                one.stamp.tables_hash,
                one.stamp.engine,
                write_json(one.value),
                write_json(one.summary),
            )
            for one in some
            if one.document in numbers
        ]
        run_many(connection, _FORGET_CACHE, ("of_document",), [row[:1] for row in rows])
        run_many(connection, _CACHE, tuple(CACHE.c.keys()), rows)
        # What was removed in the meantime is found by nothing.
        facts = {
            numbers[one.document]: _derived_facts(one)
            if numbers[one.document] in now_listed
            else ()
            for one in some
            if one.document in numbers
        }
        _keep_facts(connection, facts, _DERIVED)


def carry_over(connection: Connection, numbers: Sequence[int]) -> None:
    """Let what was derived of the last revision of specimens stand for the one they have now.

    Only parts were changed that it does not follow from.
    """
    if not numbers:
        return
    last = select(DOCUMENTS.c.revision - 1).where(DOCUMENTS.c.number == CACHE.c.document)
    here = CACHE.c.document.in_(one_of(numbers)), CACHE.c.revision == last.scalar_subquery()
    connection.execute(update(CACHE).where(*here).values(revision=CACHE.c.revision + 1))


def outdate(connection: Connection, pictures: Sequence[str]) -> None:
    """Mark what was derived from pictures as stale: no revision of a specimen tells it."""
    for some in stretches([word_of(one) for one in pictures], reading.AT_ONCE):
        shown = select(WORDS.c.document).where(
            WORDS.c.field == "picture", WORDS.c.word.in_(some)
        )
        connection.execute(
            update(CACHE).where(CACHE.c.document.in_(shown)).values(revision=OUTDATED)
        )


@cache
def _renewing(columns: tuple[str, ...]) -> Update:
    """Return the statement that renews some columns of a row of the list."""
    values: dict[str, Any] = {key: bindparam(f"new_{key}") for key in (*columns, "changed")}
    here = LISTING.c.document == bindparam("new_document")
    return update(LISTING).where(here).values(values)


def _values(one: Listed, columns: Sequence[str]) -> tuple[Any, ...]:
    """Return some columns of a row as the list holds them."""
    return tuple(
        write_json(one.taxa) if key == "taxa" else getattr(one, key) for key in columns
    )


def _shown_parts(
    connection: Connection,
    numbers: Sequence[int],
    follows: Follows,
    once: Mapping[int, Mapping[str, Turned]],
) -> dict[int, dict[str, Any]]:
    """Return of those specimens that are there the parts that something follows from."""
    if follows == WHOLE:
        found = _parts(connection, numbers, follows.kinds | {EXISTS})
        return {number: parts for number, parts in found.items() if EXISTS in parts}
    known = {part for part in ONCE if all(part in once.get(one, ()) for one in numbers)}
    found = _parts(connection, numbers, follows.kinds - known)
    for number in numbers if known else ():
        parts = found.setdefault(number, {})
        for part in known:
            now = once[number][part][1]
            if now is not None:
                parts[part] = now
    return {number: found.get(number, {}) for number in numbers}


def _parts(
    connection: Connection, numbers: Sequence[int], kinds: Set[str]
) -> dict[int, dict[str, Any]]:
    """Return the parts of some kinds of specimens."""
    if not kinds:
        return {}
    statement = select(PARTS.c.document, PARTS.c.part, PARTS.c.content).where(
        PARTS.c.document.in_(one_of(numbers)), reading.of_kinds(kinds)
    )
    shown = [row for row in connection.execute(statement).all() if kind_of(row[1]) in kinds]
    texts = reading.contents(connection, (content for _, _, content in shown))
    parts: dict[int, dict[str, Any]] = {}
    for number, part, content in shown:
        parts.setdefault(number, {})[part] = read_text(texts[content])
    return parts


def _numbers(connection: Connection, documents: Iterable[Document]) -> dict[Document, int]:
    """Return the numbers of documents that are, or were, in the collection."""
    wanted = set(documents)
    statement = select(DOCUMENTS.c.kind, DOCUMENTS.c.id, DOCUMENTS.c.number).where(
        DOCUMENTS.c.kind.in_({one.kind for one in wanted}),
        DOCUMENTS.c.id.in_({one.id for one in wanted}),
    )
    found = {
        Document(kind, id_): number for kind, id_, number in connection.execute(statement)
    }
    return {one: found[one] for one in wanted & found.keys()}


def _derived_facts(one: Derived) -> tuple[Fact, ...]:
    known = fields()
    return tuple(
        fact for fact in one.facts if fact.field in known and known[fact.field].derived
    )


def _keep_facts(
    connection: Connection,
    facts: Mapping[int, Sequence[Fact]],
    kind: int,
    about: Sequence[str] = (),
) -> None:
    """Let these facts of one kind, by the number of their specimen, stand for those before.

    Parameters
    ----------
    about
        The fields that are told; none: all of that kind.
    """
    words = {
        (number, one.field, one.word)
        for number, some in facts.items()
        for one in some
        if one.number is None
    }
    numbers = {
        (number, one.field): (one.number, one.sigma, int(one.at_least))
        for number, some in facts.items()
        for one in some
        if one.number is not None
    }
    old_words: set[tuple[int, str, str]] = set()
    old_numbers: dict[tuple[int, str], tuple[float, float | None, int]] = {}
    for some in stretches(list(facts), reading.AT_ONCE):
        for row in connection.execute(_facts_now(WORDS, some, kind, about)).all():
            old_words.add((row[0], row[1], row[2]))
        for row in connection.execute(_facts_now(NUMBERS, some, kind, about)).all():
            old_numbers[row[0], row[1]] = row[2], row[3], row[4]
    other = sorted(key for key, old in old_numbers.items() if numbers.get(key) != old)
    new = sorted(key for key, one in numbers.items() if old_numbers.get(key) != one)
    run_many(connection, _FORGET_WORD, _OF_WORD, sorted(old_words - words))
    run_many(connection, _FORGET_NUMBER, _OF_WORD[:2], other)
    added = [(*one, kind) for one in sorted(words - old_words)]
    run_many(connection, _WORD, ("document", "field", "word", "derived"), added)
    measured = [(*key, *numbers[key], kind) for key in new]
    columns = ("document", "field", "number", "sigma", "at_least", "derived")
    run_many(connection, _NUMBER, columns, measured)


def _facts_now(
    table: Table, documents: Sequence[int], kind: int, about: Sequence[str]
) -> Select[Any]:
    """Return the facts of one kind of some specimens: all of them, or those about fields."""
    value = (table.c.word,) if table is WORDS else ()
    measured = (table.c.number, table.c.sigma, table.c.at_least) if table is NUMBERS else ()
    statement = select(table.c.document, table.c.field, *value, *measured)
    statement = statement.where(
        table.c.document.in_(one_of(documents)), table.c.derived == kind
    )
    return statement.where(table.c.field.in_(about)) if about else statement
