"""One graduation tried on a strip, and the gates that a wrong lock cannot pass.

The gates stand in order: the period must stand out of the noise, the marks must be even and
fill their places, the ruler must be straight, and the count must agree with the two clicks.
Their widths are ours, from rendered rulers (``tests/benchmarks/ruler.py``).
"""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot, sqrt
from typing import TYPE_CHECKING

from landmarks.instruments import combs
from landmarks.instruments.combs import Comb, Lock, Marks, Strip
from landmarks.instruments.graduations import FLOORS, GRADUATIONS, Graduation

if TYPE_CHECKING:
    from landmarks.instruments.pixels import Array

FAULTS = ("weak", "uneven", "bent", "disagrees")
"""Reasons to refuse, from the first gate to the last: the farthest one reached is said."""


@dataclass(frozen=True, slots=True)
class Failed:
    """A graduation that did not pass: at which gate, and how sparse its marks were."""

    fault: str
    every: int = 1


@dataclass(frozen=True, slots=True, eq=False)
class Passed:
    """A graduation that passed all gates; ``share`` is how much of a period marks fill."""

    comb: Comb
    marks: Marks
    relative: float
    strength: float
    share: float


def screened(
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


def try_graduation(
    strip: Strip, one: Graduation, rough: float, slack: float
) -> Passed | Failed:
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
    failed = Failed("weak")
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
            return Passed(comb, marks, relative, found.strength, share)
        failed = Failed(fault, _every(marks))
    return failed


def even_steps(strip: Strip) -> int | None:
    """Return how many even steps a line has, whatever length was told; None where none show.

    A graduation that does not go with the length is told from marks that do not line up.
    """
    import numpy as np

    one, span = GRADUATIONS[0], float(strip.s[-1] - strip.s[0])
    sparse = strip.light[1::4]
    found = []
    cycles = float(_LEAST_MARKS["ticks"])
    while span / cycles >= _LEAST_PERIOD_PX:
        rows = _marks_up(sparse, one, span / cycles / combs.STEP)
        locks = [combs.lock(row[None], cycles, _SWEPT) for row in rows]
        found.append(max(locks, key=lambda lock: lock.strength))
        cycles *= 1 + 1.5 * _SWEPT
    found = [lock for lock in found if lock.strength >= _LEAST_STRENGTH]
    for best in sorted(found, key=lambda lock: -lock.strength)[:_MOST_SWEPT]:
        rough = span / best.cycles / one.step_mm
        tried = try_graduation(strip, one, rough, _SWEPT)
        if isinstance(tried, Passed):
            comb = tried.comb
            steps = comb.number_at(span / 2) - comb.number_at(-span / 2)
            return int(np.rint(steps))
    return None


def coarser_first(
    waiting: list[Graduation], failed: Graduation, tried: Failed
) -> list[Graduation]:
    """Return what is left to try, first what the gaps of a comb too fine point to."""
    step = failed.step_mm * tried.every
    return sorted(waiting, key=lambda one: abs(one.step_mm / step - 1) > 0.02)


_SWEPT = 0.035
"""Periods are swept in stretches so wide to each side, as a share."""

_MOST_SWEPT = 3
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
_BENT = 0.0004


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
    if _bent(comb, marks) > _BENT + 4 * comb.relative:
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
