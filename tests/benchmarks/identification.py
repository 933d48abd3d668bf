"""Weights, full answers and batches beside a library's naive Bayes: single against single."""

from __future__ import annotations

import random
from collections.abc import Callable
from time import perf_counter

import numpy as np
from sklearn.naive_bayes import GaussianNB

from landmarks.identification import compile_tables, identify, identify_many, weigh, what_if
from landmarks.observations import Circumstances, Scored, Seen, Taken
from landmarks.tables import read_tables
from tests.benchmarks.figure import Figure

MANY = 100_000
NAME = "scikit-learn's GaussianNB on as many numbers"


def measure(n: int = 9) -> list[Figure]:
    """Return the figures of design section 9 for identification, fixed seed."""
    guide = compile_tables(read_tables())
    chance = random.Random(20)
    shell = _specimen(guide.tables.characters, chance, 1.0)
    now = Circumstances(region="taiwan", origin="wild")
    seen = [
        (_specimen(guide.tables.characters, chance, 0.4), Circumstances())
        for _ in range(2000)
    ] * (MANY // 2000)
    numbers = np.random.default_rng(20).random((MANY, len(shell)))
    names = np.arange(MANY) % len(guide.taxa)
    model = GaussianNB().fit(numbers, names)
    one = numbers[:1]
    floor = _times(lambda: model.predict_proba(one), n, 50)
    batch_floor = _times(lambda: model.predict_proba(numbers), 3, 1)
    count = f"{len(shell)} characters"
    return [
        Figure(
            "reading the shipped tables and making the guide",
            "ms",
            _times(lambda: compile_tables(read_tables()), n, 1),
        ),
        Figure(
            "candidates and weights",
            "ms",
            _times(lambda: weigh(guide, shell, now), n, 50),
            floor,
            "<= 0.5 ms",
            f"{count}; floor: {NAME}",
        ),
        Figure(
            "what if, all states of one character",
            "ms",
            _times(lambda: what_if(guide, shell, now, "byssal_opening"), n, 50),
            floor,
            "<= 3 ms",
            f"{count}; floor as above",
        ),
        Figure(
            "full answer",
            "ms",
            _times(lambda: identify(guide, shell, now), n, 10),
            floor,
            "<= 10 ms",
            f"{count}, with fit, robustness, look next, sentences; floor as above",
        ),
        Figure(
            "batch of 100,000",
            "ms",
            _times(lambda: identify_many(guide, seen), 3, 1),
            batch_floor,
            "<= 3000 ms",
            "about 9 characters each, gaps and doubts in them; floor as above, no gaps",
        ),
    ]


def _times(work: Callable[[], object], n: int, times: int) -> tuple[float, ...]:
    """Return milliseconds of one piece of work, n times."""
    work()
    found = []
    for _ in range(n):
        begun = perf_counter()
        for _ in range(times):
            work()
        found.append((perf_counter() - begun) * 1000 / times)
    return tuple(found)


def _specimen(characters: object, chance: random.Random, share: float) -> list[Seen]:
    seen: list[Seen] = []
    for one in characters:  # type: ignore[attr-defined]
        if one.sum_of or one.bounds or chance.random() > share:
            continue
        if one.scored:
            seen.append(
                Scored(one.key, chance.choice(one.states).key, chance.random() < 0.85)
            )
        else:
            low, high = one.span
            seen.append(Taken(one.key, chance.uniform(low, high), (high - low) / 100))
    return seen
