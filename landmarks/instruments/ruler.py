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

from math import sqrt

from landmarks.geometry import Box, Point, distance
from landmarks.instruments import combs
from landmarks.instruments.combs import Comb, Strip
from landmarks.instruments.graduations import FLOORS, GRADUATIONS, INCH_MM, Graduation
from landmarks.instruments.pixels import Window, around
from landmarks.instruments.refusal import Refused
from landmarks.instruments.ruler_fit import (
    LENSES,
    RulerFit,
    Tick,
    came_about,
    scale_of,
    tilt_hint,
    tilt_sentence,
    told_of,
)
from landmarks.instruments.ruler_gates import (
    FAULTS,
    Failed,
    Passed,
    coarser_first,
    even_steps,
    screened,
    try_graduation,
)
from landmarks.scale import CLICK_SIGMA_PX, DRIFT_SHOWN
from landmarks.sentences import Number, Sentence


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
    best: tuple[Passed, Graduation] | None = None
    fault = "weak"
    slack = 3 * sqrt(2) * max(2.0, 4 / 3 * sigma_px) / span + 0.001
    waiting = screened(strip, rough, length_mm, slack)
    for _ in range(_MOST_TRIED):
        if not waiting:
            break
        graduation = waiting.pop(0)
        tried = try_graduation(strip, graduation, rough, slack)
        if isinstance(tried, Failed):
            fault = max(fault, tried.fault, key=FAULTS.index)
            waiting = coarser_first(waiting, graduation, tried)
        elif best is None or tried.relative < best[0].relative:
            best = (tried, graduation)
            if tried.relative <= 1.2 * FLOORS["ticks"]:
                break
    if best is None:
        values = {"clicked": clicked, "length": Number(length_mm, unit="mm")}
        steps = None if fault == "bent" else even_steps(strip)
        # What nearly goes with the length is not told apart by whole steps.
        if steps is not None and not _go_with(steps, length_mm):
            return Refused(Sentence("ruler.refused.other", {**values, "n": steps}))
        return Refused(Sentence(f"ruler.refused.{fault}", values))
    return _told(best[0], best[1], first, second, strip)


def window_needed(first: Point, second: Point) -> Box:
    """Return the part of the picture that :func:`fit_ruler` looks at."""
    return around((first, second), 66.0)


_LEAST_PX = 40.0
_MOST_TRIED = 6
_WIDE = 0.4
"""Marks that fill so much of their period are blocks."""


def _go_with(steps: int, length_mm: float) -> bool:
    """Return whether a length is so many steps of a graduation, or one more or less."""
    return any(abs(length_mm / row.step_mm - steps) <= 1 for row in GRADUATIONS)


def _named(one: Graduation, tried: Passed) -> Graduation:
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
    tried: Passed, graduation: Graduation, first: Point, second: Point, strip: Strip
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
    if abs(px_per_mm[2] / px_per_mm[0] - 1) < DRIFT_SHOWN:
        return used[0], used[-1]
    middle = round(comb.number_at(0.0))
    half = max(1, (used[-1] - used[0]) // 10)
    return middle - half, middle + half


__all__ = [
    "FLOORS",
    "GRADUATIONS",
    "INCH_MM",
    "LENSES",
    "Graduation",
    "RulerFit",
    "Tick",
    "came_about",
    "fit_ruler",
    "scale_of",
    "tilt_hint",
    "tilt_sentence",
    "told_of",
    "window_needed",
]
