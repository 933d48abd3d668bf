"""Krippendorff's alpha: any number of readers, gaps allowed, four kinds of data.

Source: Krippendorff 2011, "Computing Krippendorff's alpha-reliability" (from memory; the
numbers of its example are in ``tests/published``).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from landmarks.agreement.untold import Untold, all_alike, too_few

Apart = Callable[[Sequence[float], Sequence[float], int, int], float]


def _ordinal(values: Sequence[float], counts: Sequence[float], a: int, b: int) -> float:
    low, high = min(a, b), max(a, b)
    return (sum(counts[low : high + 1]) - (counts[low] + counts[high]) / 2) ** 2


def _ratio(values: Sequence[float], counts: Sequence[float], a: int, b: int) -> float:
    whole = values[a] + values[b]
    return ((values[a] - values[b]) / whole) ** 2 if whole else 0.0


METRICS: Mapping[str, Apart] = {
    "nominal": lambda values, counts, a, b: float(a != b),
    "ordinal": _ordinal,
    "interval": lambda values, counts, a, b: (values[a] - values[b]) ** 2,
    "ratio": _ratio,
}
"""How far two values are apart; of ranks, by how many values lie between them."""


def alpha(
    readers: Sequence[Sequence[float | None]], metric: str = "nominal"
) -> float | Untold:
    """Return alpha: 1 is perfect agreement, 0 that of chance.

    Parameters
    ----------
    readers
        For each reader a value of every thing in one order, None where there is none. Scores
        without a number are numbered by their caller.
    metric
        A key of :data:`METRICS`.
    """
    things = [
        [value for value in column if value is not None]
        for column in zip(*readers, strict=True)
    ]
    things = [column for column in things if len(column) > 1]
    if not things:
        return too_few(0, 1)
    values = sorted({value for column in things for value in column})
    place = {value: index for index, value in enumerate(values)}
    weights: dict[tuple[int, int], float] = {}
    for column in things:
        for i, a in enumerate(column):
            for j, b in enumerate(column):
                if i != j:
                    pair = place[a], place[b]
                    weights[pair] = weights.get(pair, 0.0) + 1 / (len(column) - 1)
    counts = [0.0] * len(values)
    for (a_, _), weight in weights.items():
        counts[a_] += weight
    apart = METRICS[metric]
    whole = sum(counts)
    span = range(len(values))
    found = sum(w * apart(values, counts, a, b) for (a, b), w in weights.items())
    chance = sum(
        counts[a] * counts[b] * apart(values, counts, a, b) for a in span for b in span
    )
    if not chance:
        return all_alike()
    return 1 - (whole - 1) * found / chance
