"""The catalogue of measures: one row each, pointing to its arithmetic.

A new measure is a row here and two sentences in the catalogue (``measure.<key>.name`` and
``measure.<key>.definition``); panels, exports and the command line read this table.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from landmarks.measures import reckoning as r
from landmarks.measures.plane import Plane
from landmarks.measures.waves import Found
from landmarks.units import Quantity

MM, MM2, PER_CM, DEGREE, RATIO, COUNT = "mm", "mm²", "/cm", "°", "", "count"

PIXELS: Mapping[str, int] = MappingProxyType({MM: 1, MM2: 2, PER_CM: -1})
"""Units that need a scale, and the power of pixels their arithmetic returns."""


@dataclass(frozen=True, slots=True)
class Measure:
    """A row of the catalogue.

    Attributes
    ----------
    key
        Its word in records, tables and exports.
    unit
        ``"mm"``, ``"mm²"``, ``"/cm"``, ``"°"``, ``""`` for a ratio, ``"count"``.
    needs
        Landmarks it is derived from, all of the same frame; none where no one frame shows it.
    take
        Plane -> quantity; sizes are returned in pixels to their power and converted by the
        caller. A value that noise alone can make comes with its floor.
    zero_when
        Landmarks whose *closed* or *none* makes the measure a true zero.
    at_least
        One-sided: the true value is this or more.
    grows_with
        The series with each of whose points it grows: where there are more of them than
        could be marked, the true value is this or more as well. What rests on the gaps
        between neighbours has none: of a fold or scute that is hidden it knows neither
        where it is nor whether it parts two neighbours, so no side is known either.
    views
        Views in which the definition holds; empty: wherever the landmarks are.
    of
        For a ratio of other measures: the key of the one above the line and of those below.
        Where no single frame gives it, it is made of them as they stand, from different
        pictures or typed.
    doubled
        Of one valve alone, half of it is seen: it is taken twice, and said.
    """

    key: str
    unit: str
    needs: tuple[str, ...]
    take: Callable[[Plane], Quantity | Found]
    zero_when: tuple[str, ...] = ()
    at_least: bool = False
    grows_with: str = ""
    views: tuple[str, ...] = ()
    of: tuple[str, ...] = ()
    doubled: bool = False


_LEVEL = ("outside_of_valve", "inside_of_valve", "upper_margin", "hinge_edge")
"""Views in which both ends of the shell length lie about level: seen from below, the byssal
opening faces the lens and the length runs away from it."""
_VALVE = ("outside_of_valve", "inside_of_valve")
_LENGTH = "shell_length"
_ENDS = r.ENDS
_TALL = (*_ENDS, "umbo", "upper_margin")
_HINGE = r.HINGE
_OPENING = ("byssal_opening_hinge", "byssal_opening_far")
_WIDE = ("opening_width_a", "opening_width_b")
_VISIBLE = ("margin_byssal_end", "margin_ligament_end")
_INHALANT = ("inhalant_near", "inhalant_far")
_MANTLE = ("mantle_near", "mantle_far")
_MARGINS = (*_ENDS, "margin_left", "margin_right")
_SCUTE = ("umbo", "upper_margin", "scutes", "scute_left", "scute_right")

# fmt: off
_ROWS = (
    Measure("shell_length",  MM,    _ENDS, r.span(*_ENDS), views=_LEVEL),
    Measure("shell_height",  MM,    _TALL, r.height),
    Measure("shell_width",   MM,    ("width_left", "width_right", "umbo", "upper_margin"),
            r.width, doubled=True),
    Measure("height_ratio",  RATIO, _TALL, r.per_length(r.height), of=("shell_height", _LENGTH)),
    Measure("width_ratio",   RATIO, (), r.nowhere, of=("shell_width", _LENGTH)),
    Measure("hinge_line",    MM,    _HINGE, r.span(*_HINGE)),
    Measure("hinge_ratio",   RATIO, (*_HINGE, *_ENDS), r.per_length(r.span(*_HINGE)),
            of=("hinge_line", _LENGTH)),
    Measure("hinge_angle",   DEGREE, (*_HINGE, *_ENDS), r.hinge_angle, views=_VALVE),
    Measure("length_along_hinge",  MM, (*_HINGE, *_ENDS), r.along_hinge(*_ENDS), views=_VALVE),
    Measure("height_across_hinge", MM, (*_HINGE, "umbo", "upper_margin"), r.across_hinge,
            views=_VALVE),
    Measure("umbo_position", RATIO, (*_ENDS, "umbo"), r.per_length(r.umbo), views=_VALVE),
    Measure("main_folds",    COUNT, ("main_folds",), r.count("main_folds"), ("main_folds",),
            grows_with="main_folds"),
    Measure("end_folds",     COUNT, ("end_folds",),  r.count("end_folds"),  ("end_folds",),
            grows_with="end_folds"),
    Measure("margin_wave_depth", RATIO, ("upper_margin_line", *_ENDS), r.wave_depth),
    Measure("fold_relief",       RATIO, _MARGINS, r.fold_relief),
    Measure("margin_fit",        RATIO, _MARGINS, r.margin_fit),
    Measure("gap_length_share",  RATIO, _MARGINS, r.gap_length),
    Measure("gap_area_share",    RATIO, _MARGINS, r.gap_area),
    Measure("scute_count",  COUNT, ("scutes",), r.count("scutes"), ("scutes",),
            grows_with="scutes"),
    Measure("scute_gap",    RATIO, _SCUTE, r.scute_gap),
    Measure("scute_growth", RATIO, ("umbo", "scutes"), r.scute_growth),
    Measure("byssal_opening_length", MM, _OPENING, r.span(*_OPENING), _OPENING),
    Measure("byssal_ratio", RATIO, (*_OPENING, *_ENDS), r.per_length(r.span(*_OPENING)),
            _OPENING, views=_LEVEL, of=("byssal_opening_length", _LENGTH)),
    Measure("byssal_opening_width", MM, _WIDE, r.span(*_WIDE), _WIDE),
    Measure("byssal_width_ratio", RATIO, (*_WIDE, *_ENDS), r.per_length(r.span(*_WIDE)),
            _WIDE, views=_LEVEL, of=("byssal_opening_width", _LENGTH)),
    Measure("byssal_opening_area", MM2, ("byssal_opening",), r.outline("byssal_opening"),
            ("byssal_opening",)),
    Measure("byssal_area_ratio", RATIO, ("byssal_opening", *_ENDS),
            r.per_square(r.outline("byssal_opening"), r.span(*_ENDS)), ("byssal_opening",),
            views=_LEVEL, of=("byssal_opening_area", _LENGTH, _LENGTH)),
    Measure("visible_margin_length", MM, _VISIBLE, r.span(*_VISIBLE), at_least=True),
    Measure("inhalant_length", MM, _INHALANT, r.span(*_INHALANT)),
    Measure("mantle_span",     MM, _MANTLE, r.span(*_MANTLE)),
    Measure("inhalant_ratio",  RATIO, (*_INHALANT, *_MANTLE), r.ratio(r.span(*_INHALANT),
            r.span(*_MANTLE)), of=("inhalant_length", "mantle_span")),
    Measure("inhalant_area",   MM2, ("opening",), r.outline("opening")),
    Measure("inhalant_fullness", RATIO, ("opening", *_INHALANT), r.fullness),
    Measure("tentacle_count",  COUNT, ("tentacles",), r.count("tentacles"), ("tentacles",),
            grows_with="tentacles"),
    # Eyes are counted over the whole edge that was traced: one that is hidden there makes
    # them denser, one beyond its ends does not, and "this or more" is true of both.
    Measure("eye_density",     PER_CM, ("edge", "eyes"), r.eye_density, ("eyes",),
            grows_with="eyes"),
    Measure("eye_regularity",  RATIO, ("eyes",), r.eye_regularity),
)
# fmt: on

MEASURES: Mapping[str, Measure] = MappingProxyType({row.key: row for row in _ROWS})
