"""How often margin and transect agree on the main folds, and how often both are wrong.

Each shell lies in a picture 400 to 1,500 px wide, under a camera that leans by some degrees,
on any of five grounds, in any light. Four transects go over it, two across the main folds and
two across the end folds too, anywhere on the outer third of growth; two margins go with them,
one clicked point by point, the other followed by our own edge trace (of every second shell, as
the clock allows). Beside each four plain shells a worn and a ribleted one.

Transects of one shell are not independent. A shell therefore counts once: with the share of
its transects of which something is true. Intervals are those of so many shells, which is more
careful than needed (a share varies less than a yes or no of the same mean).

``python -m tests.benchmarks.folds_agreeing SHELLS STREAM [KEPT.jsonl] [SECONDS]`` prints the
table of ``instruments.md``. What each picture showed is kept in the file, where one is named,
so that a run can be broken off (after so many seconds of the processor) and taken up again,
and another rule for *sure* can be tried on the same shells.
"""

from __future__ import annotations

import json
import sys
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

import numpy as np

from landmarks.geometry import Point
from landmarks.instruments.fold_agreement import count_folds
from landmarks.instruments.folds import (
    Fold,
    Found,
    folds_of_margin,
    folds_of_transect,
)
from landmarks.instruments.pixels import window_of
from tests.benchmarks.folded import (
    CONDITIONS,
    clicked,
    exact_margin,
    picture,
    shell,
    transect,
    varied,
)
from tests.benchmarks.folds_traced import TRACED_SIGMA_PX, traced
from tests.benchmarks.rates import Rate

GROWTH = 0.70, 0.97
POINTS = (50, 80, 160, 300)
CLICK_SIGMA_PX = 1.0
PLAIN_TO_OTHERS = 4
WAYS = ("clicked", "traced")
Line = tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class Crossing:
    """A transect: whether it crosses the end folds, at which growth, and what it shows."""

    ends: bool
    growth: float
    found: Found | None


@dataclass(frozen=True, slots=True)
class Trial:
    """One shell, what its picture showed of folds, and what is so."""

    seed: int
    condition: str
    ground: str
    width_px: int
    tilt_deg: float
    scutes: bool
    main: int
    ends: int
    margins: Mapping[str, Line]
    transects: tuple[Crossing, ...]

    def margin(self, way: str) -> Found | None:
        """Return what one of the margins shows."""
        found = folds_of_margin(self.margins[way], sigma_px=TRACED_SIGMA_PX)
        return found if isinstance(found, Found) else None


def trial(seed: int, condition: str, stream: int) -> Trial:
    """Return what one shell gave; equal seeds give equal ones."""
    one = varied(shell(seed, condition, stream), stream)
    rng = np.random.default_rng((stream, seed, 5, *condition.encode()))
    pixels = picture(one)
    n_points = int(rng.choice(POINTS))
    exact = exact_margin(one)
    margins = {"clicked": _short(clicked(exact, n_points, CLICK_SIGMA_PX, rng))}
    if seed % 2 == 0:
        margins["traced"] = traced(one, stream, pixels).points
    window = window_of(pixels)
    crossings = []
    for ends in (False, True, False, True):
        growth = float(rng.uniform(*GROWTH))
        band = folds_of_transect(window, transect(one, growth, rng, ends=ends))
        found = band if isinstance(band, Found) else None
        crossings.append(Crossing(ends, round(growth, 3), found))
    return Trial(
        seed,
        condition,
        one.setup.ground,
        one.width_px,
        round(float(np.hypot(*one.setup.tilt_deg)), 1),
        one.specimen.scutes is not None,
        one.n_main,
        one.n_end,
        margins,
        tuple(crossings),
    )


def study(
    n: int, stream: int, kept: Path | None = None, seconds: float = float("inf")
) -> list[Trial]:
    """Return n plain shells and the others beside them; what the file holds is not redone."""
    done = {(one.condition, one.seed): one for one in _read(kept)}
    until = time.process_time() + seconds
    for condition, seed in wanted(n):
        if (condition, seed) in done or time.process_time() > until:
            continue
        one = trial(seed, condition, stream)
        done[condition, seed] = one
        if kept is not None:
            with kept.open("a", encoding="utf-8") as file:
                file.write(json.dumps(_raw(one)) + "\n")
    return [done[key] for key in wanted(n) if key in done]


def wanted(n: int) -> Iterator[tuple[str, int]]:
    """Yield what is tried, in an order of which any beginning is a fair sample."""
    for seed in range(n):
        yield "plain", seed
        if seed % PLAIN_TO_OTHERS == 0:
            # Odd and even seeds in turn, as only those of even ones are traced.
            yield "worn", seed // PLAIN_TO_OTHERS
            yield "ribleted", seed // PLAIN_TO_OTHERS


def report(trials: Sequence[Trial]) -> str:
    """Return the figures as Markdown: transects alone, then margin and transect together."""
    return f"{_alone(trials)}\n\n{_together(trials)}"


def _alone(trials: Sequence[Trial]) -> str:
    """Return what transects counted: of main folds where they cross those, else of all."""
    rows = [
        "| shells | transects across | exact | within one | transects |",
        "| --- | --- | --- | --- | --- |",
    ]
    for condition in CONDITIONS:
        group = [one for one in trials if one.condition == condition]
        for crossed, (ends,) in list(CROSSED.items())[1:]:
            off = [
                [
                    abs((each.found.n_main if each.found else 0)
                        - one.main - (one.ends if ends else 0))
                    for each in one.transects
                    if each.ends == ends
                ]
                for one in group
            ]  # fmt: skip
            hits = [
                sum(sum(far <= most for far in each) / len(each) for each in off)
                for most in (0, 1)
            ]
            n = sum(map(len, off))
            cells = (condition, crossed, *(Rate(hit, len(group)) for hit in hits), n)
            rows.append("| " + " | ".join(map(str, cells)) + " |")
    return "\n".join(rows)


def _together(trials: Sequence[Trial]) -> str:
    rows = [
        "| shells | margin | transects | margin exact | sure | wrong where sure |"
        " wrong and sure, of all | wrong and sure, transects |",
        "| --- | --- | --- | --- | --- | --- | --- | --- |",
    ]
    judged = [(one, way, one.margin(way)) for one in trials for way in one.margins]
    for name, holds in GROUPS.items():
        for way in WAYS:
            group = [(one, found) for one, w, found in judged if w == way and holds(one)]
            for crossed, ends in CROSSED.items():
                if group and (name == "plain" or len(ends) > 1):
                    rows.append(_row((name, way, crossed), group, ends))
    return "\n".join(rows)


def _row(
    names: tuple[str, ...],
    group: Sequence[tuple[Trial, Found | None]],
    ends: Sequence[bool],
) -> str:
    exact = transects = any_sure = 0
    sure = wrong = wrong_of_sure = 0.0
    wrong_transects = sure_transects = 0
    for one, margin in group:
        right = margin is not None and margin.n_main == one.main
        exact += right
        of = [each.found for each in one.transects if each.ends in ends]
        n_sure = sum(
            margin is not None and each is not None and count_folds(margin, each).sure
            for each in of
        )
        transects += len(of)
        any_sure += n_sure > 0
        sure += n_sure / len(of)
        sure_transects += n_sure
        if not right and n_sure:
            wrong += n_sure / len(of)
            wrong_of_sure += 1.0
            wrong_transects += n_sure
    n = len(group)
    told = f"{wrong_transects} of {sure_transects} sure of {transects}"
    of_sure = Rate(wrong_of_sure, any_sure) if any_sure else ""
    cells = (*names, Rate(exact, n), Rate(sure, n), of_sure, Rate(wrong, n), told)
    return "| " + " | ".join(map(str, cells)) + " |"


CROSSED: Mapping[str, tuple[bool, ...]] = {
    "all": (False, True),
    "main folds": (False,),
    "end folds too": (True,),
}


def _plain(more: Callable[[Trial], bool]) -> Callable[[Trial], bool]:
    return lambda one: one.condition == "plain" and more(one)


GROUPS: Mapping[str, Callable[[Trial], bool]] = {
    "plain": _plain(lambda one: True),
    "worn": lambda one: one.condition == "worn",
    "ribleted": lambda one: one.condition == "ribleted",
    "all conditions": lambda one: True,
    "plain, without end folds": _plain(lambda one: not one.ends),
    "plain, with end folds": _plain(lambda one: one.ends > 0),
    "plain, 400 px": _plain(lambda one: one.width_px == 400),
    "plain, 550 and 750 px": _plain(lambda one: one.width_px in (550, 750)),
    "plain, 1,000 and 1,500 px": _plain(lambda one: one.width_px >= 1000),
    "plain, camera over 6° askew": _plain(lambda one: one.tilt_deg > 6),
    "plain, on sand": _plain(lambda one: one.ground == "sand"),
    "plain, on other grounds": _plain(lambda one: one.ground != "sand"),
    "plain, with scutes": _plain(lambda one: one.scutes),
}


def _short(line: Sequence[Point]) -> Line:
    return tuple(Point(round(x, 2), round(y, 2)) for x, y in line)


def _raw(one: Trial) -> dict[str, object]:
    raw = asdict(one)
    for each in raw["transects"]:
        if each["found"]:
            each["found"].update(profile=(), line=())
    return raw


def _read(kept: Path | None) -> Iterator[Trial]:
    if kept is None or not kept.exists():
        return
    for row in kept.read_text(encoding="utf-8").splitlines():
        raw = json.loads(row)
        raw["margins"] = {
            way: tuple(Point(*point) for point in line)
            for way, line in raw["margins"].items()
        }
        raw["transects"] = tuple(
            Crossing(one["ends"], one["growth"], _found(one["found"]))
            for one in raw["transects"]
        )
        yield Trial(**raw)


def _found(raw: dict[str, Any] | None) -> Found | None:
    if raw is None:
        return None
    folds = tuple(Fold(Point(*one.pop("point")), **one) for one in raw.pop("folds"))
    return Found(**{**raw, "folds": folds})


if __name__ == "__main__":
    n_shells, wanted_stream = int(sys.argv[1]), int(sys.argv[2])
    file = Path(sys.argv[3]) if len(sys.argv) > 3 else None
    limit = float(sys.argv[4]) if len(sys.argv) > 4 else float("inf")
    sys.stdout.write(report(study(n_shells, wanted_stream, file, limit)) + "\n")
