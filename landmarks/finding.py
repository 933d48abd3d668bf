"""Finding specimens: a small language of conditions over what is recorded and derived.

A condition names a field, a relation and its values: ``shell_length > 80``, ``region is
halverson_reef``, ``missing is scale``. Conditions are plain values, so that they can be
typed, kept in a collection under a name, merged and undone like everything else. All
conditions of a query must hold.

What is not known fits no condition but ``unknown`` and ``is not``: missing is never 0.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from dataclasses import field as filled
from difflib import get_close_matches
from functools import cache
from math import inf, isfinite
from types import MappingProxyType
from typing import Any, NamedTuple

from landmarks.codec import decode, encode
from landmarks.errors import DocumentError, UnknownWordError
from landmarks.measures import MEASURES
from landmarks.sentences import Number, Sentence, word

WORDS, TEXT, DATE, NUMBER, YES = "words", "text", "date", "number", "yes"

SIGMAS = 2.0
"""How many standard uncertainties a value may be off and still *surely* fit: some 95 % of
normal errors (common practice, no source)."""

LONGEST_WORD = 200
"""Letters of a word that are kept to find it by."""


@dataclass(frozen=True, slots=True)
class Field:
    """Something that specimens can be found or sorted by.

    Attributes
    ----------
    kind
        ``words``, ``text`` (to search in), ``date`` (as much of year-month-day as is known),
        ``number`` or ``yes``.
    many
        A specimen can have several; such a field sorts nothing.
    derived
        It follows from tables and engine, and can be stale.
    unit
        Of a number: as in the catalogue of measures; ``"%"`` for shares between 0 and 1.
    words
        Family of sentences that name its values: ``view`` for ``view.hinge_edge``.
    """

    key: str
    kind: str = WORDS
    many: bool = False
    derived: bool = False
    unit: str = ""
    words: str = ""

    @property
    def name(self) -> Sentence:
        """Return what it is called for people."""
        return Sentence(f"measure.{self.key}.name" if self.key in MEASURES else self._key)

    @property
    def _key(self) -> str:
        return f"finding.field.{self.key}"


_OTHERS = (
    Field("text", TEXT),
    Field("number"),
    Field("name"),
    Field("taxon", many=True),
    Field("level"),
    Field("qualifier"),
    Field("determiner"),
    Field("determined", DATE),
    Field("region", words="region"),
    Field("origin", words="origin"),
    Field("condition", many=True, words="condition"),
    Field("locality"),
    Field("collector"),
    Field("habitat"),
    Field("collected", DATE),
    Field("view", many=True, words="view"),
    Field("part", many=True, words="part"),
    Field("state", many=True),
    Field("picture", many=True),
    Field("pictures", NUMBER, unit="count"),
    Field("captured", DATE, derived=True),
    Field("missing", many=True, derived=True, words="finding.step"),
    Field("leading", derived=True),
    Field("says", derived=True),
    Field("certainty", NUMBER, derived=True, unit="%"),
    Field("fit", NUMBER, derived=True, unit="%"),
    Field("stale", YES, derived=True),
)


@cache
def fields() -> Mapping[str, Field]:
    """Return every field by its key; each measure of the catalogue is one."""
    measures = (
        Field(one.key, NUMBER, derived=True, unit=one.unit) for one in MEASURES.values()
    )
    return MappingProxyType({one.key: one for one in (*_OTHERS, *measures)})


@cache
def sorting_fields() -> tuple[str, ...]:
    """Return the keys of the fields that can sort a list."""
    return tuple(
        one.key
        for one in fields().values()
        if not one.many
        and one.kind not in (YES, TEXT)
        and one.key not in ("number", "name")
    )


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

_N_VALUES = {"between": 2, "known": 0, "unknown": 0}


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
class SavedFilter:
    """A filter kept in the collection under a name: the part ``filter/<id>`` of it."""

    id: str
    name: str
    filters: tuple[Filter, ...] = ()
    text: str = ""
    order: str = "catalogue_number"
    descending: bool = False
    extra: Mapping[str, object] = filled(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Fact:
    """One thing that is known of a specimen, to find it by: a folded word or a number."""

    field: str
    word: str = ""
    number: float | None = None
    sigma: float | None = None
    at_least: bool = False


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


class Bounds(NamedTuple):
    """The values that fit a condition: from ``low`` to ``high``, None where it is open."""

    low: Any = None
    high: Any = None
    low_fits: bool = True
    high_fits: bool = True


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


def checked_filter(one: Filter) -> Filter:
    """Return a condition as it is compared, or raise a sentence where it means nothing.

    Raises
    ------
    UnknownWordError
        If nobody knows the field; the nearest is named.
    DocumentError
        If the relation cannot be asked of it, or a value is not of its kind.
    """
    known = fields().get(one.field)
    if known is None:
        near = get_close_matches(one.field, fields(), n=1, cutoff=0.0)[0]
        raise UnknownWordError("finding.unknown_field", found=one.field, nearest=near)
    values: dict[str, object] = {"field": one.field, "name": known.name}
    if one.relation not in RELATIONS or known.kind not in RELATIONS[one.relation]:
        said = word("finding.relation", one.relation)
        raise DocumentError(f"finding.no_such_relation_{known.kind}", **values, found=said)
    n = _N_VALUES.get(one.relation, 1)
    if len(one.values) != n:
        found = len(one.values)
        raise DocumentError(f"finding.wants_{n}_values", **values, found=found)
    taken = tuple(_value(known, raw) for raw in one.values)
    if n == 2 and bounds(_with(one, taken)).low > bounds(_with(one, taken)).high:
        raise DocumentError("finding.turned_round", **values, low=taken[0], high=taken[1])
    if one.surely and known.kind != NUMBER:
        raise DocumentError("finding.surely_numbers", **values)
    return _with(one, taken)


def parse_filter(text: str) -> Filter:
    """Return the condition that somebody typed.

    >>> parse_filter("shell_length between 80 and 120 mm")  # doctest: +ELLIPSIS
    Filter(field='shell_length', relation='between', values=(80.0, 120.0), ...
    >>> parse_filter("certainty >= 80 %").values
    (0.8,)
    >>> written(parse_filter("view lacks hinge_edge"))
    'view is not hinge_edge'

    Raises
    ------
    DocumentError, UnknownWordError
        One sentence for what cannot be read.
    """
    words = text.strip()[:1000]
    surely = re.match(r"surely\s+", words)
    found = _PATTERN.fullmatch(words[surely.end() :] if surely else words)
    if found is None:
        bare = words[surely.end() :] if surely else words
        if fields().get(bare, Field("")).kind == YES:
            return checked_filter(Filter(bare, "is", ("yes",), bool(surely)))
        raise DocumentError("finding.no_condition", found=text.strip()[:80])
    name, relation = found["field"], _RELATION_WORDS[" ".join(found["relation"].split())]
    rest = found["rest"].strip()
    values: tuple[str, ...] = (_bare(rest),) if rest else ()
    if relation == "between":
        values = tuple(
            _bare(one) for one in re.split(r"\s+and\s+", rest, maxsplit=1) if one
        )
        if len(values) == 2 and values[1].endswith("%") and not values[0].endswith("%"):
            values = (f"{values[0]} %", values[1])
    return checked_filter(Filter(name, relation, values, bool(surely)))


def written(one: Filter) -> str:
    """Return a condition as it can be typed: :func:`parse_filter` reads it back."""
    values = " and ".join(_written(value) for value in one.values)
    words = f"{one.field} {_WRITTEN[one.relation]} {values}".strip()
    return f"surely {words}" if one.surely else words


def filter_words(one: Filter) -> Sentence:
    """Return a condition in words: "shell length more than 80 mm"."""
    known = fields().get(one.field, Field(one.field))
    values = {f"value{i}": _said(known, value) for i, value in enumerate(one.values)}
    named = known.name if known.key in fields() else Sentence("plain", {"words": one.field})
    key = f"finding.says.{one.relation}"
    sentence = Sentence(key, {"field": named, **values})
    return (
        Sentence("finding.says.surely", {"condition": sentence}) if one.surely else sentence
    )


def saved_filter_parts(saved: SavedFilter) -> dict[str, Any]:
    """Return the part of the collection that keeps a filter."""
    return {f"filter/{saved.id}": encode(saved)}


def saved_filters_of(parts: Mapping[str, Any]) -> tuple[SavedFilter, ...]:
    """Return the filters that the parts of a collection keep, by name.

    Raises
    ------
    DocumentError
        If a part has not the form of the format; the part is named.
    """
    made = [
        decode(SavedFilter, raw, part)
        for part, raw in parts.items()
        if part.startswith("filter/")
    ]
    return tuple(sorted(made, key=lambda one: (folded(one.name), one.id)))


def folded(text: str) -> str:
    """Return text without capitals and accents, to search in.

    >>> folded("Récif de Guérin")
    'recif de guerin'
    """
    plain = unicodedata.normalize("NFKD", text.casefold())
    return "".join(letter for letter in plain if not unicodedata.combining(letter))


def date_of(text: str) -> str:
    """Return as much of year-month-day as a text begins with, or nothing.

    >>> date_of("2026-03-01T08:00:00Z"), date_of("2026:02:28 14:03:07"), date_of("May 1912")
    ('2026-03-01', '2026-02-28', '')
    """
    found = re.match(r"(\d{4})(?:[-:](\d{2})(?:[-:](\d{2}))?)?(?!\d)", text.strip())
    return "-".join(filter(None, found.groups())) if found else ""


_RELATION_WORDS = {
    "=": "is", "==": "is", "is": "is", "has": "is",
    "!=": "is_not", "is not": "is_not", "lacks": "is_not",
    "contains": "contains",
    ">": "more_than", "more than": "more_than", "after": "more_than",
    ">=": "at_least", "at least": "at_least", "from": "at_least",
    "<": "less_than", "less than": "less_than", "before": "less_than",
    "<=": "at_most", "at most": "at_most", "until": "at_most",
    "between": "between",
    "is known": "known", "known": "known",
    "is unknown": "unknown", "unknown": "unknown",
}  # fmt: skip
_WRITTEN = {
    "is": "is", "is_not": "is not", "contains": "contains", "more_than": ">",
    "at_least": ">=", "less_than": "<", "at_most": "<=", "between": "between",
    "known": "is known", "unknown": "is unknown",
}  # fmt: skip
_SPELLED = "|".join(
    r"\s+".join(map(re.escape, one.split())) + (r"(?!\w)" if one[-1].isalpha() else "")
    for one in sorted(_RELATION_WORDS, key=len, reverse=True)
)
_PATTERN = re.compile(rf"(?P<field>\w+)\s*(?P<relation>{_SPELLED})(?P<rest>.*)", re.DOTALL)


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


def _with(one: Filter, values: tuple[str | float, ...]) -> Filter:
    return Filter(one.field, one.relation, values, one.surely, one.extra)


def _value(known: Field, raw: str | float) -> str | float:
    """Return a value in the form in which the field is kept."""
    wrong: dict[str, object] = {"field": known.key, "name": known.name, "found": str(raw)}
    match known.kind:
        case "number":
            return _number(known, raw, wrong)
        case "date":
            if not re.fullmatch(r"\d{4}([-:]\d{2}){0,2}", str(raw).strip()):
                raise DocumentError("finding.wants_date", **wrong)
            return date_of(str(raw))
        case "yes":
            if str(raw) not in ("yes", "no"):
                raise DocumentError("finding.wants_yes", **wrong)
            return str(raw)
        case _:
            kept = folded(str(raw)).replace("\0", "")[:LONGEST_WORD].strip()
            if not kept:
                raise DocumentError("finding.wants_word", **wrong)
            return kept


def _number(known: Field, raw: str | float, wrong: dict[str, object]) -> float:
    if isinstance(raw, (int, float)) and not isinstance(raw, bool):
        number, unit = float(raw), ""
    else:
        found = re.fullmatch(r"([-+]?[\d.]+(?:e[-+]?\d+)?)\s*(\S*)", str(raw).strip())
        try:
            number, unit = float(found[1]) if found else inf, found[2] if found else ""
        except ValueError:
            number, unit = inf, ""
    if not isfinite(number):
        raise DocumentError("finding.wants_number", **wrong)
    if unit and unit != known.unit:
        own = known.unit or Sentence("finding.no_unit")
        raise DocumentError("finding.other_unit", **wrong, unit=own)
    share = number / 100 if unit == "%" else number
    if known.unit == "%" and share > 1:
        raise DocumentError("finding.wants_share", **wrong)
    return share


def _bare(text: str) -> str:
    """Return a value without the quotation marks around it."""
    text = text.strip()
    marks = text[:1] + text[-1:]
    return text[1:-1] if len(text) > 1 and marks in ('""', "''", "“”") else text


def _written(value: str | float) -> str:
    if isinstance(value, str):
        return f'"{value}"' if re.search(r"\s|^$|[\"'“”]", value) else value
    return repr(int(value)) if value == int(value) else repr(value)


def _said(known: Field, value: str | float) -> object:
    if isinstance(value, str):
        if known.kind == YES:
            return Sentence(f"finding.{value}")
        return word(known.words, value) if known.words else value
    if known.unit == "%":
        return Number(round(value * 100, 6), unit="%")
    return Number(value, unit="" if known.unit == "count" else known.unit)


def facts_by_field(facts: Sequence[Fact]) -> Mapping[str, tuple[Fact, ...]]:
    """Return facts sorted by their field."""
    made: dict[str, tuple[Fact, ...]] = {}
    for one in facts:
        made[one.field] = (*made.get(one.field, ()), one)
    return made
