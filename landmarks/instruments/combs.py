"""Regular marks along a line: lightness beside the line, their period, their places.

The arithmetic of the ruler, in pixels and cycles; it knows no millimetres. ``s`` runs along
the line in pixels with its origin at the middle of the line, ``o`` square to it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, NamedTuple

from landmarks.geometry import Point, distance
from landmarks.instruments.pixels import Window, fast_length, smoothed

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from landmarks.instruments.pixels import Array

STEP = 0.5
"""Distance of samples along the line, in pixels."""

_BAND = 5
"""Width over which a profile is averaged, in pixels."""

_MOST_PROFILES = 8
_DRIFT = 0.36
"""Greatest change of the period from one end of the line to the other, as a share."""

_SEARCH = 0.35
"""A mark is looked for so far from where it should be, in periods."""

_SIGNIFICANT = 3.5
"""Perspective is kept where it is so many times its own doubt."""


class Strip(NamedTuple):
    """Lightness in parallel profiles: places s (n,), offsets o (m,), light (m, n)."""

    s: Array
    offsets: Array
    light: Array


class Lock(NamedTuple):
    """A period found: cycles in the line at its middle, drift, signal over noise."""

    cycles: float
    drift: float
    strength: float


@dataclass(frozen=True, slots=True, eq=False)
class Marks:
    """Where marks were found: number, place and offset of each, in pixels."""

    number: Array
    s: Array
    offset: Array
    filled: float
    coverage: float


@dataclass(frozen=True, slots=True, eq=False)
class Comb:
    """Evenly graduated marks as seen by a camera: s (1 + c k) = s0 + a k + t o + e k o.

    Attributes
    ----------
    s0, a, t, c, e
        The projective line; k is the number of a mark.
    sigma
        Robust standard deviation of the marks about it, in pixels.
    relative
        Standard uncertainty of the local period at the middle, as a share.
    residual, weight
        Of every mark, in pixels and 0 to 1.
    """

    s0: float
    a: float
    t: float
    c: float
    e: float
    sigma: float
    relative: float
    residual: Array
    weight: Array

    def number_at(self, s: float) -> float:
        """Return the number, broken too, of the mark that would stand at s on the line."""
        return (s - self.s0) / (self.a - self.c * s)

    def place_of(self, number: Array) -> Array:
        """Return where marks stand on the line."""
        return (self.s0 + self.a * number) / (1 + self.c * number)

    def period_at(self, s: float) -> float:
        """Return pixels from mark to mark at s, square to the marks."""
        number = self.number_at(s)
        grown = 1 + self.c * number
        slant = (self.t + self.e * number) / grown
        return float((self.a - self.c * s) / grown / (1 + slant * slant) ** 0.5)

    @property
    def slant(self) -> float:
        """Return by how many pixels a mark moves along the line with each pixel off it."""
        number = self.number_at(0.0)
        return (self.t + self.e * number) / (1 + self.c * number)


def strip_along(
    window: Window, first: Point, second: Point, n_profiles: int, reach: float
) -> Strip:
    """Return lightness along a line and beside it, out to ``reach`` pixels on both sides."""
    import numpy as np

    span = distance(first, second)
    along = ((second.x - first.x) / span, (second.y - first.y) / span)
    n = max(8, int(span / STEP) + 1)
    s = np.linspace(-span / 2, span / 2, n)
    offsets = np.linspace(-reach, reach, n_profiles)
    beside = offsets[:, None] + np.linspace(-_BAND / 2 + 0.5, _BAND / 2 - 0.5, _BAND)
    o = beside.reshape(-1, 1).astype(np.float32)
    far = s[None, :].astype(np.float32)
    x = np.float32((first.x + second.x) / 2) + along[0] * far - along[1] * o
    y = np.float32((first.y + second.y) / 2) + along[1] * far + along[0] * o
    light = window.at(x, y).reshape(n_profiles, _BAND, n).mean(axis=1)
    return Strip(s, offsets, np.asarray(light, float))


def evened(light: Array, period: float) -> Array:
    """Return profiles without their slow light and with even contrast, within -3 to 3.

    Parameters
    ----------
    period
        Of the marks that are looked for, in samples.
    """
    import numpy as np

    fast = light - smoothed(light, 1.2 * period)
    spread = np.sqrt(np.maximum(smoothed(fast * fast, 2.4 * period), 0.0))
    floor = 0.25 * np.median(spread, axis=-1, keepdims=True) + 0.15
    return np.asarray(np.clip(fast / np.maximum(spread, floor), -3.0, 3.0))


def edges_of(light: Array, period: float) -> Array:
    """Return how steep profiles are, so that the edges of blocks become marks."""
    import numpy as np

    steep = np.abs(np.gradient(smoothed(light, max(1.0, 0.05 * period)), axis=-1))
    return np.asarray(steep)


def lock(
    profiles: Array, cycles: float, tolerance: float, *, drifting: bool = False
) -> Lock:
    """Return the number of cycles near an expected one that profiles agree on best.

    Parameters
    ----------
    tolerance
        How far off the expected number may be, as a share.
    drifting
        Whether the period may change along the line, as it does where a ruler is tilted.
    """
    import numpy as np

    # Seven samples to a period are plenty for a period.
    stride = max(1, int(profiles.shape[1] / (7 * cycles)))
    rows = profiles[:, ::stride]
    n = rows.shape[1]
    size = fast_length(2 * n)
    x = np.linspace(-0.5, 0.5, n)
    taper = np.hanning(n)
    limit = _DRIFT if drifting else 0.0
    step = min(0.04, 0.8 / cycles)
    drifts = step * np.arange(-int(limit / step), int(limit / step) + 1)
    best = Lock(cycles, 0.0, 0.0)
    for drift in drifts:
        ends = (-0.5 / (1 + drift / 4), 0.5 / (1 - drift / 4))
        warped = np.linspace(*ends, n)
        there = warped / (1 + drift * warped / 2)
        even = np.stack([np.interp(there, x, row) for row in rows]) if drift else rows
        spectrum = np.fft.rfft(even * taper, size)
        power = (spectrum.real**2 + spectrum.imag**2).sum(axis=0)
        # Bins of the transform for one cycle over the line.
        bins = size / n * (n / (n - 1)) * (ends[1] - ends[0])
        low = max(1, int(cycles * (1 - tolerance) * bins))
        high = min(power.size - 2, int(cycles * (1 + tolerance) * bins) + 1)
        if high <= low:
            continue
        peak = low + int(np.argmax(power[low : high + 1]))
        around = power[int(0.5 * cycles * bins) : int(1.6 * cycles * bins) + 2]
        strength = float(power[peak] / (np.median(around) + 1e-9))
        if strength > best.strength:
            fine = peak + _vertex(*power[peak - 1 : peak + 2])
            best = Lock(float(fine / bins), float(drift), strength)
    return best


def marks_of(profiles: Array, strip: Strip, found: Lock, blur: float = 0.14) -> Marks:
    """Return the marks of the profiles that agree best with a period.

    Parameters
    ----------
    profiles
        Evened, marks upwards; (m, n) as the strip.
    blur
        Smoothing before places are read, in periods.
    """
    import numpy as np

    n = profiles.shape[1]
    x = np.linspace(-0.5, 0.5, n)
    warped = x / (1 - found.drift * x / 2)
    wave = np.exp(-2j * np.pi * found.cycles * warped) * np.hanning(n)
    sums = profiles @ wave
    agreeing = np.abs(sums) / (np.abs(profiles) @ np.abs(wave) + 1e-9)
    order = np.argsort(-agreeing)[:_MOST_PROFILES]
    chosen = np.sort(order[agreeing[order] > 0.5 * agreeing.max()])
    phases = np.unwrap(np.angle(sums[chosen])) / (2 * np.pi)
    period = n / found.cycles
    soft = smoothed(profiles[chosen], blur * period)
    low = int(np.ceil((found.cycles * warped[0] + phases).max()))
    high = int(np.floor((found.cycles * warped[-1] + phases).min()))
    number = np.arange(low, high + 1)
    where = (number[None, :] - phases[:, None]) / found.cycles
    where = where / (1 + found.drift * where / 2)
    centre = np.clip(np.round((where + 0.5) * (n - 1)), 0, n - 1).astype(int)
    return _searched(soft, strip, chosen, number, centre, period)


def sought_again(
    profiles: Array, strip: Strip, marks: Marks, comb: Comb, blur: float = 0.14
) -> Marks:
    """Return the marks once more, looked for where a fitted comb has them."""
    import numpy as np

    chosen = np.flatnonzero(np.isin(strip.offsets, marks.offset))
    n = profiles.shape[1]
    step = float(strip.s[1] - strip.s[0])
    period = comb.period_at(0.0) / step
    soft = smoothed(profiles[chosen], blur * period)
    ends = sorted(comb.number_at(float(s)) for s in (strip.s[0], strip.s[-1]))
    number = np.arange(int(np.ceil(ends[0])), int(np.floor(ends[1])) + 1)
    offsets = strip.offsets[chosen][:, None]
    place = (comb.s0 + comb.a * number + comb.t * offsets + comb.e * number * offsets) / (
        1 + comb.c * number
    )
    centre = np.clip(np.round((place - strip.s[0]) / step), 0, n - 1).astype(int)
    return _searched(soft, strip, chosen, number, centre, period)


def fitted(marks: Marks) -> Comb | None:
    """Return the projective comb through marks by robust least squares, None through too few.

    Marks are weighed by Tukey's biweight; perspective is kept only where it is plain.
    """
    return _regressed(marks, perspective=True) or _regressed(marks, perspective=False)


def _searched(
    soft: Array,
    strip: Strip,
    chosen: NDArray[np.intp],
    number: NDArray[Any],
    centre: NDArray[np.intp],
    period: float,
) -> Marks:
    """Find the top nearest to each expected place (samples) in each chosen profile."""
    import numpy as np

    n = soft.shape[1]
    half = max(2, int(np.ceil(_SEARCH * period)))
    offsets = np.arange(-half, half + 1)
    at = np.clip(centre[:, :, None] + offsets, 1, n - 2)
    values = np.take_along_axis(soft[:, None, :], at, axis=2)
    best = np.argmax(values, axis=2)
    inner = (best > 0) & (best < 2 * half)
    top = np.take_along_axis(at, best[:, :, None], axis=2)[:, :, 0]
    left, here, right = (np.take_along_axis(soft, top + k, axis=1) for k in (-1, 0, 1))
    curve = left - 2 * here + right
    fine = np.where(curve < 0, 0.5 * (left - right) / np.where(curve < 0, curve, -1), 0.0)
    # What is far lower than the usual mark of its profile is no mark.
    inner &= (curve < 0) & (np.abs(fine) <= 1)
    usual = np.array(
        [
            np.median(row[good]) if good.any() else 1e9
            for row, good in zip(here, inner, strict=True)
        ]
    )
    inner &= here > 0.4 * usual[:, None]
    step = float(strip.s[1] - strip.s[0])
    s = strip.s[0] + step * (top + fine)
    row, column = np.nonzero(inner)
    seen = inner.mean(axis=0) >= 0.5 if len(chosen) else np.zeros(number.size, bool)
    there = np.flatnonzero(seen)
    # Of all numbers between the outermost seen: how many are filled.
    filled = seen[there[0] : there[-1] + 1].mean() if there.size else 0.0
    length = float(strip.s[-1] - strip.s[0])
    coverage = (
        (number[there[-1]] - number[there[0]]) * period * step / length
        if there.size
        else 0.0
    )
    return Marks(
        number[column].astype(float),
        s[row, column],
        strip.offsets[chosen][row],
        float(filled),
        float(coverage),
    )


def _regressed(marks: Marks, *, perspective: bool) -> Comb | None:
    import numpy as np

    k, s, o = marks.number, marks.s, marks.offset
    columns = [np.ones_like(k), k, o]
    if perspective:
        columns += [-k * s, k * o]
    design = np.stack(columns, axis=1)
    scales = (
        np.maximum(np.abs(design).max(axis=0), 1e-9) if k.size else np.ones(len(columns))
    )
    design = design / scales
    if k.size < 2 * len(columns) or np.ptp(k) < 4:
        return None
    weight = np.ones_like(s)
    spread = 0.0
    solution = np.zeros(len(columns))
    residual = s
    for _ in range(12):
        heavy = design * weight[:, None]
        normal = heavy.T @ design + 1e-12 * np.eye(len(columns))
        solution = np.linalg.solve(normal, heavy.T @ s)
        residual = s - design @ solution
        spread = 1.4826 * float(np.median(np.abs(residual))) + 1e-4
        share = np.clip(residual / (4.7 * spread), -1, 1)
        weight = (1 - share * share) ** 2
    inverse = np.linalg.inv(normal)
    # Neighbouring profiles share pixels; what they say is not all news.
    shared = max(1.0, 0.5 * len(np.unique(o)))
    covariance = inverse * spread**2 * shared
    doubt = np.sqrt(np.maximum(np.diagonal(covariance), 0)) / scales
    value = solution / scales
    if perspective:
        plain = np.abs(value[3:]) > _SIGNIFICANT * doubt[3:]
        if not plain.any():
            return None
    c, e = (value[3], value[4]) if perspective else (0.0, 0.0)
    return Comb(
        float(value[0]),
        float(value[1]),
        float(value[2]),
        float(c),
        float(e),
        spread,
        float(doubt[1] / abs(value[1])) if value[1] else float("inf"),
        residual,
        weight,
    )


def _vertex(left: float, here: float, right: float) -> float:
    """Return how far off the middle one the top of three even samples lies."""
    curve = left - 2 * here + right
    return 0.5 * (left - right) / curve if curve < 0 else 0.0
