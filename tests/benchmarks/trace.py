"""Clicks that an outline takes: the edge trace beside a polygon, on four grounds.

A simulated person clicks four points of the outline, evenly, then always the place where the
line is off most, each click with an error of one pixel; corrections are never snapped. Counted
are the clicks until line and outline lie within 3, 2, 1.5 and 1 px rms of each other, taken
both ways: from the outline to the line and back, so that neither a missed lobe nor a stray
loop is forgiven.

``python -m tests.benchmarks.trace [shells [openings]]`` prints the tables of ``trace.md``.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
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
from tests.benchmarks.trace_openings import KINDS, Lined, evenly, lined
from tests.benchmarks.trace_shells import TRIED_ON, Shell, along_evenly, shell

GOALS_PX = (3.0, 2.0, 1.5, 1.0)
CLICK_SIGMA_PX = 1.0
MOST_CLICKS = 40
MOST_POLYGON = 100
FIRST_SEED, SECOND_SEED = 0, 1000
FIRST_CLICKS = 4
AFTER_CLICKS = (8, 12, 16, 20, 24)
NOISE_PX = 0.3
"""A line that is off by so little more is no worse: clicks err by a pixel."""

Line = NDArray[np.floating]


@dataclass(frozen=True)
class Clicks:
    """How far a line was off after each click, from the fourth on, in pixels rms."""

    off: tuple[float, ...]
    correcting_ms: tuple[float, ...] = ()

    def needed(self, goal: float) -> int:
        """Return the clicks until a goal, one more than there were where it was not met."""
        met = (k for k, off in enumerate(self.off) if off <= goal)
        return FIRST_CLICKS + next(met, len(self.off))

    def after(self, clicks: int) -> float:
        """Return how far the line was off after so many clicks, or after the last."""
        return self.off[min(clicks - FIRST_CLICKS, len(self.off) - 1)]

    @property
    def worse(self) -> tuple[float, ...]:
        """Return by how much each correction made the line worse; below 0 is better."""
        return tuple(b - a for a, b in pairwise(self.off))


def with_edges(seen: Shell | Lined, most: int = MOST_CLICKS, goal: float = 1.0) -> Clicks:
    """Return what the simulated person reaches with the edge trace."""
    crop = crop_of(seen.picture)
    closed = isinstance(seen, Shell) or seen.closed
    took: list[float] = []

    def begin(clicks: list[Point]) -> Traced:
        return trace(crop, [Anchor(click, snap=True) for click in clicks], closed=closed)

    def correct(line: Traced, index: int, click: Point) -> Traced:
        begun = perf_counter()
        made = inserted(crop, line, index, Anchor(click))
        took.append(1000 * (perf_counter() - begun))
        return made

    off = _adaptive(seen, begin, correct, lambda line: line.points, most, goal)
    return Clicks(off, tuple(took))


def with_polygon(
    seen: Shell | Lined, most: int = MOST_POLYGON, goal: float = 2.0
) -> Clicks:
    """Return what the same person reaches with straight lines alone."""

    def correct(line: list[Point], index: int, click: Point) -> list[Point]:
        return [*line[: index + 1], click, *line[index + 1 :]]

    return Clicks(_adaptive(seen, list, correct, lambda line: line, most, goal))


def _adaptive(
    seen: Shell | Lined,
    begin: Callable,
    correct: Callable,
    points_of: Callable,
    most: int,
    goal: float,
) -> tuple[float, ...]:
    if isinstance(seen, Shell):
        truth, closed, kind = seen.outline, True, TRIED_ON.index(seen.ground)
    else:
        truth, closed, kind = seen.line, seen.closed, 10 + KINDS.index(seen.kind)
    n = len(truth)
    rng = np.random.default_rng((314, seen.seed, kind))
    tree = cKDTree(truth)

    def click(place: int) -> Point:
        return Point(*map(float, truth[place] + rng.normal(0, CLICK_SIGMA_PX, 2)))

    last = n if closed else (n - 1) * FIRST_CLICKS / (FIRST_CLICKS - 1)
    places = [round(k * last / FIRST_CLICKS) for k in range(FIRST_CLICKS)]
    line = begin([click(place) for place in places])
    # Legs are numbered by their first anchor, which is kept in the order of the truth.
    reached: list[float] = []
    while True:
        points = np.array(points_of(line))
        dense = along_evenly(points, 0.5) if closed else evenly(points, 0.5)
        missed = cKDTree(dense).query(truth)[0]
        strayed, at = tree.query(dense)
        reached.append(float(np.sqrt((np.mean(missed**2) + np.mean(strayed**2)) / 2)))
        if reached[-1] <= goal or len(places) >= most:
            return tuple(reached)
        place = _worst(missed, strayed, at, places, closed=closed)
        # The first click stays first: it is at place 0, before all others.
        index = int(np.searchsorted(places, place)) - 1
        line = correct(line, index, click(place))
        places.insert(index + 1, place)


def _worst(
    missed: Line, strayed: Line, at: Line, places: list[int], *, closed: bool
) -> int:
    """Return the place of the truth that the line is off most, away from earlier clicks."""
    n = len(missed)
    off = missed.copy()
    np.maximum.at(off, at, strayed)
    for place in places:
        near = np.arange(place - 6, place + 7)
        off[near % n if closed else near[(near >= 0) & (near < n)]] = 0.0
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
        polygon = [with_polygon(one).needed(2.0) for one in shells]
        columns = [
            interval([one.needed(goal) for one in edges], MOST_CLICKS) for goal in GOALS_PX
        ]
        at_2 = [one.needed(2.0) for one in edges]
        rows.append(
            f"| {ground} | {n} | "
            + " | ".join(columns)
            + f" | {np.percentile(at_2, 90):.0f} | {sum(v <= 12 for v in at_2)} of {n} "
            + f"| {interval(polygon, MOST_POLYGON)} |"
        )
    return "\n".join(rows), took


def openings(n: int, first_seed: int = FIRST_SEED) -> str:
    """Return the table of how far openings and margins are off after so many clicks."""
    columns = " | ".join(f"{clicks} clicks" for clicks in AFTER_CLICKS)
    rows = [
        f"| line | n | by | {columns} | made worse by > {NOISE_PX:g} px |",
        "| --- " * (len(AFTER_CLICKS) + 4) + "|",
    ]
    for kind in KINDS:
        seen = [lined(kind, first_seed + k) for k in range(n)]
        for name, way in (("edge trace", with_edges), ("polygon", with_polygon)):
            made = [way(one, AFTER_CLICKS[-1], 0.0) for one in seen]
            middles = [median(one.after(k) for one in made) for k in AFTER_CLICKS]
            worse = [by > NOISE_PX for one in made for by in one.worse]
            cells = " | ".join(f"{off:.1f} px" for off in middles)
            rows.append(
                f"| {kind} | {n} | {name} | {cells} | {sum(worse)} of {len(worse)} |"
            )
    return "\n".join(rows)


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
    M = int(sys.argv[2]) if len(sys.argv) > 2 else 6
    for seed in (FIRST_SEED, SECOND_SEED):
        clicks, correcting = study(N, seed)
        figures = [Figure("edge trace: one correction", "ms", tuple(correcting))]
        sys.stdout.write(f"Seeds from {seed}\n\n{clicks}\n\n{table(figures)}\n\n")
        sys.stdout.write(f"{openings(M, seed)}\n\n")
    sys.stdout.write(table(measure()) + "\n")
