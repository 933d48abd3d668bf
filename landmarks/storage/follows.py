"""What of the list follows from the parts that a deed changes: only that is taken anew.

A deed over ten thousand mostly changes one entry of one part, and what follows from that is
a word to find each of them by.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import Any

from landmarks.storage.deciding import EXISTS, Turn, kind_of
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


def known_after(turns: Mapping[str, Turn]) -> Mapping[str, Any]:
    """Return what a deed makes of the parts there are once, as far as it touches them."""
    after = {part: turns[part].after for part in ONCE & turns.keys()}
    return {part: json.loads(text) for part, text in after.items() if text is not None}


def follows_from(turns: Mapping[str, Turn], known: Mapping[str, Any]) -> Follows:
    """Return what of the list follows from the parts that a deed changes in one specimen.

    Parameters
    ----------
    known
        Of :func:`known_after`.
    """
    if EXISTS in turns:
        return WHOLE
    sources: list[str] = []
    for part, turn in turns.items():
        new = known.get(part)
        old = None if new is None or turn.before is None else json.loads(turn.before)
        if isinstance(old, dict) and isinstance(new, dict):
            entries = _ENTRIES[part]
            sources += [f"{part}.{one}" for one in entries if old.get(one) != new.get(one)]
        else:
            sources.append(kind_of(part))
    return _together(frozenset(sources))


@cache
def _together(sources: Iterable[str]) -> Follows:
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
