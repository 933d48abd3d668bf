"""Conditions made comparable, or refused with one sentence where they mean nothing."""

from __future__ import annotations

import re
from difflib import get_close_matches
from math import inf, isfinite

from landmarks.errors import DocumentError, UnknownWordError
from landmarks.finding.catalogue import LONGEST_WORD, NUMBER, Field, fields
from landmarks.finding.conditions import RELATIONS, Filter, bounds
from landmarks.finding.spelling import date_of, folded
from landmarks.sentences import Sentence, word


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


_N_VALUES = {"between": 2, "known": 0, "unknown": 0}


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
