"""What lies on either side of a traced line, learned from the line itself.

A shadow, a grain of sand or a band on the shell can be a stronger edge than the outline. But
most of a line that was traced is right, and what lies along its two sides - shell here, ground
there - tells how likely any place of the picture belongs to the one or to the other. The edge
that parts the two is the one to follow. Lines are traced once plainly, then again with what
they taught; every correction teaches more.

Colours and grain are counted along both sides of the line; ours, tried on rendered shells (no
source).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from landmarks.geometry import Box, Point, bounds
from landmarks.instruments.edges import (
    SIGMA_PX,
    EdgeMap,
    change,
    channels,
    sampled,
    scaled,
    smoothed,
)

if TYPE_CHECKING:
    from numpy import float64, intp
    from numpy.typing import NDArray

    from landmarks.instruments.edges import Crop, Line, Pixels

LEARN_PX = 1200
"""Sides are learned from at most so many map pixels across."""

_BINS = (16, 12, 12, 4)
"""Lightness, two opponent colours, grain."""

_REACH = 1 / 9
"""How far to the sides one looks, as a share of the line's extent."""

_PLACES = 16
_CLIP = 3.0
"""No place speaks more than so strongly (logarithm of the odds)."""

_WEIGHT = 20.0
"""What one unit of the log odds counts in grey levels, beside half of the picture's own."""

_BESIDE, _ALONG, _APART = (3, 5, 7), 9, 0.7
"""Steps to the sides at which a line is judged, places that are judged together, and the
least difference in the logarithm of the odds."""

_WRONG_WAY = 0.4
"""An edge that brightens where nearly all of the line darkens keeps so much of its strength."""


@dataclass(frozen=True, slots=True)
class Sides:
    """How likely each place lies to the right of a line as one walks along it (y down).

    Attributes
    ----------
    odds
        Map of the logarithm of the odds, right against left.
    brighter_right
        Share of the line that is brighter at its right.
    """

    odds: EdgeMap
    brighter_right: float


def learned(
    crop: Crop,
    points: Sequence[Point],
    clicks: Sequence[Point] = (),
    *,
    closed: bool = False,
) -> Sides | None:
    """Return what lies on the sides of a line; None where it is too short to teach.

    Near the ``clicks`` of a person the line is right for certain, and teaches most.

    Takes a quarter of a second for a map of 1,200 pixels: work for the background.
    """
    import numpy as np

    if len(points) < 8:
        return None
    box = bounds(points)
    extent = max(box.width, box.height)
    step = 1
    while extent / step > LEARN_PX:
        step *= 2
    if extent < 24 * step:
        return None
    room = extent * _REACH + 12 * step
    wide = Box(box.x - room, box.y - room, box.width + 2 * room, box.height + 2 * room)
    pixels, origin = crop(wide, step)
    keys = _keys(pixels)
    line, square = _evenly(points, 2.0 * step, closed=closed)
    weight = _weight(line, clicks, 40.0 * step)
    counted = []
    for side in (1.0, -1.0):
        off = side * np.linspace(3.0 * step, extent * _REACH, _PLACES)
        at = (line[:, None] + off[None, :, None] * square[:, None]).repeat(weight, axis=0)
        counted.append(_shares(keys, _inside(keys.shape, origin, step, at)))
    odds = np.clip(np.log(counted[0] / counted[1]), -_CLIP, _CLIP)
    light = EdgeMap(channels(pixels)[0], origin, float(step))
    right, left = (
        sum(sampled(light, line + side * k * step * square) for k in (2, 3, 4))
        for side in (1.0, -1.0)
    )
    found = EdgeMap(odds.astype(np.float32)[keys], origin, float(step))
    return Sides(found, float(np.mean(right > left)))


def parted(sides: Sides, points: Sequence[Point], *, closed: bool = False) -> float:
    """Return the share of a line along which its own two sides are what all of it taught.

    A line that has strayed onto the shell or the ground has the same on both sides there.
    """
    import numpy as np

    step = sides.odds.step
    line, square = _evenly(points, 2.0 * step, closed=closed)
    right, left = (
        np.mean([sampled(sides.odds, line + side * k * step * square) for k in _BESIDE], 0)
        for side in (1.0, -1.0)
    )
    width = min(_ALONG, len(line))
    apart = np.convolve(right - left, np.full(width, 1 / width), "same")
    return float(np.mean(apart > _APART))


def parting(pixels: Pixels, origin: Point, step: float, sides: Sides) -> EdgeMap:
    """Return the edge map of a window in which what parts the two sides stands out."""
    import numpy as np

    light, red, blue = channels(pixels)
    rows, columns = light.shape
    y, x = np.mgrid[0:rows, 0:columns]
    at = np.stack([origin.x + (x + 0.5) * step, origin.y + (y + 0.5) * step], -1)
    odds = smoothed(sampled(sides.odds, at).astype(np.float32), 2.0)
    strength = scaled(change([light * 0.5, red * 0.4, blue * 0.25, odds * _WEIGHT]))
    if abs(sides.brighter_right - 0.5) > 0.15:
        down, across = np.gradient(smoothed(odds, max(5.0 / step, 1.5)))
        d, a = np.gradient(smoothed(light, SIGMA_PX if step <= 1 else 1.0))
        same = down * d + across * a
        right_way = same > 0 if sides.brighter_right > 0.5 else same < 0
        strength = strength * np.where(right_way, 1.0, _WRONG_WAY).astype(np.float32)
    return EdgeMap(strength, origin, step)


def _weight(line: Line, clicks: Sequence[Point], near: float) -> NDArray[intp]:
    """Return how often each point of a line counts: eight times beside a click."""
    import numpy as np

    weight = np.ones(len(line), np.intp)
    for x, y in clicks:
        weight[np.hypot(line[:, 0] - x, line[:, 1] - y) < near] = 8
    return weight


def _keys(pixels: Pixels) -> NDArray[intp]:
    """Return for each pixel the number of its bin of colour and grain."""
    import numpy as np

    light, red, blue = channels(pixels)
    mean = smoothed(light, 2.0)
    grain = np.log1p(np.sqrt(smoothed((light - mean) ** 2, 2.0)))
    keys = np.zeros(light.shape, np.intp)
    ranges = ((0, 256), (-60, 60), (-60, 60), (0.5, 3.5))
    fields = (smoothed(light, 1.0), smoothed(red, 1.0), smoothed(blue, 1.0), grain)
    for field, (low, high), n in zip(fields, ranges, _BINS, strict=True):
        place = ((field - low) / (high - low) * n).astype(np.intp)
        keys = keys * n + np.clip(place, 0, n - 1)
    return keys


def _inside(
    shape: tuple[int, ...], origin: Point, step: float, at: Line
) -> tuple[NDArray[intp], NDArray[intp]]:
    """Return rows and columns of the points (..., 2) that lie on the map."""
    import numpy as np

    flat = at.reshape(-1, 2)
    column = np.floor((flat[:, 0] - origin.x) / step).astype(np.intp)
    row = np.floor((flat[:, 1] - origin.y) / step).astype(np.intp)
    rows, columns = shape
    kept = (row >= 0) & (row < rows) & (column >= 0) & (column < columns)
    return row[kept], column[kept]


def _shares(
    keys: NDArray[intp], places: tuple[NDArray[intp], NDArray[intp]]
) -> NDArray[float64]:
    """Return the share of each bin at some places, neighbouring bins lending to each other."""
    import numpy as np

    size = int(np.prod(_BINS))
    counts = np.bincount(keys[places], minlength=size).astype(float).reshape(_BINS)
    for axis in range(len(_BINS)):
        padded = np.pad(counts, [(int(k == axis),) * 2 for k in range(4)], mode="edge")
        n = counts.shape[axis]
        before, here, after = (np.take(padded, range(k, k + n), axis) for k in (0, 1, 2))
        counts = 0.25 * before + 0.5 * here + 0.25 * after
    made: NDArray[float64] = counts.ravel() / max(1.0, float(counts.sum())) + 1e-5
    return made


def _evenly(points: Sequence[Point], step: float, *, closed: bool) -> tuple[Line, Line]:
    """Return a line as even points and the unit vectors to its right (y down)."""
    import numpy as np

    line = np.array([*points, points[0]] if closed else points, float)
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
    places = np.arange(0.0, along[-1], step)
    even = np.column_stack([np.interp(places, along, line[:, k]) for k in (0, 1)])
    if closed:
        tangent = np.roll(even, -2, axis=0) - np.roll(even, 2, axis=0)
    else:
        tangent = np.gradient(even, axis=0)
    tangent /= np.maximum(np.hypot(*tangent.T), 1e-9)[:, None]
    return even, np.column_stack([-tangent[:, 1], tangent[:, 0]])
