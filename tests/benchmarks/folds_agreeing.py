"""How often margin and transect agree on the main folds, and how often both are wrong.

Each shell lies in a picture 400 to 1,500 px wide, under a camera that leans by some degrees,
on any of five grounds, in any light. Its margin is clicked point by point, or followed by our
own edge trace. Four transects go over it. Beside each four plain shells a worn and
a ribleted one.

How few pictures that takes is told in :mod:`.crossings`.

``python -m tests.benchmarks.folds_agreeing SHELLS STREAM [clicked|traced] [KEPT.jsonl]`` prints
the table of ``instruments.md``. What each shell gave is kept in the file, where one is named,
so that a run can be broken off and taken up again.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path

import numpy as np

from landmarks.instruments.folds import CLEAR, Found, folds_of_margin
from landmarks.instruments.pixels import window_of
from tests.benchmarks.crossings import (
    COLUMNS,
    CROSSED,
    Crossing,
    cells,
    crossed,
    looked_at,
)
from tests.benchmarks.folded import (
    CONDITIONS,
    clicked,
    exact_margin,
    picture,
    shell,
    varied,
)
from tests.benchmarks.folds_traced import traced

POINTS = (50, 80, 160, 300)
SIGMA_PX = 1.0
PLAIN_TO_OTHERS = 4


@dataclass(frozen=True, slots=True)
class Trial:
    """One shell; ``crossings`` is empty where no picture had to be looked at."""

    seed: int
    condition: str
    ground: str
    width_px: int
    tilt_deg: float
    scutes: bool
    main: int
    ends: int
    right: bool
    clear: bool
    crossings: tuple[Crossing, ...]


def trial(seed: int, condition: str, stream: int, way: str) -> Trial:
    """Return what one shell gave; equal seeds give equal ones."""
    one = varied(shell(seed, condition, stream), stream)
    rng = np.random.default_rng((stream, seed, 5, *condition.encode()))
    pixels = None
    if way == "clicked":
        line = clicked(exact_margin(one), int(rng.choice(POINTS)), SIGMA_PX, rng)
    else:
        pixels = picture(one)
        line = traced(one, stream, pixels).points
    found = folds_of_margin(line, sigma_px=SIGMA_PX)
    margin = found if isinstance(found, Found) else None
    right = margin is not None and margin.n_main == one.n_main
    clear = margin is not None and margin.clear >= CLEAR
    crossings: tuple[Crossing, ...] = ()
    if margin is not None and looked_at(seed, right=right, clear=clear):
        window = window_of(picture(one) if pixels is None else pixels)
        crossings = crossed(one, margin, window, rng)
    return Trial(
        seed,
        condition,
        one.setup.ground,
        one.width_px,
        round(float(np.hypot(*one.setup.tilt_deg)), 1),
        one.specimen.scutes is not None,
        one.n_main,
        one.n_end,
        right,
        clear,
        crossings,
    )


def study(n: int, stream: int, way: str, kept: Path | None = None) -> list[Trial]:
    """Return n plain shells and the others beside them; what the file holds is not redone."""
    done = {(one.condition, one.seed): one for one in _read(kept)}
    for condition, seed in wanted(n):
        if (condition, seed) in done:
            continue
        done[condition, seed] = one = trial(seed, condition, stream, way)
        if kept is not None:
            with kept.open("a", encoding="utf-8") as file:
                file.write(json.dumps(asdict(one)) + "\n")
    return [done[key] for key in wanted(n)]


def wanted(n: int) -> Iterator[tuple[str, int]]:
    """Yield what is tried, in an order of which any beginning is a fair sample."""
    for seed in range(n):
        yield "plain", seed
        if seed % PLAIN_TO_OTHERS == 0:
            yield "worn", seed // PLAIN_TO_OTHERS
            yield "ribleted", seed // PLAIN_TO_OTHERS


def report(trials: Sequence[Trial]) -> str:
    """Return the figures as Markdown."""
    rows = [
        f"| shells | {' | '.join(COLUMNS)} |",
        "| --- " * (len(COLUMNS) + 1) + "|",
    ]
    for name, holds in GROUPS.items():
        group = [one for one in trials if holds(one)]
        for told, ends in CROSSED.items():
            if group and (name == "plain" or len(ends) > 1):
                rows.append(f"| {name}{told} | " + " | ".join(cells(group, ends)) + " |")
    return "\n".join(rows)


def _plain(more: Callable[[Trial], bool]) -> Callable[[Trial], bool]:
    return lambda one: one.condition == "plain" and more(one)


GROUPS: Mapping[str, Callable[[Trial], bool]] = {
    "plain": _plain(lambda one: True),
    "worn": lambda one: one.condition == "worn",
    "ribleted": lambda one: one.condition == "ribleted",
    "all": lambda one: one.condition in CONDITIONS,
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


def _read(kept: Path | None) -> Iterator[Trial]:
    if kept is None or not kept.exists():
        return
    for row in kept.read_text(encoding="utf-8").splitlines():
        raw = json.loads(row)
        raw["crossings"] = tuple(Crossing(**one) for one in raw["crossings"])
        yield Trial(**raw)


if __name__ == "__main__":
    n_shells, wanted_stream = int(sys.argv[1]), int(sys.argv[2])
    margin_way = sys.argv[3] if len(sys.argv) > 3 else "clicked"
    if margin_way not in ("clicked", "traced"):
        sys.exit(f"No margin is {margin_way!r}: say clicked or traced.")
    file = Path(sys.argv[4]) if len(sys.argv) > 4 else None
    sys.stdout.write(report(study(n_shells, wanted_stream, margin_way, file)) + "\n")
