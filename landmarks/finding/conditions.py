"""Conditions, facts, and whether the facts of a specimen fit a condition.

Stores with an index search between :func:`bounds`; :func:`fits` says the same of facts at hand.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from dataclasses import field as filled
from math import inf
from types import MappingProxyType
from typing import Any, NamedTuple

from landmarks.finding.catalogue import DATE, NUMBER, TEXT, WORDS, YES, fields

SIGMAS = 2.0
"""How many standard uncertainties a value may be off and still *surely* fit: some 95 % of
normal errors (common practice, no source)."""

RELATIONS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "is": (WORDS, DATE, NUMBER, YES),
        "is_not": (WORDS, DATE, NUMBER),
        "contains": (WORDS, TEXT),
        "more_than": (DATE, NUMBER),
        "at_least": (DATE, NUMBER),
        "less_than": (DATE, NUMBER),
        "at_most": (DATE, NUMBER),
        "between": (DATE, NUMBER),
        "known": (WORDS, DATE, NUMBER),
        "unknown": (WORDS, DATE, NUMBER),
    }
)
"""Every relation, and the kinds of fields it is asked of."""


@dataclass(frozen=True, slots=True)
class Filter:
    """One condition: a row of a filter.

    Attributes
    ----------
    values
        One; two for ``between``, none for ``known`` and ``unknown``. Numbers are in the unit
        of the field, shares between 0 and 1.
    surely
        The value must fit whatever its doubt (:data:`SIGMAS`); a one-sided value has no
        upper end.
    """

    field: str
    relation: str
    values: tuple[str | float, ...] = ()
    surely: bool = False
    extra: Mapping[str, object] = filled(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Fact:
    """One thing that is known of a specimen, to find it by: a folded word or a number."""

    field: str
    word: str = ""
    number: float | None = None
    sigma: float | None = None
    at_least: bool = False


class Bounds(NamedTuple):
    """The values that fit a condition: from ``low`` to ``high``, None where it is open."""

    low: Any = None
    high: Any = None
    low_fits: bool = True
    high_fits: bool = True


def fits(one: Filter, facts: Iterable[Fact]) -> bool:
    """Return whether the facts of a specimen fit a condition.

    ``text`` and ``stale`` are no facts: stores know them otherwise.
    """
    known = [fact for fact in facts if fact.field == one.field]
    match one.relation:
        case "known":
            return bool(known)
        case "unknown":
            return not known
        case "is_not":
            return not any(_fits(one, fact) for fact in known)
        case _:
            return any(_fits(one, fact) for fact in known)


def bounds(one: Filter) -> Bounds:
    """Return which values fit; an upper bound of dates holds for all of its month or year."""
    date = fields()[one.field].kind == DATE
    low: Any = one.values[0]
    high: Any = one.values[-1]
    end = f"{high}\uffff" if date else high
    match one.relation:
        case "more_than":
            return Bounds(f"{low}\uffff" if date else low, low_fits=False)
        case "at_least":
            return Bounds(low)
        case "less_than":
            return Bounds(high=high, high_fits=False)
        case "at_most":
            return Bounds(high=end)
        case _:
            return Bounds(low, end)


def facts_by_field(facts: Sequence[Fact]) -> Mapping[str, tuple[Fact, ...]]:
    """Return facts sorted by their field."""
    made: dict[str, tuple[Fact, ...]] = {}
    for one in facts:
        made[one.field] = (*made.get(one.field, ()), one)
    return made


def _fits(one: Filter, fact: Fact) -> bool:
    if one.relation == "contains":
        return str(one.values[0]) in fact.word
    within = bounds(one)
    if fact.number is None:
        least: Any = fact.word
        greatest: Any = fact.word
    else:
        doubt = SIGMAS * (fact.sigma or 0.0) if one.surely else 0.0
        least, greatest = fact.number - doubt, fact.number + doubt
        if one.surely and fact.at_least:
            least, greatest = fact.number - doubt, inf
    low, high = within.low, within.high
    above = low is None or least > low or (within.low_fits and least == low)
    below = high is None or greatest < high or (within.high_fits and greatest == high)
    return bool(above and below)
