"""Folds counted twice: on the traced margin and on a band of light across the folds.

The two are independent, and that they agree is the confidence: no method alone is ever sure.
What is proposed are marks a person drags, adds and removes; the count is the person's.

Parameters are ours, from rendered shells (``tests/benchmarks/folds.py``).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import atan2, pi
from typing import TYPE_CHECKING

from landmarks.geometry import Box, Point, path_length
from landmarks.instruments.pixels import Window, around, smoothed
from landmarks.instruments.refusal import Refused
from landmarks.instruments.ridges import (
    Peak,
    evenly,
    normals,
    rounded,
    smooth_line,
    stable_count,
)
from landmarks.instruments.tops import SAMPLES, likelihoods, margin_tops
from landmarks.sentences import Sentence

if TYPE_CHECKING:
    from landmarks.instruments.pixels import Array

ALLOWED = range(3, 15)
"""Counts of folds that a proposal may have."""

MAIN, END = "main", "end"


@dataclass(frozen=True, slots=True)
class Fold:
    """One proposed mark.

    Attributes
    ----------
    point
        On the top of the fold, in pixels of the picture.
    place
        Where along the line it was found on, 0 to 1.
    kind
        ``"main"`` (it ends in a projection of the upper margin) or ``"end"``.
    height
        How far it stands out of the profile, over the usual main fold.
    """

    point: Point
    place: float
    kind: str
    height: float


@dataclass(frozen=True, slots=True)
class Found:
    """What one of the two ways found.

    Attributes
    ----------
    source
        ``"margin"`` or ``"transect"``.
    folds
        In order along the line.
    profile
        For the plot: evenly along the line, 1 is a usual fold's height.
    line
        The points of the picture that the profile stands on, as many.
    clear
        From 0 (another count is as likely) to 1.
    """

    source: str
    folds: tuple[Fold, ...]
    profile: tuple[float, ...]
    line: tuple[Point, ...]
    clear: float

    @property
    def n_main(self) -> int:
        """Return the number of main folds."""
        return sum(one.kind == MAIN for one in self.folds)


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
        return Sentence("folds.unclear", counts)


def folds_of_margin(margin: Sequence[Point], *, sigma_px: float = 1.0) -> Found | Refused:
    """Return the folds that stand out of a traced margin.

    Parameters
    ----------
    margin
        From hinge end to hinge end over the upper margin; ten points a fold at least.
    sigma_px
        Doubt of each coordinate of its points.
    """
    if len(margin) < _LEAST_POINTS:
        return Refused(
            Sentence("folds.margin.few", {"n": len(margin), "least": _LEAST_POINTS})
        )
    line = evenly(margin, SAMPLES)
    found = margin_tops(line)
    if not found.tops:
        return Refused(Sentence("folds.margin.none"))
    main = likelihoods(found.described, "main")
    fold = likelihoods(found.described, "any")
    kinds = _kinds(main, fold)
    kept = [
        (top, kind) for top, kind in zip(found.tops, kinds, strict=True) if kind is not None
    ]
    if not any(kind == MAIN for _, kind in kept):
        return Refused(Sentence("folds.margin.none"))
    clear = _margin_clear(main, kept, len(margin), path_length(margin), sigma_px)
    return _found("margin", kept, found.profile, line, clear)


def folds_of_transect(pixels: Window, path: Sequence[Point]) -> Found | Refused:
    """Return the folds that a band across them shows as light and shade.

    Parameters
    ----------
    pixels
        At least :func:`transect_needed` of the picture.
    path
        A few clicks across all folds near the margin, from half a fold outside the first to
        half a fold outside the last.
    """
    import numpy as np

    length = path_length(path)
    if len(path) < 2 or length < _LEAST_PX:
        return Refused(Sentence("folds.transect.short", {"px": length}))
    n = int(np.clip(length, 300, 1500))
    line = rounded(path, n)
    side = normals(smooth_line(line, n / 12))
    wide = _BAND * length * np.linspace(-1, 1, _LANES)[:, None]
    x = line[:, 0] + wide * side[:, 0]
    y = line[:, 1] + wide * side[:, 1]
    lanes = pixels.at(x, y)
    votes = [_vote(lanes.mean(axis=0), width * n) for width in _WIDTHS]
    counts = [len(vote[0]) for vote in votes]
    best = max(range(len(votes)), key=lambda k: (counts.count(counts[k]), votes[k][1]))
    found, margin, soft = votes[best]
    if not found:
        return Refused(Sentence("folds.transect.none"))
    agreeing = counts.count(counts[best]) / len(counts)
    alike = _alike(lanes, _WIDTHS[best] * n, n / len(found))
    kept = [(top, MAIN) for top in found]
    clear = min(1.0, 4 * margin) * agreeing * alike
    return _found("transect", kept, soft, line, clear)


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
    clear = min(margin.clear, transect.clear)
    crossed = _ends_crossed(margin, transect, hinge)
    if crossed is not None and clear >= _CLEAR_WITH_ENDS:
        return FoldCount(
            margin.folds, sure=True, check=(), more=(), margin=margin, transect=transect
        )
    both = mine if crossed is None else crossed
    alone = _unmatched(both, transect.folds, hinge)
    check = tuple(margin.folds.index(both[k]) + 1 for k in alone)
    more = tuple(transect.folds[k] for k in _unmatched(transect.folds, both, hinge))
    sure = len(mine) == transect.n_main and clear >= _CLEAR
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


def transect_needed(path: Sequence[Point]) -> Box:
    """Return the part of the picture that :func:`folds_of_transect` looks at."""
    return around(path, 2 * _BAND * path_length(path) + 4)


_LEAST_POINTS = 24
_LEAST_PX = 60.0
_BAND = 0.02
_LANES = 11
_WIDTHS = (0.05, 0.065, 0.08)
_CLEAR = 0.42
"""So clear both must be for their agreement to be sure. Folds of worn shells that margin and
transect alike take for main ones are less clear than that."""

_CLEAR_WITH_ENDS = 0.5
"""The same where a transect crosses end folds that the margin tells apart from main ones."""

_DECIDED = 0.35
"""A top whose likelihood is nearer to one half than this is not clear."""

_STANDS_OUT = 0.0035
"""A usual fold stands out of the margin by so much of its length, or is worn."""


def _evened(light: Array, sigma: float) -> Array:
    """Return light without its slow part and with even contrast."""
    import numpy as np

    fast = light - smoothed(light, sigma)
    spread = np.sqrt(np.maximum(smoothed(fast * fast, 1.3 * sigma), 0.0))
    return np.asarray(fast / np.maximum(spread, 0.15 * spread.max() + 1e-6))


def _vote(light: Array, sigma: float) -> tuple[list[Peak], float, Array]:
    return stable_count(_evened(smoothed(light, 1.0), sigma), ALLOWED)


def _alike(lanes: Array, sigma: float, spacing: float) -> float:
    """Return from 0 to 1 how well the inner half of a band shows what the outer half does."""
    import numpy as np

    half = len(lanes) // 2
    rows = [lanes[:half].mean(axis=0), lanes[-half:].mean(axis=0)]
    first, second = (smoothed(_evened(row, sigma), spacing / 10) for row in rows)
    same = float(np.corrcoef(first, second)[0, 1])
    return max(0.0, min(1.0, (same - 0.3) / 0.3))


def _kinds(main: Array, fold: Array) -> list[str | None]:
    """Return what each top of a margin is: main fold, end fold, or none.

    End folds lie outside the main ones, two at each end at most.
    """
    kinds: list[str | None] = [MAIN if one > 0.5 else None for one in main]
    where = [i for i, kind in enumerate(kinds) if kind]
    if not where:
        return kinds
    for outside in (range(where[0] - 1, -1, -1), range(where[-1] + 1, len(kinds))):
        for i in list(outside)[:2]:
            if fold[i] <= 0.5:
                break
            kinds[i] = END
    return kinds


def _margin_clear(
    main: Array,
    kept: list[tuple[Peak, str]],
    n_points: int,
    length: float,
    sigma_px: float,
) -> float:
    """Return how clear the count is: 0 where a top could be either, or folds are worn."""
    import numpy as np

    decided = float(np.abs(main - 0.5).min() / _DECIDED)
    usual = float(np.median([top.prominence for top, kind in kept if kind == MAIN]))
    # What clicks alone would make of a smooth margin, after the same smoothing.
    clicks = sigma_px * min(1.0, (n_points / 28) ** -0.5)
    worn = usual / max(_STANDS_OUT * length, 4 * clicks)
    coarse = n_points / (8 * len(kept))
    if len([kind for _, kind in kept if kind == MAIN]) not in ALLOWED:
        return 0.0
    return float(min(1.0, decided / 2, worn / 2, coarse / 2))


def _found(
    source: str,
    kept: list[tuple[Peak, str]],
    profile: Array,
    line: Array,
    clear: float,
) -> Found:
    import numpy as np

    n = len(line)
    tops = [top for top, _ in kept]
    heights = _heights(profile, tops)
    of_main = heights[[kind == MAIN for _, kind in kept]]
    usual = max(float(np.median(of_main)), 1e-9)
    folds = tuple(
        Fold(Point(*line[top.at].tolist()), top.at / (n - 1), kind, float(height / usual))
        for (top, kind), height in zip(kept, heights, strict=True)
    )
    step = max(1, n // 500)
    return Found(
        source,
        folds,
        tuple((profile[::step] / usual).tolist()),
        tuple(Point(*at) for at in line[::step].tolist()),
        clear,
    )


def _heights(profile: Array, tops: list[Peak]) -> Array:
    """Return how far each top stands above the valleys beside it that lie between tops."""
    import numpy as np

    heights = []
    for i, one in enumerate(tops):
        valleys = []
        if i > 0:
            valleys.append(float(profile[tops[i - 1].at : one.at].min()))
        if i < len(tops) - 1:
            valleys.append(float(profile[one.at : tops[i + 1].at].min()))
        heights.append(one.value - (sum(valleys) / len(valleys) if valleys else 0.0))
    return np.array(heights)


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
