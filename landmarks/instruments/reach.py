"""The cheapest way over a map of costs from one place to all others: exact, in numpy alone.

Rows are swept down and up. From one row to the next a way goes straight or aslant; along a
row the cheapest way from any other place of it is a running minimum over summed costs, so a
whole row is done in a dozen array operations. Sweeping goes on until nothing changes: then
every place knows the cost of its cheapest way, the same as Dijkstra's.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from numpy import float32, float64
    from numpy.typing import NDArray

    Costs = NDArray[float32]

ROOT_2 = 2**0.5
_SAME = 1e-9
_MAX_SWEEPS = 60
"""A way that turns up and down more often than that is no outline."""


@dataclass(frozen=True, slots=True)
class Reach:
    """What it costs to come from ``start`` (row, column) to every pixel of a map.

    A step from pixel to pixel costs its length times the mean of the costs of both.
    """

    costs: Costs
    total: NDArray[float64]
    start: tuple[int, int]

    def way_to(self, end: tuple[int, int]) -> list[tuple[int, int]]:
        """Return the pixels (row, column) of the cheapest way from the start to ``end``."""
        rows, columns = self.total.shape
        total, costs = self.total, self.costs
        row, column = end
        way = [(row, column)]
        while (row, column) != self.start:
            here = float(costs[row, column])
            best, chosen = float("inf"), (row, column)
            for r in range(max(0, row - 1), min(rows, row + 2)):
                for c in range(max(0, column - 1), min(columns, column + 2)):
                    if r == row and c == column:
                        continue
                    length = 1.0 if r == row or c == column else ROOT_2
                    at = float(total[r, c]) + length * 0.5 * (here + float(costs[r, c]))
                    if at < best:
                        best, chosen = at, (r, c)
            # Totals fall along the way as costs are above nought; rounding must not turn it.
            if total[chosen] >= total[row, column]:
                break
            row, column = chosen
            way.append(chosen)
        way.reverse()
        return way


def reach(costs: Costs, start: tuple[int, int]) -> Reach:
    """Return the cheapest ways from ``start`` over a map (rows, columns) of positive costs."""
    *_, last = reaching(costs, start)
    return last


def reaching(costs: Costs, start: tuple[int, int]) -> Iterator[Reach]:
    """Yield the reach after every sweep, the exact one last; between sweeps one may pause.

    Unfinished ones hold ways too, only not yet the cheapest.
    """
    import numpy as np

    c = np.asarray(costs, np.float64)
    down = 0.5 * (c[1:] + c[:-1])
    falling = ROOT_2 * 0.5 * (c[1:, 1:] + c[:-1, :-1])
    rising = ROOT_2 * 0.5 * (c[1:, :-1] + c[:-1, 1:])
    summed = np.zeros_like(c)
    np.cumsum(0.5 * (c[:, 1:] + c[:, :-1]), axis=1, out=summed[:, 1:])
    total = np.full(c.shape, np.inf)
    total[start] = 0.0
    rows = len(c)
    fresh = np.zeros(rows, bool)
    fresh[start[0]] = True
    _along(total[start[0]], summed[start[0]])
    for number in range(_MAX_SWEEPS):
        downwards = number % 2 == 0
        fresh_now = fresh.copy()
        moved = np.zeros(rows, bool)
        order = range(1, rows) if downwards else range(rows - 2, -1, -1)
        for row in order:
            before = row - 1 if downwards else row + 1
            if not fresh_now[before]:
                continue
            step = min(row, before)
            came = total[before] + down[step]
            aslant = (falling, rising) if downwards else (rising, falling)
            # From the left neighbour of the row before, then from the right one.
            np.minimum(came[1:], total[before, :-1] + aslant[0][step], out=came[1:])
            np.minimum(came[:-1], total[before, 1:] + aslant[1][step], out=came[:-1])
            better = came < total[row] - _SAME
            if not better.any():
                continue
            np.minimum(total[row], came, out=total[row])
            _along(total[row], summed[row])
            fresh_now[row] = moved[row] = True
        yield Reach(costs, total, start)
        # What moved must be carried the other way; what was fresh was carried this way.
        fresh = moved if number else moved | fresh
        if number and not moved.any():
            return


def _along(row: NDArray[float64], summed: NDArray[float64]) -> None:
    """Carry costs along a row both ways, in place."""
    import numpy as np

    np.minimum(row, np.minimum.accumulate(row - summed) + summed, out=row)
    back = np.minimum.accumulate((row + summed)[::-1])[::-1] - summed
    np.minimum(row, back, out=row)
