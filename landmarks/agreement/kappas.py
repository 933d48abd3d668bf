"""Agreement of scores beyond chance: the kappas of Cohen and of Fleiss.

Sources: Cohen 1960 and 1968, Fleiss 1971; the large-sample standard error of Fleiss, Cohen &
Everitt 1969; all formulas from memory, checked by published numbers in ``tests/published``.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass
from math import sqrt

from landmarks.agreement.untold import Untold, all_alike, too_few
from landmarks.shares import NINETY_FIVE

WEIGHTS: Mapping[str, Callable[[int, int, int], float]] = {
    "none": lambda i, j, k: float(i == j),
    "linear": lambda i, j, k: 1 - abs(i - j) / (k - 1),
    "quadratic": lambda i, j, k: 1 - ((i - j) / (k - 1)) ** 2,
}
"""What scores i and j of k count as agreement: by identity, or by how near they are."""


@dataclass(frozen=True, slots=True)
class Kappa:
    """Agreement beyond chance: 1 is perfect, 0 no better than chance.

    ``observed`` and ``expected`` are the agreement found and that by chance; ``error`` is one
    standard error, ``low`` to ``high`` the 95 % interval of the large sample.
    """

    n: int
    value: float
    observed: float
    expected: float
    error: float

    @property
    def low(self) -> float:
        """Return the lower end of the 95 % interval."""
        return self.value - NINETY_FIVE * self.error

    @property
    def high(self) -> float:
        """Return the upper end of the 95 % interval."""
        return self.value + NINETY_FIVE * self.error


def cohen(table: Sequence[Sequence[float]], weights: str = "none") -> Kappa | Untold:
    """Return the kappa of two readers from the square table of their scores.

    Parameters
    ----------
    table
        Counts (k, k): row the first reader's score, column the second's, in one order.
    weights
        ``"none"``, ``"linear"`` or ``"quadratic"``: scores that have an order may miss by one.
    """
    k, n = len(table), sum(map(sum, table))
    if n < 2:
        return too_few(int(n), 2)
    if k < 2:
        return all_alike()
    scores = range(k)
    p = [[table[i][j] / n for j in scores] for i in scores]
    rows = [sum(p[i]) for i in scores]
    columns = [sum(p[i][j] for i in scores) for j in scores]
    w = [[WEIGHTS[weights](i, j, k) for j in scores] for i in scores]
    found = sum(p[i][j] * w[i][j] for i in scores for j in scores)
    chance = sum(rows[i] * columns[j] * w[i][j] for i in scores for j in scores)
    if chance >= 1 - 1e-12:
        return all_alike()
    kappa = (found - chance) / (1 - chance)
    by_row = [sum(columns[j] * w[i][j] for j in scores) for i in scores]
    by_column = [sum(rows[i] * w[i][j] for i in scores) for j in scores]
    spread = sum(
        p[i][j] * (w[i][j] - (by_row[i] + by_column[j]) * (1 - kappa)) ** 2
        for i in scores
        for j in scores
    )
    spread -= (kappa - chance * (1 - kappa)) ** 2
    error = sqrt(max(0.0, spread) / n) / (1 - chance)
    return Kappa(int(n), kappa, found, chance, error)


def cohen_of(
    first: Sequence[Hashable],
    second: Sequence[Hashable],
    order: Sequence[Hashable] = (),
    weights: str = "none",
) -> Kappa | Untold:
    """Return the kappa of two readers' scores of the same things.

    ``order`` names the scores in their order; without weights it may be left out.
    """
    known = list(dict.fromkeys([*order, *first, *second]))
    place = {score: index for index, score in enumerate(known)}
    table = [[0] * len(known) for _ in known]
    for a, b in zip(first, second, strict=True):
        table[place[a]][place[b]] += 1
    return cohen(table, weights)


def fleiss(counts: Sequence[Sequence[int]]) -> float | Untold:
    """Return the kappa of many readers.

    ``counts`` says for each thing how many readers gave each score; every thing has been read
    by equally many.

    Raises
    ------
    ValueError
        If the things were not read equally often.
    """
    n = len(counts)
    if n < 2:
        return too_few(n, 2)
    readers = sum(counts[0])
    if any(sum(row) != readers for row in counts):
        raise ValueError("every thing must have been read equally often")
    if readers < 2:
        return too_few(readers, 2)
    shares = [sum(row[j] for row in counts) / (n * readers) for j in range(len(counts[0]))]
    chance = sum(share * share for share in shares)
    if chance >= 1 - 1e-12:
        return all_alike()
    pairs = readers * (readers - 1)
    found = sum((sum(c * c for c in row) - readers) / pairs for row in counts) / n
    return (found - chance) / (1 - chance)
