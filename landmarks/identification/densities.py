"""Two shapes that a number can have in the tables, widened by the doubt of a measure.

*Two-piece*: low, typical and high are the 5th, 50th and 95th percentile; below and above the
typical value half a normal distribution each. *Plateau*: a one-sided cell; any value on the
allowed side up to the character's span is as usual as any other, with soft edges.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import erfc, exp, pi, sqrt

Z95 = 1.6448536269514722
"""95th percentile of the standard normal distribution."""

_ROOT_HALF = sqrt(0.5)
_INVERSE_ROOT_TWO_PI = 1 / sqrt(2 * pi)


def normal_cdf(z: float) -> float:
    """Return the standard normal distribution function."""
    return 0.5 * erfc(-z * _ROOT_HALF)


def normal_density(x: float, mean: float, sigma: float) -> float:
    """Return the normal density."""
    z = (x - mean) / sigma
    return _INVERSE_ROOT_TWO_PI / sigma * exp(-0.5 * z * z)


@dataclass(frozen=True, slots=True)
class TwoPiece:
    """Two half-normals that meet at the typical value, each with half of the specimens."""

    middle: float
    below: float
    above: float

    def density(self, x: float, sigma: float) -> float:
        """Return the density at ``x`` of the cell convolved with a normal doubt ``sigma``."""
        middle, below, above = self.middle, self.below, self.above
        if below == above:
            return normal_density(x, middle, sqrt(below * below + sigma * sigma))
        if sigma == 0:
            if x == middle:
                return (
                    normal_density(x, middle, below) + normal_density(x, middle, above)
                ) / 2
            return normal_density(x, middle, below if x < middle else above)
        wide_below = sqrt(below * below + sigma * sigma)
        wide_above = sqrt(above * above + sigma * sigma)
        gap = x - middle
        low, high, off = gap / wide_below, gap / wide_above, gap / sigma * _ROOT_HALF
        # Written out, because this is what a landmark that is moved waits for.
        return (0.5 * _INVERSE_ROOT_TWO_PI) * (
            exp(-0.5 * low * low) / wide_below * erfc(off * below / wide_below)
            + exp(-0.5 * high * high) / wide_above * erfc(-off * above / wide_above)
        )

    def cdf(self, x: float, sigma: float) -> float:
        """Return how often a value is at most ``x`` (each side widened by the doubt)."""
        side = self.below if x < self.middle else self.above
        return normal_cdf((x - self.middle) / sqrt(side * side + sigma * sigma))


@dataclass(frozen=True, slots=True)
class Plateau:
    """All values between two limits alike, with normal edges of width ``edge``."""

    low: float
    high: float
    edge: float

    def density(self, x: float, sigma: float) -> float:
        """Return the density at ``x`` of the cell convolved with a normal doubt ``sigma``."""
        width = sqrt(self.edge * self.edge + sigma * sigma)
        inside = normal_cdf((x - self.low) / width) - normal_cdf((x - self.high) / width)
        return max(inside, 0.0) / (self.high - self.low)

    def cdf(self, x: float, sigma: float) -> float:
        """Return how often a value is at most ``x``."""
        width = sqrt(self.edge * self.edge + sigma * sigma)
        both = _ramp((x - self.low) / width) - _ramp((x - self.high) / width)
        return min(max(both * width / (self.high - self.low), 0.0), 1.0)


Shape = TwoPiece | Plateau


def heavy_density(x: float, middle: float, scale: float) -> float:
    """Return a density with heavy tails (Cauchy): what is kept for freaks."""
    z = (x - middle) / scale
    return 1 / (pi * scale * (1 + z * z))


def _ramp(u: float) -> float:
    """Return the integral of the normal distribution function up to ``u``."""
    return u * normal_cdf(u) + _INVERSE_ROOT_TWO_PI * exp(-0.5 * u * u)
