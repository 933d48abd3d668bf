"""Shares of counted things, with their interval."""

from __future__ import annotations

from math import sqrt


def wilson(found: int, of: int, z: float = 1.959964) -> tuple[float, float]:
    """Return the interval of a share by Wilson's score, 95 % unless another z is given.

    Source: Newcombe 1998, method 3 (from memory; its numbers are in ``tests/published``).

    Raises
    ------
    ValueError
        If nothing was counted, or more was found than counted.
    """
    if not 0 <= found <= of or of < 1:
        raise ValueError(f"{found} of {of} is no share")
    share, z2 = found / of, z * z
    middle = (share + z2 / (2 * of)) / (1 + z2 / of)
    half = z / (1 + z2 / of) * sqrt(share * (1 - share) / of + z2 / (4 * of * of))
    low, high = max(0.0, middle - half), min(1.0, middle + half)
    return (0.0 if found == 0 else low), (1.0 if found == of else high)
