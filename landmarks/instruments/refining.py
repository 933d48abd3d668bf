"""A coarse line moved square to itself onto the edge, to a fraction of a pixel.

::

    way over a map -> smoothed -> best offsets in a narrow band -> parabola -> line
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, TypeAlias

from landmarks.geometry import Box
from landmarks.instruments.edges import FLOOR, EdgeMap, sampled

if TYPE_CHECKING:
    from numpy import float64, intp
    from numpy.typing import NDArray

    from landmarks.instruments.edges import Line

Look: TypeAlias = Callable[[Box, int], EdgeMap]

_PIECE_PX = 300.0


def refined(line: Line, step: int, whole: EdgeMap, look: Look) -> Line:
    """Return a line moved square to itself onto the edge, to a fraction of a map pixel.

    The best offsets are a cheapest way once more, along the line in a narrow band, so that
    neighbours agree; then a parabola through the strengths beside it.

    Parameters
    ----------
    line
        Rows (n, 2) of pixels of the picture.
    step
        Picture pixels per map pixel.
    whole
        A map that holds all of the line; used where it is as fine as ``step``.
    look
        Gives the edge map of a window at a step, for stretches of a finer one.
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
    for first, last, edges in _pieces(line, step, whole, look):
        strength[first:last] = sampled(edges, at[first:last])
    chosen = _banded(1.0 / (strength + FLOOR))
    moved = offsets[chosen] + 0.5 * _parabola(strength, chosen)
    moved[0] = moved[-1] = 0.0
    moved = _blurred(_median(moved)[:, None], 1.5)[:, 0]
    moved[0] = moved[-1] = 0.0
    refined: Line = line + (moved * step)[:, None] * square
    return refined


def _pieces(
    line: Line, step: int, whole: EdgeMap, look: Look
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
        yield first, first + len(part), look(box, step)


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
