"""Intraclass correlation: the six forms of Shrout & Fleiss 1979 (formulas read second hand).

Their intervals by quantiles of F are from memory of the same paper.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from statistics import fmean
from typing import NamedTuple

from landmarks.agreement.quantiles import f_quantile
from landmarks.agreement.untold import Untold, all_alike, too_few


class Interval(NamedTuple):
    """From where to where a figure may lie."""

    low: float
    high: float


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

    def interval(self, form: str = "two_random", level: float = 0.95) -> Interval:
        """Return the interval of one form that holds the truth with a probability of level.

        Parameters
        ----------
        form
            The attribute: ``"one_random"`` ... ``"mean_two_fixed"``.

        Raises
        ------
        ValueError
            If there is no such form.
        """
        if form.removeprefix("mean_") not in _INTERVALS:
            raise ValueError(f"no form of intraclass correlation: {form}")
        single = _INTERVALS[form.removeprefix("mean_")](self, (1 + level) / 2)
        if not form.startswith("mean_"):
            return single
        return Interval(*(_of_mean(one, self.k) for one in single))


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


def _one_random(found: Intraclass, share: float) -> Interval:
    n, k = found.n, found.k
    return _of_ratio(found.between, found.within, n - 1, n * (k - 1), k, share)


def _two_fixed(found: Intraclass, share: float) -> Interval:
    n, k = found.n, found.k
    return _of_ratio(found.between, found.rest, n - 1, (n - 1) * (k - 1), k, share)


def _of_ratio(
    between: float, error: float, above: int, below: int, k: int, share: float
) -> Interval:
    if not error:
        return Interval(1.0, 1.0)
    ratio = between / error
    low = ratio / f_quantile(share, above, below)
    high = ratio * f_quantile(share, below, above)
    return Interval((low - 1) / (low + k - 1), (high - 1) / (high + k - 1))


def _two_random(found: Intraclass, share: float) -> Interval:
    """Return the interval of ICC(2,1): Satterthwaite's degrees of freedom for its error."""
    n, k, rho = found.n, found.k, found.two_random
    between, readers, rest = found.between, found.readers, found.rest
    if not rest and not readers:
        return Interval(1.0, 1.0)
    if not rest:
        return Interval(0.0, 1.0)
    bias = k * rho * readers / rest
    own = n * (1 + (k - 1) * rho) - k * rho
    freedom = (k - 1) * (n - 1) * (bias + own) ** 2 / ((n - 1) * bias**2 + own**2)
    upper, lower = f_quantile(share, n - 1, freedom), f_quantile(share, freedom, n - 1)
    error = k * readers + (k * n - k - n) * rest
    return Interval(
        n * (between - upper * rest) / (upper * error + n * between),
        n * (lower * between - rest) / (error + n * lower * between),
    )


def _of_mean(single: float, k: int) -> float:
    """Return the figure for the mean of k readings (Spearman & Brown, textbook)."""
    return k * single / (1 + (k - 1) * single)


_INTERVALS: Mapping[str, Callable[[Intraclass, float], Interval]] = {
    "one_random": _one_random,
    "two_random": _two_random,
    "two_fixed": _two_fixed,
}
