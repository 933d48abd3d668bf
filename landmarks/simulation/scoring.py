"""How good stated probabilities are: Brier score, log score, calibration, with intervals."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import log, sqrt

from landmarks.shares import NINETY_FIVE

LEAST = 1e-15


def brier(rows: Sequence[Sequence[float]], truths: Sequence[int]) -> float:
    """Return the mean over specimens of the sum over taxa of squared errors (Brier 1950).

    >>> round(brier([(0.7, 0.2, 0.1)], [0]), 2)
    0.14
    """
    return sum(
        sum((p - (taxon == true)) ** 2 for taxon, p in enumerate(row))
        for row, true in zip(rows, truths, strict=True)
    ) / len(rows)


def log_score(rows: Sequence[Sequence[float]], truths: Sequence[int]) -> float:
    """Return the mean of minus the log of what was said of the truth, in nats.

    >>> round(log_score([(0.7, 0.2, 0.1)], [0]), 5)
    0.35667
    """
    return sum(
        -log(max(row[true], LEAST)) for row, true in zip(rows, truths, strict=True)
    ) / len(rows)


@dataclass(frozen=True, slots=True)
class Bin:
    """Answers stated between two probabilities: how many, stated and true on average."""

    start: float
    end: float
    n: int
    stated: float
    true: float


@dataclass(frozen=True, slots=True)
class Calibration:
    """How far what is stated lies from what is true, on average over the answers.

    ``error`` is the expected calibration error over bins of equal width; ``low`` and ``high``
    its 95 % interval.
    """

    bins: tuple[Bin, ...]
    error: float
    low: float
    high: float


def calibration(
    stated: Sequence[float], right: Sequence[bool], n_bins: int = 10
) -> Calibration:
    """Return the calibration of stated probabilities.

    The interval takes each bin's share of right answers as a proportion of its own (normal
    approximation), so it says what the number of specimens leaves open.
    """
    held: list[list[tuple[float, bool]]] = [[] for _ in range(n_bins)]
    for p, true in zip(stated, right, strict=True):
        held[min(int(p * n_bins), n_bins - 1)].append((p, true))
    bins = tuple(
        Bin(
            place / n_bins,
            (place + 1) / n_bins,
            len(own),
            sum(p for p, _ in own) / len(own),
            sum(true for _, true in own) / len(own),
        )
        for place, own in enumerate(held)
        if own
    )
    n = len(stated)
    error = sum(one.n / n * abs(one.true - one.stated) for one in bins)
    variance = sum((one.n / n) ** 2 * one.true * (1 - one.true) / one.n for one in bins)
    half = NINETY_FIVE * sqrt(variance)
    return Calibration(bins, error, max(0.0, error - half), error + half)
