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

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from landmarks.geometry import Box, Point, bounds, distance
from landmarks.instruments.reach import Reach, reach, reaching

if TYPE_CHECKING:
    from numpy import float32, float64, uint8
    from numpy.typing import NDArray

    Pixels = NDArray[uint8]
    Field = NDArray[float32]
    Line = NDArray[float64]

    Crop = Callable[[Box, int], tuple[Pixels, Point]]

WINDOW_PX = 400
"""A window is at most so many map pixels wide and high."""

SNAP_PX = 6.0
"""An anchor goes to the strongest edge within so many map pixels."""

_SIGMA = 1.5
_FLOOR = 0.03
_ROOM = 0.35
"""A line may bulge out of the box of its ends by this share of their distance."""

_LEAST_ROOM = 24.0
_PIECE_PX = 300.0


@dataclass(frozen=True, slots=True)
class EdgeMap:
    """How strongly a picture changes from place to place.

    Attributes
    ----------
    strength
        (rows, columns): 1 where only a hundredth of the pixels change more.
    origin
        The outer top-left corner of the map in the picture.
    step
        Picture pixels per map pixel.
    """

    strength: Field
    origin: Point = Point(0.0, 0.0)
    step: float = 1.0

    def pixel(self, point: Point) -> tuple[int, int]:
        """Return the row and column of the map that hold a point, or the nearest ones."""
        rows, columns = self.strength.shape
        column = int((point.x - self.origin.x) / self.step)
        row = int((point.y - self.origin.y) / self.step)
        return min(max(row, 0), rows - 1), min(max(column, 0), columns - 1)

    def point(self, row: float, column: float) -> Point:
        """Return the centre of a pixel of the map, in the picture."""
        return Point(
            self.origin.x + (column + 0.5) * self.step,
            self.origin.y + (row + 0.5) * self.step,
        )


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
    first anchor.
    """

    legs: tuple[tuple[Point, ...], ...]
    anchors: tuple[Anchor, ...]
    closed: bool = False

    @property
    def points(self) -> tuple[Point, ...]:
        """Return the whole line; a closed one does not repeat its first point."""
        joined = [point for leg in self.legs for point in leg[:-1]]
        if self.legs and not self.closed:
            joined.append(self.legs[-1][-1])
        return tuple(joined)


def crop_of(picture: Pixels) -> Crop:
    """Return what cuts windows out of a whole picture (rows, columns, 3) of eight bits."""
    import numpy as np

    rows, columns = picture.shape[:2]

    def crop(box: Box, step: int) -> tuple[Pixels, Point]:
        left, top = max(0, int(box.x)), max(0, int(box.y))
        right = min(columns, int(box.x + box.width) + 1)
        bottom = min(rows, int(box.y + box.height) + 1)
        cut = picture[top:bottom, left:right]
        if step > 1 and min(cut.shape[:2]) >= step:
            tall, wide = cut.shape[0] // step, cut.shape[1] // step
            blocks = cut[: tall * step, : wide * step].reshape(tall, step, wide, step, -1)
            cut = blocks.mean(axis=(1, 3), dtype=np.float32).astype(np.uint8)
        return cut, Point(float(left), float(top))

    return crop


def edge_map(
    pixels: Pixels, origin: Point = Point(0.0, 0.0), step: float = 1.0
) -> EdgeMap:
    """Return how strongly a window (rows, columns, 3) changes, in lightness and colour.

    The greatest eigenvalue of the structure tensor over lightness and two opponent colours.
    """
    import numpy as np

    f = pixels.astype(np.float32)
    if f.ndim == 2:
        f = np.repeat(f[..., None], 3, axis=2)
    red, green, blue = f[..., 0], f[..., 1], f[..., 2]
    light = 0.3 * red + 0.59 * green + 0.11 * blue
    xx = np.zeros_like(light)
    xy, yy = xx.copy(), xx.copy()
    for channel, weight in ((light, 1.0), (red - green, 0.8), (blue - light, 0.5)):
        smooth = _smoothed(channel * np.float32(weight), _SIGMA)
        down, across = np.gradient(smooth)
        xx += across * across
        xy += across * down
        yy += down * down
    half = (xx - yy) / 2
    strength = np.sqrt(np.maximum((xx + yy) / 2 + np.sqrt(half * half + xy * xy), 0))
    top = float(np.percentile(strength, 99))
    return EdgeMap((strength / (top or 1.0)).astype(np.float32), origin, step)


def window(a: Point, b: Point) -> tuple[Box, int]:
    """Return the window to search for an edge from a to b, and its step of pixels.

    The step is a power of two that keeps the window within :data:`WINDOW_PX`.
    """
    box = bounds((a, b))
    room = max(_LEAST_ROOM, _ROOM * distance(a, b))
    wide = max(box.width, box.height) + 2 * room
    step = 1
    while wide / step > WINDOW_PX:
        step *= 2
    return Box(box.x - room, box.y - room, box.width + 2 * room, box.height + 2 * room), step


def edges_in(crop: Crop, box: Box, step: int) -> EdgeMap:
    """Return the edge map of a window of the picture."""
    pixels, origin = crop(box, step)
    return edge_map(pixels, origin, float(step))


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
    # Of two edges alike the nearer one is meant.
    worth = np.where(off <= radius, near * (1 - 0.5 * off / radius), -1.0)
    best = np.unravel_index(int(np.argmax(worth)), worth.shape)
    if near[best] < 0.1:
        return point
    return edges.point(top + int(best[0]), left + int(best[1]))


def follow(crop: Crop, anchors: Sequence[Anchor], *, closed: bool = False) -> Traced:
    """Return the edge followed from anchor to anchor, refined; of a closed line all round.

    Parameters
    ----------
    crop
        Cuts a window out of the picture: ``crop(box, step)`` is its pixels, reduced by a
        whole step, and where its corner lies (:func:`crop_of`).
    """
    placed = [_placed(crop, anchor) for anchor in anchors]
    pairs = list(pairwise(placed))
    if closed and len(placed) > 1:
        pairs.append((placed[-1], placed[0]))
    legs = [leg(crop, a.point, b.point, plain=b.plain) for a, b in pairs]
    return Traced(tuple(legs), tuple(placed), closed)


def corrected(crop: Crop, traced: Traced, at: Point) -> Traced:
    """Return a line led through one more click, which is taken exactly as it was made."""
    nearest = min(
        range(len(traced.legs)),
        key=lambda k: min((distance(p, at) for p in traced.legs[k]), default=1e9),
    )
    return inserted(crop, traced, nearest, Anchor(at))


def inserted(crop: Crop, traced: Traced, index: int, anchor: Anchor) -> Traced:
    """Return a line with one more anchor in its leg number ``index``; the others stay."""
    start = traced.anchors[index]
    end = traced.anchors[(index + 1) % len(traced.anchors)]
    new = (
        leg(crop, start.point, anchor.point, plain=anchor.plain),
        leg(crop, anchor.point, end.point, plain=end.plain),
    )
    legs = (*traced.legs[:index], *new, *traced.legs[index + 1 :])
    anchors = (*traced.anchors[: index + 1], anchor, *traced.anchors[index + 1 :])
    return Traced(legs, anchors, traced.closed)


def leg(crop: Crop, a: Point, b: Point, *, plain: bool = False) -> tuple[Point, ...]:
    """Return the line from a to b: along the edge, or straight where ``plain``."""
    if plain or distance(a, b) < 3:
        return a, b
    box, step = window(a, b)
    edges = edges_in(crop, box, step)
    line = _array(live(edges, from_anchor(edges, a), b))
    line[0], line[-1] = a, b
    while True:
        line = _refined(crop, line, step, edges)
        if step == 1:
            break
        step //= 2
    return tuple(Point(float(x), float(y)) for x, y in line)


def _placed(crop: Crop, anchor: Anchor) -> Anchor:
    if not anchor.snap:
        return anchor
    room = 4 * SNAP_PX
    box = Box(anchor.point.x - room, anchor.point.y - room, 2 * room, 2 * room)
    edges = edges_in(crop, box, 1)
    return Anchor(snapped(edges, anchor.point), True, anchor.plain)


def _costs(edges: EdgeMap) -> Field:
    costs: Field = 1.0 / (edges.strength + _FLOOR)
    return costs


def _refined(crop: Crop, line: Line, step: int, whole: EdgeMap) -> Line:
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
    for first, last, edges in _pieces(crop, line, step, whole):
        strength[first:last] = _sampled(edges, at[first:last])
    chosen = _banded(1.0 / (strength + _FLOOR))
    moved = offsets[chosen] + 0.5 * _parabola(strength, chosen)
    moved[0] = moved[-1] = 0.0
    moved = _blurred(_median(moved)[:, None], 1.5)[:, 0]
    moved[0] = moved[-1] = 0.0
    refined: Line = line + (moved * step)[:, None] * square
    return refined


def _pieces(
    crop: Crop, line: Line, step: int, whole: EdgeMap
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
        yield first, first + len(part), edges_in(crop, box, step)


def _banded(costs: NDArray[float64]) -> NDArray[float64]:
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
        three = np.stack([total[:-2] * 1.0 + 0.3, total[1:-1], total[2:] + 0.3])
        pick = three.argmin(0)
        came[row] = pick - 1
        total[1:-1] = three[pick, np.arange(m)] + costs[row]
    chosen = np.empty(n, int)
    column = middle
    for row in range(n - 1, -1, -1):
        chosen[row] = column
        column += int(came[row, column])
    return chosen


def _parabola(strength: NDArray[float64], chosen: NDArray[float64]) -> NDArray[float64]:
    """Return by how many columns the top of the strength lies beside the chosen one."""
    import numpy as np

    rows = np.arange(len(strength))
    inner = np.clip(chosen, 1, strength.shape[1] - 2)
    left, here, right = (strength[rows, inner + k] for k in (-1, 0, 1))
    bend = left - 2 * here + right
    shift = np.where(bend < 0, 0.5 * (left - right) / np.where(bend < 0, bend, 1.0), 0.0)
    return np.where(chosen == inner, np.clip(shift, -1.0, 1.0), 0.0)


def _sampled(edges: EdgeMap, at: Line) -> NDArray[float64]:
    """Return the strength at points (..., 2) of the picture, between pixels bilinearly."""
    import numpy as np

    rows, columns = edges.strength.shape
    x = np.clip((at[..., 0] - edges.origin.x) / edges.step - 0.5, 0, columns - 1.001)
    y = np.clip((at[..., 1] - edges.origin.y) / edges.step - 0.5, 0, rows - 1.001)
    column, row = x.astype(int), y.astype(int)
    u, v = x - column, y - row
    s = edges.strength
    return (s[row, column] * (1 - u) + s[row, column + 1] * u) * (1 - v) + (
        s[row + 1, column] * (1 - u) + s[row + 1, column + 1] * u
    ) * v


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


def _smoothed(field: Field, sigma: float) -> Field:
    """Return a field blurred by a Gaussian, its border repeated."""
    import numpy as np

    n = int(3 * sigma + 0.5)
    kernel = np.exp(-0.5 * (np.arange(-n, n + 1) / sigma) ** 2)
    kernel = (kernel / kernel.sum()).astype(np.float32)
    for axis in (0, 1):
        pad = [(n, n), (0, 0)] if axis == 0 else [(0, 0), (n, n)]
        padded = np.pad(field, pad, mode="edge")
        length = field.shape[axis]
        total = np.zeros_like(field)
        for k, weight in enumerate(kernel):
            part = padded[k : k + length] if axis == 0 else padded[:, k : k + length]
            total += weight * part
        field = total
    return field
