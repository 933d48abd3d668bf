"""What a top of the margin looks like: projection of a fold, or a rounded end of the shell.

The ends of a valve stand out of a smoothed margin as folds do. What tells them apart is how
the margin turns: a fold is flanked by hollows and turns as sharply as its neighbours. Each
top is described by sixteen numbers; two logistic rules of second order weigh them. Their weights
were fitted to rendered shells by ``tests/benchmarks/fold_weights.py``.
"""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from landmarks.instruments.pixels import smoothed
from landmarks.instruments.ridges import Peak, normals, peaks, smooth_line

if TYPE_CHECKING:
    from landmarks.instruments.pixels import Array

WEIGHTS = Path(__file__).parents[1] / "data" / "instruments" / "fold_weights.json"

SAMPLES = 1000
FEATURES = (
    "lesser_hollow", "greater_hollow", "turn", "sharpness", "prominence",
    "distance_to_next", "greater_hollow_share", "place", "outermost", "lesser_hollow_share",
    "distance_inwards", "distance_to_plain", "lesser_height", "greater_height", "base_turn",
    "turn_over_base",
)  # fmt: skip


class Margin(NamedTuple):
    """A margin's profile (n,) over its base, and its tops with their descriptions (m, 16)."""

    profile: Array
    tops: list[Peak]
    described: Array


def margin_tops(line: Array) -> Margin:
    """Return the tops that stand out of a margin sampled evenly (n, 2)."""
    import numpy as np

    n = len(line)
    base = smooth_line(line, _BASE * n)
    out = normals(base)
    chord = line[-1] - line[0]
    bulge = (line.mean(axis=0) - (line[0] + line[-1]) / 2) @ np.array([chord[1], -chord[0]])
    if bulge < 0:
        out = -out
    profile = smoothed(np.einsum("ij,ij->i", line - base, out), _FINE * n)
    tops = [one for one in peaks(profile) if _ENDS * n < one.at < (1 - _ENDS) * n]
    if not tops:
        return Margin(profile, [], np.empty((0, len(FEATURES))))
    usual = float(np.median(sorted(one.prominence for one in tops)[-3:]))
    tops = [one for one in tops if one.prominence > _LEAST * usual]
    return Margin(profile, tops, _described(line, tops, profile))


def likelihoods(described: Array, rule: str) -> Array:
    """Return how likely each top is a fold by one of the rules, ``main`` or ``any``."""
    import numpy as np

    means, spreads, weights = _rules()[rule]
    even = (described - np.array(means)) / np.array(spreads)
    return np.asarray(
        1 / (1 + np.exp(-np.clip(second_order(even) @ np.array(weights), -30, 30)))
    )


def second_order(even: Array) -> Array:
    """Return features with their products, and a column of ones."""
    import numpy as np

    columns = [np.ones((len(even), 1)), even]
    columns += [even[:, [i]] * even[:, i:] for i in range(even.shape[1])]
    return np.concatenate(columns, axis=1)


_BASE = 0.045
_FINE = 0.010
_ENDS = 0.03
_LEAST = 0.05
_TURNING = 0.011
_REACH = 0.11
"""Shares of the length of the margin: smoothing of the base, of the profile, what is left
out at both ends; least prominence; smoothing of directions; how far a hollow is looked for."""

_PLAIN_HOLLOW = 0.15
"""A top with so deep a hollow on both sides, in radians, is a fold beyond doubt."""


def _described(line: Array, tops: list[Peak], profile: Array) -> Array:
    """Return the description (m, 16) of every top, most of it relative to its neighbours."""
    import numpy as np

    n = len(line)
    at = np.array([one.at for one in tops])
    turning = _turning(line, tops)
    plain = turning[:, 0] > _PLAIN_HOLLOW
    usual = turning[plain] if plain.sum() >= 2 else turning
    deep = float(np.median(usual[:, 1])) + 1e-6
    keen = max(float(np.median(usual[:, 3])), 1e-5)
    prominence = np.array([one.prominence for one in tops])
    tall = float(np.median(prominence[plain] if plain.sum() >= 2 else prominence))
    places = at[plain] if plain.sum() >= 3 else at
    gap = float(np.median(np.diff(places))) if len(places) > 1 else 0.1 * n
    middle = float(np.median(places))
    heights = _heights(line, at, profile)
    norm = float(np.median(heights[plain, 0] if plain.sum() >= 2 else heights[:, 0]))
    columns = [
        np.minimum(turning[:, 0], 0.6),
        np.minimum(turning[:, 1], 1.0),
        turning[:, 2],
        np.log(np.maximum(turning[:, 3], 1e-4) / keen),
        np.log(np.maximum(prominence, 0.01) / max(tall, 0.01)),
        np.abs(np.log(_nearest(at, at, n) / gap)),
        np.minimum(turning[:, 1] / deep, 1.5),
        5 * np.minimum(np.minimum(at, n - at) / n, 0.3),
        np.isin(np.arange(len(at)), (0, len(at) - 1)).astype(float),
        np.minimum(turning[:, 0] / deep, 1.5),
        np.clip(np.log(_nearest(at, at, gap, middle) / gap), -1, 1),
        np.clip(np.log(_nearest(at, places, gap, middle) / gap), -1, 1.5),
        np.log(np.maximum(heights[:, 0], 0.05) / max(norm, 0.05)),
        np.log(np.maximum(heights[:, 1], 0.05) / max(norm, 0.05)),
        turning[:, 4],
        turning[:, 4] - turning[:, 2],
    ]
    return np.stack(columns, axis=1)


def _turning(line: Array, tops: list[Peak]) -> Array:
    """Return how the margin turns at each top, in radians.

    Lesser and greater hollow beside it, turn over a tenth of the margin, sharpest bend, and
    the turn of the margin without its folds.
    """
    import numpy as np

    n = len(line)
    turned, base = _directions(line, _TURNING * n), _directions(line, _BASE * n)
    bend = smoothed(np.gradient(turned), 0.004 * n)
    at = [one.at for one in tops]
    reach, half, near = int(_REACH * n), int(0.05 * n), int(0.015 * n)
    rows = []
    for i, here in enumerate(at):
        low = at[i - 1] if i else max(0, here - reach)
        high = at[i + 1] if i < len(at) - 1 else min(n - 1, here + reach)
        hollows = _fall(-turned[low : here + 1][::-1]), _fall(turned[here : high + 1])
        ends = max(here - half, 0), min(here + half, n - 1)
        sharp = bend[max(0, here - near) : here + near + 1].max()
        turns = [float(one[ends[1]] - one[ends[0]]) for one in (turned, base)]
        rows.append([min(hollows), max(hollows), turns[0], sharp, turns[1]])
    return np.array(rows)


def _heights(line: Array, at: Array, profile: Array) -> Array:
    """Return the lesser and greater height of tops over a base that follows more closely."""
    import numpy as np

    n = len(line)
    base = smooth_line(line, 0.03 * n)
    close = smoothed(np.einsum("ij,ij->i", line - base, normals(base)), 0.008 * n)
    if float(close @ profile) < 0:
        close = -close
    rows = []
    for here in at.tolist():
        top = close[max(0, here - 12) : here + 13].max()
        sides = close[max(0, here - 60) : here + 1], close[here : here + 61]
        rows.append(sorted(float(top - side.min()) for side in sides))
    return np.array(rows)


def _directions(line: Array, sigma: float) -> Array:
    """Return the direction along a smoothed line, in radians, growing where it bulges."""
    import numpy as np

    along = np.gradient(smooth_line(line, sigma), axis=0)
    turned = np.unwrap(np.arctan2(along[:, 1], along[:, 0]))
    return -turned if turned[-1] < turned[0] else turned


def _nearest(
    at: Array, others: Array, default: float, middle: float | None = None
) -> Array:
    """Return the distance to the nearest other place, or to the nearest towards a middle."""
    import numpy as np

    found = []
    for here in at.tolist():
        far = [
            abs(here - other)
            for other in others.tolist()
            if other != here and (middle is None or (other > here) == (middle > here))
        ]
        found.append(min(far, default=default))
    return np.array(found, float)


def _fall(turned: Array) -> float:
    """Return how far a direction falls back from what it had reached, in radians."""
    import numpy as np

    return float((np.maximum.accumulate(turned) - turned).max())


@cache
def _rules() -> dict[str, tuple[list[float], list[float], list[float]]]:
    raw = json.loads(WEIGHTS.read_text(encoding="utf-8"))
    return {
        key: (raw["means"], raw["spreads"], raw["weights"][key]) for key in ("main", "any")
    }
