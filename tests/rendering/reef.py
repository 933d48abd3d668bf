"""A piece of reef rock as a height map: rubble, coralline crust, turf, small corals."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage
from scipy.spatial import cKDTree

from .light import linear, sampled
from .noise import fractal, smooth, smoothstep

Field = NDArray[np.float32]


@dataclass(frozen=True)
class Reef:
    """Tone (h, w, 3), height in mm and gloss of the sea floor."""

    tone: Field
    height: Field
    gloss: Field


def reef(shape: tuple[int, int], px_per_mm: float, rng: np.random.Generator) -> Reef:
    """Return reef rock seen from above."""
    mm = px_per_mm
    height = 7.0 * fractal(rng, shape, 75 * mm, 4)
    tone = np.empty((*shape, 3), np.float32)
    tone[:] = linear(158, 140, 116)
    for size, lift in ((34.0, 9.0), (15.0, 4.5), (6.0, 1.6)):
        dome, stone, tint = _stones(shape, mm, rng, size)
        height = height + lift * dome * stone[..., 0]
        tone = tone * (1.0 + 0.20 * tint[..., None])
    rough = fractal(rng, shape, 3.2 * mm, 3)
    pits = smoothstep(1.1, 2.4, smooth(rng, shape, 1.5 * mm))
    grit = smooth(rng, shape, 0.55 * mm)
    height = height + 0.55 * rough - 0.9 * pits + 0.16 * grit
    tone = tone * (1.0 + 0.10 * grit)[..., None]
    patches = fractal(rng, shape, 42 * mm, 4)
    crust = smoothstep(1.15, 1.7, patches + 0.15 * rough)[..., None]
    tone = tone * (1 - 0.8 * crust) + linear(150, 108, 122) * (0.8 * crust) * (
        1 + 0.12 * rough[..., None]
    )
    turf = smoothstep(0.5, 1.3, -patches + 0.35 * smooth(rng, shape, 5 * mm))[..., None]
    strands = smooth(rng, shape, 0.7 * mm)[..., None]
    tone = tone * (1 - 0.75 * turf) + linear(98, 94, 54) * (0.75 * turf) * (
        1 + 0.25 * strands
    )
    height = height + 0.5 * turf[..., 0] * strands[..., 0]
    pale = smoothstep(0.9, 1.7, fractal(rng, shape, 12 * mm, 3))[..., None]
    tone = tone * (1 - 0.55 * pale) + linear(176, 166, 142) * 0.55 * pale
    tone = tone * (1 + 0.10 * rough[..., None]) * (1 - 0.5 * pits[..., None])
    return Reef(
        np.clip(tone, 0.01, 0.85).astype(np.float32),
        height.astype(np.float32),
        np.full(shape, 0.03, np.float32),
    )


def _stones(
    shape: tuple[int, int], mm: float, rng: np.random.Generator, size_mm: float
) -> tuple[Field, Field, Field]:
    """Return domes of loose stones, their height share and tint (Voronoi pattern)."""
    coarse = max(1, int(size_mm * mm / 40))
    rows, columns = -(-shape[0] // coarse) + 1, -(-shape[1] // coarse) + 1
    cell = size_mm * mm / coarse
    n = int((rows + 2 * cell) * (columns + 2 * cell) / cell**2) + 4
    seeds = rng.random((n, 2)) * [rows + 2 * cell, columns + 2 * cell] - cell
    y, x = np.mgrid[0:rows, 0:columns].astype(np.float32)
    warp_y, warp_x = (
        0.22 * cell * fractal(rng, (rows, columns), cell, 3) for _ in range(2)
    )
    query = np.stack([(y + warp_y).ravel(), (x + warp_x).ravel()], -1)
    near, which = cKDTree(seeds).query(query, k=2)
    border = ((near[:, 1] - near[:, 0]) / cell).reshape(rows, columns).astype(np.float32)
    dome = ndimage.gaussian_filter(np.sqrt(np.clip(border * 2.2, 0, 1)), 0.8)
    lift = rng.uniform(0.3, 1.0, n).astype(np.float32)[which[:, 0]].reshape(rows, columns)
    tint = rng.standard_normal(n).astype(np.float32)[which[:, 0]].reshape(rows, columns)
    grown = [_enlarged(part, coarse, shape) for part in (dome, lift, tint)]
    return grown[0], np.repeat(grown[1][..., None], 1, -1), grown[2]


def _enlarged(field: Field, factor: int, shape: tuple[int, int]) -> Field:
    if factor == 1:
        return field[: shape[0], : shape[1]]
    big = sampled(field, (field.shape[0] * factor, field.shape[1] * factor))
    return big[: shape[0], : shape[1]]
