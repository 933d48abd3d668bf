"""Seeded noise: smooth fields in the plane and along a line."""

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

Field = NDArray[np.float32]


def smooth(
    rng: np.random.Generator, shape: tuple[int, int], scale: float | tuple[float, float]
) -> Field:
    """Return Gaussian noise of unit variance with grains of *scale* px (down, across).

    Grains wider than four pixels are made on a coarser grid, which costs a fraction.
    """
    down, across = scale if isinstance(scale, tuple) else (scale, scale)
    steps = [max(1.0, down / 2.0), max(1.0, across / 2.0)]
    small = (int(np.ceil(shape[0] / steps[0])) + 3, int(np.ceil(shape[1] / steps[1])) + 3)
    field = rng.standard_normal(small, dtype=np.float32)
    field = ndimage.gaussian_filter(
        field, (down / steps[0] * 0.5, across / steps[1] * 0.5), mode="wrap"
    )
    field /= field.std() + 1e-9
    if steps == [1.0, 1.0]:
        return field[: shape[0], : shape[1]]
    # Coordinates of the wanted pixels on the coarse grid, one cell in from its edge.
    rows = np.arange(shape[0], dtype=np.float32) / steps[0] + 1.0
    columns = np.arange(shape[1], dtype=np.float32) / steps[1] + 1.0
    return _bicubic(field, rows, columns)


def fractal(
    rng: np.random.Generator,
    shape: tuple[int, int],
    scale: float,
    octaves: int = 4,
    fall: float = 0.55,
) -> Field:
    """Return a sum of ever finer noises, of unit variance."""
    total = np.zeros(shape, np.float32)
    for octave in range(octaves):
        total += fall**octave * smooth(rng, shape, max(scale / 2**octave, 0.8))
    return total / (total.std() + 1e-9)


def along(
    rng: np.random.Generator, places: NDArray[np.floating], spacing: float, reach: float
) -> Field:
    """Return smooth noise at *places* (0 .. reach) with a knot every *spacing*."""
    knots = rng.standard_normal(int(reach / spacing) + 6).astype(np.float32)
    where = np.clip(np.asarray(places) / spacing + 2.0, 0.0, knots.size - 1.0)
    flat = ndimage.map_coordinates(knots, [where.ravel()], order=3, mode="nearest")
    return flat.reshape(np.shape(places)).astype(np.float32)


def smoothstep(low: float, high: float, value: NDArray[np.floating]) -> Field:
    """Rise from 0 at *low* to 1 at *high* without a corner."""
    t = np.clip((value - low) / (high - low), 0.0, 1.0)
    return (t * t * (3.0 - 2.0 * t)).astype(np.float32)


def _bicubic(field: Field, rows: Field, columns: Field) -> Field:
    """Interpolate a grid at the crossings of *rows* and *columns*, axis by axis."""
    return _cubic_rows(_cubic_rows(field, rows).T, columns).T


def _cubic_rows(field: Field, rows: Field) -> Field:
    base = np.clip(np.floor(rows).astype(int), 1, field.shape[0] - 3)
    t = (rows - base)[:, None].astype(np.float32)
    a, b, c, d = (field[base + k] for k in (-1, 0, 1, 2))
    return b + 0.5 * t * (
        c - a + t * (2 * a - 5 * b + 4 * c - d + t * (3 * (b - c) + d - a))
    )
