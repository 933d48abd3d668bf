"""Tentacles along the rim of the inhalant opening, simple or branched."""

import numpy as np
from numpy.typing import NDArray

from .body import Animal, Body, Grid
from .light import linear
from .patterns import disc

Field = NDArray[np.float32]
Points = NDArray[np.floating]


def set_tentacles(
    animal: Animal,
    body: Body,
    layers: dict[str, Field],
    grid: Grid,
    rng: np.random.Generator,
) -> Points:
    """Line the inhalant opening with tentacles; return the pixels (n, 2) of their roots."""
    if animal.tentacles == "none":
        return np.empty((0, 2))
    branched = animal.tentacles == "branched"
    thick = 0.24 * min(1.0, animal.tentacle_mm / 2.6)
    centre, half_length, half_width = body.slit()
    around = np.linspace(0, 2 * np.pi, 2000)
    along = centre + half_length * np.cos(around)
    rim = np.sign(np.sin(around)) * abs(np.sin(around)) ** 0.85 * half_width
    path = np.column_stack([along, rim + body.middle(along)])
    arc = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(path, axis=0), axis=1))])
    n = int(arc[-1] / (1.7 if branched else 0.95))
    places = (np.arange(n) + (0.2 if branched else 0.35) * rng.standard_normal(n)) * (
        arc[-1] / n
    )
    start = np.column_stack([np.interp(places, arc, path[:, k]) for k in range(2)])
    inward = np.column_stack(
        [np.full(n, centre) - start[:, 0], body.middle(start[:, 0]) - start[:, 1]]
    )
    inward /= np.linalg.norm(inward * [0.25, 1.0], axis=1, keepdims=True) + 1e-9
    inward *= [0.25, 1.0]
    for number, (root, way) in enumerate(zip(start, inward, strict=True)):
        outwards = number % 2 == 1 if branched else rng.random() < 0.5
        length = animal.tentacle_mm * rng.uniform(0.6, 1.35) * (0.8 if outwards else 1.0)
        heading = (
            np.arctan2(way[1], way[0])
            + (np.pi if outwards else 0.0)
            + (0.25 if branched else 0.45) * rng.standard_normal()
        )
        bend = 0.9 * rng.standard_normal() / max(length, 0.5)
        point = root + (0.5 if outwards else -0.3) * way
        _strand(
            layers, grid, rng, point, heading, length, bend, thick, 2 if branched else 0
        )
    return grid.pixels(start)


def _strand(
    layers: dict[str, Field],
    grid: Grid,
    rng: np.random.Generator,
    point: Points,
    heading: float,
    length: float,
    bend: float,
    thick: float,
    branches: int,
) -> None:
    """Draw one tentacle, and its branches to the given depth."""
    steps = int(length * grid.scale / 1.0) + 3
    if branches:
        thick *= 1.35
    for k in range(steps):
        share = k / (steps - 1)
        heading += bend * length / steps
        point = point + length / steps * np.array([np.cos(heading), np.sin(heading)])
        width = (thick * (1 - share) + 0.54 * thick) * grid.scale
        light = linear(176, 190, 164) * (0.45 + 0.55 * share)
        disc(
            layers,
            grid.pixels(point),
            width,
            light,
            0.9,
            0.0,
            soft=0.4,
            at_least=8.5 + 0.8 * share,
        )
        if branches and k and k % max(1, steps // 5) == 0 and share > 0.25:
            side = 1.0 if (k // max(1, steps // 5)) % 2 else -1.0
            _strand(
                layers,
                grid,
                rng,
                point,
                heading + side * (0.75 + 0.2 * rng.random()),
                length * 0.42 * (1.25 - share) * rng.uniform(0.8, 1.2),
                -side * 0.3,
                0.6 * thick,
                branches - 1,
            )
