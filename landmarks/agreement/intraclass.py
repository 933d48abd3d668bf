"""Intraclass correlation: the six forms of Shrout & Fleiss 1979 (formulas read second hand)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import fmean

from landmarks.agreement.untold import Untold, all_alike, too_few


@dataclass(frozen=True, slots=True)
class Intraclass:
    """Which share of variance lies between the things and not between their readings.

    Attributes
    ----------
    n, k
        Things and readings of each.
    between, within, readers, rest
        Mean squares: between things, within things, between readers, what is left.
    one_random
        ICC(1,1): every thing read by other readers.
    two_random
        ICC(2,1): the same readers, any readers meant; their bias counts as error.
    two_fixed
        ICC(3,1): these readers only; their bias does not count.
    mean_one_random, mean_two_random, mean_two_fixed
        The same of the mean of k readings, ICC(1,k) to ICC(3,k).
    """

    n: int
    k: int
    between: float
    within: float
    readers: float
    rest: float
    one_random: float
    two_random: float
    two_fixed: float
    mean_one_random: float
    mean_two_random: float
    mean_two_fixed: float


def intraclass(rows: Sequence[Sequence[float]]) -> Intraclass | Untold:
    """Return all six forms; ``rows`` holds one thing each, its readings in reader order.

    Raises
    ------
    ValueError
        If the rows are not equally long.
    """
    n = len(rows)
    if n < 2:
        return too_few(n, 2)
    k = len(rows[0])
    if any(len(row) != k for row in rows):
        raise ValueError("every thing must have been read by every reader")
    if k < 2:
        return too_few(k, 2)
    whole = fmean(value for row in rows for value in row)
    means = [fmean(row) for row in rows]
    columns = [fmean(row[j] for row in rows) for j in range(k)]
    between = k * sum((mean - whole) ** 2 for mean in means) / (n - 1)
    inside = sum((v - m) ** 2 for row, m in zip(rows, means, strict=True) for v in row)
    of_readers = n * sum((column - whole) ** 2 for column in columns)
    within, readers = inside / (n * (k - 1)), of_readers / (k - 1)
    rest = max(0.0, inside - of_readers) / ((n - 1) * (k - 1))
    if not between:
        return all_alike()
    signal, true = between - within, between - rest
    bias = (readers - rest) / n
    return Intraclass(
        n,
        k,
        between,
        within,
        readers,
        rest,
        signal / (between + (k - 1) * within),
        true / (between + (k - 1) * rest + k * bias),
        true / (between + (k - 1) * rest),
        signal / between,
        true / (between + bias),
        true / between,
    )
