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
    resampled = _resampled(trace)
    curve = _off_a_curve(resampled)
    off = curve.off
    rms, noise = root_mean_square(off), trace.doubt_px * noise_between(trace)
    spread = resampled.by_points(curve.by_stations(off / (len(off) * rms or 1.0)))
    half = trace.halved
    coarse = None if half is None else root_mean_square(_off_a_curve(_resampled(half)).off)
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


class _Curve(NamedTuple):
    """A line beside a smooth curve through it.

    Attributes
    ----------
    off
        How far the inner stations lie off the curve, square to it.
    past
        (n,) how far all stations lie off it along its tangent.
    across, tangent, steps
        (n, 2) the directions at all stations, and the way from station to station.
    inner
        The stations that count.
    """

    off: Array
    past: Array
    across: Array
    tangent: Array
    steps: Array
    inner: slice

    def by_stations(self, by_off: Array) -> Array:
        """Return slopes (n, 2) by the stations out of slopes by how far they lie off.

        The curve and its directions follow the stations.
        """
        import numpy as np

        by = np.zeros(len(self.past))
        by[self.inner] = by_off
        moved = by[:, None] * self.across
        length = np.hypot(*self.steps.T)
        turned = -(by * self.past / np.where(length, length, 1.0))[:, None] * self.across
        curves = _curves(len(by), _DEGREE)
        along = np.gradient(curves, axis=0)
        slopes: Array = moved - curves @ (curves.T @ moved) + curves @ (along.T @ turned)
        return slopes


_DEGREE = 6


def _off_a_curve(resampled: _Resampled) -> _Curve:
    """Return how far a line lies off a smooth curve, square to it.

    A twentieth at each end, where a curve through a line runs wild, is left out.
    """
    import numpy as np

    at = resampled.at
    curves = _curves(len(at), _DEGREE)
    base = curves @ (curves.T @ at)
    steps = np.gradient(base, axis=0)
    length = np.hypot(*steps.T)
    tangent = steps / np.where(length, length, 1.0)[:, None]
    across = np.column_stack([-tangent[:, 1], tangent[:, 0]])
    off, past = (((at - base) * way).sum(1) for way in (across, tangent))
    inner = slice(len(off) // 20, len(off) - len(off) // 20)
    return _Curve(off[inner], past, across, tangent, steps, inner)


class _Resampled(NamedTuple):
    """A path as stations at even distances along it, each between two of its points.

    Attributes
    ----------
    at
        (n, 2) the stations.
    place, weight
        (n,) number of the point before each, and how near it lies to the next, 0 to 1.
    units
        (m - 1, 2) direction of each piece from point to point.
    """

    at: Array
    place: Indices
    weight: Array
    units: Array

    def by_points(self, slopes: Array) -> Array:
        """Return slopes by the points out of slopes (n, 2) by the stations.

        A piece that grows longer moves all stations beyond it back along the path.
        """
        import numpy as np

        found = np.zeros((len(self.units) + 1, 2))
        weight = self.weight[:, None]
        np.add.at(found, self.place, slopes * (1 - weight))
        np.add.at(found, self.place + 1, slopes * weight)
        along = (slopes * self.units[self.place]).sum(1)
        here = np.bincount(self.place, along, len(self.units))
        partly = np.bincount(self.place, along * self.weight, len(self.units))
        beyond = here.sum() - np.cumsum(here)
        whole = float(along @ np.linspace(0.0, 1.0, len(along)))
        longer = (whole - beyond - partly)[:, None] * self.units
        found[1:] += longer
        found[:-1] -= longer
        return found


def _resampled(trace: Trace) -> _Resampled:
    """Return a path as points at even distances along it."""
    import numpy as np

    at = trace.points
    if len(at) < 8:
        raise ZeroDivisionError
    steps = np.diff(at, axis=0)
    spans = np.hypot(*steps.T)
    along = np.concatenate([[0.0], np.cumsum(spans)]) + 1e-9 * np.arange(len(at))
    stations = np.linspace(0.0, along[-1], STATIONS)
    index = np.clip(np.searchsorted(along, stations) - 1, 0, len(at) - 2)
    weight = (stations - along[index]) / (along[index + 1] - along[index])
    between = at[index] * (1 - weight)[:, None] + at[index + 1] * weight[:, None]
    units = steps / np.where(spans, spans, 1.0)[:, None]
    return _Resampled(between, index, weight, units)


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
