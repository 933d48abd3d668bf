"""Quantiles of the F distribution, for intervals of intraclass correlation.

By the continued fraction of the incomplete beta function (Abramowitz & Stegun 26.5.8 with the
modified method of Lentz, from memory), inverted by halving; checked against another library
in ``tests/core``. It spares the program a whole library for one function.
"""

from __future__ import annotations

from math import exp, lgamma, log, log1p

_TINY = 1e-300
_SAME = 1e-15
_MOST_TERMS = 500
_HALVINGS = 200


def f_quantile(share: float, above: float, below: float) -> float:
    """Return the value that a share of an F distribution lies under.

    Parameters
    ----------
    share
        Strictly between 0 and 1.
    above, below
        Degrees of freedom, above and below the line; need not be whole.

    >>> round(f_quantile(0.95, 5, 10), 4)
    3.3258
    """
    if not (0 < share < 1 and above > 0 and below > 0):
        raise ValueError("no quantile of F")
    low, high = 0.0, 1.0
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        if middle in (low, high):
            break
        if beta_share(middle, above / 2, below / 2) < share:
            low = middle
        else:
            high = middle
    x = (low + high) / 2
    return below * x / (above * (1 - x)) if x < 1 else float("inf")


def beta_share(x: float, a: float, b: float) -> float:
    """Return the share of a beta distribution that lies under x (0 to 1)."""
    if x <= 0 or x >= 1:
        return 0.0 if x <= 0 else 1.0
    front = exp(a * log(x) + b * log1p(-x) + lgamma(a + b) - lgamma(a) - lgamma(b))
    # The fraction is quick on the near side of the middle only.
    if x < (a + 1) / (a + b + 2):
        return front * _fraction(x, a, b) / a
    return 1 - front * _fraction(1 - x, b, a) / b


def _fraction(x: float, a: float, b: float) -> float:
    c, d = 1.0, 1 / _safe(1 - (a + b) * x / (a + 1))
    total = d
    for m in range(1, _MOST_TERMS):
        even = m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m))
        odd = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1))
        for term in (even, odd):
            d = 1 / _safe(1 + term * d)
            c = _safe(1 + term / c)
            total *= c * d
        if abs(c * d - 1) < _SAME:
            break
    return total


def _safe(value: float) -> float:
    return value if abs(value) > _TINY else _TINY
