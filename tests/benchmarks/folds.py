"""Folds of margins alone: ``python -m tests.benchmarks.folds SHELLS STREAM [VARIED]``.

Margins come from the exact surface with the errors of clicks. What is counted are main folds;
end folds make no projection and are proposed apart. So many *varied* shells more are seen in
pictures 400 to 1,500 px wide, under cameras that lean, and clicked once each.

How margin and transect agree is another benchmark (:mod:`.folds_agreeing`), and so are margins
that our own trace followed (:mod:`.folds_traced`).
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from landmarks.instruments.folds import CLEAR, Found, folds_of_margin
from tests.benchmarks.folded import CONDITIONS, clicked, exact_margin, shell, varied
from tests.benchmarks.rates import Rate

POINTS = (50, 80, 160, 300)
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


def varied_margins(n: int, stream: int) -> list[Counted]:
    """Return what one margin of each of n shells gave; the worn and ribleted a quarter."""
    done = []
    for condition in CONDITIONS:
        for seed in range(n if condition == "plain" else n // 4):
            one = varied(shell(seed, condition, stream), stream)
            rng = np.random.default_rng((stream, seed, 6))
            line = clicked(exact_margin(one), int(rng.choice(POINTS)), 1.0, rng)
            count, clear = _main(folds_of_margin(line))
            way = "margin, 50 to 300 points, 1 px, 400 to 1,500 px, camera leans"
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
    n_shells, wanted, n_varied = (int(word) for word in (*sys.argv[1:], 0)[:3])
    counted = margins(n_shells, wanted) + varied_margins(n_varied, wanted)
    sys.stdout.write(report(counted) + "\n")
