"""What a top of the margin looks like: projection of a fold, or a rounded end of the shell.

The ends of a valve stand out of a smoothed margin as folds do. What tells them apart is how
the margin turns: a fold is flanked by hollows and turns as sharply as its neighbours. Each
top is described by ten numbers; two logistic rules of second order weigh them. Their weights
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
)  # fmt: skip


class Margin(NamedTuple):
    """A margin's profile (n,) over its base, and its tops with their descriptions (m, 10)."""

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
    return Margin(profile, tops, _described(line, tops))


def likelihoods(described: Array, rule: str) -> Array:
    """Return how likely each top is a fold by one of the rules, ``main`` or ``any``."""
    import numpy as np

    means, spreads, weights = _rules()[rule]
    even = (described - np.array(means)) / np.array(spreads)
    return np.asarray(
        1 / (1 + np.exp(-np.clip(second_order(even) @ np.array(weights), -30, 30)))
    )


def second_order(even: Array) -> Array:
    """Return features with their products, and a column of ones (m, 66)."""
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


def _described(line: Array, tops: list[Peak]) -> Array:
    import numpy as np

    n = len(line)
    along = np.gradient(smooth_line(line, _TURNING * n), axis=0)
    turned = np.unwrap(np.arctan2(along[:, 1], along[:, 0]))
    if turned[-1] < turned[0]:
        turned = -turned
    bend = smoothed(np.gradient(turned), 0.004 * n)
    at = [one.at for one in tops]
    reach, half, near = int(_REACH * n), int(0.05 * n), int(0.015 * n)
    rows = []
    for i, here in enumerate(at):
        low = at[i - 1] if i else max(0, here - reach)
        high = at[i + 1] if i < len(at) - 1 else min(n - 1, here + reach)
        hollows = (
            _fall(-turned[low : here + 1][::-1]),
            _fall(turned[here : high + 1]),
        )
        turn = turned[min(here + half, n - 1)] - turned[max(here - half, 0)]
        sharp = bend[max(0, here - near) : here + near + 1].max()
        rows.append([min(hollows), max(hollows), turn, sharp, tops[i].prominence])
    raw = np.array(rows)
    plain = raw[:, 0] > 0.15
    usual = raw[plain] if plain.sum() >= 2 else raw
    deep = float(np.median(usual[:, 1])) + 1e-6
    keen = max(float(np.median(usual[:, 3])), 1e-5)
    tall = float(np.median(usual[:, 4]))
    places = np.array(at)[plain] if plain.sum() >= 3 else np.array(at)
    gap = float(np.median(np.diff(places))) if len(places) > 1 else 0.1 * n
    nearest = [
        min((abs(here - other) for other in at if other != here), default=n) / gap
        for here in at
    ]
    edge = np.minimum(np.array(at), n - np.array(at)) / n
    outer = [float(i in (0, len(at) - 1)) for i in range(len(at))]
    return np.stack(
        [
            np.minimum(raw[:, 0], 0.6),
            np.minimum(raw[:, 1], 1.0),
            raw[:, 2],
            np.log(np.maximum(raw[:, 3], 1e-4) / keen),
            np.log(np.maximum(raw[:, 4], 0.01) / max(tall, 0.01)),
            np.abs(np.log(np.array(nearest))),
            np.minimum(raw[:, 1] / deep, 1.5),
            5 * np.minimum(edge, 0.3),
            np.array(outer),
            np.minimum(raw[:, 0] / deep, 1.5),
        ],
        axis=1,
    )


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
