"""Doubt of first order beside many clickings, for every measure, and how often it holds.

Each trial clicks every landmark and both ends of the ruler anew with the doubt a click has,
and takes another ruler. What first order says of these causes in each trial (root mean
square) is compared with the spread of the values; the stated 95 % intervals are counted.
Heights, tilt and distance have a benchmark of their own (:mod:`.lengths`).

``python -m tests.benchmarks.doubts [TRIALS]`` prints the table of ``doubts.md``, and a second
one for pairs that gape in other ways, as the doubt of the share of a gap depends on its form.
"""

from __future__ import annotations

import sys
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from landmarks.assessment import measure_rows
from landmarks.collection import Picture
from landmarks.geometry import Point
from landmarks.instruments.margins import GAP, VIEW, compare
from landmarks.measures import MEASURES
from landmarks.picture import PictureFile
from landmarks.placing import CLICK_SIGMA_PX, Placing
from landmarks.scale import Scale
from landmarks.specimen import Frame, Specimen
from tests.benchmarks.rates import Rate

Places = Mapping[str, NDArray[np.floating]]

SIZES_PX = (400, 1000)
CLICKED = ("placing", "scale_ends", "ruler")
"""Causes that are drawn anew in each trial."""

RULER_SIGMA = 0.001
QUANTILE = 1.96

NOT_COMPARED = {
    "main_folds": "a count: half a fold by convention, no slope",
    "end_folds": "a count",
    "scute_count": "a count",
    "tentacle_count": "a count",
}
"""Measures whose doubt is not one of first order, and why."""


@dataclass(frozen=True)
class Case:
    """Frames that show some measures: view -> places in shell lengths, and what is told."""

    frames: Mapping[str, Places]
    keys: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Found:
    """What one measure did at one size."""

    key: str
    size_px: int
    value: float
    first_order: float
    spread: float
    held: Rate
    told: bool = True
    """Whether it can be told from 0; what cannot has its floor for a doubt, and no slope."""

    @property
    def ratio(self) -> float:
        return self.first_order / self.spread


def cases(size_px: int) -> tuple[Case, ...]:
    """Return what is clicked on a shell of so many pixels; lines as finely as one clicks."""
    valve = {
        "byssal_end": _at((0.50, 0.02)),
        "ligament_end": _at((-0.50, -0.01)),
        "umbo": _at((0.06, 0.33)),
        "upper_margin": _at((0.02, -0.28)),
        "hinge_byssal": _at((0.26, 0.30)),
        "hinge_ligament": _at((-0.20, 0.24)),
        "upper_margin_line": _waves(size_px, 1.0, 0.0),
        "scutes": np.array([(0.055 - 0.03 * r, 0.33 - 0.55 * r) for r in _GROWING]),
        "scute_left": _at((-0.05, -0.03)),
        "scute_right": _at((0.09, -0.04)),
    }
    pair = {
        "byssal_end": _at((0.50, 0.02)),
        "ligament_end": _at((-0.50, -0.01)),
        "margin_left": _waves(size_px, 1.0, 0.0),
        "margin_right": _waves(size_px, 1.2, 0.05),
    }
    hinge = {
        "byssal_end": _at((0.50, 0.02)),
        "ligament_end": _at((-0.50, -0.01)),
        "hinge_byssal": _at((0.10, 0.0)),
        "hinge_ligament": _at((-0.28, 0.01)),
        "byssal_opening_hinge": _at((0.12, 0.0)),
        "byssal_opening_far": _at((0.30, 0.01)),
    }
    below = {
        "byssal_opening_hinge": _at((0.0, 0.0)),
        "byssal_opening_far": _at((0.25, 0.01)),
        "opening_width_a": _at((0.12, -0.06)),
        "opening_width_b": _at((0.12, 0.06)),
        "byssal_opening": _ring(size_px, 0.125, 0.06),
    }
    end = {
        "width_left": _at((-0.25, 0.0)),
        "width_right": _at((0.25, 0.02)),
        "umbo": _at((0.01, 0.30)),
        "upper_margin": _at((0.0, -0.28)),
    }
    above = {
        "margin_byssal_end": _at((0.5, 0.02)),
        "margin_ligament_end": _at((-0.5, -0.01)),
        "mantle_near": _at((-0.52, 0.0)),
        "mantle_far": _at((0.53, 0.01)),
        "inhalant_near": _at((-0.30, 0.02)),
        "inhalant_far": _at((-0.05, 0.03)),
    }
    opening = {
        "inhalant_near": _at((-0.40, 0.02)),
        "inhalant_far": _at((0.40, 0.03)),
        "opening": _ring(size_px, 0.40, 0.12),
    }
    edge = {
        "edge": _waves(size_px, 0.5, 0.0),
        "eyes": np.column_stack([_EYES, 0.03 + 0.02 * np.sin(9 * _EYES)]),
    }
    return (
        Case(
            {"outside_of_valve": valve},
            (
                "shell_length", "shell_height", "height_ratio", "hinge_line", "hinge_ratio",
                "hinge_angle", "length_along_hinge", "height_across_hinge", "umbo_position",
                "margin_wave_depth", "scute_gap", "scute_growth",
            ),
        ),
        Case(
            {"upper_margin": pair},
            ("fold_relief", "margin_fit", "gap_length_share", "gap_area_share"),
        ),
        Case({"hinge_edge": hinge}, ("byssal_opening_length", "byssal_ratio")),
        Case(
            {"underside": below, "outside_of_valve": valve},
            ("byssal_opening_width", "byssal_width_ratio", "byssal_opening_area",
             "byssal_area_ratio"),
        ),
        Case({"end": end, "outside_of_valve": valve}, ("shell_width", "width_ratio")),
        Case(
            {"living_from_above": above},
            ("visible_margin_length", "inhalant_length", "mantle_span", "inhalant_ratio"),
        ),
        Case({"living_inhalant_opening": opening}, ("inhalant_area", "inhalant_fullness")),
        Case({"living_mantle_edge": edge}, ("eye_density", "eye_regularity")),
    )  # fmt: skip


def gapes(size_px: int) -> Mapping[str, Case]:
    """Return pairs that gape in other ways than the one of the table."""
    left = _waves(size_px, 1.0, 0.0)
    x = left[:, 0]
    ways = {
        "gapes towards one end": 0.05 * np.clip((x + 0.1) / 0.5, 0.0, 1.0),
        "gapes in the middle alone": 0.04 * np.exp(-((x / 0.15) ** 2)),
        "shut": np.zeros_like(x),
        "gapes wide all along": np.full_like(x, 0.08),
    }
    ends = {"byssal_end": _at((0.50, 0.02)), "ligament_end": _at((-0.50, -0.01))}
    cases = {}
    for name, gap in ways.items():
        right = np.column_stack([x, left[:, 1] - gap])
        places = {**ends, "margin_left": left, "margin_right": right}
        cases[name] = Case({VIEW: places}, (GAP,))
    return cases


def trials(case: Case, size_px: int, n: int, seed: int = 1) -> list[Found]:
    """Return what each measure of a case did in n clickings."""
    hand = np.random.default_rng((seed, size_px, *case.keys[0].encode()))
    exact = _taken(case, size_px, None, 0.0)
    said = _taken(case, size_px, None, CLICK_SIGMA_PX)
    gap_share = _gap_share(case, size_px) if GAP in case.keys else 0.0
    values: dict[str, list[float]] = {key: [] for key in case.keys}
    held: dict[str, int] = dict.fromkeys(case.keys, 0)
    stated: dict[str, float] = dict.fromkeys(case.keys, 0.0)
    for _ in range(n):
        for key, one in _taken(case, size_px, hand, CLICK_SIGMA_PX).items():
            value, sigma, clicked, _ = one
            true = gap_share if key == GAP else exact[key][0]
            values[key].append(value)
            stated[key] += clicked**2 / n
            held[key] += abs(value - true) <= QUANTILE * sigma + 1e-12
    found = []
    for key in case.keys:
        spread = float(np.std(values[key], ddof=1))
        first_order = stated[key] ** 0.5
        rate = Rate(held[key], len(values[key]))
        true = gap_share if key == GAP else exact[key][0]
        told = true >= said[key][3]
        found.append(Found(key, size_px, true, first_order, spread, rate, told))
    return found


def _gap_share(case: Case, size_px: int) -> float:
    """Return the share of a gap on exact lines, as far as clicks let one see it.

    From one doubt of the separation it counts in part, from five on wholly.
    """
    specimen, pictures = _clicked(case, size_px, None, CLICK_SIGMA_PX)
    setting = pictures[VIEW].setting
    profile = compare(setting, specimen.placings).profile
    assert profile is not None
    apart = profile.left - profile.right
    apart = apart * np.sign(apart.mean()) / profile.noise
    return float(np.clip((apart - 1.0) / 4.0, 0.0, 1.0).mean())


def _taken(
    case: Case, size_px: int, hand: np.random.Generator | None, sigma_px: float
) -> dict[str, tuple[float, float, float, float]]:
    """Return value, stated doubt, its clicked part and the floor of each measure.

    The stated doubt leaves out what is not drawn here: heights, lie and lean, tilt, distance.
    """
    specimen, pictures = _clicked(case, size_px, hand, sigma_px)
    found = {}
    for row in measure_rows(specimen, pictures):
        if row.key not in case.keys:
            continue
        if row.value is None:
            raise ValueError(f"{row.key}: {row.missing}")
        kinds = row.value.by_kind()
        clicked = sum(kinds.get(kind, 0.0) ** 2 for kind in CLICKED) ** 0.5
        own = [
            kinds.get(kind, 0.0) for kind in (*CLICKED, "tracing", "sampling", "counting")
        ]
        stated = float(np.hypot.reduce(own))
        found[row.key] = row.value.value, stated, clicked, row.floor or 0.0
    return found


def _clicked(
    case: Case, size_px: int, hand: np.random.Generator | None, sigma_px: float
) -> tuple[Specimen, dict[str, Picture]]:
    def click(at: NDArray[np.floating]) -> tuple[Point, ...]:
        off = 0.0 if hand is None else CLICK_SIGMA_PX * hand.standard_normal(at.shape)
        return tuple(Point(float(x), float(y)) for x, y in at + off)

    wide, tall = round(1.8 * size_px), round(1.4 * size_px)
    frames, placings, pictures = [], [], {}
    for view, places in case.frames.items():
        frames.append(Frame(view, view, view, valves="shut", mantle="extended"))
        ruler = np.array([(0.1 * wide, 0.93 * tall), (0.9 * wide, 0.93 * tall)])
        length_mm = 0.8 * wide / size_px * 120.0
        told = 0.0 if hand is None else RULER_SIGMA * float(hand.standard_normal())
        scale = Scale(
            "two_points", click(ruler), length_mm * (1 + told), RULER_SIGMA * length_mm
        )
        pictures[view] = Picture(
            view, view, PictureFile("0" * 64, 1, wide, tall), replace(scale, sigma_px=1.5)
        )
        for key, at in places.items():
            points = click(at * size_px + (wide / 2, tall / 2))
            placing = Placing(f"{view}/{key}", view, key, points, sigma_px=sigma_px)
            placings.append(placing)
    return Specimen("s", frames=tuple(frames), placings=tuple(placings)), pictures


def report(n: int) -> str:
    """Return the table as Markdown: every measure of the catalogue."""
    rows = [
        "| measure | value | doubt at 400 px | first order over spread, 400 px | 1000 px |"
        " 95 % interval holds, 400 px | 1000 px |",
        "| --- | --- | --- | --- | --- | --- | --- |",
    ]
    done: dict[str, dict[int, Found]] = {}
    for size in SIZES_PX:
        for case in cases(size):
            for one in trials(case, size, n):
                done.setdefault(one.key, {})[size] = one
            sys.stderr.write(f"{size} {case.keys[0]}\n")
    for key in MEASURES:
        if key not in done:
            rows.append(f"| {key} | | | {NOT_COMPARED[key]} | | | |")
            continue
        small, large = (done[key][size] for size in SIZES_PX)
        ratios = (
            (NOT_COMPARED[key], "")
            if key in NOT_COMPARED
            else tuple(
                f"{one.ratio:.3f}" if one.told else "below its floor"
                for one in (small, large)
            )
        )
        doubt = small.first_order / small.value if small.value else float("nan")
        rows.append(
            f"| {key} | {small.value:.4g} | {100 * doubt:.2f} % | {ratios[0]} | {ratios[1]} |"
            f" {small.held} | {large.held} |"
        )
    return "\n".join(rows)


def report_gapes(n: int) -> str:
    """Return what the share of a gap did in pairs of other forms, as Markdown."""
    rows = [
        "| pair | shell | share of a gap | doubt | first order over spread |"
        " 95 % interval holds |",
        "| --- | --- | --- | --- | --- | --- |",
    ]
    for size in SIZES_PX:
        for name, case in gapes(size).items():
            (one,) = trials(case, size, n)
            ratio = f"{one.ratio:.3f}" if one.spread and one.told else "at its bound"
            rows.append(
                f"| {name} | {size} px | {one.value:.3f} | {one.first_order:.4f} | {ratio} |"
                f" {one.held} |"
            )
    return "\n".join(rows)


def _at(place: tuple[float, float]) -> NDArray[np.floating]:
    return np.array([place])


def _even_count(length_px: float, apart: float = 9.0) -> int:
    """Return how many points a person clicks along a line, each erring for itself."""
    return max(9, int(length_px / (apart * CLICK_SIGMA_PX)))


def _waves(size_px: int, height: float, gap: float) -> NDArray[np.floating]:
    """Return a margin of three waves over the length, clicked point by point."""
    x = np.linspace(-0.48, 0.48, _even_count(1.2 * size_px, 11.0))
    y = 0.05 * height * np.sin(2 * np.pi * 3 * (x + 0.5)) - gap * np.cos(np.pi * x) ** 2
    return np.column_stack([x, y])


def _ring(size_px: int, across: float, up: float) -> NDArray[np.floating]:
    around = 2 * np.pi * np.hypot(across, up) / np.sqrt(2) * size_px
    angle = np.linspace(0, 2 * np.pi, _even_count(around), endpoint=False)
    return np.column_stack([0.12 + across * np.cos(angle), up * np.sin(angle)])


_GROWING = 0.4 * 1.25 ** np.arange(5)
_EYES = np.linspace(-0.45, 0.45, 19) + 0.008 * np.sin(7.0 * np.arange(19))


if __name__ == "__main__":
    n_trials = int(sys.argv[1]) if len(sys.argv) > 1 else 4000
    for told in (report, report_gapes):
        sys.stdout.write(told(n_trials) + "\n\n")
        sys.stdout.flush()
