"""Folds over seeded shells: ``python -m tests.benchmarks.folds MARGINS PICTURES STREAM``.

Margins come from the exact surface with the errors of clicks; transects from rendered
pictures. What is counted are main folds; end folds make no projection and are proposed apart.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from landmarks.instruments.fold_agreement import count_folds
from landmarks.instruments.folds import (
    Found,
    folds_of_margin,
    folds_of_transect,
)
from landmarks.instruments.pixels import window_of
from tests.benchmarks.folded import (
    CONDITIONS,
    Folded,
    clicked,
    exact_margin,
    picture,
    shell,
    transect,
)
from tests.benchmarks.rates import Rate

CLICKS = ((300, 0.5), (160, 1.0), (80, 1.0), (50, 1.0), (80, 2.5))
SIZES = (0.95, 0.86, 0.74)


@dataclass(frozen=True, slots=True)
class Counted:
    """One proposal beside the truth."""

    condition: str
    way: str
    found: int
    main: int
    sure: bool

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
                done.append(Counted(condition, way, count, one.n_main, clear > 0.5))
    return done


def pictures(n: int, stream: int) -> list[Counted]:
    """Return what transects and both together gave; worn and ribleted half as many."""
    done = []
    for condition in CONDITIONS:
        for seed in range(n if condition == "plain" else n // 2):
            one = shell(seed, condition, stream)
            rng = np.random.default_rng((stream, seed, 2))
            window = window_of(picture(one))
            margin = folds_of_margin(clicked(exact_margin(one), 160, 1.0, rng))
            for ends in (False, True):
                rng = np.random.default_rng((stream, seed, 3)) if ends else rng
                for size in SIZES:
                    band = folds_of_transect(window, transect(one, size, rng, ends=ends))
                    done += _both(one, f"{size}{', end folds crossed' if ends else ''}",
                                  margin, band, alone=not ends)  # fmt: skip
            sys.stderr.write(f"{condition} {seed}\n")
    return done


def _both(
    one: Folded, where: str, margin: object, band: object, *, alone: bool
) -> list[Counted]:
    """Return what a transect gave and what both gave; across end folds only the latter."""
    done = []
    if alone:
        count, clear = _main(band)
        way = f"transect at {where} of growth"
        done.append(Counted(one.condition, way, count, one.n_main, clear > 0.5))
    both = None
    if isinstance(margin, Found) and isinstance(band, Found):
        both = count_folds(margin, band)
    found = len(both.main) if both else 0
    sure = bool(both and both.sure)
    way = f"margin and transect at {where}"
    return [*done, Counted(one.condition, way, found, one.n_main, sure)]


def report(done: list[Counted]) -> str:
    """Return the figures as Markdown."""
    rows = [
        "| shells | counted on | exact | within one | sure | sure and wrong, of all |",
        "| --- | --- | --- | --- | --- | --- |",
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
                _rate(mine, lambda one: one.sure),
                _rate(mine, lambda one: one.sure and not one.exact),
            ]
            rows.append("| " + " | ".join(cells) + " |")
    return "\n".join(rows)


def _rate(done: list[Counted], holds: Callable[[Counted], bool]) -> str:
    return str(Rate(sum(holds(one) for one in done), len(done)))


def _main(found: object) -> tuple[int, float]:
    if not isinstance(found, Found):
        return 0, 0.0
    return sum(one.kind == "main" for one in found.folds), found.clear


if __name__ == "__main__":
    n_margins, n_pictures, stream = (int(word) for word in sys.argv[1:4])
    done = margins(n_margins, stream) + pictures(n_pictures, stream)
    sys.stdout.write(report(done) + "\n")
