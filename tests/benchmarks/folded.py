"""Folded shells of random form: margins from the exact surface, pictures for transects.

Three conditions: plain shells, worn ones whose folds are nearly gone, and ribleted ones whose
riblets are as strong as their folds.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from landmarks.geometry import Point
from tests.rendering import Laid, Setup, Specimen
from tests.rendering.colours import Colours
from tests.rendering.light import Lamp
from tests.rendering.scene import Lying, Scene
from tests.rendering.scutes import ScuteStyle
from tests.rendering.surface import ValveShape
from tests.rendering.views import lay, pieces_of

CONDITIONS = ("plain", "worn", "ribleted")
WIDTH_PX = 1000
WIDTHS_PX, SHARES = (400, 550, 750, 1000, 1500), (0.3, 0.3, 0.25, 0.1, 0.05)
"""Widths of pictures that differ, and how often each; the small ones are the cheap ones."""

TILT_DEG = 5.0
"""Standard deviation of how far a camera leans, in both directions; twice that at most."""

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
    width_px: int = WIDTH_PX

    @property
    def n_folds(self) -> int:
        return self.n_main + self.n_end


def shell(seed: int, condition: str = "plain", stream: int = 1) -> Folded:
    """Return a shell; equal seeds give equal ones."""
    rng = np.random.default_rng((stream, seed, *condition.encode()))
    tall = rng.uniform(0.48, 0.66)
    umbo = rng.uniform(-0.18, 0.10)
    hinge = rng.uniform(0.3, 0.55)
    # Rounded ends, as the example shells have them, then a bow over the upper margin.
    angle = np.radians([0.0, 22.0, 45.0, 68.0, 90.0, 112.0, 135.0, 158.0, 180.0])
    x = np.sign(np.cos(angle)) * abs(np.cos(angle)) ** rng.uniform(0.85, 1.0) * 0.49
    y = 0.44 * tall + 0.56 * tall * np.sin(angle) ** rng.uniform(0.9, 1.1)
    control = np.column_stack([x * rng.uniform(0.98, 1.02, 9) - umbo, y])
    low = np.array([[hinge * 0.5, 0.0], [0.41, 0.08 * tall], [0.475, 0.22 * tall]])
    shift = np.array([-umbo * 0.4, 0.0]), np.array([-umbo, 0.0])
    shifts = [shift[0], (shift[0] + shift[1]) / 2, shift[1]]
    right = [tuple(p + q) for p, q in zip(low, shifts, strict=True)]
    left = [tuple(p * [-1, 1] + q) for p, q in zip(low, shifts, strict=True)][::-1]
    outline = (*right, *map(tuple, control), *left)
    n_main, n_end = int(rng.integers(4, 9)), int(rng.integers(0, 3))
    gap = 0.74 / (n_main + n_end)
    start = 0.09 + 0.5 * gap
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
        end_fold_share=float(rng.uniform(0.15, 0.4)),
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


def varied(one: Folded, stream: int) -> Folded:
    """Return a shell in a picture 400 to 1,500 px wide, under a camera that leans."""
    rng = np.random.default_rng((stream, one.seed, 4, *one.condition.encode()))
    tilt = np.clip(rng.normal(0.0, TILT_DEG, 2), -2 * TILT_DEG, 2 * TILT_DEG)
    setup = replace(one.setup, tilt_deg=(float(tilt[0]), float(tilt[1])))
    return replace(one, setup=setup, width_px=int(rng.choice(WIDTHS_PX, p=SHARES)))


@dataclass(frozen=True)
class Exact:
    """A margin as it is seen (n, 2), and where its folds end along it, 0 to 1."""

    line: NDArray[np.floating]
    main: NDArray[np.floating]
    ends: NDArray[np.floating]


def exact_margin(one: Folded) -> Exact:
    """Return the margin from hinge end to hinge end, exactly."""
    lying = lay(one.laid)
    line = np.linspace(0.0, 1.0, 2001)
    seen = _seen(one, line, 1.0, lying)
    far = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(seen, axis=0).T))])
    main, ends = lying.valve.fold_tops()
    places = [np.interp(tops, line, far / far[-1]) for tops in (main, ends)]
    return Exact(seen, places[0], places[1])


def clicked(
    exact: Exact, n: int, sigma_px: float, rng: np.random.Generator
) -> tuple[Point, ...]:
    """Return a margin as somebody followed it with n clicks."""
    line = np.linspace(0.0, 1.0, len(exact.line))
    at = np.linspace(0.0, 1.0, n)
    points = np.stack([np.interp(at, line, exact.line[:, k]) for k in (0, 1)], axis=1)
    points = points + sigma_px * rng.standard_normal((n, 2))
    return tuple(Point(float(x), float(y)) for x, y in points)


def transect(
    one: Folded,
    size: float,
    rng: np.random.Generator,
    sigma_px: float = 4.0,
    *,
    ends: bool = False,
) -> tuple[Point, ...]:
    """Return eight clicks across the main folds at a share of growth, half a fold to spare.

    With ``ends`` they go across the end folds too.
    """
    shape = one.specimen.shape
    places = sorted((*shape.main_folds, *(shape.end_folds if ends else ())))
    half = (places[-1] - places[0]) / (len(places) - 1) / 2
    line = np.linspace(places[0] - half, places[-1] + half, 8)
    points = _seen(one, line, size) + sigma_px * rng.standard_normal((8, 2))
    return tuple(Point(float(x), float(y)) for x, y in points)


def picture(one: Folded) -> NDArray[np.uint8]:
    """Return the rendered picture (h, w, 3); its truth is not worked out."""
    camera, setup = one.setup.camera(one.width_px), one.setup
    pieces = pieces_of(one.laid, lay(one.laid))
    scene = Scene(camera, (pieces,), setup.ground, setup.ground_options, lamp=setup.lamp,
                  seed=one.seed + 1)  # fmt: skip
    return scene.picture()


def _seen(
    one: Folded, line: NDArray[np.floating], size: float, lying: Lying | None = None
) -> NDArray[np.floating]:
    lying = lying or lay(one.laid)
    world = lying.pose.place(lying.valve.points(line, np.full(line.size, size)))
    return one.setup.camera(one.width_px).project(world)[0]
