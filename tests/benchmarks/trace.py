"""Clicks that an outline takes: the edge trace beside a polygon, on four grounds.

A simulated person clicks four points of the outline, evenly, then always the place where the
line is off most, each click with an error of one pixel; corrections are never snapped. Counted
are the clicks until line and outline lie within 3, 2, 1.5 and 1 px rms of each other, taken
both ways: from the outline to the line and back, so that neither a missed lobe nor a stray
loop is forgiven.

``python -m tests.benchmarks.trace [shells]`` prints the tables of ``trace.md``.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import dataclass
from statistics import median
from time import perf_counter

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from landmarks.geometry import Point
from landmarks.instruments.edges import crop_of, window
from landmarks.instruments.seeing import brighter, local_contrast, underwater
from landmarks.instruments.trace import (
    Anchor,
    Traced,
    edges_in,
    from_anchor,
    inserted,
    live,
    trace,
)
from tests.benchmarks.figure import Figure, table
from tests.benchmarks.trace_shells import TRIED_ON, Shell, along_evenly, shell

GOALS_PX = (3.0, 2.0, 1.5, 1.0)
CLICK_SIGMA_PX = 1.0
MOST_CLICKS = 40
MOST_POLYGON = 100
FIRST_SEED, SECOND_SEED = 0, 1000

Line = NDArray[np.floating]


@dataclass(frozen=True)
class Clicks:
    """Clicks until each of the goals, MOST_CLICKS + 1 where it was never reached."""

    needed: tuple[int, ...]
    correcting_ms: tuple[float, ...] = ()


def with_edges(shell: Shell, most: int = MOST_CLICKS) -> Clicks:
    """Return what the simulated person needs with the edge trace."""
    crop = crop_of(shell.picture)
    took: list[float] = []

    def begin(clicks: list[Point]) -> Traced:
        return trace(crop, [Anchor(click, snap=True) for click in clicks], closed=True)

    def correct(line: Traced, index: int, click: Point) -> Traced:
        begun = perf_counter()
        made = inserted(crop, line, index, Anchor(click))
        took.append(1000 * (perf_counter() - begun))
        return made

    needed = _adaptive(shell.outline, begin, correct, lambda line: line.points, most, shell)
    return Clicks(needed, tuple(took))


def with_polygon(shell: Shell, most: int = MOST_POLYGON) -> Clicks:
    """Return what the same person needs with straight lines alone."""

    def correct(line: list[Point], index: int, click: Point) -> list[Point]:
        return [*line[: index + 1], click, *line[index + 1 :]]

    needed = _adaptive(shell.outline, list, correct, lambda line: line, most, shell)
    return Clicks(needed)


def _adaptive(
    outline: Line,
    begin: Callable,
    correct: Callable,
    points_of: Callable,
    most: int,
    shell: Shell,
) -> tuple[int, ...]:
    n = len(outline)
    rng = np.random.default_rng((314, shell.seed, TRIED_ON.index(shell.ground)))
    tree = cKDTree(outline)

    def click(place: int) -> Point:
        return Point(*map(float, outline[place] + rng.normal(0, CLICK_SIGMA_PX, 2)))

    places = [round(k * n / 4) for k in range(4)]
    line = begin([click(place) for place in places])
    # Legs are numbered by their first anchor, which is kept in the order of the outline.
    needed: dict[float, int] = {}
    while True:
        dense = along_evenly(np.array(points_of(line)), 0.5)
        missed = cKDTree(dense).query(outline)[0]
        strayed, at = tree.query(dense)
        rms = np.sqrt((np.mean(missed**2) + np.mean(strayed**2)) / 2)
        for goal in GOALS_PX:
            if rms <= goal:
                needed.setdefault(goal, len(places))
        if len(needed) == len(GOALS_PX) or len(places) >= most:
            break
        place = _worst(missed, strayed, at, places)
        # The first click stays first: it is at place 0, before all others.
        index = int(np.searchsorted(places, place)) - 1
        line = correct(line, index, click(place))
        places.insert(index + 1, place)
    return tuple(needed.get(goal, most + 1) for goal in GOALS_PX)


def _worst(missed: Line, strayed: Line, at: Line, places: list[int]) -> int:
    """Return the place of the outline that the line is off most, away from earlier clicks."""
    n = len(missed)
    off = missed.copy()
    np.maximum.at(off, at, strayed)
    for place in places:
        off[np.arange(place - 6, place + 7) % n] = 0.0
    return int(np.argmax(off))


def interval(values: list[int], most: int) -> str:
    """Return a median with its 95 % interval, by resampling with a fixed seed."""
    rng = np.random.default_rng(95)
    draws = np.median(rng.choice(values, (4000, len(values))), axis=1)
    low, high = np.percentile(draws, [2.5, 97.5])
    words = [
        f"> {most}" if value > most else f"{value:.3g}"
        for value in (median(values), low, high)
    ]
    return f"{words[0]} ({words[1]} to {words[2]})"


def study(n: int, first_seed: int = FIRST_SEED) -> tuple[str, list[float]]:
    """Return the table of clicks for n shells on each ground, and the times to correct."""
    rows = [
        "| ground | shells | " + " | ".join(f"{goal:g} px" for goal in GOALS_PX)
        + " | 90 % at 2 px | within 12 at 2 px | polygon at 2 px |",
        "| --- " * (len(GOALS_PX) + 5) + "|",
    ]  # fmt: skip
    took: list[float] = []
    for ground in TRIED_ON:
        shells = [shell(ground, first_seed + k) for k in range(n)]
        edges = [with_edges(one) for one in shells]
        took += [ms for one in edges for ms in one.correcting_ms]
        polygon = [with_polygon(one).needed[1] for one in shells]
        columns = [
            interval([one.needed[k] for one in edges], MOST_CLICKS)
            for k in range(len(GOALS_PX))
        ]
        at_2 = [one.needed[1] for one in edges]
        rows.append(
            f"| {ground} | {n} | "
            + " | ".join(columns)
            + f" | {np.percentile(at_2, 90):.0f} | {sum(v <= 12 for v in at_2)} of {n} "
            + f"| {interval(polygon, MOST_POLYGON)} |"
        )
    return "\n".join(rows), took


def measure(n: int = 9) -> list[Figure]:
    """Return what a pointer move and a click cost on a large picture, fixed seed."""
    one = shell("sand", FIRST_SEED)
    crop = crop_of(one.picture)
    way = max(1, len(one.outline) // 12)
    moves, anchors = [], []
    for k in range(n):
        a, b = (
            Point(*map(float, one.outline[(k * way + d) % len(one.outline)]))
            for d in (0, way)
        )
        box, step = window(a, b)
        begun = perf_counter()
        edges = edges_in(crop, box, step)
        found = from_anchor(edges, a)
        anchors.append(1000 * (perf_counter() - begun))
        begun = perf_counter()
        live(edges, found, b)
        moves.append(1000 * (perf_counter() - begun))
    return [
        Figure("edge trace: one move of the pointer", "ms", tuple(moves), goal="<= 33 ms"),
        Figure(
            "edge trace: edges and ways from a new anchor",
            "ms",
            tuple(anchors),
            note="in the background",
        ),
        *_seeing(n),
    ]


def _seeing(n: int) -> list[Figure]:
    screen = np.random.default_rng(1).integers(0, 256, (1080, 1920, 3), dtype=np.uint8)
    helps: tuple[tuple[str, Callable], ...] = (
        ("local contrast", local_contrast),
        ("underwater colour", underwater),
        ("brightness", lambda pixels: brighter(pixels, 1.0)),
    )
    figures = []
    for name, help_ in helps:
        took = []
        for _ in range(n):
            begun = perf_counter()
            help_(screen)
            took.append(1000 * (perf_counter() - begun))
        figures.append(Figure(f"seeing better: {name}", "ms", tuple(took), goal="<= 50 ms"))
    return figures


if __name__ == "__main__":
    N = int(sys.argv[1]) if len(sys.argv) > 1 else 24
    for seed in (FIRST_SEED, SECOND_SEED):
        clicks, correcting = study(N, seed)
        figures = [Figure("edge trace: one correction", "ms", tuple(correcting))]
        sys.stdout.write(f"Seeds from {seed}\n\n{clicks}\n\n{table(figures)}\n\n")
    sys.stdout.write(table(measure()) + "\n")
