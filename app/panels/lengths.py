"""Lengths as they are typed: a number, in one of the units of a ruler."""

from __future__ import annotations

from collections.abc import Mapping

from app.panels.fields import number_typed, one_line
from landmarks.errors import ScaleError

MM_PER: Mapping[str, float] = {
    "mm": 1.0,
    "cm": 10.0,
    "in": 25.4,  # exact, international yard and pound, 1959 (from memory)
}


def length_typed(typed: str, unit: str) -> float:
    """Return a typed length in mm.

    Raises
    ------
    ScaleError
        If it is no number.
    """
    value = number_typed(typed)
    if value is None:
        raise ScaleError("scale.not_a_number", found=one_line(typed))
    return value * MM_PER[unit]


def distance_typed(typed: str, unit: str) -> float | None:
    """Return a typed distance in mm, or None where nothing is typed.

    Raises
    ------
    ScaleError
        If it is no number above 0.
    """
    if not typed.strip():
        return None
    value = number_typed(typed)
    if value is None or value <= 0:
        raise ScaleError("scale.distance.not", found=one_line(typed))
    return value * MM_PER[unit]
