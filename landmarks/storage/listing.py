"""What the list shows of a specimen, taken from its parts; the same in every store."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

LAST = "\uffff"
"""Sorts after every word: specimens without a number or a name come last."""

_PREFIXES = ("frame", "determination")
_SEARCHED = ("catalogue_number", "locality", "collector", "habitat", "remarks")


@dataclass(frozen=True, slots=True)
class Listed:
    """The columns of one specimen; ``words`` are searched, keys are sorted by."""

    catalogue_number: str
    catalogue_key: str
    name: str
    name_key: str
    taxa: tuple[str, ...]
    level: str
    qualifier: str
    n_pictures: int
    picture: str
    words: str


def shown_in_list(part: str) -> bool:
    """Return whether a part has anything to do with the list."""
    return part in ("label", "exists") or part.partition("/")[0] in _PREFIXES


def listed(parts: Mapping[str, Any]) -> Listed:
    """Return the row that these parts make; a stranger's odd values count as empty."""
    label = parts.get("label")
    label = label if isinstance(label, dict) else {}
    number = _words(label.get("catalogue_number"))
    frames = sorted(_rows(parts, "frame"), key=_by_number)
    pictures = list(dict.fromkeys(filter(None, (_words(f.get("picture")) for f in frames))))
    named = max(_rows(parts, "determination"), key=_by_time, default={})
    taxa = named.get("taxa")
    taxa = tuple(_words(one) for one in taxa) if isinstance(taxa, list) else ()
    level = _words(named.get("level"))
    between = " × " if level == "hybrid" else " / "
    spelled = between.join(one.replace("_", " ").capitalize() for one in taxa)
    name = _words(named.get("name")) or spelled
    searched = [_words(label.get(key)) for key in _SEARCHED]
    return Listed(
        catalogue_number=number,
        catalogue_key=_sortable(number),
        name=name,
        name_key=_sortable(name),
        taxa=taxa,
        level=level,
        qualifier=_words(named.get("qualifier")),
        n_pictures=len(pictures),
        picture=pictures[0] if pictures else "",
        words=folded(" \n".join(dict.fromkeys(filter(None, (*searched, name, spelled))))),
    )


def folded(text: str) -> str:
    """Return text without capitals and accents, to search in.

    >>> folded("Récif de Guérin")
    'recif de guerin'
    """
    plain = unicodedata.normalize("NFKD", text.casefold())
    return "".join(letter for letter in plain if not unicodedata.combining(letter))


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


def _words(value: object) -> str:
    return value.replace("\0", "") if isinstance(value, str) else ""


def _by_number(frame: dict[str, Any]) -> tuple[float, str]:
    number = frame.get("number", 0)
    return (number if isinstance(number, (int, float)) else 0), _words(frame["id"])


def _by_time(row: dict[str, Any]) -> tuple[str, str]:
    return _words(row.get("at")), _words(row["id"])
