"""All measures of one frame: a number with its doubt, a true zero, or the reason why not."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Set
from dataclasses import dataclass

from landmarks.measures.catalogue import COUNT, MEASURES, PIXELS, Measure
from landmarks.measures.plane import Plane
from landmarks.measures.waves import Found
from landmarks.placing import TRUE_ZEROS, Placing
from landmarks.scale import Setting
from landmarks.scheme import View
from landmarks.straightening import EDGE, FAR
from landmarks.units import Quantity, exact, scaled

SCALE = "scale"
"""What a length lacks where the picture has no scale."""


SINGLE = ("left_valve", "right_valve", "valve")
"""Parts of which the other half of the animal is not there."""


@dataclass(frozen=True, slots=True)
class Measured:
    """A measure that could be taken: its row, its value, and the frame it was taken in.

    ``floor`` is the value below which noise alone would read as much, or None; ``doubled``
    tells that one valve was seen and its half taken twice. ``beside`` is how far a landmark
    it rests on lies outside the four points of a plane, in their widths: 0 inside.
    ``at_least`` tells that the true value is this or more: by its definition, or because
    there are more of what it counts than could be marked.
    """

    measure: Measure
    value: Quantity
    frame: str = ""
    floor: float | None = None
    doubled: bool = False
    beside: float = 0.0
    at_least: bool = False

    @property
    def key(self) -> str:
        """Return the measure's key."""
        return self.measure.key


@dataclass(frozen=True, slots=True)
class Missing:
    """A measure that could not be taken, and what it lacks.

    ``lacks`` names landmarks not yet placed (or ``"scale"``, or what else there is too little
    of: see :data:`LACKS`); ``reasons`` names, for landmarks that cannot be placed, why.
    """

    measure: Measure
    lacks: tuple[str, ...] = ()
    reasons: Mapping[str, str] | None = None
    frame: str = ""

    @property
    def key(self) -> str:
        """Return the measure's key."""
        return self.measure.key


NO_PLANE, FAR_FROM_PLANE, BEYOND_PLANE = "plane", "near_the_plane", "before_the_horizon"
"""What a measure lacks on a straightened plane: four points that make one, landmarks not too
far outside them, landmarks this side of its horizon."""

LACKS: Mapping[str, str] = {
    "margin_wave_depth": "line",
    "fold_relief": "lines",
    "margin_fit": "lines",
    "gap_length_share": "lines",
    "gap_area_share": "lines",
    "byssal_opening_area": "outline",
    "byssal_area_ratio": "outline",
    "inhalant_area": "outline",
    "inhalant_fullness": "outline",
    "scute_gap": "few_scutes",
    "scute_growth": "few_scutes",
    "eye_density": "line",
    "eye_regularity": "few_eyes",
}
"""What a measure lacks whose landmarks are all placed: two different ends, if not told here."""


def measure(
    setting: Setting,
    view: View,
    placings: Iterable[Placing],
    frame: str = "",
    *,
    part: str = "",
    body: str = "",
) -> tuple[Measured | Missing, ...]:
    """Return every measure this view can give, in the order of the catalogue; never raises.

    Those that rest on landmarks a frame is complete without are left out until one of these
    is placed. Placings of occasions other than *record* are the caller's to leave out.

    Parameters
    ----------
    part
        Which part of the animal the frame shows, where that is known.
    body
        What its heights belong to: the same for two pictures of one side of one shell. Where
        it is not told, the frame stands for itself.
    """
    placed = {one.landmark: one for one in placings}
    with_points = {key: one for key, one in placed.items() if one.points}
    plane = Plane(setting, view, with_points, part, body or frame, frame)
    shown = {landmark.key for landmark in view.landmarks}
    waiting = {one.key for one in view.landmarks if one.optional} - placed.keys()
    return tuple(
        _take(row, plane, placed, frame)
        for row in MEASURES.values()
        if row.needs
        and shown.issuperset(row.needs)
        and (not row.views or view.key in row.views)
        and not _unasked(row, view, waiting)
    )


def _unasked(row: Measure, view: View, waiting: Set[str]) -> bool:
    """Return whether a measure rests on what a frame is complete without, none of it placed.

    Nobody asked for it yet, so that it is not missing.
    """
    optional = {key for key in row.needs if (one := view.landmark(key)) and one.optional}
    return bool(optional) and optional <= waiting


def _take(
    row: Measure, plane: Plane, placed: Mapping[str, Placing], frame: str
) -> Measured | Missing:
    if any(key in placed and placed[key].reason in TRUE_ZEROS for key in row.zero_when):
        return Measured(row, exact(0.0, row.unit), frame)
    reasons = {
        key: placed[key].reason for key in row.needs if key in placed and placed[key].reason
    }
    lacks = [key for key in row.needs if key not in placed]
    if row.unit in PIXELS and plane.mm_per_px is None and not reasons:
        lacks.append(SCALE)
    if reasons or lacks:
        return Missing(row, tuple(lacks), reasons, frame)
    beside = plane.outside(row.needs) if row.unit != COUNT else 0.0
    fault = _off_the_plane(row, plane, beside)
    if fault:
        return Missing(row, (fault,), {}, frame)
    try:
        found = row.take(plane)
    except ZeroDivisionError:
        return Missing(row, (LACKS.get(row.key, "length"),), {}, frame)
    value, floor = found if isinstance(found, Found) else (found, None)
    if row.unit in PIXELS:
        value = plane.in_mm(value, PIXELS[row.unit], row.unit)
    doubled = row.doubled and plane.part in SINGLE
    value = scaled(value, 2.0) if doubled else value
    beside = beside if beside > EDGE else 0.0
    at_least = row.at_least or (
        row.grows_with in placed and placed[row.grows_with].at_least
    )
    return Measured(row, value, frame, floor, doubled, beside, at_least)


def _off_the_plane(row: Measure, plane: Plane, beside: float) -> str:
    """Return why nothing can be measured on a straightened plane, or nothing."""
    if row.unit == COUNT:
        return ""
    if plane.faulty:
        return NO_PLANE
    if beside == float("inf"):
        return BEYOND_PLANE
    return FAR_FROM_PLANE if beside > FAR else ""
