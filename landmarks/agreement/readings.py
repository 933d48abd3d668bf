"""Two readings of the same things: error of measurement, limits of agreement, drift.

Sources: the technical error of measurement and its reliability as read in a review of
anthropometry (Ulijaszek & Kerr 1999, from memory); the limits of agreement of Bland & Altman
1986 (from memory), their data in ``tests/published``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt
from statistics import fmean, stdev, variance

from landmarks.agreement.untold import Untold, all_alike, too_few


@dataclass(frozen=True, slots=True)
class Repeatability:
    """How well a reading repeats.

    Attributes
    ----------
    n
        Pairs of readings.
    mean
        Of all readings, in their unit.
    tem
        Technical error of measurement, ``sqrt(sum d^2 / 2n)``: the standard deviation of one
        reading, in the unit of the readings.
    relative
        ``tem`` as a share of the mean, or None where the mean is nought.
    reliability
        ``1 - tem^2 / SD^2``, SD over all readings: the share of variance that is not error;
        None where nothing varies.
    """

    n: int
    mean: float
    tem: float
    relative: float | None
    reliability: float | None

    @property
    def repeatability(self) -> float:
        """Return the difference that 95 % of two readings stay below: 1.96 sqrt(2) tem."""
        return 1.96 * sqrt(2.0) * self.tem


@dataclass(frozen=True, slots=True)
class Limits:
    """Limits of agreement: between them lie 95 % of the differences second minus first.

    ``bias_error`` and ``limit_error`` are one standard error of the bias and of each limit.
    """

    n: int
    bias: float
    sd: float
    low: float
    high: float
    bias_error: float
    limit_error: float


@dataclass(frozen=True, slots=True)
class Drift:
    """Change of the differences with time: per unit of time, with one standard error."""

    n: int
    slope: float
    error: float

    @property
    def seen(self) -> bool:
        """Return whether it is more than two standard errors from none at all."""
        return abs(self.slope) > 2 * self.error


def repeatability(
    first: Sequence[float], second: Sequence[float]
) -> Repeatability | Untold:
    """Return how well readings repeat; both hold the same things in the same order."""
    n = len(first)
    if n < 2:
        return too_few(n, 2)
    squares = sum((a - b) ** 2 for a, b in zip(first, second, strict=True))
    tem = sqrt(squares / (2 * n))
    every = [*first, *second]
    mean, spread = fmean(every), variance(every)
    return Repeatability(
        n,
        mean,
        tem,
        tem / abs(mean) if mean else None,
        1 - tem * tem / spread if spread else None,
    )


def limits(
    first: Sequence[float], second: Sequence[float], factor: float = 1.96
) -> Limits | Untold:
    """Return the limits of agreement: bias and bias -/+ ``factor`` standard deviations.

    The paper of 1986 rounds the factor to 2.
    """
    n = len(first)
    if n < 3:
        return too_few(n, 3)
    apart = [b - a for a, b in zip(first, second, strict=True)]
    bias, sd = fmean(apart), stdev(apart)
    return Limits(
        n,
        bias,
        sd,
        bias - factor * sd,
        bias + factor * sd,
        sd / sqrt(n),
        sqrt(3 / n) * sd,
    )


def drift(times: Sequence[float], differences: Sequence[float]) -> Drift | Untold:
    """Return by how much differences change with time: the slope of least squares."""
    n = len(times)
    if n < 4:
        return too_few(n, 4)
    middle, mean = fmean(times), fmean(differences)
    spread = sum((t - middle) ** 2 for t in times)
    if not spread:
        return all_alike()
    pairs = list(zip(times, differences, strict=True))
    slope = sum((t - middle) * (d - mean) for t, d in pairs) / spread
    rest = sum((d - mean - slope * (t - middle)) ** 2 for t, d in pairs)
    return Drift(n, slope, sqrt(rest / (n - 2) / spread))
