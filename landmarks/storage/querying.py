"""What a query finds: the list, how many there are, and which specimen follows another.

A page is chosen on narrow rows alone; only its own rows are looked up elsewhere.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from operator import attrgetter, itemgetter
from typing import Any, TypeVar

from sqlalchemy import Connection, Select, func, select

from landmarks.changes import Document
from landmarks.finding import Fact, Filter
from landmarks.storage.conditions import (
    Source,
    conditions,
    is_negative,
    positive,
    sources,
)
from landmarks.storage.contract import Query, Row, Stamp
from landmarks.storage.listing import region_of, searched_words
from landmarks.storage.packing import read_text
from landmarks.storage.reading import AT_ONCE, number_of
from landmarks.storage.schema import CACHE, DOCUMENTS, LISTING, NUMBERS, WORDS
from landmarks.stretches import stretches

Thing = TypeVar("Thing")

WIDE = 10_000
"""A condition that more specimens fit is asked of each in turn while a page is filled."""

FIRST_PAGES = 1000
"""Specimens up to which that pays."""

NARROW = 50_000
"""Farther on, a search begins with a condition that at most so many specimens fit."""


@dataclass(frozen=True, slots=True)
class Plan:
    """How the conditions of a query are best answered.

    Attributes
    ----------
    wide
        Asked of each specimen in turn, until the page is full.
    first
        The narrowest of several, with which the search for a page far on begins: what it takes
        no longer grows with how far that is. None: the order is gone through.
    """

    wide: tuple[Filter, ...] = ()
    first: Filter | None = None

    def found(self, source: Source, query: Query) -> Select[Any]:
        """Return ``document`` and ``key`` of what a query finds in a source."""
        if self.first is not None:
            return source.select_from(self.first, query)
        return source.select(query, self.wide)


def rows(connection: Connection, query: Query) -> tuple[Row, ...]:
    """Return one row for each specimen that the query asks for."""
    return _page_of(
        connection, query, lambda source, page: _rows_of(connection, source, page, query)
    )


def ids(connection: Connection, query: Query) -> tuple[str, ...]:
    """Return the id of each specimen that the query asks for, and nothing else of it."""

    def read(source: Source, page: Select[Any]) -> list[str]:
        narrow = page.subquery()
        named = select(DOCUMENTS.c.id).join(narrow, narrow.c.document == DOCUMENTS.c.number)
        named = named.order_by(*source.in_order(narrow.c))
        return list(connection.execute(named).scalars())

    return _page_of(connection, query, read)


def count(connection: Connection, query: Query) -> int:
    """Return how many specimens the query finds."""
    everything = Source(LISTING.c.document, None, descending=False)
    if query.filters and not searched_words(query.text):
        if len(query.filters) == 1 and is_negative(query.filters[0]):
            total = count(connection, Query())
            return total - _n_found(connection, positive(query.filters[0], query))
        if not any(one.field == "text" or is_negative(one) for one in query.filters):
            # Facts stand for listed specimens only, and their indexes are far narrower.
            first, *others = (positive(one, query) for one in query.filters)
            both = first.where(*(first.selected_columns[0].in_(one) for one in others))
            return _n_found(connection, both)
    where = conditions(query, everything)
    statement = select(func.count()).select_from(LISTING).where(*where)
    return int(connection.execute(statement).scalar_one())


def following(connection: Connection, query: Query, after: str) -> Row | None:
    """Return the first specimen that the query finds after another, going round once."""
    number = number_of(connection, Document("specimen", after)) if after else None
    ways = sources(query)
    wide = _plan(connection, replace(query, offset=0, limit=1)).wide
    ahead: list[tuple[Source, Any]] = [(source, None) for source in ways]
    for i, source in enumerate(ways if number is not None else ()):
        here = source.select(None).where(source.document == number)
        stands = connection.execute(here).first()
        if stands is not None:
            beyond = source.beyond(stands.key, number or 0)
            ahead = [(source, beyond), *ahead[i + 1 :], *ahead[: i + 1]]
            break
    for source, beyond in ahead:
        statement = source.select(query, wide).where(source.document != (number or 0))
        if beyond is not None:
            statement = statement.where(beyond)
        found = statement.cte("found")
        if query.text:
            found = found.prefix_with("MATERIALIZED")
        first = select(found).order_by(*source.in_order(found.c)).limit(1)
        made = _rows_of(connection, source, first, query)
        if made:
            return made[0]
    return None


def _taxa(text: str) -> tuple[str, ...]:
    taxa = read_text(text)
    return tuple(map(str, taxa)) if isinstance(taxa, list) else ()


def _n_found(connection: Connection, found: Select[Any]) -> int:
    distinct = select(func.count(found.subquery().c.document.distinct()))
    return int(connection.execute(distinct).scalar_one())


def _plan(connection: Connection, query: Query) -> Plan:
    """Return how to answer a query, from how many specimens fit each of its conditions."""
    asked = [
        one
        for one in query.filters
        if one.field not in ("text", "stale") and not is_negative(one)
    ]
    if query.limit is None:
        return Plan()
    if query.offset + query.limit <= FIRST_PAGES:
        return Plan(
            wide=tuple(one for one in asked if _n_fit(connection, one, WIDE) > WIDE)
        )
    if len(asked) < 2:
        # One condition alone is soonest met in the order that is asked for.
        return Plan()
    counted = [(_n_fit(connection, one, NARROW), one) for one in asked]
    n, first = min(counted, key=itemgetter(0))
    return Plan(first=first if n <= NARROW else None)


def _n_fit(connection: Connection, one: Filter, most: int) -> int:
    """Return how many specimens fit a condition, counted up to one more than ``most``."""
    some = positive(one, Query()).limit(most + 1).subquery()
    counted = select(func.count()).select_from(some)
    return int(connection.execute(counted).scalar_one())


def _page_of(
    connection: Connection, query: Query, read: Callable[[Source, Select[Any]], list[Thing]]
) -> tuple[Thing, ...]:
    """Return what is read of the stretch of specimens that a query asks for."""
    found: list[Thing] = []
    offset = query.offset
    plan = _plan(connection, query)
    for source in sources(query):
        left = None if query.limit is None else query.limit - len(found)
        if left == 0:
            break
        here = plan.found(source, query)
        page = read(source, _stretch(here, source, query, offset, left))
        found += page
        if offset and not page:
            counted = select(func.count()).select_from(here.subquery())
            offset -= connection.execute(counted).scalar_one()
        else:
            offset = 0
    return tuple(found)


def _stretch(
    found: Select[Any], source: Source, query: Query, offset: int, limit: int | None
) -> Select[Any]:
    """Return a stretch of the specimens that were found in one source.

    It is chosen on narrow rows alone; only its own are looked up elsewhere.
    """
    if query.text:
        # Left alone, the database would walk the whole list in order and look every row up
        # to read its words: ten times slower where few match.
        chosen = select(found.cte("found").prefix_with("MATERIALIZED"))
    else:
        chosen = select(found.subquery())
    chosen = chosen.order_by(*source.in_order(chosen.selected_columns))
    return chosen.offset(offset).limit(limit) if offset or limit is not None else chosen


def _rows_of(
    connection: Connection, source: Source, chosen: Select[Any], query: Query
) -> list[Row]:
    """Return the rows of specimens that were chosen by ``document`` and ``key``."""
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
        .order_by(*source.in_order(page.c))
    )
    found = connection.execute(statement).all()
    facts = _facts(connection, [row.document for row in found], query.columns)
    return [
        Row(
            specimen=row.id,
            catalogue_number=row.catalogue_number,
            name=row.name,
            taxa=_taxa(row.taxa),
            level=row.level,
            qualifier=row.qualifier,
            n_pictures=row.n_pictures,
            picture=row.picture,
            region=region_of(row.region),
            revision=row.revision,
            summary=None if row.summary is None else read_text(row.summary),
            stamp=None
            if row.summary is None
            else Stamp(row.derived_from, row.tables_hash, row.engine),
            facts=tuple(facts.get(row.document, ())),
        )
        for row in found
    ]


def _facts(
    connection: Connection, numbers: Sequence[int], columns: Sequence[str]
) -> dict[int, list[Fact]]:
    """Return what is known of some fields of some specimens, words before numbers.

    They are put in order here: asked to, the database would go through whole fields, a
    thousand times slower.
    """
    facts: dict[int, list[Fact]] = {}
    for some in stretches(numbers if columns else (), AT_ONCE):
        words = select(WORDS.c.document, WORDS.c.field, WORDS.c.word).where(
            WORDS.c.document.in_(some), WORDS.c.field.in_(columns)
        )
        for number, field, word in sorted(map(tuple, connection.execute(words).all())):
            facts.setdefault(number, []).append(Fact(field, word))
        measured = select(NUMBERS).where(
            NUMBERS.c.document.in_(some), NUMBERS.c.field.in_(columns)
        )
        by_field = sorted(connection.execute(measured).all(), key=attrgetter("field"))
        for row in by_field:
            one = Fact(row.field, "", row.number, row.sigma, bool(row.at_least))
            facts.setdefault(row.document, []).append(one)
    return facts
