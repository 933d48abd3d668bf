"""The catalogue of measures: one row each, pointing to its arithmetic.

A new measure is a row here and two sentences in the catalogue (``measure.<key>.name`` and
``measure.<key>.definition``); panels, exports and the command line read this table.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from landmarks.measures.plane import Plane, across, along, between
from landmarks.units import Cause, Quantity, over, uncertain

MM, RATIO, COUNT = "mm", "", "count"


@dataclass(frozen=True, slots=True)
class Measure:
    """A row of the catalogue.

    Attributes
    ----------
    key
        Its word in records, tables and exports.
    unit
        ``"mm"``, ``""`` for a ratio, ``"count"``.
    needs
        Landmarks it is derived from, all of the same frame.
    take
        Plane -> quantity; lengths are returned in pixels and converted by the caller.
    zero_when
        Landmarks whose *closed* or *none* makes the measure a true zero.
    at_least
        One-sided: the true value is this or more.
    views
        Views in which the definition holds; empty: wherever the landmarks are.
    """

    key: str
    unit: str
    needs: tuple[str, ...]
    take: Callable[[Plane], Quantity]
    zero_when: tuple[str, ...] = ()
    at_least: bool = False
    views: tuple[str, ...] = ()


def _span(a: str, b: str) -> Callable[[Plane], Quantity]:
    return lambda plane: between(plane.spot(a), plane.spot(b))


def _ratio(part: Callable[[Plane], Quantity]) -> Callable[[Plane], Quantity]:
    return lambda plane: over(part(plane), _LENGTH(plane))


def _height(plane: Plane) -> Quantity:
    return across(*(plane.spot(key) for key in (*_ENDS, "umbo", "upper_margin")))


def _umbo(plane: Plane) -> Quantity:
    return along(*(plane.spot(key) for key in (*_ENDS, "umbo")))


def _count(series: str) -> Callable[[Plane], Quantity]:
    def count(plane: Plane) -> Quantity:
        placing = plane.placings[series]
        # Half a fold: practised people differ by one now and then (common practice, no source).
        return uncertain(len(placing.points), 0.5, COUNT, Cause("counting", placing.id))

    return count


_ENDS = ("byssal_end", "ligament_end")
_LENGTH = _span(*_ENDS)
_HINGE = _span("hinge_byssal", "hinge_ligament")
_OPENING = _span("byssal_opening_hinge", "byssal_opening_far")
_VISIBLE_ENDS = ("margin_byssal_end", "margin_ligament_end")
_HINGE_ENDS = ("hinge_byssal", "hinge_ligament")
_OPENING_ENDS = ("byssal_opening_hinge", "byssal_opening_far")

# fmt: off
_ROWS = (
    Measure("shell_length",  MM,    _ENDS,                            _LENGTH),
    Measure("shell_height",  MM,    (*_ENDS, "umbo", "upper_margin"), _height),
    Measure("height_ratio",  RATIO, (*_ENDS, "umbo", "upper_margin"), _ratio(_height)),
    Measure("hinge_line",    MM,    _HINGE_ENDS,                      _HINGE),
    Measure("hinge_ratio",   RATIO, (*_HINGE_ENDS, *_ENDS),           _ratio(_HINGE)),
    Measure("umbo_position", RATIO, (*_ENDS, "umbo"),                 _ratio(_umbo)),
    Measure("main_folds",    COUNT, ("main_folds",), _count("main_folds"), ("main_folds",)),
    Measure("end_folds",     COUNT, ("end_folds",),  _count("end_folds"),  ("end_folds",)),
    Measure("byssal_opening_length", MM, _OPENING_ENDS, _OPENING, _OPENING_ENDS),
    Measure("byssal_ratio", RATIO, (*_OPENING_ENDS, *_ENDS), _ratio(_OPENING), _OPENING_ENDS),
    Measure("visible_margin_length", MM, _VISIBLE_ENDS, _span(*_VISIBLE_ENDS), at_least=True),
)
# fmt: on

MEASURES: Mapping[str, Measure] = MappingProxyType({row.key: row for row in _ROWS})
