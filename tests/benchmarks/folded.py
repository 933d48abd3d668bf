"""Folded shells of random form: margins from the exact surface, pictures for transects.

Three conditions: plain shells, worn ones whose folds are nearly gone, and ribleted ones whose
riblets are as strong as their folds.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from landmarks.geometry import Point
from tests.rendering import Laid, Setup, Specimen, render_outside
from tests.rendering.colours import Colours
from tests.rendering.light import Lamp
from tests.rendering.scutes import ScuteStyle
from tests.rendering.surface import ValveShape
from tests.rendering.views import lay

CONDITIONS = ("plain", "worn", "ribleted")
WIDTH_PX = 1000
FIELD = 1.36
"""Width of the picture in shell lengths."""


@dataclass(frozen=True)
class Folded:
    """One shell under one camera: its form, and where its folds end at the margin."""

    seed: int
    condition: str
    specimen: Specimen
    setup: Setup
    laid: Laid
    n_main: int
    n_end: int

    @property
    def n_folds(self) -> int:
        return self.n_main + self.n_end


def shell(seed: int, condition: str = "plain", stream: int = 1) -> Folded:
    """Return a shell; equal seeds give equal ones."""
    rng = np.random.default_rng((stream, seed, *condition.encode()))
    tall = rng.uniform(0.48, 0.66)
    umbo = rng.uniform(-0.18, 0.10)
    hinge = rng.uniform(0.3, 0.55)
    angle = np.radians([0.0, 14.0, 38.0, 65.0, 90.0, 115.0, 142.0, 166.0, 180.0])
    x = np.sign(np.cos(angle)) * abs(np.cos(angle)) ** rng.uniform(0.8, 1.0) / 2
    y = 0.24 * tall + 0.76 * tall * np.sin(angle) ** rng.uniform(0.85, 1.1)
    control = np.column_stack([x * rng.uniform(0.98, 1.02, 9) - umbo, y])
    low = [(hinge * 0.5 - umbo * 0.4, 0.0), (-hinge * 0.5 - umbo * 0.4, 0.0)]
    outline = (low[0], *map(tuple, control), low[1])
    n_main, n_end = int(rng.integers(4, 9)), int(rng.integers(0, 3))
    gap = 0.66 / (n_main + n_end)
    start = 0.12 + 0.5 * gap
    places = start + gap * np.arange(n_main + n_end)
    places += rng.normal(0.0, 0.06 * gap, places.size)
    first = int(n_end == 2 or (n_end == 1 and rng.random() < 0.5))
    main = places[first : first + n_main]
    ends = np.concatenate([places[:first], places[first + n_main :]])
    depth = rng.uniform(0.16, 0.40) / n_main
    lobes = depth * rng.uniform(0.5, 1.0)
    riblets = rng.uniform(0.002, 0.006) if rng.random() < 0.7 else 0.0
    if condition == "worn":
        depth, lobes = depth * rng.uniform(0.05, 0.3), lobes * rng.uniform(0.0, 0.2)
    if condition == "ribleted":
        depth, lobes = depth * rng.uniform(0.15, 0.5), lobes * rng.uniform(0.1, 0.5)
        riblets = depth * rng.uniform(0.6, 1.4)
    length = float(rng.uniform(80, 220))
    shape = ValveShape(
        length,
        outline,
        tuple(main),
        tuple(ends),
        growth=rng.uniform(0.7, 1.05),
        fold_depth=float(depth),
        lobes=float(lobes),
        end_fold_share=float(rng.uniform(0.3, 0.5)),
        fold_narrowness=rng.uniform(0.7, 1.4),
        n_riblets=int(rng.integers(3, 6)),
        riblet_depth=float(riblets),
        byssal_opening_from=0.92,
        byssal_opening_width=rng.choice([0.0, 0.03, 0.06]),
        seed=int(rng.integers(1 << 30)),
    )
    style = ScuteStyle(rng.uniform(0.02, 0.07), rng.uniform(0.08, 0.2), last_size=0.9)
    scutes = style if condition == "plain" and rng.random() < 0.4 else None
    colours = Colours(
        banding=rng.uniform(0.2, 0.7),
        soiling=rng.uniform(0.2, 0.6),
        blotches=float(rng.choice([0.0, 0.0, 0.6])),
        seed=int(rng.integers(1 << 30)),
    )
    lamp = Lamp(azimuth_deg=rng.uniform(0, 360), elevation_deg=rng.uniform(35, 65))
    ground = str(rng.choice(["felt", "sand", "tray", "wood", "foam"]))
    setup = Setup(field_mm=FIELD * length, ground=ground, lamp=lamp, no_ruler=True)
    laid = Laid(
        Specimen(shape, colours, scutes),
        str(rng.choice(["left", "right"])),
        float(rng.uniform(-25, 25)),
        (0.0, 0.0),
    )
    return Folded(seed, condition, laid.specimen, setup, laid, n_main, n_end)


def margin(
    one: Folded, n: int, sigma_px: float, rng: np.random.Generator
) -> tuple[Point, ...]:
    """Return the margin from hinge end to hinge end as somebody clicked it."""
    line = np.linspace(0.0, 1.0, n)
    points = _seen(one, line, 1.0) + sigma_px * rng.standard_normal((n, 2))
    return tuple(Point(float(x), float(y)) for x, y in points)


def transect(
    one: Folded, size: float, rng: np.random.Generator, sigma_px: float = 4.0
) -> tuple[Point, ...]:
    """Return eight clicks across all folds at a share of growth, half a fold to spare."""
    places = sorted((*one.specimen.shape.main_folds, *one.specimen.shape.end_folds))
    half = (places[-1] - places[0]) / (len(places) - 1) / 2
    line = np.linspace(places[0] - half, places[-1] + half, 8)
    points = _seen(one, line, size) + sigma_px * rng.standard_normal((8, 2))
    return tuple(Point(float(x), float(y)) for x, y in points)


def umbo(one: Folded) -> Point:
    """Return where the umbo is seen."""
    shell = lay(one.laid)
    at = one.setup.camera(WIDTH_PX).project(shell.pose.place(shell.valve.umbo()[None]))[0]
    return Point(float(at[0, 0]), float(at[0, 1]))


def picture(one: Folded) -> NDArray[np.uint8]:
    """Return the rendered picture (h, w, 3)."""
    made = render_outside(
        one.specimen,
        WIDTH_PX,
        one.seed + 1,
        one.setup,
        valve=one.laid.valve,
        turn_deg=one.laid.turn_deg,
        centre_mm=one.laid.centre_mm,
    )
    return made.picture


def _seen(one: Folded, line: NDArray[np.floating], size: float) -> NDArray[np.floating]:
    lying = lay(one.laid)
    world = lying.pose.place(lying.valve.points(line, np.full(line.size, size)))
    return one.setup.camera(WIDTH_PX).project(world)[0]
