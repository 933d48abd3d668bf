"""Ridges of a profile: paths sampled evenly, peaks with their prominence, counts over scales.

Plain arithmetic in numpy for the fold instrument; nothing here knows shells.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from landmarks.geometry import Point
from landmarks.instruments.pixels import smoothed

if TYPE_CHECKING:
    from landmarks.instruments.pixels import Array


class Peak(NamedTuple):
    """A top of a profile: its sample, its value, how far it stands out on both sides."""

    at: int
    value: float
    prominence: float


def evenly(path: Sequence[Point], n: int) -> Array:
    """Return n points (n, 2) at even distances along an open polyline."""
    import numpy as np

    points = np.asarray(path, float)
    steps = np.hypot(*np.diff(points, axis=0).T)
    far = np.concatenate([[0.0], np.cumsum(steps)])
    where = np.linspace(0.0, far[-1], n)
    return np.stack([np.interp(where, far, points[:, k]) for k in (0, 1)], axis=1)


def rounded(path: Sequence[Point], n: int) -> Array:
    """Return n points (n, 2) evenly along a smooth curve through clicked points.

    A Catmull-Rom curve (from memory), so that few clicks make an arc and not a polygon.
    """
    import numpy as np

    points = np.asarray(path, float)
    if len(points) < 3:
        return evenly(path, n)
    padded = np.concatenate(
        [2 * points[:1] - points[1:2], points, 2 * points[-1:] - points[-2:-1]]
    )
    t = np.linspace(0.0, 1.0, 24, endpoint=False)[:, None]
    pieces = []
    for i in range(len(points) - 1):
        a, b, c, d = padded[i : i + 4]
        pieces.append(
            b
            + 0.5
            * t
            * (c - a + t * (2 * a - 5 * b + 4 * c - d + t * (3 * (b - c) + d - a)))
        )
    curve = np.concatenate([*pieces, points[-1:]])
    return evenly([Point(float(x), float(y)) for x, y in curve], n)


def smooth_line(points: Array, sigma: float) -> Array:
    """Return a line (n, 2) smoothed by a Gaussian of ``sigma`` samples, its ends kept."""
    import numpy as np

    reach = min(len(points) - 1, int(4 * sigma) + 1)
    before = 2 * points[0] - points[reach:0:-1]
    after = 2 * points[-1] - points[-2 : -reach - 2 : -1]
    whole = np.concatenate([before, points, after])
    return smoothed(whole.T, sigma).T[reach : reach + len(points)]


def normals(line: Array) -> Array:
    """Return unit vectors (n, 2) square to a line, to the left of its run on screen."""
    import numpy as np

    along = np.gradient(line, axis=0)
    along /= np.maximum(np.hypot(along[:, 0], along[:, 1])[:, None], 1e-9)
    return np.stack([along[:, 1], -along[:, 0]], axis=1)


def peaks(profile: Array, least: float = 0.0) -> list[Peak]:
    """Return the tops of a profile with a prominence above ``least``, in order.

    The prominence of a top is how far one must climb down from it, on the higher side,
    before higher ground; ends of the profile count as ground.
    """
    import numpy as np

    middle = profile[1:-1]
    tops = 1 + np.flatnonzero((middle > profile[:-2]) & (middle >= profile[2:]))
    found = []
    for top in tops.tolist():
        value = float(profile[top])
        sides = []
        for side in (profile[:top][::-1], profile[top + 1 :]):
            higher = np.flatnonzero(side > value)
            reach = int(higher[0]) if higher.size else side.size
            sides.append(float(side[:reach].min(initial=value)))
        prominence = value - max(sides)
        if prominence > least:
            found.append(Peak(top, value, prominence))
    return found


def stable_count(profile: Array, allowed: range) -> tuple[list[Peak], float, Array]:
    """Return the peaks of a profile that stay over the widest range of smoothing.

    Returns
    -------
    tuple
        The peaks at the middle of that range, the range's share of all scales tried less
        that of the next longest, and the profile smoothed so.
    """
    import numpy as np

    n = profile.size
    scales = np.geomspace(n / 200, n / 9, 40)
    counted: list[list[Peak]] = []
    profiles = []
    edge = int(0.02 * n)
    for sigma in scales:
        soft = smoothed(profile, float(sigma))
        profiles.append(soft)
        inner = soft[edge : n - edge]
        low = np.array([inner.min()])
        whole = np.concatenate([low, inner, low])
        found = peaks(whole, 0.24 * float(inner.std()))
        counted.append(
            [Peak(one.at - 1 + edge, one.value, one.prominence) for one in found]
        )
    runs: dict[int, tuple[int, int]] = {}
    start = 0
    for i in range(1, len(scales) + 1):
        if i == len(scales) or len(counted[i]) != len(counted[start]):
            count, length = len(counted[start]), i - start
            if count in allowed and length > runs.get(count, (0, 0))[1]:
                runs[count] = (start, length)
            start = i
    if not runs:
        return [], 0.0, profiles[0]
    ranked = sorted(runs.values(), key=lambda run: -run[1])
    first, length = ranked[0]
    second = ranked[1][1] if len(ranked) > 1 else 0
    middle = first + length // 2
    return counted[middle], (length - second) / len(scales), profiles[middle]
