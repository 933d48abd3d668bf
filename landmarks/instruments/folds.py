"""Folds counted twice: on the traced margin and on a band of light across the folds.

The two are independent, and that they agree is the confidence: no method alone is ever sure.
What is proposed are marks a person drags, adds and removes; the count is the person's.

Parameters are ours, from rendered shells (``tests/benchmarks/folds.py``).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from landmarks.geometry import Box, Point, path_length
from landmarks.instruments.pixels import Window, around, smoothed
from landmarks.instruments.refusal import Refused
from landmarks.instruments.ridges import (
    Peak,
    evenly,
    normals,
    peaks,
    rounded,
    smooth_line,
    stable_count,
)
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


@dataclass(frozen=True, slots=True)
class FoldCount:
    """A proposal: the marks, and how sure it is.

    Attributes
    ----------
    folds
        Proposed marks in order; those of the margin where it was traced.
    sure
        Whether margin and transect agree, and both are clear.
    check
        Numbers (from 1) of marks a person should look at; empty where all agree.
    margin, transect
        What each way found, or None where it was not asked.
    """

    folds: tuple[Fold, ...]
    sure: bool
    check: tuple[int, ...]
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
            found.source: len(found.folds)
            for found in (self.margin, self.transect)
            if found
        }
        if len(counts) < 2:
            source, n = next(iter(counts.items()))
            return Sentence(f"folds.only.{source}", {"n": n})
        if self.sure:
            return Sentence("folds.agree", counts)
        if self.check:
            marks = tuple(str(one) for one in self.check)
            return Sentence("folds.check", {**counts, "n": len(marks), "marks": marks})
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
    import numpy as np

    if len(margin) < _LEAST_POINTS:
        return Refused(
            Sentence("folds.margin.few", {"n": len(margin), "least": _LEAST_POINTS})
        )
    n = 1000
    line = evenly(margin, n)
    base = smooth_line(line, n / 16)
    out = normals(base)
    chord = line[-1] - line[0]
    bulge = (line.mean(axis=0) - (line[0] + line[-1]) / 2) @ np.array([chord[1], -chord[0]])
    if bulge < 0:
        out = -out
    raw = np.einsum("ij,ij->i", line - base, out)
    profile = smoothed(raw, n / 100)
    every = [one for one in peaks(profile) if 0.045 * n < one.at < 0.955 * n]
    if not every:
        return Refused(Sentence("folds.margin.none"))
    usual = float(np.median(sorted(one.prominence for one in every)[-3:]))
    share = float(np.interp(sigma_px, [1.0, 2.0], [0.10, 0.15]))
    kept = [one for one in every if one.prominence > share * usual]
    # What the clicks alone would make of a smooth margin, after the same smoothing.
    noise = sigma_px * min(1.0, (len(margin) / 35) ** -0.5)
    clear = _margin_clear(every, kept, share * usual, noise)
    return _found("margin", kept, profile, line, clear)


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
    light = smoothed(pixels.at(x, y).mean(axis=0), 1.0)
    votes = []
    for width in _WIDTHS:
        even = _evened(light, width * n)
        votes.append(stable_count(even, ALLOWED))
    counts = [len(vote[0]) for vote in votes]
    best = max(range(len(votes)), key=lambda k: (counts.count(counts[k]), votes[k][1]))
    found, margin, soft = votes[best]
    if not found:
        return Refused(Sentence("folds.transect.none"))
    agreeing = counts.count(counts[best]) / len(counts)
    return _found("transect", found, soft, line, min(1.0, 4 * margin) * agreeing)


def count_folds(margin: Found | None, transect: Found | None) -> FoldCount:
    """Return one proposal out of what was found; at least one of the two is needed."""
    if margin is None or transect is None:
        only = margin or transect
        if only is None:
            raise ValueError("neither a margin nor a transect")
        return FoldCount(only.folds, sure=False, check=(), margin=margin, transect=transect)
    check = _unmatched(margin.folds, transect.folds)
    equal = len(margin.folds) == len(transect.folds)
    sure = (
        equal
        and not check
        and margin.clear >= _CLEAR
        and transect.clear >= _CLEAR
        and all(abs(one.height - _END_SHARE) > _SPLIT for one in _outer(margin.folds))
    )
    return FoldCount(margin.folds, sure, check, margin, transect)


def transect_needed(path: Sequence[Point]) -> Box:
    """Return the part of the picture that :func:`folds_of_transect` looks at."""
    return around(path, 2 * _BAND * path_length(path) + 4)


_LEAST_POINTS = 24
_LEAST_PX = 60.0
_BAND = 0.018
_LANES = 11
_WIDTHS = (0.05, 0.065, 0.08)
_CLEAR = 0.25
_END_SHARE = 0.62
"""An outer fold lower than this, over the usual main fold, is an end fold."""

_SPLIT = 0.06


def _evened(light: Array, sigma: float) -> Array:
    """Return light without its slow part and with even contrast."""
    import numpy as np

    fast = light - smoothed(light, sigma)
    spread = np.sqrt(np.maximum(smoothed(fast * fast, 1.3 * sigma), 0.0))
    return np.asarray(fast / np.maximum(spread, 0.15 * spread.max() + 1e-6))


def _margin_clear(
    every: list[Peak], kept: list[Peak], threshold: float, noise: float
) -> float:
    """Return how clearly the least fold kept stands above the threshold and the clicks."""
    least = min(one.prominence for one in kept)
    lost = max((one.prominence for one in every if one not in kept), default=0.0)
    apart = (least - lost) / (least + lost)
    over = least / (3.0 * noise + 1e-9)
    return max(0.0, min(1.0, apart, over - 0.5))


def _found(
    source: str, kept: list[Peak], profile: Array, line: Array, clear: float
) -> Found:
    import numpy as np

    n = len(line)
    heights = _heights(profile, kept)
    usual = float(np.median(heights[heights >= np.median(heights)]))
    shares = heights / usual if usual > 0 else heights
    kinds = _kinds(shares.tolist())
    folds = tuple(
        Fold(Point(*line[one.at].tolist()), one.at / (n - 1), kind, float(share))
        for one, kind, share in zip(kept, kinds, shares, strict=True)
    )
    step = max(1, n // 500)
    return Found(
        source,
        folds,
        tuple((profile[::step] / usual).tolist()),
        tuple(Point(*at) for at in line[::step].tolist()),
        clear,
    )


def _heights(profile: Array, kept: list[Peak]) -> Array:
    """Return how far each top stands above the valleys beside it that lie between tops."""
    import numpy as np

    heights = []
    for i, one in enumerate(kept):
        valleys = []
        if i > 0:
            valleys.append(float(profile[kept[i - 1].at : one.at].min()))
        if i < len(kept) - 1:
            valleys.append(float(profile[one.at : kept[i + 1].at].min()))
        heights.append(one.value - (sum(valleys) / len(valleys) if valleys else 0.0))
    return np.array(heights)


def _kinds(shares: list[float]) -> list[str]:
    """Return which folds are end folds: at most two at each end, lower than the rest."""
    kinds = [MAIN] * len(shares)
    for order in (range(len(shares)), range(len(shares) - 1, -1, -1)):
        for i in list(order)[:2]:
            if shares[i] >= _END_SHARE or len(shares) < 4:
                break
            kinds[i] = END
    return kinds


def _outer(folds: tuple[Fold, ...]) -> list[Fold]:
    """Return the folds that decide where main folds end: the outermost of both kinds."""
    first = [i for i, one in enumerate(folds) if one.kind == MAIN]
    if not first:
        return list(folds)
    edges = {max(0, first[0] - 1), first[0], first[-1], min(len(folds) - 1, first[-1] + 1)}
    return [folds[i] for i in sorted(edges)]


def _unmatched(first: tuple[Fold, ...], second: tuple[Fold, ...]) -> tuple[int, ...]:
    """Return the numbers of marks of the first that have no partner among the second.

    Places on margin and transect are matched by the straight line between them that leaves
    the fewest without a partner.
    """
    if len(first) < 2 or len(second) < 2:
        return tuple(range(1, len(first) + 1))
    best: tuple[int, float, tuple[int, ...]] | None = None
    gap = (first[-1].place - first[0].place) / (len(first) - 1)
    for i, j in ((0, 0), (1, 0), (0, 1)):
        for k, m in ((-1, -1), (-2, -1), (-1, -2)):
            low, high = first[i].place, first[k].place
            here, there = second[j].place, second[m].place
            if high <= low or there <= here:
                continue
            slope = (high - low) / (there - here)
            moved = [low + slope * (one.place - here) for one in second]
            lonely, off = _pairs(first, moved, 0.4 * gap)
            n_extra = len(second) - (len(first) - len(lonely))
            cost = (len(lonely) + n_extra, off, lonely)
            if best is None or cost[:2] < best[:2]:
                best = cost
    return best[2] if best else ()


def _pairs(
    first: tuple[Fold, ...], moved: list[float], near: float
) -> tuple[tuple[int, ...], float]:
    lonely, off = [], 0.0
    for number, one in enumerate(first, start=1):
        nearest = min(abs(one.place - place) for place in moved)
        if nearest > near:
            lonely.append(number)
        off += nearest
    return tuple(lonely), off
