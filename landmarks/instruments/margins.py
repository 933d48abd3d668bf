"""Two margins in one picture: how they fit, where they gape, and what is only noise.

The figures are the measures of the view from above (:mod:`landmarks.measures`); this adds
what the strip draws while both lines are being followed.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from landmarks.measures import Measured, Missing, measure
from landmarks.measures import margins as laid
from landmarks.measures.plane import Plane
from landmarks.placing import Placing
from landmarks.scale import Setting
from landmarks.scheme import VIEWS

if TYPE_CHECKING:
    from numpy import bool_, float64
    from numpy.typing import NDArray

VIEW = "upper_margin"
ENDS = ("byssal_end", "ligament_end")
LINES = ("margin_left", "margin_right")
GAP = "gap_length_share"
TOLD = ("margin_fit", GAP, "gap_area_share")


@dataclass(frozen=True, slots=True)
class Profile:
    """Both margins over the length axis, for the strip: all in pixels of the picture's plane.

    Attributes
    ----------
    along
        (m,) stations from the byssal end.
    left, right
        (m,) how far each line lies to one side of the axis.
    noise
        Doubt of their separation at one station.
    gap
        (m,) whether a gap can be seen there: a separation beyond three such doubts.
    """

    along: NDArray[float64]
    left: NDArray[float64]
    right: NDArray[float64]
    noise: float
    gap: NDArray[bool_]


@dataclass(frozen=True, slots=True)
class Compared:
    """How two margins compare: the measures with their noise floor, and the profile or None."""

    rows: tuple[Measured | Missing, ...]
    profile: Profile | None = None

    def row(self, key: str) -> Measured | Missing | None:
        """Return one of the measures :data:`TOLD`."""
        return next((one for one in self.rows if one.key == key), None)

    def from_zero(self, key: str) -> bool | None:
        """Return whether a measure can be told from 0; None where it was not taken."""
        row = self.row(key)
        if not isinstance(row, Measured):
            return None
        return row.floor is None or row.value.value >= row.floor


def compare(setting: Setting, placings: Iterable[Placing], frame: str = "") -> Compared:
    """Return how the margins of a pair seen from above compare; never raises.

    What is lacking is said by the rows, as everywhere.
    """
    placed = {one.landmark: one for one in placings}
    view = VIEWS[VIEW]
    rows = tuple(
        row for row in measure(setting, view, placed.values(), frame) if row.key in TOLD
    )
    known = {key: one for key, one in placed.items() if one.points}
    if not {*ENDS, *LINES} <= known.keys():
        return Compared(rows)
    plane = Plane(setting, view, known)
    ends = [[float(one.value) for one in plane.spot(key)] for key in ENDS]
    try:
        found = laid.margins(
            plane.trace(LINES[0]),
            plane.trace(LINES[1]),
            (ends[0][0], ends[0][1]),
            (ends[1][0], ends[1][1]),
        )
    except ZeroDivisionError:
        return Compared(rows)
    apart = found.up_left - found.up_right
    # Where the lines cross, the gap of one side is no gap of the other.
    apart = apart if apart.mean() >= 0 else -apart
    gap = apart > laid.GAP_SEEN * found.noise
    profile = Profile(found.along, found.up_left, found.up_right, found.noise, gap)
    return Compared(rows, profile)
