"""What the clicks of a person say of the line between them.

::

    clicks -> a smooth curve through them -> how far from it a leg may lie
    profiles across the line at both clicks -> which of several rims is meant
    the line that a click corrects -> no farther off anywhere than at that click

An edge map tells where a picture changes, and of two rims that run side by side it prefers the
sharper one. The clicks tell which was meant: the nearer they are, the better a smooth curve
through them foretells the line; no edge counts for more than the ones that were clicked; and
what lies to the left and right of a click lies there along its leg.

The curve is a centripetal Catmull-Rom spline with shortened tangents (common practice, no
source); all settings are ours, from rendered openings and shells.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from landmarks.geometry import Point, bounds, distance
from landmarks.instruments.edges import FLOOR, EdgeMap, channels, costs, smoothed

if TYPE_CHECKING:
    from numpy import float32, intp
    from numpy.typing import NDArray

    from landmarks.instruments.edges import Field, Line, Pixels

TENSION = 0.7
"""Tangents of the curve are shortened to this share: it swings less beside a bend."""

SLACK, LOOSER = 0.05, 0.8
"""At so many lengths of a leg beside the curve an edge is worth half; of longer legs at so
many times their share of the whole line."""

LEAST_CAP = 0.15
"""No leg takes edges fainter than this for the strongest."""

UNLIKE = 4.0
"""So many times its cost is added where a place is as unlike the clicks as it differs."""

MOST_STEP = 4
"""Maps coarser than this are too blurred to tell two rims apart."""

_PIECES = 16
_NEAR_PX = 2.5
_BESIDE = (-6.0, -3.0, 3.0, 6.0)
_ALONG = (-3.0, -1.5, 0.0, 1.5, 3.0)
_GREY = 12.0
"""A difference of so many grey levels counts one; none counts more than ``_MOST_UNLIKE``."""

_MOST_UNLIKE = 3.0
_DEAREST = 1e4
_STRAYED_PX = 2.0
"""Room beside an earlier line, besides what the click was off: clicks err by a pixel."""


@dataclass(frozen=True, slots=True)
class Guide:
    """What the clicks say of one leg.

    Attributes
    ----------
    curve
        Smooth curve from click to click; its ends are the clicks.
    slack
        Distance from the curve, in pixels, at which an edge is worth half.
    earlier, strayed
        The line that is corrected, and how far from it the click was made: nowhere else is it
        farther off, or the person would have clicked there.
    """

    curve: tuple[Point, ...]
    slack: float
    earlier: tuple[Point, ...] = ()
    strayed: float = 0.0


def guide(
    clicks: Sequence[Point],
    index: int,
    *,
    closed: bool = False,
    earlier: tuple[Point, ...] = (),
    strayed: float = 0.0,
) -> Guide:
    """Return what the clicks say of the leg from click number ``index`` to the next one."""
    start, end = clicks[index], clicks[(index + 1) % len(clicks)]
    box = bounds(clicks)
    whole = max(box.width, box.height, 1.0)
    length = distance(start, end)
    slack = length * max(SLACK, LOOSER * length / whole)
    curve = _curve([_click(clicks, index + k, closed=closed) for k in (-1, 0, 1, 2)])
    return Guide(curve, max(1.0, slack), earlier, strayed)


def guided(edges: EdgeMap, pixels: Pixels, told: Guide) -> EdgeMap:
    """Return an edge map in which only what the clicks mean is left strong.

    Parameters
    ----------
    pixels
        The window that the map was made of.
    """
    import numpy as np

    a, b = told.curve[0], told.curve[-1]
    cap = np.float32(max(LEAST_CAP, (_strongest(edges, a) + _strongest(edges, b)) / 2))
    dear = costs(np.minimum(edges.strength, cap)) * (cap + np.float32(FLOOR))
    near = _Nearest.of(edges, told.curve)
    dear *= 1 + near.square / np.float32(told.slack) ** 2
    if edges.step <= MOST_STEP:
        dear *= 1 + np.float32(UNLIKE) * _unlike(edges, pixels, told, near)
    if told.earlier:
        room = told.strayed + _STRAYED_PX
        away = np.sqrt(_Nearest.of(edges, _thinned(told.earlier)).square)
        dear *= 1 + (np.maximum(away - np.float32(room), 0) / np.float32(room / 2)) ** 2
    # Strengths below nought cost what they should; no cost may be lost in rounding.
    strength: Field = 1 / np.minimum(dear, np.float32(_DEAREST)) - np.float32(FLOOR)
    return EdgeMap(strength, edges.origin, edges.step)


def _click(clicks: Sequence[Point], index: int, *, closed: bool) -> Point:
    """Return a click; beyond the ends of an open line the one that would carry it on."""
    n = len(clicks)
    if closed:
        return clicks[index % n]
    if 0 <= index < n:
        return clicks[index]
    end, inner = (clicks[0], clicks[1]) if index < 0 else (clicks[-1], clicks[-2])
    return Point(2 * end.x - inner.x, 2 * end.y - inner.y)


def _curve(four: Sequence[Point]) -> tuple[Point, ...]:
    """Return the curve from the second to the third of four points."""
    import numpy as np

    p = np.array(four, float)
    d = np.maximum(np.hypot(*np.diff(p, axis=0).T) ** 0.5, 1e-3)
    first, second, third = np.diff(p, axis=0) / d[:, None]
    leaving = first - (p[2] - p[0]) / (d[0] + d[1]) + second
    arriving = second - (p[3] - p[1]) / (d[1] + d[2]) + third
    s = np.linspace(0.0, 1.0, _PIECES + 1)[:, None]
    made = (
        (2 * s**3 - 3 * s**2 + 1) * p[1]
        + (s**3 - 2 * s**2 + s) * leaving * d[1] * TENSION
        + (3 * s**2 - 2 * s**3) * p[2]
        + (s**3 - s**2) * arriving * d[1] * TENSION
    )
    return tuple(Point(float(x), float(y)) for x, y in made)


def _strongest(edges: EdgeMap, click: Point) -> float:
    """Return the strongest edge where a click may have meant it."""
    row, column = edges.pixel(click)
    r = max(1, round(_NEAR_PX / edges.step))
    near = edges.strength[
        max(0, row - r) : row + r + 1, max(0, column - r) : column + r + 1
    ]
    return float(near.max())


@dataclass(frozen=True, slots=True)
class _Nearest:
    """Where each pixel of a map lies by a curve.

    Attributes
    ----------
    square
        Squared distance to the curve, in pixels of the picture.
    piece, along
        Its nearest piece, and how far along the whole curve that place is (0 to 1).
    """

    square: Field
    piece: NDArray[intp]
    along: Field

    @classmethod
    def of(cls, edges: EdgeMap, curve: Sequence[Point]) -> _Nearest:
        import numpy as np

        # All of it changes slowly: every other pixel is enough of a large map.
        rows, columns = edges.strength.shape
        thin = 2 if rows * columns > 20_000 else 1
        x = edges.origin.x + (np.arange(0, columns, thin) + thin / 2) * edges.step
        y = edges.origin.y + (np.arange(0, rows, thin) + thin / 2) * edges.step
        square = np.full((len(y), len(x)), np.inf, np.float32)
        piece = np.zeros(square.shape, np.intp)
        along = np.zeros(square.shape, np.float32)
        n = len(curve) - 1
        for k, (p, q) in enumerate(pairwise(curve)):
            right, down = (x - p.x).astype(np.float32), (y - p.y).astype(np.float32)
            w = np.float32(q.x - p.x), np.float32(q.y - p.y)
            share = right[None, :] * w[0] + down[:, None] * w[1]
            share = np.clip(share / (w[0] ** 2 + w[1] ** 2 + np.float32(1e-6)), 0, 1)
            here = (right[None, :] - share * w[0]) ** 2 + (
                down[:, None] - share * w[1]
            ) ** 2
            closer = here < square
            np.copyto(square, here, where=closer)
            np.copyto(piece, k, where=closer)
            np.copyto(along, (k + share) / np.float32(n), where=closer)
        if thin == 1:
            return cls(square, piece, along)
        rows_of, columns_of = np.arange(rows) // 2, np.arange(columns) // 2
        every = np.ix_(rows_of, columns_of)
        return cls(square[every], piece[every], along[every])


def _unlike(edges: EdgeMap, pixels: Pixels, told: Guide, near: _Nearest) -> Field:
    """Return how unlike the clicks each place of a map is, by what lies on its two sides.

    Of a place along the leg both clicks speak, the nearer one more.
    """
    import numpy as np

    fields = np.stack([smoothed(one, 1.5) for one in channels(pixels)], -1)
    curve = np.array(told.curve)
    forward = np.diff(curve, axis=0)
    forward /= np.maximum(np.hypot(*forward.T), 1e-6)[:, None]
    square = np.column_stack([-forward[:, 1], forward[:, 0]]).astype(np.float32)
    flat = np.flatnonzero(near.square.ravel() < (3 * told.slack) ** 2)
    rows, columns = edges.strength.shape
    row, column = np.divmod(flat, columns)
    aside = square[near.piece.ravel()[flat]]
    along = near.along.ravel()[flat]
    unlike = np.zeros(len(flat), np.float32)
    for off in _BESIDE:
        r = np.clip(np.rint(row + off * aside[:, 1]).astype(np.intp), 0, rows - 1)
        c = np.clip(np.rint(column + off * aside[:, 0]).astype(np.intp), 0, columns - 1)
        here = fields[r, c]
        for at, share in ((0, 1 - along), (-1, along)):
            meant = _profile(edges, fields, curve[at], forward[at], off)
            apart = np.abs(here - meant).mean(1) / np.float32(_GREY)
            unlike += share * np.minimum(apart, np.float32(_MOST_UNLIKE))
    made = np.full(rows * columns, _MOST_UNLIKE, np.float32)
    made[flat] = unlike / len(_BESIDE)
    return made.reshape(rows, columns)


def _profile(
    edges: EdgeMap, fields: NDArray[float32], click: Line, forward: Line, off: float
) -> NDArray[float32]:
    """Return the mean colour beside a click, ``off`` map pixels to the right of the line."""
    import numpy as np

    rows, columns = edges.strength.shape
    found = []
    for along in _ALONG:
        x, y = click + edges.step * (
            off * np.array([-forward[1], forward[0]]) + along * forward
        )
        row, column = edges.pixel(Point(float(x), float(y)))
        found.append(fields[min(row, rows - 1), min(column, columns - 1)])
    made: NDArray[float32] = np.mean(found, axis=0)
    return made


def _thinned(line: Sequence[Point]) -> list[Point]:
    """Return about two dozen points of a line, its ends among them."""
    stride = -(-len(line) // 24)
    return [*line[:-1:stride], line[-1]]
