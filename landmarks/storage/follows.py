"""What of the list follows from the parts that a deed changes: only that is taken anew.

A deed over ten thousand mostly changes one entry of one part, and what follows from that is
a word to find each of them by.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import Any

from landmarks.changes import ChangeSet, Document
from landmarks.storage.deciding import EXISTS, kind_of
from landmarks.storage.listing import COLUMNS, FACTS_OF, RECORDED, ROW_OF


@dataclass(frozen=True, slots=True)
class Follows:
    """What of the list follows from something.

    Attributes
    ----------
    facts
        Recorded fields that specimens are found by.
    columns
        Of :class:`~landmarks.storage.listing.Listed`.
    """

    facts: frozenset[str] = frozenset()
    columns: frozenset[str] = frozenset()

    @property
    def kinds(self) -> frozenset[str]:
        """Return the kinds of parts that all of it is made of."""
        return frozenset(
            kind
            for kind, facts in FACTS_OF.items()
            if not self.facts.isdisjoint(facts)
            or not self.columns.isdisjoint(ROW_OF.get(kind, ()))
        )


WHOLE = Follows(RECORDED, COLUMNS)

Turned = tuple[Any, Any]
"""What a part was, and what it is now."""

_NUMBER = ("number",), ("catalogue_number", "catalogue_key", "words")
_ENTRIES: Mapping[str, Mapping[str, tuple[tuple[str, ...], tuple[str, ...]]]] = (
    MappingProxyType(
        {
            "label": {
                "catalogue_number": _NUMBER,
                "locality": (("locality",), ("words",)),
                "collector": (("collector",), ("words",)),
                "habitat": (("habitat",), ("words",)),
                "collected": (("collected",), ()),
                "remarks": ((), ("words",)),
            },
            "where": {key: ((key,), ()) for key in FACTS_OF["where"]},
        }
    )
)
"""Fields and columns that follow from each entry of the parts that there are once."""

ONCE = _ENTRIES.keys()


def turned_once(change_set: ChangeSet) -> Mapping[Document, Mapping[str, Turned]]:
    """Return what a deed makes of the parts there are once, and what it expects them to be."""
    found: dict[Document, dict[str, Turned]] = {}
    for change in change_set.changes:
        if change.part in ONCE:
            parts = found.setdefault(change.document, {})
            before, _ = parts.get(change.part, (change.before, None))
            parts[change.part] = before, change.after
    return found


def follows_from(turns: Collection[str], once: Mapping[str, Turned]) -> Follows:
    """Return what of the list follows from parts that a deed changes in one specimen.

    Parameters
    ----------
    once
        Of :func:`turned_once`.
    """
    if EXISTS in turns:
        return WHOLE
    sources: list[str] = []
    for part in turns:
        old, new = once.get(part, (None, None))
        if isinstance(old, dict) and isinstance(new, dict):
            entries = _ENTRIES[part]
            sources += [f"{part}.{one}" for one in entries if old.get(one) != new.get(one)]
        else:
            sources.append(kind_of(part))
    return _together(frozenset(sources))


@cache
def _together(sources: frozenset[str]) -> Follows:
    """Return what follows from some kinds of parts, and entries of parts."""
    facts: set[str] = set()
    columns: set[str] = set()
    for source in sources:
        part, _, key = source.partition(".")
        if key:
            some, others = _ENTRIES[part][key]
        else:
            some, others = FACTS_OF.get(part, ()), ROW_OF.get(part, ())
        facts.update(some)
        columns.update(others)
    return Follows(frozenset(facts), frozenset(columns))
