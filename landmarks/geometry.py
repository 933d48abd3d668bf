"""Points, spans and outlines in the plane of the picture: pixels only, no clams.

Pixel convention, once and everywhere: continuous coordinates of the **upright** picture, x to
the right, y **down**, origin at the outer top-left corner, pixel centres at +0.5. Half a
picture has exactly half the coordinates.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import cos, hypot, sin
from typing import NamedTuple


class Point(NamedTuple):
    """A place in the upright picture, in pixels."""

    x: float
    y: float


class Box(NamedTuple):
    """An upright rectangle in pixels: left, top, width, height."""

    x: float
    y: float
    width: float
    height: float

    def holds(self, point: Point) -> bool:
        """Return whether the point lies in the box, its border included."""
        return (
            self.x <= point.x <= self.x + self.width
            and self.y <= point.y <= self.y + self.height
        )

    @property
    def centre(self) -> Point:
        """Return the middle of the box."""
        return Point(self.x + self.width / 2, self.y + self.height / 2)

    @property
    def corners(self) -> tuple[Point, Point, Point, Point]:
        """Return the four corners, clockwise from the top left one."""
        right, bottom = self.x + self.width, self.y + self.height
        return (
            Point(self.x, self.y),
            Point(right, self.y),
            Point(right, bottom),
            Point(self.x, bottom),
        )

    def moved(self, to: Point, width: float, height: float) -> Box:
        """Return the box with its top left corner elsewhere, kept within a picture."""
        x = min(max(to.x, 0.0), max(0.0, width - self.width))
        y = min(max(to.y, 0.0), max(0.0, height - self.height))
        return Box(x, y, self.width, self.height)

    def stretched(self, corner: int, to: Point, least: float = 1.0) -> Box:
        """Return the box with one corner elsewhere and the opposite one kept.

        It never turns inside out: each side stays at least ``least`` pixels long.

        >>> Box(0, 0, 10, 10).stretched(2, Point(30, 20))
        Box(x=0, y=0, width=30, height=20)
        """
        kept = self.corners[(corner + 2) % 4]
        left, top = corner in (0, 3), corner in (0, 1)
        width = max(least, (kept.x - to.x) if left else (to.x - kept.x))
        height = max(least, (kept.y - to.y) if top else (to.y - kept.y))
        return Box(
            kept.x - width if left else kept.x,
            kept.y - height if top else kept.y,
            width,
            height,
        )


def distance(a: Point, b: Point) -> float:
    """Return the distance of two points, in pixels."""
    return hypot(b.x - a.x, b.y - a.y)


def distance_slopes(a: Point, b: Point) -> tuple[Point, Point]:
    """Return the derivative of the distance by each of the two points (unit vectors)."""
    span = distance(a, b)
    if span == 0:
        return Point(0.0, 0.0), Point(0.0, 0.0)
    unit = Point((b.x - a.x) / span, (b.y - a.y) / span)
    return Point(-unit.x, -unit.y), unit


def signed_area(outline: Sequence[Point]) -> float:
    """Return the area enclosed by an outline, in square pixels, by the shoelace rule.

    Positive where the outline runs clockwise on screen (y down).

    >>> signed_area([Point(0, 0), Point(4, 0), Point(4, 3), Point(0, 3)])
    12.0
    """
    total = 0.0
    last = outline[-1] if outline else Point(0.0, 0.0)
    for here in outline:
        total += last.x * here.y - here.x * last.y
        last = here
    return total / 2.0


def area(outline: Sequence[Point]) -> float:
    """Return the area enclosed by an outline, in square pixels, never negative."""
    return abs(signed_area(outline))


def area_slopes(outline: Sequence[Point]) -> tuple[Point, ...]:
    """Return the derivative of :func:`area` by every point of the outline, in pixels."""
    sign = 1.0 if signed_area(outline) >= 0 else -1.0
    count = len(outline)
    slopes = []
    for i in range(count):
        before, after = outline[i - 1], outline[(i + 1) % count]
        slopes.append(
            Point(sign * (after.y - before.y) / 2, sign * (before.x - after.x) / 2)
        )
    return tuple(slopes)


def path_length(path: Sequence[Point]) -> float:
    """Return the length of an open polyline, in pixels."""
    return sum(distance(a, b) for a, b in pairwise(path))


def turned(points: Sequence[Point], radians: float, about: Point) -> tuple[Point, ...]:
    """Return the points turned about a point; positive is clockwise on screen."""
    c, s = cos(radians), sin(radians)
    return tuple(
        Point(
            about.x + c * (p.x - about.x) - s * (p.y - about.y),
            about.y + s * (p.x - about.x) + c * (p.y - about.y),
        )
        for p in points
    )


def bounds(points: Sequence[Point]) -> Box:
    """Return the smallest box that holds all points; there must be at least one."""
    xs = [p.x for p in points]
    ys = [p.y for p in points]
    return Box(min(xs), min(ys), max(xs) - min(xs), max(ys) - min(ys))


def span(points: Sequence[Point]) -> float:
    """Return the greatest distance between any two of the points, in pixels."""
    return max(
        (distance(a, b) for i, a in enumerate(points) for b in points[:i]), default=0.0
    )


def usual_step(points: Sequence[Point]) -> float:
    """Return the median distance of neighbours along points, in pixels; 0 of less than two."""
    steps = sorted(distance(a, b) for a, b in pairwise(points))
    return steps[len(steps) // 2] if steps else 0.0
