"""Differences of repeated readings as points of two plots: against their mean, over time.

The first is that of Bland & Altman 1986 (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from landmarks.agreement import Untold
from landmarks.repeats import Repeated
from landmarks.sentences import Sentence

MEAN, TIME = "bland", "drift"
"""The two plots: against the mean of both readings, over time."""


@dataclass(frozen=True, slots=True)
class Points:
    """What a plot of differences shows.

    Attributes
    ----------
    x, y
        Mean of both readings, or days since the first repeat; repeat minus record.
    x_words, unit
        What stands at the axis below; the unit of the differences.
    middle, limits
        Level lines: the bias, or none at all over time; the limits of agreement.
    slope
        Drift as change for one unit of x and value at x = 0, where it is known.
    """

    x: tuple[float, ...] = ()
    y: tuple[float, ...] = ()
    x_words: Sentence | None = None
    unit: str = ""
    middle: float | None = None
    limits: tuple[float, float] | None = None
    slope: tuple[float, float] | None = None


def points_of(row: Repeated, kind: str) -> Points:
    """Return the points of a measure for one of the two plots, in the order of its pairs."""
    unit = "" if row.unit in ("ratio", "count") else row.unit
    y = tuple(pair.difference for pair in row.pairs)
    limits, drift = row.limits, row.drift
    middle = None if isinstance(limits, Untold) else limits.bias
    ends = None if isinstance(limits, Untold) else (limits.low, limits.high)
    if kind == MEAN:
        x = tuple((pair.first + pair.second) / 2 for pair in row.pairs)
        key = "agreement.plot.x.mean.unit" if unit else "agreement.plot.x.mean"
        return Points(x, y, Sentence(key, {"unit": unit}), unit, middle, ends)
    days = [_day(pair.at) for pair in row.pairs]
    start = min(days, default=0.0)
    x = tuple(day - start for day in days)
    slope = None
    if not isinstance(drift, Untold):
        per_day = drift.slope / 30
        mean_x, mean_y = sum(x) / len(x), sum(y) / len(y)
        slope = per_day, mean_y - per_day * mean_x
    return Points(x, y, Sentence("agreement.plot.x.days"), unit, 0.0, None, slope)


def _day(at: str) -> float:
    return datetime.fromisoformat(at).timestamp() / 86_400 if at else 0.0
