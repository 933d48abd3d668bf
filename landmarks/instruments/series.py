"""Series: many points of one kind, one click each, put in order by a guide.

A guide is a path along which the series runs: the crest of a fold for scutes, the edge of the
mantle for eyes and tentacles. However a person jumps about, the points come out in the order
in which the guide meets them. Without a guide the order of clicking stands.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate, pairwise

from landmarks.geometry import Point, distance


@dataclass(frozen=True, slots=True)
class Place:
    """Where a point lies beside a guide.

    ``along`` is the way from the start of the guide to the foot of the point, ``aside`` the
    distance from it, positive to the right as one walks (y down), both in pixels.
    """

    along: float
    aside: float


@dataclass(frozen=True, slots=True)
class Scute:
    """The two edges of one scute, left and right of the guide as one walks along it."""

    left: Point
    right: Point

    @property
    def width(self) -> float:
        """Return the way from edge to edge, in pixels."""
        return distance(self.left, self.right)

    @property
    def middle(self) -> Point:
        """Return the point half way between the edges."""
        return Point((self.left.x + self.right.x) / 2, (self.left.y + self.right.y) / 2)


@dataclass(frozen=True, slots=True)
class Scutes:
    """Scutes in the order of their guide, and the click that still waits for its other edge."""

    scutes: tuple[Scute, ...] = ()
    waiting: Point | None = None

    @property
    def next_edge(self) -> str:
        """Return which edge the next click gives: ``"first"`` or ``"second"``."""
        return "first" if self.waiting is None else "second"


def beside(guide: Sequence[Point], point: Point) -> Place:
    """Return where a point lies beside a guide of at least two points.

    Before its start and behind its end the guide goes on straight, so that a series may begin
    a little earlier than its guide.

    >>> beside((Point(0, 0), Point(10, 0)), Point(4, 3))
    Place(along=4.0, aside=3.0)
    """
    ways = list(accumulate((distance(a, b) for a, b in pairwise(guide)), initial=0.0))
    last = len(guide) - 2
    best: tuple[float, Place] | None = None
    for index, (a, b) in enumerate(pairwise(guide)):
        step = distance(a, b)
        if not step:
            continue
        unit = (b.x - a.x) / step, (b.y - a.y) / step
        along = (point.x - a.x) * unit[0] + (point.y - a.y) * unit[1]
        low = float("-inf") if index == 0 else 0.0
        high = float("inf") if index == last else step
        foot = min(max(along, low), high)
        away = distance(point, Point(a.x + foot * unit[0], a.y + foot * unit[1]))
        if best is None or away < best[0]:
            side = unit[0] * (point.y - a.y) - unit[1] * (point.x - a.x)
            best = away, Place(ways[index] + foot, away if side >= 0 else -away)
    return best[1] if best is not None else Place(0.0, 0.0)


def ordered(points: Sequence[Point], guide: Sequence[Point] = ()) -> tuple[Point, ...]:
    """Return points in the order in which a guide meets them."""
    if len(guide) < 2:
        return tuple(points)
    return tuple(sorted(points, key=lambda point: beside(guide, point).along))


def place_of(series: Sequence[Point], point: Point, guide: Sequence[Point] = ()) -> int:
    """Return the index at which one more point joins an ordered series."""
    if len(guide) < 2:
        return len(series)
    along = beside(guide, point).along
    return sum(beside(guide, one).along <= along for one in series)


def scutes_of(clicks: Sequence[Point], guide: Sequence[Point] = ()) -> Scutes:
    """Return the scutes that clicks give in turn: one edge, the other edge, the next scute.

    Which edge of a scute was clicked first does not matter where there is a guide: left is
    left of it. An odd last click waits.
    """
    pairs = [_scute(a, b, guide) for a, b in zip(clicks[::2], clicks[1::2], strict=False)]
    if len(guide) >= 2:
        pairs.sort(key=lambda one: beside(guide, one.middle).along)
    return Scutes(tuple(pairs), clicks[-1] if len(clicks) % 2 else None)


def gaps(scutes: Sequence[Scute], guide: Sequence[Point] = ()) -> tuple[float, ...]:
    """Return the way from each scute to the next, along the guide where there is one, in px."""
    middles = [one.middle for one in scutes]
    if len(guide) < 2:
        return tuple(distance(a, b) for a, b in pairwise(middles))
    places = [beside(guide, middle).along for middle in middles]
    return tuple(b - a for a, b in pairwise(places))


def _scute(a: Point, b: Point, guide: Sequence[Point]) -> Scute:
    if len(guide) < 2 or beside(guide, a).aside <= beside(guide, b).aside:
        return Scute(a, b)
    return Scute(b, a)
