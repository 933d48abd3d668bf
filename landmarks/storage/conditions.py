"""A query as statements: where its specimens come from, in which order, and which of them."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace
from typing import Any

from sqlalchemy import ColumnElement, Select, and_, func, null, select, tuple_

from landmarks.finding import (
    DATE,
    NUMBER,
    SIGMAS,
    Bounds,
    Filter,
    bounds,
    fields,
    sorting_fields,
)
from landmarks.storage.contract import Query
from landmarks.storage.listing import searched_words
from landmarks.storage.schema import CACHE, DOCUMENTS, LISTING, NUMBERS, WORDS

_ORDERS = {
    "catalogue_number": LISTING.c.catalogue_key,
    "name": LISTING.c.name_key,
    "changed": LISTING.c.changed,
    "created": LISTING.c.document,
}


@dataclass(frozen=True, slots=True)
class Source:
    """Specimens in an order: those that have the key to sort by, or those that lack it.

    Attributes
    ----------
    document, key
        Columns; ``key`` is None where all lack it, and they stand as they were made.
    chosen
        Conditions that make up the source itself.
    """

    document: Any
    key: Any
    descending: bool
    chosen: tuple[ColumnElement[bool], ...] = ()

    def select(self, query: Query | None, wide: Collection[Filter] = ()) -> Select[Any]:
        """Return ``document`` and ``key`` of what the query finds here, or of everything.

        ``wide`` are conditions that many specimens fit.
        """
        key = null() if self.key is None else self.key
        statement = select(self.document.label("document"), key.label("key"))
        statement = statement.where(*self.chosen)
        return (
            statement if query is None else statement.where(*conditions(query, self, wide))
        )

    def select_from(self, first: Filter, query: Query) -> Select[Any]:
        """Return the same as :meth:`select`, beginning with what fits one condition.

        Everything else is looked up for each of those, and only what is left is sorted: it
        takes as long however far on the page is. Where ``key`` is none they are not here.
        """
        here = positive(first, query)
        if fields()[first.field].many and first.relation != "is":
            here = here.distinct()
        begun = here.subquery()
        others = replace(query, filters=tuple(f for f in query.filters if f != first))
        looked_up = Source(begun.c.document, None, descending=False)
        found = select(begun.c.document)
        found = found.where(*conditions(others, looked_up, others.filters))
        stands = self.document == begun.c.document, *self.chosen
        if self.key is None:
            one = select(self.document).where(*stands).exists()
            return found.add_columns(null().label("key")).where(one)
        key = select(self.key).where(*stands).scalar_subquery().label("key")
        keyed = found.add_columns(key).cte("keyed").prefix_with("MATERIALIZED")
        return select(keyed).where(keyed.c.key.is_not(None))

    def in_order(self, columns: Any) -> tuple[Any, ...]:
        """Return what a selection of this source is sorted by."""
        ordered = (
            (columns.document,) if self.key is None else (columns.key, columns.document)
        )
        return tuple(one.desc() for one in ordered) if self.descending else ordered

    def beyond(self, key: Any, number: int) -> ColumnElement[bool]:
        """Return the condition of standing after a specimen in this order."""
        if self.key is None:
            later: ColumnElement[bool] = self.document > number
            return later
        here, there = tuple_(self.key, self.document), tuple_(key, number)
        return here < there if self.descending else here > there


def sources(query: Query) -> tuple[Source, ...]:
    """Return where the query's specimens come from, one after the other."""
    if query.order not in sorting_fields():
        key = _ORDERS.get(query.order, LISTING.c.catalogue_key)
        return (Source(LISTING.c.document, key, query.descending),)
    numbers = fields()[query.order].kind == NUMBER
    table = NUMBERS if numbers else WORDS
    ours = table.c.field == query.order
    having = Source(
        table.c.document,
        table.c.number if numbers else table.c.word,
        query.descending,
        (ours,),
    )
    lacking = LISTING.c.document.not_in(select(table.c.document).where(ours))
    return having, Source(LISTING.c.document, None, descending=False, chosen=(lacking,))


def conditions(
    query: Query, source: Source, wide: Collection[Filter] = ()
) -> list[ColumnElement[bool]]:
    """Return what must hold of a specimen of this source.

    A condition that few fit is best answered by all of these; one that many fit, by asking
    each specimen in turn until a page is full.
    """
    found = [_text(word, source) for word in searched_words(query.text)]
    for one in query.filters:
        if one.field == "text":
            found += [_text(word, source) for word in searched_words(str(one.values[0]))]
        elif is_negative(one):
            found.append(source.document.not_in(positive(one, query)))
        elif one in wide and one.field != "stale":
            found.append(_fitting(one, source.document).exists())
        else:
            found.append(source.document.in_(positive(one, query)))
    return found


def is_negative(one: Filter) -> bool:
    """Return whether a condition holds where there is no such fact."""
    if one.field == "stale":
        return one.values == ("yes",)
    return one.relation in ("is_not", "unknown")


def positive(one: Filter, query: Query) -> Select[Any]:
    """Return the specimens that fit a condition, or of a negative one those that do not."""
    return _fresh(query) if one.field == "stale" else _fitting(one)


def _text(word: str, source: Source) -> ColumnElement[bool]:
    here = LISTING.c.words.contains(word, autoescape=True)
    if source.document is LISTING.c.document:
        return here
    there: ColumnElement[bool] = source.document.in_(select(LISTING.c.document).where(here))
    return there


def _fresh(query: Query) -> Select[Any]:
    """Return the specimens whose derived values are of today."""
    same = [CACHE.c.revision == DOCUMENTS.c.revision]
    if query.tables_hash:
        same.append(CACHE.c.tables_hash == query.tables_hash)
    if query.engine:
        same.append(CACHE.c.engine == query.engine)
    return (
        select(CACHE.c.document)
        .join(DOCUMENTS, DOCUMENTS.c.number == CACHE.c.document)
        .where(*same)
    )


def _fitting(one: Filter, document: Any = None) -> Select[Any]:
    """Return the specimens of which a fact fits; of one specimen alone where it is given."""
    kind = fields()[one.field].kind
    table = (NUMBERS if kind == NUMBER else WORDS).alias()
    statement = select(table.c.document).where(table.c.field == one.field)
    if document is not None:
        statement = statement.where(table.c.document == document)
    if one.relation in ("known", "unknown"):
        return statement
    if one.relation == "contains":
        return statement.where(table.c.word.contains(str(one.values[0]), autoescape=True))
    within = bounds(one)
    if kind != NUMBER:
        if kind != DATE:
            return statement.where(table.c.word == within.low)
        return statement.where(_within(table.c.word, table.c.word, within))
    least: Any = table.c.number
    greatest: Any = table.c.number
    if one.surely:
        doubt = SIGMAS * func.coalesce(table.c.sigma, 0.0)
        least, greatest = least - doubt, greatest + doubt
        if within.high is not None:
            statement = statement.where(table.c.at_least == 0)
    return statement.where(_within(least, greatest, within))


def _within(least: Any, greatest: Any, one: Bounds) -> ColumnElement[bool]:
    both = []
    if one.low is not None:
        both.append(least >= one.low if one.low_fits else least > one.low)
    if one.high is not None:
        both.append(greatest <= one.high if one.high_fits else greatest < one.high)
    return and_(*both)
