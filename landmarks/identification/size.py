"""What is known of the size of a specimen, and which share of a band of sizes it falls into."""

from __future__ import annotations

from dataclasses import dataclass, field
from math import inf, sqrt

from landmarks.identification.densities import TwoPiece, normal_cdf


@dataclass(slots=True)
class Size:
    """The size as measured, as at least so large, or unknown.

    Attributes
    ----------
    spread
        How the sizes of every taxon are spread, for what is not known exactly.
    value, sigma
        In mm; None if unknown.
    at_least
        The value is one-sided.
    blend
        Neighbouring bands pass into each other over this share of their border.
    """

    spread: tuple[TwoPiece, ...]
    value: float | None = None
    sigma: float = 0.0
    at_least: bool = False
    blend: float = 0.0
    memo: dict[tuple[int, float], float] = field(default_factory=dict)

    @property
    def exact(self) -> bool:
        """Return whether the size was measured, rather than bounded or unknown."""
        return self.value is not None and not self.at_least

    def share(self, taxon: int, start: float, end: float) -> float:
        """Return how probable it is that a specimen of the taxon lies between two sizes."""
        if start <= 0 and end == inf:
            return 1.0
        return self.over(taxon, start) - self.over(taxon, end)

    def over(self, taxon: int, border: float) -> float:
        """Return how probable it is that a specimen of the taxon is larger than a border."""
        if border <= 0:
            return 1.0
        if border == inf:
            return 0.0
        key = (-1 if self.exact else taxon, border)
        found = self.memo.get(key)
        if found is None:
            found = self.memo[key] = self._over(taxon, border)
        return found

    def _over(self, taxon: int, border: float) -> float:
        if self.value is not None and not self.at_least:
            wide = sqrt(self.sigma**2 + (self.blend * border) ** 2)
            if wide == 0:
                return 1.0 if self.value > border else 0.0
            return normal_cdf((self.value - border) / wide)
        own = self.spread[taxon]
        least = self.value or 0.0
        remaining = 1 - own.cdf(least, 0.0)
        if border <= least:
            return 1.0
        if remaining < 1e-9:
            return 0.0
        return (1 - own.cdf(border, 0.0)) / remaining


def unknown_size(spread: tuple[TwoPiece, ...]) -> Size:
    """Return the size of a specimen of which nothing is known."""
    return Size(spread)
