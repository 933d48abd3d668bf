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
from itertools import pairwise
from typing import TYPE_CHECKING

from landmarks.geometry import Box, Point, bounds, distance
from landmarks.instruments.edges import EdgeMap, edge_map, sampled, window
from landmarks.instruments.likeness import learned, parting
from landmarks.instruments.reach import Reach, reach, reaching

if TYPE_CHECKING:
    from numpy import float64, intp
    from numpy.typing import NDArray

    from landmarks.instruments.edges import Crop, Field, Line
    from landmarks.instruments.likeness import Sides

SNAP_PX = 6.0
"""An anchor goes to the strongest edge within so many map pixels."""

_FLOOR = 0.06
_CLICK_PX = 2.5
_ROUNDS = 2
"""How often a new line is followed anew with what it taught."""

_SLACK, _LOOSER = 0.15, 3.0
"""At so many lengths of a leg beside the straight line between its ends an edge is worth half;
of longer legs at so many times their share of the whole line (ours, from rendered shells)."""

_PIECE_PX = 300.0


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
    pixels, origin = crop(box, step)
    if sides is None:
        return edge_map(pixels, origin, float(step))
    return parting(pixels, origin, float(step), sides)


def from_anchor(edges: EdgeMap, anchor: Point) -> Reach:
    """Return the cheapest ways from an anchor over a map; make it once, then follow it."""
    return reach(_costs(edges), edges.pixel(anchor))


def approaching(edges: EdgeMap, anchor: Point) -> Iterator[Reach]:
    """Yield ever better ways from an anchor, so that a caller may pause in between."""
    return reaching(_costs(edges), edges.pixel(anchor))


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
    whole = extent([one.point for one in placed])
    legs = [
        leg(crop, a.point, b.point, plain=b.plain, sides=sides, whole=whole)
        for a, b in pairs
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
    start = traced.anchors[index]
    end = traced.anchors[(index + 1) % len(traced.anchors)]
    whole = extent([one.point for one in (*traced.anchors, anchor)])
    new = tuple(
        leg(crop, a.point, b.point, plain=b.plain, sides=sides, whole=whole)
        for a, b in ((start, anchor), (anchor, end))
    )
    legs = (*traced.legs[:index], *new, *traced.legs[index + 1 :])
    anchors = (*traced.anchors[: index + 1], anchor, *traced.anchors[index + 1 :])
    return Traced(legs, anchors, traced.closed, sides)


def leg(
    crop: Crop,
    a: Point,
    b: Point,
    *,
    plain: bool = False,
    sides: Sides | None = None,
    whole: float = 0.0,
) -> tuple[Point, ...]:
    """Return the line from a to b: along the edge, or straight where ``plain``.

    ``whole`` is the extent of the line that it is a part of (:func:`extent`): the shorter
    the leg is beside it, the less it may wander.
    """
    if plain or distance(a, b) < 3:
        return a, b
    box, step = window(a, b)
    edges = edges_in(crop, box, step, sides)
    line = _array(live(edges, reach(_held(edges, a, b, whole), edges.pixel(a)), b))
    line[0], line[-1] = a, b
    while True:
        line = _refined(crop, line, step, edges, sides)
        if step == 1:
            break
        step //= 2
    # The ends are clicks, to the last digit.
    return a, *(Point(float(x), float(y)) for x, y in line[1:-1]), b


def extent(points: Sequence[Point]) -> float:
    """Return the length of the longer side of the box around points."""
    box = bounds(points)
    return max(box.width, box.height)


def _held(edges: EdgeMap, a: Point, b: Point, whole: float) -> Field:
    """Return the costs of a leg: dearer the farther one goes from the straight line.

    Near clicks say where the line lies: beside a stronger edge that runs along it, a rim or
    a tentacle, they are what a person meant.
    """
    import numpy as np

    costs = _costs(edges)
    length = distance(a, b)
    if not whole:
        return costs
    slack = length * max(_SLACK, _LOOSER * length / whole)
    rows, columns = costs.shape
    x = edges.origin.x + (np.arange(columns, dtype=np.float32) + 0.5) * edges.step - a.x
    y = edges.origin.y + (np.arange(rows, dtype=np.float32) + 0.5) * edges.step - a.y
    way = ((b.x - a.x) / length, (b.y - a.y) / length)
    along = x[None, :] * way[0] + y[:, None] * way[1]
    beyond = np.maximum(np.maximum(-along, along - length), 0.0)
    across = y[:, None] * way[0] - x[None, :] * way[1]
    held: Field = costs * (1 + (across**2 + beyond**2) / np.float32(slack) ** 2)
    return held


def _placed(crop: Crop, anchor: Anchor) -> Anchor:
    if not anchor.snap:
        return anchor
    room = 4 * SNAP_PX
    box = Box(anchor.point.x - room, anchor.point.y - room, 2 * room, 2 * room)
    edges = edges_in(crop, box, 1)
    return Anchor(snapped(edges, anchor.point), snap=True, plain=anchor.plain)


def _costs(edges: EdgeMap) -> Field:
    costs: Field = 1.0 / (edges.strength + _FLOOR)
    return costs


def _refined(
    crop: Crop, line: Line, step: int, whole: EdgeMap, sides: Sides | None
) -> Line:
    """Return a line moved square to itself onto the edge, to a fraction of a map pixel.

    The best offsets are a cheapest way once more, along the line in a narrow band, so that
    neighbours agree; then a parabola through the strengths beside it.
    """
    import numpy as np

    line = _even(_blurred(_even(line, float(step)), 2.0), float(step))
    if len(line) < 5:
        return line
    tangent = np.gradient(_blurred(line, 2.0), axis=0)
    tangent /= np.maximum(np.hypot(*tangent.T), 1e-9)[:, None]
    square = np.column_stack([-tangent[:, 1], tangent[:, 0]])
    offsets = np.arange(-6, 7) * 0.5
    at = line[:, None] + (offsets * step)[None, :, None] * square[:, None]
    strength = np.empty(at.shape[:2])
    for first, last, edges in _pieces(crop, line, step, whole, sides):
        strength[first:last] = sampled(edges, at[first:last])
    chosen = _banded(1.0 / (strength + _FLOOR))
    moved = offsets[chosen] + 0.5 * _parabola(strength, chosen)
    moved[0] = moved[-1] = 0.0
    moved = _blurred(_median(moved)[:, None], 1.5)[:, 0]
    moved[0] = moved[-1] = 0.0
    refined: Line = line + (moved * step)[:, None] * square
    return refined


def _pieces(
    crop: Crop, line: Line, step: int, whole: EdgeMap, sides: Sides | None
) -> Iterator[tuple[int, int, EdgeMap]]:
    """Yield stretches of a line with an edge map that holds each."""
    if whole.step == step:
        yield 0, len(line), whole
        return
    length = int(_PIECE_PX)
    for first in range(0, len(line), length):
        part = line[first : first + length]
        low, high = part.min(0) - 16 * step, part.max(0) + 16 * step
        box = Box(float(low[0]), float(low[1]), *map(float, high - low))
        yield first, first + len(part), edges_in(crop, box, step, sides)


def _banded(costs: NDArray[float64]) -> NDArray[intp]:
    """Return the cheapest column of every row, changing by at most one from row to row.

    Both ends are held in the middle: they are clicks.
    """
    import numpy as np

    n, m = costs.shape
    total = np.full(m + 2, np.inf)
    middle = m // 2
    total[middle + 1] = 0.0
    came = np.zeros((n, m), np.int8)
    for row in range(1, n):
        three = np.stack([total[:-2] + 0.3, total[1:-1], total[2:] + 0.3])
        pick = three.argmin(0)
        came[row] = pick - 1
        total[1:-1] = three[pick, np.arange(m)] + costs[row]
    chosen = np.empty(n, np.intp)
    column = middle
    for row in range(n - 1, -1, -1):
        chosen[row] = column
        column += int(came[row, column])
    return chosen


def _parabola(strength: NDArray[float64], chosen: NDArray[intp]) -> NDArray[float64]:
    """Return by how many columns the top of the strength lies beside the chosen one."""
    import numpy as np

    rows = np.arange(len(strength))
    inner = np.clip(chosen, 1, strength.shape[1] - 2)
    left, here, right = (strength[rows, inner + k] for k in (-1, 0, 1))
    bend = left - 2 * here + right
    shift = np.where(bend < 0, 0.5 * (left - right) / np.where(bend < 0, bend, 1.0), 0.0)
    return np.where(chosen == inner, np.clip(shift, -1.0, 1.0), 0.0)


def _array(points: Sequence[Point]) -> Line:
    import numpy as np

    return np.array(points, np.float64).reshape(-1, 2)


def _even(line: Line, step: float) -> Line:
    """Return a line as points about ``step`` apart, its ends where they were."""
    import numpy as np

    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
    places = np.linspace(0.0, along[-1], max(2, int(along[-1] / step) + 1))
    return np.column_stack([np.interp(places, along, line[:, k]) for k in (0, 1)])


def _blurred(values: Line, sigma: float) -> Line:
    """Return rows (n, k) smoothed along n; both ends stay where they are."""
    import numpy as np

    n = int(3 * sigma)
    kernel = np.exp(-0.5 * (np.arange(-n, n + 1) / sigma) ** 2)
    kernel /= kernel.sum()
    # Turned about its ends a line keeps them.
    padded = np.concatenate(
        [
            2 * values[0] - values[min(n, len(values) - 1) : 0 : -1],
            values,
            2 * values[-1] - values[-2 : -n - 2 : -1],
        ]
    )
    short = n - min(n, len(values) - 1)
    if short:
        padded = np.pad(padded, ((short, short), (0, 0)), mode="edge")
    return np.column_stack([np.convolve(column, kernel, "valid") for column in padded.T])


def _median(values: NDArray[float64]) -> NDArray[float64]:
    import numpy as np

    padded = np.pad(values, 3, mode="edge")
    made: NDArray[float64] = np.median(
        np.lib.stride_tricks.sliding_window_view(padded, 7), axis=1
    )
    return made
