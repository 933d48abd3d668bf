"""Quantities that know their unit and their doubt.

A quantity carries its first-order budget: for each *cause* the signed standard contribution
of that cause, in the quantity's own unit. Two quantities that share a cause are correlated,
through any number of steps and across pictures, without a covariance matrix being kept.

Source of the method: JCGM 100:2008 (GUM) sections 5.1 and 5.2, from memory; checked by its
examples H.1 and H.2 in ``tests/published``.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from math import sqrt
from types import MappingProxyType
from typing import NamedTuple


class Cause(NamedTuple):
    """Something that makes a number doubtful: a kind people understand, and which one."""

    kind: str
    of: str = ""


@dataclass(frozen=True, slots=True)
class Quantity:
    """A value in a unit with its budget of doubt by cause.

    >>> bar = uncertain(100.0, 0.05, "mm", Cause("ruler"))
    >>> half = scaled(bar, 0.5)
    >>> round(half.sigma, 3), round(correlation(bar, half), 3)
    (0.025, 1.0)
    """

    value: float
    unit: str = ""
    budget: Mapping[Cause, float] = field(default_factory=dict)

    @property
    def sigma(self) -> float:
        """Return one standard uncertainty, in the unit of the value."""
        return sqrt(sum(part * part for part in self.budget.values()))

    @property
    def relative(self) -> float:
        """Return the standard uncertainty as a share of the value (0 for an exact zero)."""
        if self.value == 0:
            return 0.0 if self.sigma == 0 else float("inf")
        return self.sigma / abs(self.value)

    def by_kind(self) -> Mapping[str, float]:
        """Return the standard uncertainty that each kind of cause alone would leave."""
        squares: dict[str, float] = {}
        for cause, part in self.budget.items():
            squares[cause.kind] = squares.get(cause.kind, 0.0) + part * part
        return MappingProxyType({kind: sqrt(total) for kind, total in squares.items()})


def exact(value: float, unit: str = "") -> Quantity:
    """Return a quantity without doubt."""
    return Quantity(value, unit)


def uncertain(value: float, sigma: float, unit: str, cause: Cause) -> Quantity:
    """Return a quantity with one cause of doubt; ``sigma`` is one standard uncertainty."""
    return Quantity(value, unit, {cause: sigma} if sigma else {})


def linear(value: float, unit: str, terms: Iterable[tuple[float, Quantity]]) -> Quantity:
    """Return a value whose doubt is the sum of ``slope x doubt`` of its terms.

    This is the law of propagation to first order: ``slope`` is the partial derivative of the
    value by the term, in units of the result per unit of the term.
    """
    budget: dict[Cause, float] = {}
    for slope, term in terms:
        if slope:
            for cause, part in term.budget.items():
                budget[cause] = budget.get(cause, 0.0) + slope * part
    return Quantity(value, unit, budget)


def plus(a: Quantity, b: Quantity) -> Quantity:
    """Return a + b, both in one unit."""
    return linear(a.value + b.value, _same(a, b), ((1.0, a), (1.0, b)))


def minus(a: Quantity, b: Quantity) -> Quantity:
    """Return a - b, both in one unit."""
    return linear(a.value - b.value, _same(a, b), ((1.0, a), (-1.0, b)))


def times(a: Quantity, b: Quantity, unit: str) -> Quantity:
    """Return a x b in ``unit``."""
    return linear(a.value * b.value, unit, ((b.value, a), (a.value, b)))


def over(a: Quantity, b: Quantity, unit: str = "") -> Quantity:
    """Return a / b in ``unit``.

    Raises
    ------
    ZeroDivisionError
        If b is zero.
    """
    value = a.value / b.value
    return linear(value, unit, ((1.0 / b.value, a), (-value / b.value, b)))


def scaled(a: Quantity, factor: float, unit: str | None = None) -> Quantity:
    """Return a times an exact factor, in the same unit unless another is given."""
    return linear(a.value * factor, a.unit if unit is None else unit, ((factor, a),))


def hypotenuse(a: Quantity, b: Quantity) -> Quantity:
    """Return the length of the vector (a, b); its slopes are the unit vector.

    At the zero vector the slopes are undefined; the doubt of both legs is kept in full there.
    """
    length = sqrt(a.value * a.value + b.value * b.value)
    along = (a.value / length, b.value / length) if length else (1.0, 1.0)
    return linear(length, _same(a, b), ((along[0], a), (along[1], b)))


def covariance(a: Quantity, b: Quantity) -> float:
    """Return the covariance of two quantities, in the product of their units."""
    return sum(part * b.budget.get(cause, 0.0) for cause, part in a.budget.items())


def correlation(a: Quantity, b: Quantity) -> float:
    """Return the correlation coefficient, 0 where one of the two has no doubt."""
    scale = a.sigma * b.sigma
    return covariance(a, b) / scale if scale else 0.0


def correlated(
    values: Sequence[float],
    covariances: Sequence[Sequence[float]],
    units: Sequence[str],
    kind: str,
) -> tuple[Quantity, ...]:
    """Return quantities with a given covariance matrix (n, n), which must be positive definite.

    The matrix is split by Cholesky's method into independent causes of one ``kind``.
    """
    n = len(values)
    lower = [[0.0] * n for _ in range(n)]
    for i in range(n):
        for j in range(i + 1):
            rest = covariances[i][j] - sum(lower[i][k] * lower[j][k] for k in range(j))
            lower[i][j] = sqrt(rest) if i == j else rest / lower[j][j]
    causes = [Cause(kind, str(k)) for k in range(n)]
    return tuple(
        Quantity(value, unit, {causes[k]: lower[i][k] for k in range(i + 1) if lower[i][k]})
        for i, (value, unit) in enumerate(zip(values, units, strict=True))
    )


def _same(a: Quantity, b: Quantity) -> str:
    if a.unit != b.unit:
        raise ValueError(f"cannot add {a.unit!r} and {b.unit!r}")
    return a.unit
