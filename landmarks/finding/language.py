"""Conditions as they are typed, read back and said in words."""

from __future__ import annotations

import re

from landmarks.errors import DocumentError
from landmarks.finding.catalogue import YES, Field, fields
from landmarks.finding.checking import checked_filter
from landmarks.finding.conditions import Filter
from landmarks.sentences import Number, Sentence, word


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
