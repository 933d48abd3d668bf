"""Shells without a picture: thousands of exact projections for statistics.

A trial is an invented valve lying on its margin under a camera that nobody levelled: what a
picture of it would hold, as points alone.  The surface is the one that pictures show, sampled
more coarsely; landmarks and measures are those of the sampled surface, so both are exact.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from . import truth
from .camera import Camera, Pose, turn_x, turn_y, turn_z
from .ruler import Ruler
from .surface import Valve, ValveShape

Points = NDArray[np.floating]

SAMPLES = 401
WIDTH_PX = 4000
DISTANCE_MM = (300.0, 1500.0)
LENGTH_MM = (25.0, 450.0)
TILT_DEG = 1.5
LEAN_DEG = 2.0
FOCAL = (1.3, 0.4)
"""Median distance in long sides of the picture, and the spread of its logarithm."""


@dataclass(frozen=True)
class Trial:
    """One valve as a camera sees it, and what is so.

    *landmarks* are continuous pixels, (2,) or (n, 2); *heights_mm* are above the upper face of
    the ruler, which lies on the table; *measures* are those of `tests.rendering.truth`.
    """

    seed: int
    width_px: int
    height_px: int
    part: str
    landmarks: dict[str, Points]
    heights_mm: dict[str, Points]
    ruler_ends: Points
    ruler_length_mm: float
    camera_distance_mm: float
    tilt_deg: tuple[float, float]
    lean_deg: tuple[float, float]
    measures: dict[str, object]


def trial_outside(seed: int) -> Trial:
    """Return an inflated, tilted valve of random form and size, seen from outside."""
    rng = np.random.default_rng((2718, seed))
    while True:
        trial = _trial(seed, rng)
        seen = [np.reshape(points, (-1, 2)) for points in trial.landmarks.values()]
        points = np.concatenate([*seen, trial.ruler_ends])
        if (points > 0).all() and (points < [trial.width_px, trial.height_px]).all():
            return trial


def _trial(seed: int, rng: np.random.Generator) -> Trial:
    """Return one trial, whether or not all of it is in the picture."""
    distance = float(np.exp(rng.uniform(*np.log(DISTANCE_MM))))
    focal = FOCAL[0] * np.exp(FOCAL[1] * np.clip(rng.standard_normal(), -2.0, 2.0))
    field_mm = distance / focal
    # A lens nearer than two shell lengths would see more flank than valve.
    longest = min(LENGTH_MM[1], 0.5 * distance)
    length = float(np.clip(field_mm * rng.uniform(0.30, 0.62), LENGTH_MM[0], longest))
    valve = Valve(_shape(rng, length), right=bool(rng.random() < 0.5), samples=SAMPLES)
    lean = tuple(map(float, LEAN_DEG * rng.standard_normal(2)))
    pose = _on_its_margin(valve, lean, rng.uniform(-180.0, 180.0), rng)
    plane = float(rng.uniform(0.6, 3.0))
    camera = Camera(
        WIDTH_PX,
        WIDTH_PX * 2 // 3,
        WIDTH_PX / field_mm,
        distance,
        plane,
        tuple(map(float, TILT_DEG * rng.standard_normal(2))),
    )
    ruler = _ruler(rng, valve, pose, plane)
    placed = truth.outside_landmarks(valve, pose)
    return Trial(
        seed,
        camera.width_px,
        camera.height_px,
        "right_valve" if valve.right else "left_valve",
        {key: camera.project(point)[0] for key, point in placed.points.items()},
        {key: point[..., 2] - plane for key, point in placed.points.items()},
        ruler.ends(camera),
        float(ruler.length_mm),
        distance,
        camera.tilt_deg,
        lean,
        truth.measures(valve),
    )


def _shape(rng: np.random.Generator, length_mm: float) -> ValveShape:
    """Return a random form: fan to elongate, flat to globose, weakly to deeply folded."""
    tall = rng.uniform(0.42, 0.68)
    umbo = rng.uniform(-0.22, 0.12)
    hinge = rng.uniform(0.3, 0.62)
    angle = np.radians([0.0, 14.0, 38.0, 65.0, 90.0, 115.0, 142.0, 166.0, 180.0])
    x = np.sign(np.cos(angle)) * abs(np.cos(angle)) ** rng.uniform(0.75, 1.0) / 2
    y = 0.24 * tall + 0.76 * tall * np.sin(angle) ** rng.uniform(0.85, 1.15)
    axis = np.radians(rng.normal(0.0, 5.0))
    x, y = x * np.cos(axis) - y * np.sin(axis) / 2, y * np.cos(axis) + x * np.sin(axis)
    control = np.column_stack([x * rng.uniform(0.97, 1.03, 9) - umbo, y])
    low = [(hinge * 0.5 - umbo * 0.4, 0.0), (-hinge * 0.5 - umbo * 0.4, 0.0)]
    outline = [low[0], *map(tuple, control), low[1]]
    n_main = int(rng.integers(4, 11))
    main = 0.2 + 0.58 * (np.arange(n_main) + 0.5) / n_main
    main += rng.normal(0.0, 0.02 / n_main, n_main)
    depth = rng.uniform(0.15, 0.32) / n_main
    return ValveShape(
        length_mm,
        tuple(outline),
        tuple(main),
        (0.1, 0.88),
        growth=rng.uniform(0.62, 1.2),
        fold_depth=depth,
        lobes=depth * rng.uniform(0.3, 1.0),
        riblet_depth=0.0,
        growth_line_depth=0.0,
        growth_rests=0.0,
        thread_depth=0.0,
        byssal_opening_width=rng.choice([0.0, 0.02, 0.05, 0.09]),
        seed=int(rng.integers(1 << 30)),
    )


def _on_its_margin(
    valve: Valve, lean: tuple[float, ...], turn_deg: float, rng: np.random.Generator
) -> Pose:
    """Lay a valve outside up, leaning a little, its lowest point on the table."""
    over = np.eye(3) if valve.right else turn_y(np.pi)
    leaning = turn_x(np.radians(lean[0])) @ turn_y(np.radians(lean[1]))
    turn = leaning @ turn_z(np.radians(turn_deg)) @ over
    margin = valve.margin() @ turn.T
    middle = (margin.max(0) + margin.min(0)) / 2
    off = rng.normal(0.0, 0.04, 2) * valve.shape.length_mm
    shift = np.array([off[0] - middle[0], off[1] - middle[1], -margin[:, 2].min()])
    return Pose(turn, shift)


def _ruler(rng: np.random.Generator, valve: Valve, pose: Pose, plane: float) -> Ruler:
    """Lay a ruler beside the valve on the table, above or below it, roughly level."""
    length = valve.shape.length_mm
    margin = pose.place(valve.margin())
    n = max(10, 10 * round(length * rng.uniform(0.5, 1.0) / 10))
    below = rng.random() < 0.5
    gap = 0.03 * length + 2.0
    level = margin[:, 1].min() - gap if below else margin[:, 1].max() + gap
    turn = float(rng.normal(0.0, 3.0))
    start = -n / 2 + rng.normal(0.0, 0.05) * length
    return Ruler((start, level), turn, length_mm=n, top_mm=plane)
