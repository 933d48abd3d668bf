"""Rates with their 95 % intervals, as benchmarks of instruments report them."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

from landmarks.shares import NINETY_FIVE, wilson


@dataclass(frozen=True, slots=True)
class Rate:
    """How often of how many times."""

    hits: float
    n: int

    @property
    def share(self) -> float:
        return self.hits / self.n if self.n else float("nan")

    @property
    def interval(self) -> tuple[float, float]:
        """Return Wilson's interval."""
        return wilson(self.hits, self.n)

    def __str__(self) -> str:
        low, high = self.interval
        within = f"{100 * low:.1f}-{100 * high:.1f}"
        return f"{100 * self.share:.1f} % ({self.hits:g}/{self.n}; {within})"


def quantile_interval(values: list[float], share: float) -> tuple[float, float, float]:
    """Return a quantile and its 95 % interval from order statistics (normal approximation)."""
    ordered = sorted(values)
    n = len(ordered)
    half = NINETY_FIVE * sqrt(n * share * (1 - share))
    places = (n * share, n * share - half, n * share + half)
    at = [ordered[min(n - 1, max(0, round(place) - 1))] for place in places]
    return at[0], at[1], at[2]
