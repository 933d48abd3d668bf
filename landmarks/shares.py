"""A share of things that were counted, and what so few or many of them leave open."""

from __future__ import annotations

from math import sqrt

NINETY_FIVE = 1.959963984540054
"""So many standard deviations to either side hold 95 % of a normal distribution."""


def wilson(found: int, of: int, z: float = NINETY_FIVE) -> tuple[float, float]:
    """Return the interval of a share by Wilson's score, 95 % unless another z is given.

    Of none it is all of 0 to 1: nothing is known. Source: Wilson 1927, as method 3 of Newcombe
    1998 (from memory; its numbers are in ``tests/published``).

    >>> [round(end, 4) for end in wilson(15, 148)]
    [0.0624, 0.1605]

    Raises
    ------
    ValueError
        If more was found than counted.
    """
    if not 0 <= found <= of:
        raise ValueError(f"{found} of {of} is no share")
    if of == 0:
        return 0.0, 1.0
    share, z2 = found / of, z * z
    middle = (share + z2 / (2 * of)) / (1 + z2 / of)
    half = z / (1 + z2 / of) * sqrt(share * (1 - share) / of + z2 / (4 * of * of))
    low, high = max(0.0, middle - half), min(1.0, middle + half)
    return (0.0 if found == 0 else low), (1.0 if found == of else high)
