"""The edge trace: from click to click along the edge that can be seen.

::

    pixels -> edge map -> cheapest way from the last anchor -> what is shown while pointing
                                                            -> refined once it is accepted

A window of the picture holds the last anchor and the pointer; wide ones are taken at half,
quarter ... size, and the accepted line is refined at full size in a narrow band. So a picture
of a hundred megapixels costs no more than its windows. All points are in pixels of the upright
picture.

The map and the cost are those of our own study of rendered shells; minimum-cost paths along
image gradients are common practice (no source).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import pairwise
from typing import TYPE_CHECKING

from landmarks.geometry import Box, Point, distance
from landmarks.instruments.edges import EdgeMap, costs, edge_map, window
from landmarks.instruments.guides import Guide, guide, guided
from landmarks.instruments.likeness import learned, parting
from landmarks.instruments.reach import Reach, reach, reaching
from landmarks.instruments.refining import refined

if TYPE_CHECKING:
    from landmarks.instruments.edges import Crop, Line, Pixels
    from landmarks.instruments.likeness import Sides

SNAP_PX = 6.0
"""An anchor goes to the strongest edge within so many map pixels."""

_CLICK_PX = 2.5
_ROUNDS = 2
"""How often a new line is followed anew with what it taught."""


@dataclass(frozen=True, slots=True)
class Anchor:
    """A click of the trace.

    ``snap`` lets it go to the edge nearby: for first clicks, never for corrections. ``plain``
    draws a straight line to it from the anchor before.
    """

    point: Point
    snap: bool = False
    plain: bool = False


@dataclass(frozen=True, slots=True)
class Traced:
    """A traced line: its points about a map pixel apart, and the anchors as they came to lie.

    ``legs`` are the parts from anchor to anchor; of a closed line the last leads back to the
    first anchor. ``sides`` is what the line taught, where it was followed with it.
    """

    legs: tuple[tuple[Point, ...], ...]
    anchors: tuple[Anchor, ...]
    closed: bool = False
    sides: Sides | None = None

    @property
    def points(self) -> tuple[Point, ...]:
        """Return the whole line; a closed one does not repeat its first point."""
        joined = [point for leg in self.legs for point in leg[:-1]]
        if self.legs and not self.closed:
            joined.append(self.legs[-1][-1])
        return tuple(joined)


def edges_in(crop: Crop, box: Box, step: int, sides: Sides | None = None) -> EdgeMap:
    """Return the edge map of a window of the picture, with what is known of both sides."""
    return _edges(*crop(box, step), step, sides)


def from_anchor(edges: EdgeMap, anchor: Point) -> Reach:
    """Return the cheapest ways from an anchor over a map; make it once, then follow it."""
    return reach(costs(edges.strength), edges.pixel(anchor))


def approaching(edges: EdgeMap, anchor: Point) -> Iterator[Reach]:
    """Yield ever better ways from an anchor, so that a caller may pause in between."""
    return reaching(costs(edges.strength), edges.pixel(anchor))


def live(edges: EdgeMap, found: Reach, pointer: Point) -> tuple[Point, ...]:
    """Return the line from the anchor to the pointer, as shown while pointing."""
    way = found.way_to(edges.pixel(pointer))
    return tuple(edges.point(row, column) for row, column in way)


def snapped(edges: EdgeMap, point: Point, radius: float = SNAP_PX) -> Point:
    """Return the strongest edge near a point; the point itself where there is none."""
    import numpy as np

    row, column = edges.pixel(point)
    r = int(radius)
    top, left = max(0, row - r), max(0, column - r)
    near = edges.strength[top : row + r + 1, left : column + r + 1]
    down, across = np.mgrid[top : top + near.shape[0], left : left + near.shape[1]]
    off = np.hypot(down - row, across - column)
    # Of two edges alike the nearer one is meant; few clicks err by more than three pixels.
    near_by = np.exp(-0.5 * (off / _CLICK_PX) ** 2)
    worth = np.where(off <= radius, near * near_by, -1.0)
    best = np.unravel_index(int(np.argmax(worth)), worth.shape)
    if near[best] < 0.1:
        return point
    return edges.point(top + int(best[0]), left + int(best[1]))


def follow(
    crop: Crop,
    anchors: Sequence[Anchor],
    *,
    closed: bool = False,
    sides: Sides | None = None,
) -> Traced:
    """Return the edge followed from anchor to anchor, refined; of a closed line all round.

    Parameters
    ----------
    crop
        Cuts a window out of the picture: ``crop(box, step)`` is its pixels, reduced by a
        whole step, and where its corner lies (:func:`landmarks.instruments.edges.crop_of`).
    sides
        What is known of both sides (:func:`learned`).
    """
    placed = [_placed(crop, anchor) for anchor in anchors]
    pairs = list(pairwise(placed))
    if closed and len(placed) > 1:
        pairs.append((placed[-1], placed[0]))
    clicks = [one.point for one in placed]
    legs = [
        leg(crop, guide(clicks, index, closed=closed), plain=end.plain, sides=sides)
        for index, (_, end) in enumerate(pairs)
    ]
    return Traced(tuple(legs), tuple(placed), closed, sides)


def trace(crop: Crop, anchors: Sequence[Anchor], *, closed: bool = False) -> Traced:
    """Return a whole line from its anchors: followed plainly, then with what it taught."""
    return retraced(crop, follow(crop, anchors, closed=closed))


def retraced(crop: Crop, plain: Traced) -> Traced:
    """Return a plainly followed line followed anew, until it has taught what it can."""
    for _ in range(_ROUNDS):
        plain = again(crop, plain)
    return plain


def again(crop: Crop, traced: Traced) -> Traced:
    """Return a line followed anew with what its own sides teach; its anchors stay."""
    clicks = [one.point for one in traced.anchors]
    sides = learned(crop, traced.points, clicks, closed=traced.closed)
    if sides is None:
        return traced
    kept = [Anchor(one.point, plain=one.plain) for one in traced.anchors]
    made = follow(crop, kept, closed=traced.closed, sides=sides)
    return Traced(made.legs, traced.anchors, traced.closed, sides)


def corrected(crop: Crop, traced: Traced, at: Point) -> Traced:
    """Return a line led through one more click, which is taken exactly as it was made."""
    nearest = min(
        range(len(traced.legs)),
        key=lambda k: min((distance(p, at) for p in traced.legs[k]), default=1e9),
    )
    return inserted(crop, traced, nearest, Anchor(at))


def inserted(crop: Crop, traced: Traced, index: int, anchor: Anchor) -> Traced:
    """Return a line with one more anchor in its leg number ``index``; the others stay.

    A line that has been followed with what it taught learns anew from where it lies now.
    """
    sides = traced.sides
    if sides is not None:
        clicks = [anchor.point, *(one.point for one in traced.anchors)]
        sides = learned(crop, traced.points, clicks, closed=traced.closed)
    earlier = traced.legs[index]
    strayed = min((distance(one, anchor.point) for one in earlier), default=0.0)
    anchors = (*traced.anchors[: index + 1], anchor, *traced.anchors[index + 1 :])
    points = [one.point for one in anchors]
    new = []
    for place in (index, index + 1):
        told = guide(points, place, closed=traced.closed, earlier=earlier, strayed=strayed)
        plain = anchors[(place + 1) % len(anchors)].plain
        new.append(leg(crop, told, plain=plain, sides=sides))
    legs = (*traced.legs[:index], *new, *traced.legs[index + 1 :])
    return Traced(legs, anchors, traced.closed, sides)


def leg(
    crop: Crop, told: Guide, *, plain: bool = False, sides: Sides | None = None
) -> tuple[Point, ...]:
    """Return the line between two clicks: along the edge they mean, or straight.

    Parameters
    ----------
    told
        What the clicks say of it (:func:`landmarks.instruments.guides.guide`).
    plain
        Straight, whatever the picture holds.
    """
    a, b = told.curve[0], told.curve[-1]
    if plain or distance(a, b) < 3:
        return a, b
    box, step = window(a, b)
    pixels, origin = crop(box, step)
    edges = guided(_edges(pixels, origin, step, sides), pixels, told)
    line = _array(live(edges, from_anchor(edges, a), b))
    line[0], line[-1] = a, b
    while True:
        line = refined(line, step, edges, partial(edges_in, crop, sides=sides))
        if step == 1:
            break
        step //= 2
    # The ends are clicks, to the last digit.
    return a, *(Point(float(x), float(y)) for x, y in line[1:-1]), b


def _placed(crop: Crop, anchor: Anchor) -> Anchor:
    if not anchor.snap:
        return anchor
    room = 4 * SNAP_PX
    box = Box(anchor.point.x - room, anchor.point.y - room, 2 * room, 2 * room)
    edges = edges_in(crop, box, 1)
    return Anchor(snapped(edges, anchor.point), snap=True, plain=anchor.plain)


def _array(points: Sequence[Point]) -> Line:
    import numpy as np

    return np.array(points, np.float64).reshape(-1, 2)


def _edges(pixels: Pixels, origin: Point, step: int, sides: Sides | None) -> EdgeMap:
    if sides is None:
        return edge_map(pixels, origin, float(step))
    return parting(pixels, origin, float(step), sides)
