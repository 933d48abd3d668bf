"""What the list shows of a specimen, taken from its parts; the same in every store."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from math import isfinite
from types import MappingProxyType
from typing import Any

from landmarks.finding import DATE, LONGEST_WORD, Fact, date_of, fields
from landmarks.finding import folded as folded
from landmarks.geometry import Box
from landmarks.storage.deciding import asked_for

LAST = "\uffff"
"""Sorts after every word: specimens without a number or a name come last."""

FACTS_OF: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "label": ("number", "locality", "collector", "habitat", "collected"),
        "where": ("region", "origin", "condition"),
        "frame": ("pictures", "view", "picture", "part"),
        "determination": (
            "name", "taxon", "level", "qualifier", "determiner", "determined",
        ),
        "observation": ("state",),
    }
)  # fmt: skip
"""Which recorded fields follow from which kind of parts."""

ROW_OF: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "label": ("catalogue_number", "catalogue_key", "words"),
        "frame": ("n_pictures", "picture", "region"),
        "determination": ("name", "name_key", "taxa", "level", "qualifier", "words"),
    }
)
"""Which columns of :class:`Listed` follow from which kind of parts; words from two."""

RECORDED = frozenset(field for some in FACTS_OF.values() for field in some)
COLUMNS = frozenset(column for some in ROW_OF.values() for column in some)

_SEARCHED = ("catalogue_number", "locality", "collector", "habitat", "remarks")


@dataclass(frozen=True, slots=True)
class Listed:
    """The columns of one specimen; ``words`` are searched, keys are sorted by.

    ``region`` is that of the first frame, as :func:`region_of` reads it.
    """

    catalogue_number: str = ""
    catalogue_key: str = ""
    name: str = ""
    name_key: str = ""
    taxa: tuple[str, ...] = ()
    level: str = ""
    qualifier: str = ""
    n_pictures: int = 0
    picture: str = ""
    region: str = ""
    words: str = ""


def shown_in_list(part: str) -> bool:
    """Return whether a part has anything to do with the list."""
    return asked_for(part, FACTS_OF)


def listed(parts: Mapping[str, Any], columns: Collection[str] = COLUMNS) -> Listed:
    """Return the row that these parts make; a stranger's odd values count as empty.

    Parameters
    ----------
    columns
        What is asked for; the others are left empty, and parts they follow from
        (:data:`ROW_OF`) need not be given.
    """
    label = _object(parts.get("label"))
    number = _words(label.get("catalogue_number"))
    found: dict[str, Any] = {"catalogue_number": number}
    if "catalogue_key" in columns:
        found["catalogue_key"] = _sortable(number)
    if "picture" in columns:
        frames = sorted(_rows(parts, "frame"), key=_by_number)
        shown = [one for one in frames if _words(one.get("picture"))]
        pictures = list(dict.fromkeys(_words(one["picture"]) for one in shown))
        found["n_pictures"] = len(pictures)
        found["picture"] = pictures[0] if pictures else ""
        found["region"] = _region(shown[0] if shown else {})
    if "words" in columns:
        named = max(_rows(parts, "determination"), key=_by_time, default={})
        taxa = named.get("taxa")
        taxa = tuple(_words(one) for one in taxa) if isinstance(taxa, list) else ()
        level = _words(named.get("level"))
        between = " × " if level == "hybrid" else " / "
        spelled = between.join(one.replace("_", " ").capitalize() for one in taxa)
        name = _words(named.get("name")) or spelled
        found |= {"name": name, "taxa": taxa, "level": level}
        found["qualifier"] = _words(named.get("qualifier"))
        searched = [_words(label.get(key)) for key in _SEARCHED]
        words = dict.fromkeys(filter(None, (*searched, name, spelled)))
        found["words"] = folded(" \n".join(words))
        if "name_key" in columns:
            found["name_key"] = _sortable(name)
    return Listed(**found)


def recorded_facts(
    parts: Mapping[str, Any], row: Listed, about: Collection[str] = RECORDED
) -> tuple[Fact, ...]:
    """Return what a specimen can be found by, as far as people recorded it.

    Parameters
    ----------
    row
        The row that these parts make.
    about
        Of which fields; parts they do not follow from (:data:`FACTS_OF`) need not be given.
    """
    found: dict[str, list[str]] = {}
    facts: list[Fact] = []
    label, where = _object(parts.get("label")), _object(parts.get("where"))
    if "number" in about:
        found["number"] = [row.catalogue_number]
    for key in ("locality", "collector", "habitat", "collected"):
        if key in about:
            found[key] = [_words(label.get(key))]
    for key in ("region", "origin"):
        if key in about:
            found[key] = [_words(where.get(key))]
    if "condition" in about:
        conditions = where.get("condition")
        some = conditions if isinstance(conditions, (list, tuple)) else ()
        found["condition"] = [_words(_object(one).get("kind")) for one in some]
    if "name" in about:
        named = max(_rows(parts, "determination"), key=_by_time, default={})
        found |= {"name": [row.name], "taxon": list(row.taxa), "level": [row.level]}
        found["qualifier"] = [row.qualifier]
        found["determiner"] = [_words(named.get("determiner"))]
        found["determined"] = [_words(named.get("at"))]
    if "pictures" in about:
        facts.append(Fact("pictures", number=float(row.n_pictures)))
        frames = _rows(parts, "frame")
        for key in ("view", "picture", "part"):
            found[key] = [_words(one.get(key)) for one in frames]
    if "state" in about:
        scored = [one for one in _rows(parts, "observation") if _words(one.get("state"))]
        found["state"] = [
            f"{_words(one.get('character'))}/{one['state']}" for one in scored
        ]
    for key, words in found.items():
        dates = fields()[key].kind == DATE
        kept = [date_of(one) if dates else word_of(one) for one in words]
        facts += [Fact(key, one) for one in dict.fromkeys(kept) if one]
    return tuple(one for one in facts if (one.field, one.word) != ("origin", "unknown"))


def region_of(text: str) -> Box | None:
    """Return the region that a column of the list holds; None for a whole picture.

    Whatever else a stranger put there counts as a whole picture; the check finds it.
    """
    try:
        sides = [float(one) for one in text.split()]
    except ValueError:
        return None
    return Box(*sides) if _is_box(sides) else None


def word_of(text: str) -> str:
    """Return a word as specimens are found by it: folded, and not longer than needed."""
    return folded(text.replace("\0", ""))[:LONGEST_WORD].strip()


def searched_words(text: str) -> tuple[str, ...]:
    """Return the words that must all be found, of the first hundred letters typed."""
    return tuple(folded(text[:100]).split())


def _sortable(text: str) -> str:
    """Return a key in which numbers sort as numbers and nothing sorts last."""
    return re.sub(r"[0-9]+", lambda digits: digits[0].zfill(12), folded(text)) or LAST


def _rows(parts: Mapping[str, Any], prefix: str) -> list[dict[str, Any]]:
    return [
        {"id": name, **raw}
        for name, raw in parts.items()
        if name.startswith(f"{prefix}/") and isinstance(raw, dict)
    ]


def _region(frame: Mapping[str, Any]) -> str:
    """Return the region of a frame as a column holds it; an odd one counts as none."""
    sides = frame.get("region")
    if not isinstance(sides, list) or len(sides) != 4:
        return ""
    try:
        made = [float(one) for one in sides]
    except (TypeError, ValueError, OverflowError):
        return ""
    return " ".join(map(repr, made)) if _is_box(made) else ""


def _is_box(sides: Sequence[float]) -> bool:
    return len(sides) == 4 and all(map(isfinite, sides)) and min(sides[2:]) > 0


def _object(raw: object) -> dict[str, Any]:
    return raw if isinstance(raw, dict) else {}


def _words(value: object) -> str:
    return value.replace("\0", "") if isinstance(value, str) else ""


def _by_number(frame: dict[str, Any]) -> tuple[float, str]:
    number = frame.get("number", 0)
    return (number if isinstance(number, (int, float)) else 0), _words(frame["id"])


def _by_time(row: dict[str, Any]) -> tuple[str, str]:
    return _words(row.get("at")), _words(row["id"])
