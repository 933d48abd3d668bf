"""All measures of one frame: a number with its doubt, a true zero, or the reason why not."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from landmarks.measures.catalogue import MEASURES, MM, Measure
from landmarks.measures.plane import Plane
from landmarks.placing import TRUE_ZEROS, Placing
from landmarks.scale import Setting
from landmarks.scheme import View
from landmarks.units import Quantity, exact

SCALE = "scale"
"""What a length lacks where the picture has no scale."""


@dataclass(frozen=True, slots=True)
class Measured:
    """A measure that could be taken: its row, its value, and the frame it was taken in."""

    measure: Measure
    value: Quantity
    frame: str = ""

    @property
    def key(self) -> str:
        """Return the measure's key."""
        return self.measure.key


@dataclass(frozen=True, slots=True)
class Missing:
    """A measure that could not be taken, and what it lacks.

    ``lacks`` names landmarks not yet placed (or ``"scale"``, or ``"length"`` where two ends
    coincide); ``reasons`` names, for landmarks that cannot be placed, why.
    """

    measure: Measure
    lacks: tuple[str, ...] = ()
    reasons: Mapping[str, str] | None = None
    frame: str = ""

    @property
    def key(self) -> str:
        """Return the measure's key."""
        return self.measure.key


def measure(
    setting: Setting, view: View, placings: Iterable[Placing], frame: str = ""
) -> tuple[Measured | Missing, ...]:
    """Return every measure this view can give, in the order of the catalogue; never raises.

    Placings of occasions other than *record* are the caller's to leave out.
    """
    placed = {one.landmark: one for one in placings}
    plane = Plane(setting, view, {key: one for key, one in placed.items() if one.points})
    shown = {landmark.key for landmark in view.landmarks}
    return tuple(
        _take(row, plane, placed, frame)
        for row in MEASURES.values()
        if shown.issuperset(row.needs) and (not row.views or view.key in row.views)
    )


def _take(
    row: Measure, plane: Plane, placed: Mapping[str, Placing], frame: str
) -> Measured | Missing:
    if any(key in placed and placed[key].reason in TRUE_ZEROS for key in row.zero_when):
        return Measured(row, exact(0.0, row.unit), frame)
    reasons = {
        key: placed[key].reason for key in row.needs if key in placed and placed[key].reason
    }
    lacks = [key for key in row.needs if key not in placed]
    if row.unit == MM and plane.mm_per_px is None and not reasons:
        lacks.append(SCALE)
    if reasons or lacks:
        return Missing(row, tuple(lacks), reasons, frame)
    try:
        value = row.take(plane)
    except ZeroDivisionError:
        return Missing(row, ("length",), {}, frame)
    return Measured(row, plane.in_mm(value) if row.unit == MM else value, frame)
