"""Waves of a line: how high they stand, without the noise of placing that would pass for them."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, NamedTuple

from landmarks.measures.traces import Trace
from landmarks.units import Cause, Quantity, linear, uncertain

if TYPE_CHECKING:
    from landmarks.measures.traces import Array, Indices

CREST_TO_TROUGH = 2 * 2**0.5
"""Height of a sine wave from crest to trough over its root mean square."""

STATIONS = 200
"""So many even places a line is looked at."""


class Found(NamedTuple):
    """A value and, where it has one, the value below which it cannot be told from 0."""

    value: Quantity
    floor: float | None = None


def wave_depth(trace: Trace) -> Found:
    """Return the height of the waves of a line from crest to trough, in pixels.

    The waves are what is left of the line square to a smooth curve through it; the noise of
    placing, which would pass for small waves, is taken off.
    """
    import numpy as np

    resampled = _resampled(trace)
    off, across, inner = _off_a_curve(resampled)
    rms, noise = root_mean_square(off), trace.doubt_px * noise_between(trace)
    slopes = off[:, None] * across / (len(off) * rms or 1.0)
    spread = np.zeros_like(trace.points)
    resampled.scatter(spread, slopes, inner)
    half = trace.halved
    coarse = None if half is None else root_mean_square(_off_a_curve(_resampled(half))[0])
    doubts = [trace.doubtful(rms, spread, "px"), followed(trace.placing, rms, coarse)]
    return without_noise(CREST_TO_TROUGH, rms, noise, doubts, f"{trace.placing}/waves")


def without_noise(
    factor: float, rms: float, noise: float, doubts: list[Quantity], of: str
) -> Found:
    """Return waves without the noise of placing: the root of the difference of squares.

    Where noise is all there is, the slope of that root says nothing and the noise itself is
    the doubt.
    """
    clean = max(0.0, rms * rms - noise * noise) ** 0.5
    steep = factor * rms / max(clean, noise) if noise else factor
    value = linear(factor * clean, "px", [(steep, one) for one in doubts])
    floor = factor * noise
    if clean < noise:
        value = uncertain(factor * clean, floor, "px", Cause("placing", of))
    return Found(value, floor)


def followed(of: str, rms: float, coarse: float | None) -> Quantity:
    """Return how much lower waves look because a line of few clicks cuts their crests off.

    Chords miss the more the fewer they are, by the square of their length: from half of the
    clicks to all of them it is three times what still is missing (Richardson's rule).
    """
    missing = 0.0 if coarse is None else abs(rms - coarse) / 3
    return uncertain(0.0, missing, "px", Cause("tracing", of))


def _off_a_curve(resampled: _Resampled) -> tuple[Array, Array, slice]:
    """Return how far a line lies off a smooth curve, square to it, and which way that is.

    A twentieth at each end, where a curve through a line runs wild, is left out.
    """
    import numpy as np

    base, tangent = _smooth(resampled.at, degree=6)
    across = np.column_stack([-tangent[:, 1], tangent[:, 0]])
    off = ((resampled.at - base) * across).sum(1)
    inner = slice(len(off) // 20, len(off) - len(off) // 20)
    return off[inner], across[inner], inner


class _Resampled(NamedTuple):
    at: Array
    place: Indices
    weight: Array

    def scatter(self, onto: Array, slopes: Array, part: slice) -> None:
        """Add slopes by the stations to slopes by the points they lie between."""
        import numpy as np

        index, weight = self.place[part], self.weight[part][:, None]
        np.add.at(onto, index, slopes * (1 - weight))
        np.add.at(onto, index + 1, slopes * weight)


def _resampled(trace: Trace) -> _Resampled:
    """Return a path as points at even distances along it."""
    import numpy as np

    at = trace.points
    if len(at) < 8:
        raise ZeroDivisionError
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(at, axis=0).T))])
    along = along + 1e-9 * np.arange(len(at))
    stations = np.linspace(0.0, along[-1], STATIONS)
    index = np.clip(np.searchsorted(along, stations) - 1, 0, len(at) - 2)
    weight = (stations - along[index]) / (along[index + 1] - along[index])
    between = at[index] * (1 - weight)[:, None] + at[index + 1] * weight[:, None]
    return _Resampled(between, index, weight)


def _smooth(at: Array, degree: int) -> tuple[Array, Array]:
    """Return a smooth curve through points at even distances, and its unit tangents."""
    import numpy as np

    curves = _curves(len(at), degree)
    base = curves @ (curves.T @ at)
    tangent = np.gradient(base, axis=0)
    length = np.hypot(*tangent.T)
    return base, tangent / np.where(length, length, 1.0)[:, None]


def detrended(values: Array, degree: int) -> Array:
    """Return what is left of values at even places about a polynomial of a degree."""
    curves = _curves(len(values), degree)
    rest: Array = values - curves @ (curves.T @ values)
    return rest


@cache
def _curves(n: int, degree: int) -> Array:
    """Return polynomials up to a degree at n even places, (n, degree + 1), orthonormal."""
    import numpy as np

    powers = np.polynomial.chebyshev.chebvander(np.linspace(-1.0, 1.0, n), degree)
    curves: Array = np.linalg.qr(powers)[0]
    return curves


def root_mean_square(values: Array) -> float:
    """Return the root mean square of values."""
    return float((values @ values / len(values)) ** 0.5)


def noise_between(trace: Trace) -> float:
    """Return what of a point's doubt is left between points: half way, less."""
    return (2 / 3) ** 0.5 if trace.own_errors else 1.0
