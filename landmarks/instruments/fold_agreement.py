"""Two counts of folds put side by side: where margin and transect agree, and where not.

A transect shows that there are so many folds and where; which of them are main ones the margin
alone can tell. So that both agree says little unless the margin is clear about its outermost
folds: what was agreed on and wrong, over rendered shells, were nearly always end folds that
the margin took for main ones and a transect had crossed
(``tests/benchmarks/folds_agreeing.py``).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import atan2, pi

from landmarks.geometry import Point
from landmarks.instruments.folds import CLEAR, END, MAIN, Fold, Found
from landmarks.sentences import Sentence


@dataclass(frozen=True, slots=True)
class FoldCount:
    """A proposal: the marks, and how sure it is.

    Attributes
    ----------
    folds
        Proposed marks in order; those of the margin where it was traced.
    sure
        Whether margin and transect agree, and both are clear: on the main folds, or where
        the transect crosses end folds too, on all of them one by one.
    check
        Numbers (from 1) of marks a person should look at, as only one way shows them.
    more
        Folds that the transect shows and the margin does not.
    margin, transect
        What each way found, or None where it was not asked.
    """

    folds: tuple[Fold, ...]
    sure: bool
    check: tuple[int, ...]
    more: tuple[Fold, ...]
    margin: Found | None
    transect: Found | None

    @property
    def main(self) -> tuple[Fold, ...]:
        """Return the main folds."""
        return tuple(one for one in self.folds if one.kind == MAIN)

    @property
    def ends(self) -> tuple[Fold, ...]:
        """Return the end folds."""
        return tuple(one for one in self.folds if one.kind == END)

    def sentence(self) -> Sentence:
        """Say both counts, and whether they agree."""
        counts = {
            found.source: found.n_main for found in (self.margin, self.transect) if found
        }
        if self.margin is None or self.transect is None:
            source, n = next(iter(counts.items()))
            return Sentence(f"folds.only.{source}", {"n": n})
        if self.sure and counts["margin"] == counts["transect"]:
            return Sentence("folds.agree", counts)
        if self.sure:
            ends = counts["transect"] - counts["margin"]
            return Sentence("folds.agree_with_ends", {**counts, "ends": ends})
        if self.check:
            marks = tuple(Sentence("folds.mark", {"number": one}) for one in self.check)
            return Sentence("folds.check", {**counts, "marks": marks})
        if self.more:
            return Sentence("folds.more", {**counts, "n": len(self.more)})
        if counts["margin"] == counts["transect"] and self.transect.clear >= CLEAR:
            places = [k for k, one in enumerate(self.folds, start=1) if one.kind == MAIN]
            outer = places[0], places[-1]
            marks = tuple(Sentence("folds.mark", {"number": one}) for one in outer)
            return Sentence("folds.outermost", {**counts, "marks": marks})
        return Sentence("folds.unclear", counts)


def count_folds(margin: Found | None, transect: Found | None) -> FoldCount:
    """Return one proposal out of what was found; at least one of the two is needed."""
    if margin is None or transect is None:
        only = margin or transect
        if only is None:
            raise ValueError("neither a margin nor a transect")
        return FoldCount(
            only.folds, sure=False, check=(), more=(), margin=margin, transect=transect
        )
    mine = [one for one in margin.folds if one.kind == MAIN]
    (ax, ay), (bx, by) = margin.line[0], margin.line[-1]
    hinge = Point((ax + bx) / 2, (ay + by) / 2)
    clear = min(margin.clear, transect.clear) >= CLEAR
    crossed = _ends_crossed(margin, transect, hinge)
    if crossed is not None and clear:
        return FoldCount(
            margin.folds, sure=True, check=(), more=(), margin=margin, transect=transect
        )
    both = mine if crossed is None else crossed
    alone = _unmatched(both, transect.folds, hinge)
    check = tuple(margin.folds.index(both[k]) + 1 for k in alone)
    more = tuple(transect.folds[k] for k in _unmatched(transect.folds, both, hinge))
    sure = clear and len(mine) == transect.n_main
    return FoldCount(margin.folds, sure, check, more, margin, transect)


def _ends_crossed(margin: Found, transect: Found, hinge: Point) -> list[Fold] | None:
    """Return the folds of a margin, end folds too, that a longer transect shows one by one.

    None where the transect shows no more than the main folds, or others.
    """
    places = [k for k, one in enumerate(margin.folds) if one.kind == MAIN]
    n = transect.n_main
    if not places or n <= len(places):
        return None
    for first in range(places[0] + 1):
        run = list(margin.folds[first : first + n])
        if len(run) < n or first + n <= places[-1]:
            continue
        if not (_unmatched(run, transect.folds, hinge)
                or _unmatched(transect.folds, run, hinge)):  # fmt: skip
            return run
    return None


def _unmatched(
    first: Sequence[Fold], second: Sequence[Fold], hinge: Point
) -> tuple[int, ...]:
    """Return the places in the first of folds that have no partner in the second.

    Folds run out from the hinge, so both are compared by their direction from its middle;
    the straight line between directions that leaves the fewest alone is taken, and of
    several the one that turns least.
    """
    if len(first) < 2 or len(second) < 2:
        return tuple(range(len(first)))
    here, there = _bearings(first, hinge), _bearings(second, hinge)
    if (here[-1] - here[0]) * (there[-1] - there[0]) < 0:
        there = there[::-1]
    gap = abs(here[-1] - here[0]) / (len(here) - 1)
    best: tuple[int, float, tuple[int, ...]] | None = None
    for i, j in ((0, 0), (1, 0), (0, 1)):
        for k, m in ((-1, -1), (-2, -1), (-1, -2)):
            if here[k] == here[i] or there[m] == there[j]:
                continue
            slope = (here[k] - here[i]) / (there[m] - there[j])
            moved = [here[i] + slope * (one - there[j]) for one in there]
            far = [min(abs(one - other) for other in moved) for one in here]
            lonely = tuple(n for n, off in enumerate(far) if off > 0.4 * gap)
            extra = len(second) - (len(first) - len(lonely))
            turned = sum(abs(one - other) for one, other in zip(moved, there, strict=True))
            tried = (len(lonely) + abs(extra), turned, lonely)
            if slope > 0 and (best is None or tried[:2] < best[:2]):
                best = tried
    return best[2] if best else tuple(range(len(first)))


def _bearings(folds: Sequence[Fold], hinge: Point) -> list[float]:
    """Return the direction of folds from a point, in radians, without a jump."""
    found: list[float] = []
    for one in folds:
        angle = atan2(one.point.y - hinge.y, one.point.x - hinge.x)
        if found:
            angle += 2 * pi * round((found[-1] - angle) / (2 * pi))
        found.append(angle)
    return found
