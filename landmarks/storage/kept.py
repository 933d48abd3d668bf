"""One document as memory keeps it: its parts, what it is found by, its place in an order.

The answers are those of a database, reckoned from the facts at hand.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from typing import Any

from landmarks.changes import Document
from landmarks.codec import write_json
from landmarks.finding import Fact, Filter, fields, fits, sorting_fields
from landmarks.storage.contract import OUTDATED, Derived, Query, Row, Stamp
from landmarks.storage.deciding import EXISTS
from landmarks.storage.listing import (
    Listed,
    listed,
    recorded_facts,
    region_of,
    searched_words,
    shown_in_list,
)
from landmarks.storage.packing import read_text


@dataclass(slots=True)
class Kept:
    """One document: its settled parts, and what lists and caches have of it."""

    number: int
    revision: int = 0
    parts: dict[str, str] = field(default_factory=dict)
    listed: Listed | None = None
    changed: int = 0
    derived: tuple[Stamp, str, str] | None = None
    recorded_facts: tuple[Fact, ...] = ()
    derived_facts: tuple[Fact, ...] = ()

    @property
    def facts(self) -> tuple[Fact, ...]:
        """Return everything it can be found by."""
        return self.recorded_facts + self.derived_facts

    def move_on(self, *, beside: bool) -> None:
        """Go to the next revision; ``beside``: nothing derived follows from what was changed."""
        if beside and self.derived is not None:
            stamp, value, summary = self.derived
            if stamp.revision == self.revision:
                stamp = replace(stamp, revision=self.revision + 1)
            self.derived = stamp, value, summary
        self.revision += 1

    def relist(self) -> None:
        """Take what the list shows of it anew from its parts."""
        self.listed, self.recorded_facts = None, ()
        if EXISTS in self.parts:
            shown = {part: text for part, text in self.parts.items() if shown_in_list(part)}
            parts = {part: read_text(text) for part, text in shown.items()}
            self.listed = listed(parts)
            self.recorded_facts = recorded_facts(parts, self.listed)
        else:
            self.derived_facts = ()

    def keep(self, one: Derived) -> None:
        """Keep what was derived of it; what was removed meanwhile is found by nothing."""
        self.derived = one.stamp, write_json(one.value), write_json(one.summary)
        known = fields() if self.listed is not None else {}
        self.derived_facts = tuple(
            fact for fact in one.facts if fact.field in known and known[fact.field].derived
        )

    def outdate(self) -> None:
        """Mark what was derived of it as stale: a picture of it has changed."""
        if self.derived is not None:
            stamp, value, summary = self.derived
            self.derived = replace(stamp, revision=OUTDATED), value, summary

    def found_by(self, query: Query) -> bool:
        """Return whether a query finds it."""
        if self.listed is None:
            return False
        words = searched_words(query.text)
        return all(word in self.listed.words for word in words) and all(
            self._fits(one, query) for one in query.filters
        )

    def _fits(self, one: Filter, query: Query) -> bool:
        if one.field == "text":
            assert self.listed is not None
            words = searched_words(str(one.values[0]))
            return all(word in self.listed.words for word in words)
        if one.field == "stale":
            return self._is_stale(query) == (one.values == ("yes",))
        return fits(one, self.facts)

    def _is_stale(self, query: Query) -> bool:
        if self.derived is None:
            return True
        stamp = self.derived[0]
        return (
            stamp.revision != self.revision
            or query.tables_hash not in ("", stamp.tables_hash)
            or query.engine not in ("", stamp.engine)
        )


def in_order(
    found: Iterable[tuple[Document, Kept]], query: Query
) -> list[tuple[Document, Kept]]:
    """Return specimens in the order of a query; those that lack its field come last."""
    if query.order not in sorting_fields():
        return sorted(
            found, key=lambda pair: _key(pair[1], query.order), reverse=query.descending
        )
    having, lacking = [], []
    for document, kept in found:
        key = next((one for one in kept.facts if one.field == query.order), None)
        if key is None:
            lacking.append((document, kept))
        else:
            word = key.word if key.number is None else key.number
            having.append(((word, kept.number), (document, kept)))
    having.sort(key=lambda one: one[0], reverse=query.descending)
    return [pair for _, pair in having] + lacking


def row_of(document: Document, kept: Kept, columns: tuple[str, ...]) -> Row:
    """Return the row of a specimen that is there, with what is known of some columns."""
    one = kept.listed
    assert one is not None
    stamp, summary = None, None
    if kept.derived is not None:
        stamp, summary = kept.derived[0], read_text(kept.derived[2])
    return Row(
        specimen=document.id,
        catalogue_number=one.catalogue_number,
        name=one.name,
        taxa=one.taxa,
        level=one.level,
        qualifier=one.qualifier,
        n_pictures=one.n_pictures,
        picture=one.picture,
        region=region_of(one.region),
        revision=kept.revision,
        summary=summary,
        stamp=stamp,
        facts=tuple(
            sorted(
                (one for one in kept.facts if one.field in columns),
                key=lambda one: (one.number is not None, one.field, one.word),
            )
        ),
    )


def _key(kept: Kept, order: str) -> tuple[Any, int]:
    assert kept.listed is not None
    match order:
        case "name":
            return kept.listed.name_key, kept.number
        case "changed":
            return kept.changed, kept.number
        case "created":
            return 0, kept.number
        case _:
            return kept.listed.catalogue_key, kept.number
