"""Folds counted on margins that our own edge trace followed, over rendered shells.

A simulated person clicks both hinge ends and four places between them, evenly, then always
where the line is off most, until it is within 2 px rms of the margin or 12 clicks are made;
every click errs by one pixel. What is counted are main folds, as in :mod:`.folds`; whether a
transect agrees is told by :mod:`.crossings`.

``python -m tests.benchmarks.folds_traced SHELLS STREAM [KEPT.json] [FIRST]`` prints a row of
the table in ``instruments.md``; traced lines are kept in the file, where one is named, so that
another way to count can be tried on the same lines.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from landmarks.geometry import Point
from landmarks.instruments.edges import crop_of
from landmarks.instruments.folds import CLEAR, Found, folds_of_margin
from landmarks.instruments.pixels import window_of
from landmarks.instruments.trace import Anchor, Traced, inserted, trace
from tests.benchmarks.crossings import COLUMNS, Crossing, cells, crossed, looked_at
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
    """A traced margin beside the truth; ``off_px`` is its root mean square from the margin.

    ``crossings`` are transects beside it, as the rule for *sure* stood when they were drawn;
    None where that was not asked yet.
    """

    seed: int
    ground: str
    scutes: bool
    main: int
    ends: int
    clicks: int
    off_px: float
    points: tuple[Point, ...]
    crossings: tuple[Crossing, ...] | None = None

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
        if seed in done and done[seed].crossings is not None:
            continue
        one = shell(seed, "plain", stream)
        line = done[seed] if seed in done else traced(one, stream)
        done[seed] = line = replace(line, crossings=_crossings(one, line, stream))
        if kept is not None:
            with kept.open("a", encoding="utf-8") as file:
                file.write(json.dumps(_raw(line)) + "\n")
    return [done[seed] for seed in range(first, first + n)]


def _crossings(one: Folded, line: TracedShell, stream: int) -> tuple[Crossing, ...]:
    found = line.found
    judged = _judged(line)
    if found is None or not looked_at(one.seed, right=judged.right, clear=judged.clear):
        return ()
    rng = np.random.default_rng((stream, one.seed, 60))
    return crossed(one, found, window_of(picture(one)), rng)


class _Judgement(NamedTuple):
    right: bool
    clear: bool
    crossings: tuple[Crossing, ...]
    near: bool


def _judged(one: TracedShell) -> _Judgement:
    found = one.found
    n = found.n_main if found else 0
    clear = found is not None and found.clear >= CLEAR
    return _Judgement(n == one.main, clear, one.crossings or (), abs(n - one.main) <= 1)


def report(shells: list[TracedShell]) -> str:
    """Return the figures as Markdown, for all shells and by ground."""
    rows = [
        "| margins our own trace followed | clicks, median | off, median | within one |"
        f" {' | '.join(COLUMNS)} |",
        "| --- " * (len(COLUMNS) + 4) + "|",
    ]
    judged = [(one, _judged(one)) for one in shells]
    grounds = sorted({one.ground for one in shells})
    groups = [("all", judged)]
    groups += [(name, [each for each in judged if each[0].ground == name])
               for name in grounds]  # fmt: skip
    groups += [("with scutes", [each for each in judged if each[0].scutes])]
    for name, group in groups:
        told = [
            name,
            f"{np.median([one.clicks for one, _ in group]):g}",
            f"{np.median([one.off_px for one, _ in group]):.2f} px",
            str(Rate(sum(each.near for _, each in group), len(group))),
            *cells([each for _, each in group]),
        ]
        rows.append("| " + " | ".join(told) + " |")
    return "\n".join(rows)


def _raw(one: TracedShell) -> dict[str, object]:
    crossings = None if one.crossings is None else [asdict(each) for each in one.crossings]
    return {name: getattr(one, name) for name in TracedShell.__slots__} | {
        "crossings": crossings
    }


def _read(kept: Path | None) -> Iterator[TracedShell]:
    if kept is None or not kept.exists():
        return
    for row in kept.read_text(encoding="utf-8").splitlines():
        raw = json.loads(row)
        raw["points"] = tuple(Point(*point) for point in raw["points"])
        if raw.get("crossings") is not None:
            raw["crossings"] = tuple(Crossing(**each) for each in raw["crossings"])
        yield TracedShell(**raw)


if __name__ == "__main__":
    shells = study(
        int(sys.argv[1]),
        int(sys.argv[2]),
        Path(sys.argv[3]) if len(sys.argv) > 3 else None,
        int(sys.argv[4]) if len(sys.argv) > 4 else 0,
    )
    sys.stdout.write(report(shells) + "\n")
