"""Folds counted on margins that our own edge trace followed, over rendered shells.

A simulated person clicks both hinge ends and four places between them, evenly, then always
where the line is off most, until it is within 2 px rms of the margin or 12 clicks are made;
every click errs by one pixel. What is counted are main folds, as in :mod:`.folds`; *clear* is
the margin's own measure, which alone makes nothing sure.

``python -m tests.benchmarks.folds_traced SHELLS STREAM [KEPT.json] [FIRST]`` prints a row of
the table in ``instruments.md``; traced lines are kept in the file, where one is named, so that
another way to count can be tried on the same lines.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from landmarks.geometry import Point
from landmarks.instruments.edges import crop_of
from landmarks.instruments.folds import CLEAR, Found, folds_of_margin
from landmarks.instruments.trace import Anchor, Traced, inserted, trace
from tests.benchmarks.folded import Folded, exact_margin, picture, shell
from tests.benchmarks.rates import Rate

GOAL_PX = 2.0
MOST_CLICKS = 12
CLICK_SIGMA_PX = 1.0
FIRST_CLICKS = 6
TRACED_SIGMA_PX = 1.0
"""Doubt of a traced line's points that the count is told."""


@dataclass(frozen=True, slots=True)
class TracedShell:
    """A traced margin beside the truth; ``off_px`` is its root mean square from the margin."""

    seed: int
    ground: str
    scutes: bool
    main: int
    ends: int
    clicks: int
    off_px: float
    points: tuple[Point, ...]

    @property
    def found(self) -> Found | None:
        """Return the folds that are proposed on the line."""
        found = folds_of_margin(self.points, sigma_px=TRACED_SIGMA_PX)
        return found if isinstance(found, Found) else None


def traced(
    one: Folded, stream: int, pixels: NDArray[np.uint8] | None = None
) -> TracedShell:
    """Return the margin of a shell as the simulated person traced it, in another picture too."""
    crop = crop_of(picture(one) if pixels is None else pixels)
    margin = _evenly(exact_margin(one).line, 1.0)
    rng = np.random.default_rng((stream, one.seed, 59))
    tree = cKDTree(margin)

    def click(place: int) -> Point:
        return Point(*map(float, margin[place] + rng.normal(0, CLICK_SIGMA_PX, 2)))

    last = len(margin) - 1
    places = [round(k * last / (FIRST_CLICKS - 1)) for k in range(FIRST_CLICKS)]
    line = trace(crop, [Anchor(click(place), snap=True) for place in places])
    while True:
        missed, strayed, at = _off(line, margin, tree)
        rms = float(np.sqrt((np.mean(missed**2) + np.mean(strayed**2)) / 2))
        if rms <= GOAL_PX or len(places) >= MOST_CLICKS:
            break
        place = _worst(missed, strayed, at, places)
        index = int(np.searchsorted(places, place)) - 1
        line = inserted(
            crop, line, min(max(index, 0), len(places) - 2), Anchor(click(place))
        )
        places.insert(min(max(index, 0), len(places) - 2) + 1, place)
    return TracedShell(
        one.seed,
        one.setup.ground,
        one.specimen.scutes is not None,
        one.n_main,
        one.n_end,
        len(places),
        rms,
        tuple(Point(round(x, 2), round(y, 2)) for x, y in line.points),
    )


def _off(
    line: Traced, margin: NDArray[np.floating], tree: cKDTree
) -> tuple[NDArray[np.floating], NDArray[np.floating], NDArray[np.intp]]:
    dense = _evenly(np.array(line.points), 0.5)
    strayed, at = tree.query(dense)
    return cKDTree(dense).query(margin)[0], strayed, at


def _evenly(line: NDArray[np.floating], step: float) -> NDArray[np.floating]:
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
    places = np.linspace(0.0, along[-1], max(8, int(along[-1] / step)))
    return np.column_stack([np.interp(places, along, line[:, k]) for k in (0, 1)])


def _worst(
    missed: NDArray[np.floating],
    strayed: NDArray[np.floating],
    at: NDArray[np.intp],
    places: list[int],
) -> int:
    """Return the place of the margin that the line is off most, away from earlier clicks."""
    off = missed.copy()
    np.maximum.at(off, at, strayed)
    for place in places:
        off[max(0, place - 6) : place + 7] = 0.0
    return int(np.argmax(off))


def study(
    n: int, stream: int, kept: Path | None = None, first: int = 0
) -> list[TracedShell]:
    """Return n plain shells traced; lines in the file are not traced again."""
    done = {one.seed: one for one in _read(kept)}
    for seed in range(first, first + n):
        if seed in done:
            continue
        done[seed] = traced(shell(seed, "plain", stream), stream)
        if kept is not None:
            with kept.open("a", encoding="utf-8") as file:
                file.write(json.dumps(_raw(done[seed])) + "\n")
    return [done[seed] for seed in range(first, first + n)]


def report(shells: list[TracedShell]) -> str:
    """Return the figures as Markdown, for all shells and by ground."""
    rows = [
        "| margins our own trace followed | clicks, median | off, median | exact | within one"
        " | clear | clear and wrong, of all |",
        "| --- | --- | --- | --- | --- | --- | --- |",
    ]
    grounds = sorted({one.ground for one in shells})
    groups = [("all", shells)]
    groups += [(name, [one for one in shells if one.ground == name]) for name in grounds]
    groups += [("with scutes", [one for one in shells if one.scutes])]
    for name, group in groups:
        counts = [(one, one.found) for one in group]
        n_main = [(one, found.n_main if found else 0, found) for one, found in counts]
        exact = [count == one.main for one, count, _ in n_main]
        near = [abs(count - one.main) <= 1 for one, count, _ in n_main]
        clear = [found is not None and found.clear >= CLEAR for _, _, found in n_main]
        wrong = [a and not b for a, b in zip(clear, exact, strict=True)]
        cells = [
            name,
            f"{np.median([one.clicks for one in group]):g}",
            f"{np.median([one.off_px for one in group]):.2f} px",
            *(str(Rate(sum(hits), len(group))) for hits in (exact, near, clear, wrong)),
        ]
        rows.append("| " + " | ".join(cells) + " |")
    return "\n".join(rows)


def _raw(one: TracedShell) -> dict[str, object]:
    return {name: getattr(one, name) for name in TracedShell.__slots__}


def _read(kept: Path | None) -> Iterator[TracedShell]:
    if kept is None or not kept.exists():
        return
    for row in kept.read_text(encoding="utf-8").splitlines():
        raw = json.loads(row)
        raw["points"] = tuple(Point(*point) for point in raw["points"])
        yield TracedShell(**raw)


if __name__ == "__main__":
    shells = study(
        int(sys.argv[1]),
        int(sys.argv[2]),
        Path(sys.argv[3]) if len(sys.argv) > 3 else None,
        int(sys.argv[4]) if len(sys.argv) > 4 else 0,
    )
    sys.stdout.write(report(shells) + "\n")
