"""The graduation of a ruler along a dragged line, fitted to a hundredth of a tick.

A person drags along the graduation and types the length covered; that the typed length
removes all doubt about what the ticks mean is half of the method. The other half is a robust
projective comb (:mod:`landmarks.instruments.combs`) and gates that a wrong lock cannot pass:
even then the scale is no worse than the two clicks.

Established: spectral estimation of ruler graduations (Bhalerao and Reynolds 2014, Int. J.
Digital Crime and Forensics 6(1) 9-27, abstract read). Gates and floors are ours, from
rendered rulers (``tests/benchmarks/ruler.py``).
"""

from __future__ import annotations

from dataclasses import dataclass
from math import asin, degrees, hypot, sqrt
from typing import TYPE_CHECKING, NamedTuple

from landmarks.geometry import Box, Point, distance
from landmarks.instruments import combs
from landmarks.instruments.combs import Comb, Lock, Marks, Strip
from landmarks.instruments.pixels import Window, around
from landmarks.instruments.refusal import Refused
from landmarks.scale import CLICK_SIGMA_PX, RULER_SIGMA, Scale
from landmarks.sentences import Number, Sentence

if TYPE_CHECKING:
    from landmarks.instruments.pixels import Array

INCH_MM = 25.4
"""Exact (international yard and pound, 1959, from memory)."""

FLOORS = {"ticks": 0.0002, "blocks": 0.0015}
"""No fit is shown surer than this, as a share (ours, from rendered rulers)."""

LENSES = {"none": 0.0, "air": 0.005, "flat_port": 0.02, "wide_flat_port": 0.05}
"""What an uncalibrated lens adds to a length measured beside the ruler, as a share (from
memory: distortion of phone lenses, refraction at a flat port in its central third)."""

TILT_SHOWN = 0.01
"""From this change of scale along the line on, the ruler or camera is said to be tilted."""


class Graduation(NamedTuple):
    """What repeats along a ruler: ``ticks`` or the edges of ``blocks``, and how far apart."""

    kind: str
    step_mm: float
    name: str


GRADUATIONS = (
    Graduation("ticks", 1.0, "mm_1"),
    Graduation("ticks", 0.5, "mm_05"),
    Graduation("ticks", 2.0, "mm_2"),
    Graduation("ticks", 5.0, "mm_5"),
    Graduation("ticks", 10.0, "mm_10"),
    Graduation("ticks", INCH_MM / 32, "inch_32"),
    Graduation("ticks", INCH_MM / 16, "inch_16"),
    Graduation("ticks", INCH_MM / 10, "inch_10"),
    Graduation("ticks", INCH_MM / 8, "inch_8"),
    Graduation("ticks", INCH_MM / 4, "inch_4"),
    Graduation("blocks", 1.0, "blocks_1"),
    Graduation("blocks", 5.0, "blocks_5"),
    Graduation("blocks", 10.0, "blocks_10"),
    Graduation("blocks", 20.0, "blocks_20"),
)


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


def fit_ruler(
    pixels: Window,
    first: Point,
    second: Point,
    length_mm: float,
    *,
    n_profiles: int = 17,
    sigma_px: float = CLICK_SIGMA_PX,
) -> RulerFit | Refused:
    """Return the graduation along a dragged line, or why the two clicks must do.

    Parameters
    ----------
    pixels
        At least :func:`window_needed` of the picture.
    first, second
        Ends of the line, in pixels of the picture.
    length_mm
        What the person read off the ruler between them.
    n_profiles
        Parallel profiles that are looked at, 30 px to each side and more.
    sigma_px
        Doubt of each coordinate of the clicks: how far the fit may differ from them.
    """
    span = distance(first, second)
    clicked = Number(span / length_mm, sqrt(2) * sigma_px / length_mm)
    if span < _LEAST_PX or not (pixels.holds(first) and pixels.holds(second)):
        return Refused(Sentence("ruler.too_short", {"px": span, "clicked": clicked}))
    rough = span / length_mm
    reach = min(60.0, max(14.0, 4.0 * rough))
    strip = combs.strip_along(pixels, first, second, n_profiles, reach)
    best: tuple[_Passed, Graduation] | None = None
    fault = "weak"
    slack = 3 * sqrt(2) * max(2.0, 4 / 3 * sigma_px) / span + 0.001
    waiting = _screened(strip, rough, length_mm, slack)
    for _ in range(_MOST_TRIED):
        if not waiting:
            break
        graduation = waiting.pop(0)
        tried = _tried(strip, graduation, rough, slack)
        if isinstance(tried, _Failed):
            fault = max(fault, tried.fault, key=_FAULTS.index)
            waiting = _coarser_first(waiting, graduation, tried)
        elif best is None or tried.relative < best[0].relative:
            best = (tried, graduation)
            if tried.relative <= 1.2 * FLOORS["ticks"]:
                break
    if best is None:
        values = {"clicked": clicked, "length": Number(length_mm, unit="mm")}
        return Refused(Sentence(f"ruler.refused.{fault}", values))
    return _told(best[0], best[1], first, second, strip)


def window_needed(first: Point, second: Point) -> Box:
    """Return the part of the picture that :func:`fit_ruler` looks at."""
    return around((first, second), 66.0)


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


def tilt_hint(fit: RulerFit, camera_distance_px: float) -> float:
    """Return by how many degrees ruler or camera seem to lean along the ruler.

    From the drift: over a line of length l at a tilt t it is about 2 l sin t / D [derived].
    """
    along = distance(*fit.line)
    return degrees(asin(max(-1.0, min(1.0, fit.drift * camera_distance_px / (2 * along)))))


def tilt_sentence(fit: RulerFit, camera_distance_px: float) -> Sentence | None:
    """Say that ruler or camera lean, where the scale drifts enough to tell."""
    if abs(fit.drift) < TILT_SHOWN:
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


_LEAST_PX = 40.0
_LEAST_PERIOD_PX = 2.4
_LEAST_STRENGTH = 40.0
_LEAST_MARKS = {"ticks": 8, "blocks": 5}
_EVEN = {"ticks": 0.09, "blocks": 0.04}
"""Greatest spread of marks about the fit, in periods."""

_PRINTED_MM = 0.03
"""How far off a printed mark may be (ours)."""

_FILLED = {"ticks": 0.55, "blocks": 0.7}
_SHARP = {"ticks": 0.0008, "blocks": 0.004}
"""A fit less sure than this, as a share, is none."""

_COVERED = 0.6
_BENT = 0.001
_FAULTS = ("weak", "uneven", "bent", "disagrees")
"""Reasons to refuse, from the first gate to the last: the farthest one reached is said."""


@dataclass(frozen=True, slots=True)
class _Failed:
    """A graduation that did not pass: at which gate, and how sparse its marks were."""

    fault: str
    every: int = 1


@dataclass(frozen=True, slots=True, eq=False)
class _Passed:
    """A graduation that passed all gates; ``share`` is how much of a period marks fill."""

    comb: Comb
    marks: Marks
    relative: float
    strength: float
    share: float


def _screened(
    strip: Strip, rough: float, length_mm: float, slack: float
) -> list[Graduation]:
    """Return graduations that could be there, the most promising first."""
    import numpy as np

    found: list[tuple[float, Graduation]] = []
    sparse = strip.light[1::4]
    for one in GRADUATIONS:
        n, period = length_mm / one.step_mm, rough * one.step_mm
        if n < _LEAST_MARKS[one.kind] or period < _LEAST_PERIOD_PX:
            continue
        stride = max(1, int(period / combs.STEP / 12))
        rows = _marks_up(sparse[:, ::stride], one, period / combs.STEP / stride)
        each = [combs.lock(row[None], n, max(0.035, slack)).strength for row in rows]
        found.append((float(np.max(each)), one))
    found.sort(key=lambda pair: -pair[0])
    return [one for strength, one in found if strength > _LEAST_STRENGTH / 4]


_MOST_TRIED = 6
_WIDE = 0.4
"""Marks that fill so much of their period are blocks."""


def _tried(strip: Strip, one: Graduation, rough: float, slack: float) -> _Passed | _Failed:
    """Fit one graduation and put it through the gates."""
    import numpy as np

    span = float(strip.s[-1] - strip.s[0])
    cycles, period = span / rough / one.step_mm, rough * one.step_mm
    profiles = _marks_up(strip.light, one, period / combs.STEP)
    tolerance = max(0.035, slack)
    steady = [combs.lock(row[None], cycles, tolerance).strength for row in profiles]
    strongest = np.argsort(steady)[-3:]
    rows = profiles[strongest]
    if one.kind == "ticks":
        profiles = profiles * _sign(rows)
    failed = _Failed("weak")
    # What hides part of a ruler can look like a drift: an even comb is tried first.
    for drifting in (False, True):
        found = combs.lock(rows, cycles, tolerance, drifting=drifting)
        if found.strength < _LEAST_STRENGTH:
            continue
        marks, comb = _combed(profiles, strip, found)
        fault = _fault(one, comb, marks, span, cycles, slack) if comb else "uneven"
        if comb and not fault:
            # Slanting marks tell of a line across the ruler, or of perspective.
            slanted = (1 - 1 / sqrt(1 + comb.slant**2)) / 2
            relative = hypot(comb.relative, FLOORS[one.kind], slanted)
            share = float((profiles[strongest] > 0).mean())
            return _Passed(comb, marks, relative, found.strength, share)
        failed = _Failed(fault, _every(marks))
    return failed


def _coarser_first(
    waiting: list[Graduation], failed: Graduation, tried: _Failed
) -> list[Graduation]:
    """Return what is left to try, first what the gaps of a comb too fine point to."""
    step = failed.step_mm * tried.every
    return sorted(waiting, key=lambda one: abs(one.step_mm / step - 1) > 0.02)


def _every(marks: Marks) -> int:
    """Return every how-manieth number of a comb has a mark, as a rule."""
    import numpy as np

    gaps = np.diff(np.unique(marks.number))
    return max(1, round(float(np.median(gaps)))) if gaps.size else 1


def _combed(profiles: Array, strip: Strip, found: Lock) -> tuple[Marks, Comb | None]:
    marks = combs.marks_of(profiles, strip, found)
    comb = combs.fitted(marks)
    if comb is None or comb.a <= 0:
        return marks, comb
    marks = combs.sought_again(profiles, strip, marks, comb)
    return marks, combs.fitted(marks)


def _fault(
    one: Graduation, comb: Comb, marks: Marks, span: float, cycles: float, slack: float
) -> str:
    """Return the first gate that a fit does not pass, or nothing."""
    import numpy as np

    # Marks are printed well and seen to half a pixel, however far apart they are.
    allowed = min(_EVEN[one.kind] * comb.a, 0.5 + _PRINTED_MM * comb.a / one.step_mm)
    if comb.a <= 0 or comb.sigma > allowed:
        return "uneven"
    used = np.unique(marks.number[comb.weight > 0])
    if used.size < _LEAST_MARKS[one.kind]:
        return "uneven"
    if marks.filled < _FILLED[one.kind] or marks.coverage < _COVERED:
        return "uneven"
    if comb.relative > _SHARP[one.kind]:
        return "uneven"
    if _bent(comb, marks) > _BENT + 2.5 * comb.relative:
        return "bent"
    counted = comb.number_at(span / 2) - comb.number_at(-span / 2)
    if abs(counted / cycles * sqrt(1 + comb.slant**2) - 1) > slack:
        return "disagrees"
    return ""


def _bent(comb: Comb, marks: Marks) -> float:
    """Return by what share the period in the middle is off for a bow along the ruler.

    Perspective alone leaves no cubic in the residuals; a bent ruler does, and so does one
    that was broken or laid end to end with another.
    """
    import numpy as np

    good = comb.weight > 0
    number, residual = marks.number[good], comb.residual[good]
    half = float(np.ptp(number)) / 2
    u = (number - number.min()) / half - 1
    bow = np.polynomial.legendre.legfit(u, residual, 3)[3]
    return abs(float(bow)) * 1.5 / (half * comb.a)


def _marks_up(light: Array, one: Graduation, period: float) -> Array:
    """Return evened profiles; the edges of blocks become marks."""
    if one.kind == "blocks":
        light = combs.edges_of(light, period)
    return combs.evened(light, period)


def _sign(profiles: Array) -> float:
    """Return -1 where marks are dark: the thin side of the profile is the marks' side."""
    return -1.0 if float((profiles**3).mean()) < 0 else 1.0


def _named(one: Graduation, tried: _Passed) -> Graduation:
    """Return the graduation; wide marks, each as wide as the gap beside it, are blocks."""
    pair = [
        row
        for row in GRADUATIONS
        if row.kind == "blocks" and 2 * row.step_mm == one.step_mm
    ]
    comb = tried.comb
    wide = comb.a > 14.0 and tried.share > _WIDE
    return Graduation(one.kind, one.step_mm, pair[0].name) if wide and pair else one


def _told(
    tried: _Passed, graduation: Graduation, first: Point, second: Point, strip: Strip
) -> RulerFit:
    """Return a fit in millimetres and places on the picture."""
    import numpy as np

    comb, marks, graduation = tried.comb, tried.marks, _named(graduation, tried)
    span = distance(first, second)
    along = Point((second.x - first.x) / span, (second.y - first.y) / span)
    middle = Point((first.x + second.x) / 2, (first.y + second.y) / 2)
    ticks = []
    numbers = np.unique(marks.number)
    places = comb.place_of(numbers)
    for number, place in zip(numbers.tolist(), places.tolist(), strict=True):
        mine = marks.number == number
        good = mine & (comb.weight > 0)
        used = bool(good.sum() * 2 >= mine.sum())
        off = float(np.median(comb.residual[good if used else mine]))
        point = Point(
            middle.x + along.x * (place + off), middle.y + along.y * (place + off)
        )
        step = off * graduation.step_mm / comb.a
        ticks.append(Tick(point, round(number), step, used))
    per_mm = graduation.step_mm
    px_per_mm = [comb.period_at(s) / per_mm for s in (-span / 2, 0.0, span / 2)]
    low, high = _ends([tick.number for tick in ticks if tick.used], comb, px_per_mm)
    start, stop = comb.place_of(np.array([low, high], float)).tolist()
    # Square to the marks is where the ruler runs, whatever line was dragged.
    tall = sqrt(1 + comb.slant**2)
    far = (stop - start) / tall
    here = Point(middle.x + along.x * start, middle.y + along.y * start)
    there = Point(
        here.x + (along.x + along.y * comb.slant) / tall * far,
        here.y + (along.y - along.x * comb.slant) / tall * far,
    )
    return RulerFit(
        graduation,
        (first, second),
        tuple(ticks),
        here,
        there,
        (high - low) * per_mm,
        px_per_mm[1],
        (px_per_mm[0], px_per_mm[2]),
        tried.relative,
        comb.sigma / comb.a * per_mm,
        tried.strength,
    )


def _ends(used: list[int], comb: Comb, px_per_mm: list[float]) -> tuple[int, int]:
    """Return the numbers of the two marks that stand for the scale.

    The outermost ones, unless the scale drifts: then two near the middle, where the scale
    between them is the local one.
    """
    if abs(px_per_mm[2] / px_per_mm[0] - 1) < TILT_SHOWN:
        return used[0], used[-1]
    middle = round(comb.number_at(0.0))
    half = max(1, (used[-1] - used[0]) // 10)
    return middle - half, middle + half
