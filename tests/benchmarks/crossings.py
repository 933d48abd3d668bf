"""Transects beside a margin: whether both agree, seen from as few pictures as will tell it.

An agreement is wrong only where a margin is clear and wrong. So margins are counted first, and
pictures looked at of all shells whose margin is clear and wrong, and of every eighth of those
whose margin is clear and right, which stands for eight. All others end unsure, whatever a
transect shows.

Over such a picture go four transects, two across the main folds and two across the end folds
too, anywhere on the outer third of growth. They are not independent, so a shell counts once:
as sure where any of them is, or as the share of them where that is told. Intervals are those
of so many shells (Wilson).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from landmarks.instruments.fold_agreement import count_folds
from landmarks.instruments.folds import Found, folds_of_transect
from landmarks.instruments.pixels import Window
from tests.benchmarks.folded import Folded, transect
from tests.benchmarks.rates import Rate

GROWTH = 0.70, 0.97
STANDS_FOR = 8
COLUMNS = (
    "margin exact",
    "margin clear",
    "wrong where clear",
    "sure",
    "wrong where sure",
    "wrong and sure, of all",
)

CROSSED: Mapping[str, tuple[bool, ...]] = {
    "": (False, True),
    ", main folds crossed": (False,),
    ", end folds crossed too": (True,),
}


@dataclass(frozen=True, slots=True)
class Crossing:
    """A transect over a shell.

    Whether it crosses the end folds too, whether its own count is exact or within one, and
    whether margin and transect together are sure.
    """

    ends: bool
    exact: bool
    near: bool
    sure: bool


class Judged(Protocol):
    """A shell whose margin was counted; no crossings where no picture was looked at."""

    @property
    def right(self) -> bool: ...

    @property
    def clear(self) -> bool: ...

    @property
    def crossings(self) -> tuple[Crossing, ...]: ...


def looked_at(seed: int, *, right: bool, clear: bool) -> bool:
    """Return whether the picture of a shell is looked at."""
    return clear and (not right or seed % STANDS_FOR == 0)


def crossed(
    one: Folded, margin: Found, window: Window, rng: np.random.Generator
) -> tuple[Crossing, ...]:
    """Return four transects of a shell beside its margin."""
    done = []
    for ends in (False, True, False, True):
        path = transect(one, float(rng.uniform(*GROWTH)), rng, ends=ends)
        band = folds_of_transect(window, path)
        n, sure = 0, False
        if isinstance(band, Found):
            n, sure = band.n_main, count_folds(margin, band).sure
        off = abs(n - one.n_main - (one.n_end if ends else 0))
        done.append(Crossing(ends, off == 0, off <= 1, sure))
    return tuple(done)


def cells(group: Sequence[Judged], ends: Sequence[bool] = (False, True)) -> Iterator[str]:
    """Yield what :data:`COLUMNS` name, over transects that cross end folds or do not."""
    n = len(group)
    clear = [one for one in group if one.clear]
    wrong = [one for one in clear if not one.right]
    drawn = [one for one in clear if one.right and one.crossings]
    # Those that stand for the others are weighted to be all of them.
    weight = (len(clear) - len(wrong)) / len(drawn) if drawn else 0.0
    sure = sum(_sure(one, ends) for one in wrong)
    any_wrong = sum(_sure(one, ends) > 0 for one in wrong)
    any_right = round(weight * sum(_sure(one, ends) > 0 for one in drawn))
    all_sure = sure + weight * sum(_sure(one, ends) for one in drawn)
    yield str(Rate(sum(one.right for one in group), n))
    yield str(Rate(len(clear), n))
    yield str(Rate(len(wrong), len(clear))) if clear else ""
    yield str(Rate(round(all_sure, 1), n))
    yield str(Rate(any_wrong, any_wrong + any_right)) if any_wrong + any_right else ""
    yield str(Rate(round(sure, 2), n))


def _sure(one: Judged, ends: Sequence[bool]) -> float:
    of = [each.sure for each in one.crossings if each.ends in ends]
    return sum(of) / len(of) if of else 0.0
