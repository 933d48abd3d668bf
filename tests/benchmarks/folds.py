"""Folds of margins alone and of transects alone, over seeded shells.

Margins come from the exact surface with the errors of clicks; transects from rendered
pictures. What is counted are main folds; end folds make no projection and are proposed apart.
How both agree is another benchmark (:mod:`.folds_agreeing`), and so are margins that our own
trace followed (:mod:`.folds_traced`).

``python -m tests.benchmarks.folds MARGINS PICTURES STREAM`` prints both tables.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from landmarks.instruments.folds import CLEAR, Found, folds_of_margin, folds_of_transect
from landmarks.instruments.pixels import window_of
from tests.benchmarks.folded import (
    CONDITIONS,
    clicked,
    exact_margin,
    picture,
    shell,
    transect,
)
from tests.benchmarks.rates import Rate

SIZES = (0.95, 0.86, 0.74)
CLICKS = ((300, 0.5), (160, 1.0), (80, 1.0), (50, 1.0), (80, 2.5))


@dataclass(frozen=True, slots=True)
class Counted:
    """One proposal beside the truth."""

    condition: str
    way: str
    found: int
    main: int
    clear: bool

    @property
    def exact(self) -> bool:
        return self.found == self.main


def margins(n: int, stream: int) -> list[Counted]:
    """Return what margins alone gave; the worn and the ribleted a quarter as many."""
    done = []
    for condition in CONDITIONS:
        for seed in range(n if condition == "plain" else n // 4):
            one = shell(seed, condition, stream)
            exact = exact_margin(one)
            rng = np.random.default_rng((stream, seed))
            for n_points, sigma_px in CLICKS:
                found = folds_of_margin(
                    clicked(exact, n_points, sigma_px, rng), sigma_px=sigma_px
                )
                count, clear = _main(found)
                way = f"margin, {n_points} points, {sigma_px} px"
                done.append(Counted(condition, way, count, one.n_main, clear >= CLEAR))
    return done


def transects(n: int, stream: int) -> list[Counted]:
    """Return what transects alone gave; the worn and the ribleted half as many."""
    done = []
    for condition in CONDITIONS:
        for seed in range(n if condition == "plain" else n // 2):
            one = shell(seed, condition, stream)
            rng = np.random.default_rng((stream, seed, 2))
            # A margin of 160 clicks was drawn first when these figures were first taken.
            rng.standard_normal((160, 2))
            window = window_of(picture(one))
            for size in SIZES:
                count, clear = _main(folds_of_transect(window, transect(one, size, rng)))
                way = f"transect at {size} of growth"
                done.append(Counted(condition, way, count, one.n_main, clear >= CLEAR))
    return done


def report(done: list[Counted]) -> str:
    """Return the figures as Markdown."""
    rows = [
        "| shells | counted on | exact | within one | clear | clear and wrong, of all |"
        " wrong where clear |",
        "| --- | --- | --- | --- | --- | --- | --- |",
    ]
    for condition in CONDITIONS:
        of = [one for one in done if one.condition == condition]
        for way in dict.fromkeys(one.way for one in of):
            mine = [one for one in of if one.way == way]
            cells = [
                condition,
                way,
                _rate(mine, lambda one: one.exact),
                _rate(mine, lambda one: abs(one.found - one.main) <= 1),
                _rate(mine, lambda one: one.clear),
                _rate(mine, lambda one: one.clear and not one.exact),
                _rate([one for one in mine if one.clear], lambda one: not one.exact),
            ]
            rows.append("| " + " | ".join(cells) + " |")
    return "\n".join(rows)


def _rate(done: list[Counted], holds: Callable[[Counted], bool]) -> str:
    if not done:
        return ""
    return str(Rate(sum(holds(one) for one in done), len(done)))


def _main(found: object) -> tuple[int, float]:
    if not isinstance(found, Found):
        return 0, 0.0
    return sum(one.kind == "main" for one in found.folds), found.clear


if __name__ == "__main__":
    n_margins, n_pictures, wanted = (int(word) for word in sys.argv[1:4])
    for counted in (margins(n_margins, wanted), transects(n_pictures, wanted)):
        sys.stdout.write(report(counted) + "\n\n")
        sys.stdout.flush()
