"""What a fitted ruler tells: its marks, the scale it gives, and how it leans.

A fit is a frozen value; how it is found is the matter of :mod:`landmarks.instruments.ruler`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import asin, degrees, hypot, sqrt
from typing import NamedTuple

from landmarks.geometry import Point, distance
from landmarks.instruments.graduations import GRADUATIONS, Graduation
from landmarks.scale import DRIFT_SHOWN, RULER_SIGMA, Scale
from landmarks.sentences import Number, Sentence

LENSES = {"none": 0.0, "air": 0.005, "flat_port": 0.02, "wide_flat_port": 0.05}
"""What an uncalibrated lens adds to a length measured beside the ruler, as a share (from
memory: distortion of phone lenses, refraction at a flat port in its central third)."""


class Tick(NamedTuple):
    """One mark of the graduation: where it is seen, its number, how far off the fit."""

    point: Point
    number: int
    residual_mm: float
    used: bool


@dataclass(frozen=True, slots=True)
class RulerFit:
    """A graduation found along a line.

    Attributes
    ----------
    graduation
        What the marks are.
    line
        The line that was dragged.
    ticks
        Every mark that was found, in order.
    first, second
        Two marks that stand for the scale, as points in the direction of the ruler: the
        outermost used, or where the scale drifts two near the middle of the line.
    length_mm
        Between these two, by counting.
    px_per_mm
        Local scale at the middle of the line.
    px_per_mm_ends
        The same at its two ends.
    relative
        Standard uncertainty of the fit as a share; the ruler's own and what photographing
        adds are not in it.
    residual_mm
        Robust standard deviation of the marks about the fit.
    strength
        Signal over noise of the period.
    """

    graduation: Graduation
    line: tuple[Point, Point]
    ticks: tuple[Tick, ...]
    first: Point
    second: Point
    length_mm: float
    px_per_mm: float
    px_per_mm_ends: tuple[float, float]
    relative: float
    residual_mm: float
    strength: float

    @property
    def drift(self) -> float:
        """Return by what share the scale changes from the first end to the second."""
        return self.px_per_mm_ends[1] / self.px_per_mm_ends[0] - 1.0

    @property
    def n_used(self) -> int:
        """Return the number of marks that the fit rests on."""
        return sum(tick.used for tick in self.ticks)

    def sentence(self) -> Sentence:
        """Say what was found; the fit is never the accuracy of a shell."""
        return Sentence(
            "ruler.fitted",
            {
                "graduation": Sentence(f"ruler.graduation.{self.graduation.name}"),
                "n": self.n_used,
                "px": Number(self.px_per_mm, self.px_per_mm * self.relative),
            },
        )


def scale_of(
    fit: RulerFit,
    *,
    sigma_mm: float | None = None,
    lens: str = "none",
    person: str = "",
    at: str = "",
) -> Scale:
    """Return the scale that a fitted ruler gives.

    Its points are two marks and its length is counted between them, so it can be
    checked by hand. The doubt of the fit stands in the points, the ruler's own and the
    lens's in the length; tilt, height and camera distance join in when measuring.

    Parameters
    ----------
    sigma_mm
        Doubt of the ruler over the length of the fit; a cheap ruler's where it is not told.
    lens
        One of :data:`LENSES`.
    """
    own = RULER_SIGMA * fit.length_mm if sigma_mm is None else sigma_mm
    return Scale(
        "ruler",
        (fit.first, fit.second),
        fit.length_mm,
        hypot(own, LENSES[lens] * fit.length_mm),
        sigma_px=fit.relative * distance(fit.first, fit.second) / sqrt(2),
        person=person,
        at=at,
        extra={
            "ruler": {
                "graduation": fit.graduation.name,
                "n_marks": fit.n_used,
                "px_per_mm": fit.px_per_mm,
                "px_per_mm_ends": list(fit.px_per_mm_ends),
                "fit": fit.relative,
                "residual_mm": fit.residual_mm,
                "lens": lens,
                "line": [list(end) for end in fit.line],
                "marks": _three(fit),
            }
        },
    )


def told_of(fit: RulerFit) -> dict[str, object]:
    """Return what is kept of a fit that was proposed and not wanted."""
    return {
        "method": "ruler",
        "graduation": fit.graduation.name,
        "n_marks": fit.n_used,
        "px_per_mm": fit.px_per_mm,
        "fit": fit.relative,
    }


def came_about(scale: Scale) -> Sentence | None:
    """Say what was found along the line of a scale, and what of it was accepted.

    None where no graduation was looked for, or what is kept of it tells nothing.
    """
    used, left = scale.extra.get("ruler"), scale.extra.get("proposed")
    told, key = (used, "fitted") if isinstance(used, Mapping) else (left, "clicks")
    if not isinstance(told, Mapping):
        return None
    name, n = told.get("graduation"), told.get("n_marks")
    if name in {row.name for row in GRADUATIONS} and isinstance(n, int):
        named = Sentence(f"ruler.graduation.{name}")
        return Sentence(f"ruler.came.{key}", {"graduation": named, "n": n})
    return Sentence("ruler.came.refused") if "refused" in told else None


def tilt_hint(fit: RulerFit, camera_distance_px: float) -> float:
    """Return by how many degrees ruler or camera seem to lean along the ruler.

    From the drift: over a line of length l at a tilt t it is about 2 l sin t / D [derived].
    """
    along = distance(*fit.line)
    return degrees(asin(max(-1.0, min(1.0, fit.drift * camera_distance_px / (2 * along)))))


def tilt_sentence(fit: RulerFit, camera_distance_px: float) -> Sentence | None:
    """Say that ruler or camera lean, where the scale drifts enough to tell."""
    if abs(fit.drift) < DRIFT_SHOWN:
        return None
    tilt = abs(tilt_hint(fit, camera_distance_px))
    values = {
        "degrees": round(tilt),
        "drift": Number(round(100 * abs(fit.drift), 1), unit="%"),
    }
    return Sentence("ruler.tilted", values)


def _three(fit: RulerFit) -> list[list[float]]:
    """Return x, y and number of the first mark used, one in the middle, and the last.

    They tell where every mark is, to a fraction of a pixel: enough to draw them again.
    """
    used = [tick for tick in fit.ticks if tick.used]
    middle = min(
        used[1:-1], key=lambda one: abs(2 * one.number - used[0].number - used[-1].number)
    )
    return [
        [round(one.point.x, 2), round(one.point.y, 2), one.number]
        for one in (used[0], middle, used[-1])
    ]
