"""Points of a tilted plane as if it had been seen square from above, with all they rest on.

::

    four corners on the picture, their places in mm -> a projective map -> points put straight,
    their slopes by the click, their slopes by the eight coordinates of the corners

Lengths among straightened points are true with one scale. The first and the last corner keep
their place in the picture, so that pixels of the straightened plane are pixels of a familiar
size. What the camera adds for points above the plane comes out of the same map: where the
foot of the camera stands, and how high the lens is above it (Hartley & Zisserman, Multiple
View Geometry, chapter 8, from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import hypot, isfinite, sqrt
from typing import TYPE_CHECKING, NamedTuple

from landmarks.errors import ScaleError
from landmarks.geometry import Point, distance
from landmarks.scale import Scale

if TYPE_CHECKING:
    from numpy import float64
    from numpy.typing import NDArray

    Array = NDArray[float64]

FAR = 1.0
"""So many widths of the four points outside them a point may lie at most."""

EDGE = 0.02
"""From so many widths outside on a point is beside the four, and said to be."""

_LEAST_DEPTH = 0.02
"""Nearer to the horizon than this share of the depth of the middle nothing is measured."""


class Laid(NamedTuple):
    """Points put straight, and what they rest on.

    Attributes
    ----------
    points
        (n, 2) in pixels of the straightened plane.
    slopes
        (n, 2, 2): the change of x and y (first) by x and y of the picture (last).
    shifts
        (8, n, 2): the change of every point by each coordinate of the corners in the picture,
        x and y of the first corner first.
    outside
        (n,) how far each lies outside the four points, in their widths; infinite at the
        horizon of the plane and beyond.
    """

    points: Array
    slopes: Array
    shifts: Array
    outside: Array

    def part(self, rows: slice) -> Laid:
        """Return some of the points."""
        return Laid(
            self.points[rows], self.slopes[rows], self.shifts[:, rows], self.outside[rows]
        )


class Camera(NamedTuple):
    """Where the lens is above the straightened plane, in its pixels.

    ``foot`` is below it, ``by_focal`` how the foot moves with the logarithm of the focal
    length, ``height`` how high the lens is, ``distance`` how far the plane is along its axis.
    """

    foot: Point
    by_focal: Point
    height: float
    distance: float


@dataclass(frozen=True, slots=True, eq=False)
class Straightening:
    """The map from a picture to its plane.

    Attributes
    ----------
    corners
        In the picture, in pixels.
    sigma_px
        Placing doubt of each coordinate of the corners.
    mm_per_px
        Of the straightened plane.
    """

    corners: tuple[Point, ...]
    sigma_px: float
    mm_per_px: float
    _middle: Point
    _unit: float
    _matrix: Array
    _fields: Array
    _frame: tuple[float, float, float, float]
    _turn: complex
    _start: Point

    def lay(self, points: Sequence[Point] | Array) -> Laid:
        """Return points of the picture in the straightened plane."""
        import numpy as np

        at = np.asarray(points, float).reshape(-1, 2)
        x, y = ((at - self._middle) / self._unit).T
        flat = np.stack([x, y, np.ones_like(x)])
        u, v, depth = self._matrix @ flat
        here = depth >= _LEAST_DEPTH
        safe = np.where(here, depth, 1.0)
        u, v = u / safe, v / safe
        m = self._matrix
        slopes = np.empty((len(at), 2, 2))
        for row, value in enumerate((u, v)):
            for column in range(2):
                slopes[:, row, column] = (m[row, column] - value * m[2, column]) / safe
        nought, one = np.zeros_like(x), np.ones_like(x)
        # A corner that is moved takes the picture with it by a projective motion that leaves
        # the other three corners where they are; points move against it.
        across = self._fields @ np.stack([one, nought, x, y, nought, nought, x * x, x * y])
        down = self._fields @ np.stack([nought, one, nought, nought, x, y, x * y, y * y])
        motion = np.stack([across, down], axis=-1)
        shifts = -np.einsum("nij,knj->kni", slopes, motion)
        outside = np.where(here, self._outside(u, v), np.inf)
        return Laid(
            np.column_stack([u, v]), slopes / self._unit, shifts / self._unit, outside
        )

    def camera(self, focal_px: float, centre: Point) -> Camera:
        """Return where the lens of a picture stands, whose axis meets it in ``centre``.

        Parameters
        ----------
        focal_px
            Focal length in pixels of the picture.
        """
        foot, height, upright = self._lens(focal_px, centre)
        step = 0.01
        near, far = (
            self._lens(focal_px * factor, centre)[0] for factor in (1 - step, 1 + step)
        )
        slope = Point((far.x - near.x) / (2 * step), (far.y - near.y) / (2 * step))
        return Camera(foot, slope, height, height / max(upright, 0.05))

    def _lens(self, focal_px: float, centre: Point) -> tuple[Point, float, float]:
        """Return foot and height of the lens, and the cosine of its tilt."""
        import numpy as np

        k = self._unit
        to_one = np.array(
            [[1 / k, 0, -self._middle.x / k], [0, 1 / k, -self._middle.y / k], [0, 0, 1.0]]
        )
        seen = np.linalg.inv(self._matrix @ to_one)
        rays = seen.copy()
        rays[0] = (seen[0] - centre.x * seen[2]) / focal_px
        rays[1] = (seen[1] - centre.y * seen[2]) / focal_px
        rays *= 2 / (np.linalg.norm(rays[:, 0]) + np.linalg.norm(rays[:, 1]))
        if rays[2, 2] < 0:
            rays = -rays
        axes = np.column_stack([rays[:, 0], rays[:, 1], np.cross(rays[:, 0], rays[:, 1])])
        left, _, right = np.linalg.svd(axes)
        turn = left @ right
        lens = -turn.T @ rays[:, 2]
        foot = Point(float(lens[0]), float(lens[1]))
        return foot, abs(float(lens[2])), abs(float(turn[2, 2]))

    def _outside(self, u: Array, v: Array) -> Array:
        """Return how far places lie outside the rectangle around the four, in its widths."""
        import numpy as np

        left, top, width, height = self._frame
        back = ((u - self._start.x) + 1j * (v - self._start.y)) / self._turn
        across = np.maximum(left - back.real, back.real - left - width)
        down = np.maximum(top - back.imag, back.imag - top - height)
        beyond = np.maximum(np.maximum(across, down), 0.0)
        return np.asarray(beyond / max(width, height))


def straightening_of(scale: Scale | None) -> Straightening | None:
    """Return the map of a scale that four points gave; None where there is no plane.

    Raises
    ------
    ScaleError
        If what is kept of the plane makes none.
    """
    facts = None if scale is None else scale.extra.get("plane")
    if scale is None or facts is None or len(scale.points) != 4:
        return None
    try:
        places = tuple(
            Point(float(x), float(y))
            for x, y in facts["places_mm"]  # type: ignore[index]
        )
        sigma_px = float(facts["sigma_px"])  # type: ignore[index]
        if len(places) != 4 or not scale.length_mm > 0:
            raise ValueError
        return _made(scale.points, places, sigma_px, scale.length_mm)
    except (TypeError, ValueError, KeyError, ZeroDivisionError):
        raise ScaleError("plane.no_plane") from None


@lru_cache(maxsize=32)
def _made(
    corners: tuple[Point, ...],
    places: tuple[Point, ...],
    sigma_px: float,
    length_mm: float,
) -> Straightening:
    import numpy as np

    first, last = corners[0], corners[-1]
    start, stop = places[0], places[-1]
    side = distance(start, stop)
    # Turn and stretch that take the side in the plane to the side in the picture.
    turn = complex(last.x - first.x, last.y - first.y) / complex(
        stop.x - start.x, stop.y - start.y
    )
    targets = []
    for place in places:
        moved = complex(place.x - start.x, place.y - start.y) * turn
        targets.append(Point(first.x + moved.real, first.y + moved.imag))
    middle = Point(sum(p.x for p in corners) / 4, sum(p.y for p in corners) / 4)
    unit = sum(distance(p, middle) for p in corners) / 4 / sqrt(2)
    at = [((p.x - middle.x) / unit, (p.y - middle.y) / unit) for p in corners]
    if not all(isfinite(number) for point in (*at, *targets) for number in point):
        raise ValueError
    from_unit = np.array([[unit, 0, middle.x], [0, unit, middle.y], [0, 0, 1.0]])
    matrix = projective(corners, targets) @ from_unit
    matrix /= matrix[2, 2]
    if not (matrix[2] @ np.array([*zip(*at, strict=True), (1.0,) * 4]) > 0).all():
        raise ValueError
    rows = []
    for x, y in at:
        rows.append([1, 0, x, y, 0, 0, x * x, x * y])
        rows.append([0, 1, 0, 0, x, y, x * y, y * y])
    fields = np.linalg.inv(np.array(rows, float)).T
    xs, ys = [p.x - start.x for p in places], [p.y - start.y for p in places]
    frame = min(xs), min(ys), max(xs) - min(xs), max(ys) - min(ys)
    # Corrected by a check shell a side is longer than the places say: lengths go with it.
    per_px = length_mm / hypot(last.x - first.x, last.y - first.y)
    if not (side > 0 and per_px > 0):
        raise ValueError
    return Straightening(
        corners, sigma_px, per_px, middle, unit, matrix, fields, frame, turn, first
    )


def projective(source: Sequence[Point], target: Sequence[Point]) -> Array:
    """Return the projective map (3, 3) of four points to four others.

    Both are first moved and scaled to about 1, as is usual (Hartley 1997, from memory).

    Raises
    ------
    ValueError
        If three of the points lie in a line.
    """
    import numpy as np

    from_one, there = _about_one(source)
    to_one, here = _about_one(target)
    rows: list[list[float]] = []
    values: list[float] = []
    for (x, y), (u, v) in zip(there, here, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
        values += [u, v]
    try:
        eight = np.linalg.solve(np.array(rows), np.array(values))
    except np.linalg.LinAlgError:
        raise ValueError("three of four points lie in a line") from None
    matrix = np.append(eight, 1.0).reshape(3, 3)
    return np.asarray(np.linalg.inv(to_one) @ matrix @ from_one)


def _about_one(points: Sequence[Point]) -> tuple[Array, list[tuple[float, float]]]:
    import numpy as np

    n = len(points)
    x, y = sum(p.x for p in points) / n, sum(p.y for p in points) / n
    size = sum(distance(p, Point(x, y)) for p in points) / n
    k = sqrt(2) / size
    matrix = np.array([[k, 0, -k * x], [0, k, -k * y], [0, 0, 1.0]])
    return matrix, [(k * (p.x - x), k * (p.y - y)) for p in points]
