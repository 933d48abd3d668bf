"""Long runs of things, a stretch at a time, so that few are held at once."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TypeVar

Thing = TypeVar("Thing")


def stretches(items: Sequence[Thing], n_at_once: int) -> Iterator[Sequence[Thing]]:
    """Return items in their order, cut into runs; only the last may be shorter.

    >>> [list(run) for run in stretches("umbones", 3)]
    [['u', 'm', 'b'], ['o', 'n', 'e'], ['s']]
    """
    for start in range(0, len(items), n_at_once):
        yield items[start : start + n_at_once]
