"""Folds counted twice: on the traced margin and on a band of light across the folds.

The two are independent, and that they agree (:mod:`landmarks.instruments.fold_agreement`) is
the confidence: no method alone is ever sure. What is proposed are marks a person drags, adds
and removes; the count is the person's.

Parameters are ours, from rendered shells (``tests/benchmarks/folds.py``, ``folds_agreeing.py``).
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
    length = path_length(margin)
    clear = _margin_clear(main, kept, found.profile, len(margin), length, sigma_px)
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


def transect_needed(path: Sequence[Point]) -> Box:
    """Return the part of the picture that :func:`folds_of_transect` looks at."""
    return around(path, 2 * _BAND * path_length(path) + 4)


_LEAST_POINTS = 24
_LEAST_PX = 60.0
_BAND = 0.02
_LANES = 11
_WIDTHS = (0.05, 0.065, 0.08)
_DOUBTED = 0.015
"""Every top is a main fold, or none, but for so small a likelihood."""

_STANDS_OUT, _OVER_CLICKS = 0.0075, 3.4
"""Usual folds stand out of the margin by so much of its length, or are worn; and by so many
times what clicks would make of a smooth margin."""

_APART, _TALL, _LOW = 0.8, 0.7, 0.75
"""An outermost main fold stands so far from the next one, over the usual distance, and is so
tall, over the usual height; an end fold is so low. What is in between could be either."""

_POINTS_A_FOLD = 6.7

CLEAR = 0.5
"""A count that just meets all of these is so clear."""


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
    profile: Array,
    n_points: int,
    length: float,
    sigma_px: float,
) -> float:
    """Return how clear the count is: 0 where a top could be either, or folds are worn."""
    import numpy as np

    is_main = np.array([kind == MAIN for _, kind in kept])
    tops = [top for top, kind in kept if kind == MAIN]
    if len(tops) not in ALLOWED:
        return 0.0
    usual = float(np.median([top.prominence for top in tops]))
    # What clicks alone would make of a smooth margin, after the same smoothing.
    clicks = sigma_px * min(1.0, (n_points / 28) ** -0.5)
    apart = np.diff([top.at for top in tops])
    heights = _heights(profile, [top for top, _ in kept])
    heights /= max(float(np.median(heights[is_main])), 1e-9)
    outermost = heights[is_main][[0, -1]]
    met = (
        _DOUBTED / max(float(np.minimum(main, 1 - main).max()), 1e-9),
        usual / max(_STANDS_OUT * length, _OVER_CLICKS * clicks),
        float(min(apart[0], apart[-1]) / np.median(apart)) / _APART,
        float(outermost.min()) / _TALL,
        _LOW / max(float(heights[~is_main].max(initial=0.0)), 1e-9),
        n_points / (_POINTS_A_FOLD * len(kept)),
    )
    return float(min(1.0, CLEAR * min(met)))


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
