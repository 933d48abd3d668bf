"""Rates with their 95 % intervals, as benchmarks of instruments report them."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

NINETY_FIVE = 1.959964


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
        """Return Wilson's interval (Wilson 1927, from memory)."""
        if not self.n:
            return 0.0, 1.0
        z, p, n = NINETY_FIVE, self.share, self.n
        middle = (p + z * z / (2 * n)) / (1 + z * z / n)
        half = z / (1 + z * z / n) * sqrt(p * (1 - p) / n + z * z / (4 * n * n))
        return max(0.0, middle - half), min(1.0, middle + half)

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
