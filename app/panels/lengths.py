"""Lengths as they are typed: a number or a fraction, in one of the units of a ruler."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping

from app.panels.fields import number_typed, one_line
from landmarks.errors import ScaleError

MM_PER: Mapping[str, float] = {
    "mm": 1.0,
    "cm": 10.0,
    "in": 25.4,  # exact, international yard and pound, 1959 (from memory)
}

_SPELLED = {**{unit: unit for unit in MM_PER}, "inch": "in", "inches": "in", '"': "in"}
_SPELLED |= {"\N{DOUBLE PRIME}": "in", "\N{RIGHT DOUBLE QUOTATION MARK}": "in"}
_UNIT = re.compile(rf"\s*({'|'.join(map(re.escape, _SPELLED))})\.?$", re.IGNORECASE)
_FRACTION = re.compile(r"(?:(\d+)[\s+-]\s*)?(\d+)\s*/\s*(\d+)")


def mm_typed(typed: str, unit: str) -> float | None:
    """Return a typed length in mm; None where there is none.

    A unit that is typed with it counts instead of the one that is chosen.

    >>> mm_typed("5 1/2", "in"), mm_typed("15 cm", "mm"), mm_typed("long", "mm")
    (139.7, 150.0, None)
    """
    words = "".join(_spelled_out(sign) for sign in typed).strip()
    told = _UNIT.search(words)
    if told is not None:
        words, unit = words[: told.start()], _SPELLED[told.group(1).lower()]
    parts = _FRACTION.fullmatch(words.strip())
    if parts is None:
        value = number_typed(words)
    else:
        whole, above, below = (int(part or 0) for part in parts.groups())
        value = whole + above / below if below else None
    return None if value is None else value * MM_PER[unit]


def length_typed(typed: str, unit: str) -> float:
    """Return a typed length in mm.

    Raises
    ------
    ScaleError
        If it is no number.
    """
    value = mm_typed(typed, unit)
    if value is None:
        raise ScaleError("scale.not_a_number", found=one_line(typed))
    return value


def distance_typed(typed: str, unit: str) -> float | None:
    """Return a typed distance in mm, or None where nothing is typed.

    Raises
    ------
    ScaleError
        If it is no number above 0.
    """
    if not typed.strip():
        return None
    value = mm_typed(typed, unit)
    if value is None or value <= 0:
        raise ScaleError("scale.distance.not", found=one_line(typed))
    return value


def _spelled_out(sign: str) -> str:
    """Return a sign such as a half as it is written in figures, apart from what precedes it."""
    if unicodedata.decomposition(sign).startswith("<fraction>"):
        figures = unicodedata.normalize("NFKC", sign)
        return f" {figures}".replace("\N{FRACTION SLASH}", "/")
    return sign
