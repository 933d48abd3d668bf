"""What a shell lies on: felt, sand, tray, wood, foam, as tone and relief."""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from .light import linear
from .noise import fractal, smooth, smoothstep

Field = NDArray[np.float32]
Ground = tuple[Field, Field, Field]


def felt(
    shape: tuple[int, int],
    px_per_mm: float,
    rng: np.random.Generator,
    colour: tuple[int, int, int] = (34, 50, 76),
) -> Ground:
    """Return tone (h, w, 3), relief in mm (h, w) and gloss (h, w) of woollen felt."""
    mm = px_per_mm
    fibres = sum(
        smooth(rng, shape, scale)
        for scale in (
            (0.2 * mm, 1.1 * mm),
            (1.1 * mm, 0.2 * mm),
            (0.22 * mm, 0.5 * mm),
            (0.5 * mm, 0.22 * mm),
        )
    )
    clouds = fractal(rng, shape, 30 * mm, 3)
    relief = 0.05 * fibres + 0.05 * smooth(rng, shape, 1.6 * mm)
    lint = smoothstep(3.1, 4.2, smooth(rng, shape, (0.25 * mm, 0.9 * mm)))
    tone = linear(*colour) * (1.0 + 0.10 * fibres + 0.07 * clouds)[..., None]
    tone = np.clip(tone, 0.001, 1) + 0.05 * lint[..., None]
    return (
        tone.astype(np.float32),
        relief.astype(np.float32),
        np.full(shape, 0.01, np.float32),
    )


def sand(shape: tuple[int, int], px_per_mm: float, rng: np.random.Generator) -> Ground:
    """Return coral sand: pale grains of two sizes, a few dark ones, shallow ripples."""
    mm = px_per_mm
    fine, coarse = smooth(rng, shape, 0.42 * mm), smooth(rng, shape, 1.1 * mm)
    hills = fractal(rng, shape, 38 * mm, 3)
    relief = 0.13 * fine + 0.2 * np.clip(coarse, -1.2, 2.4) + 0.9 * hills
    hue = smooth(rng, shape, 0.8 * mm)
    tone = (
        linear(206, 184, 148)
        * (1.0 + 0.13 * fine + 0.10 * coarse + 0.05 * hills)[..., None]
    )
    tone = tone * (1.0 + 0.09 * hue[..., None] * np.array([0.6, 0.0, -0.9], np.float32))
    dark = smoothstep(2.1, 2.5, smooth(rng, shape, 0.6 * mm))[..., None]
    pale = smoothstep(1.9, 2.4, smooth(rng, shape, 1.0 * mm))[..., None]
    tone = tone * (1 - 0.72 * dark) + pale * 0.22
    return (
        np.clip(tone, 0.01, 0.95).astype(np.float32),
        relief.astype(np.float32),
        np.full(shape, 0.03, np.float32),
    )


def tray(
    shape: tuple[int, int],
    px_per_mm: float,
    rng: np.random.Generator,
    colour: tuple[int, int, int] = (176, 180, 180),
) -> Ground:
    """Return a pale grey card-lined tray with a faint tooth and a few specks."""
    mm = px_per_mm
    tooth = smooth(rng, shape, 0.5 * mm)
    clouds = fractal(rng, shape, 60 * mm, 3)
    tone = linear(*colour) * (1.0 + 0.012 * tooth + 0.02 * clouds)[..., None]
    specks = smoothstep(3.6, 4.0, smooth(rng, shape, 0.4 * mm))[..., None]
    tone = tone * (1 - 0.5 * specks)
    return (
        tone.astype(np.float32),
        (0.018 * tooth).astype(np.float32),
        np.full(shape, 0.04, np.float32),
    )


def wood(shape: tuple[int, int], px_per_mm: float, rng: np.random.Generator) -> Ground:
    """Return an oiled wooden board with its grain running across the picture."""
    mm = px_per_mm
    warp = 3.2 * fractal(rng, shape, 90 * mm, 2)
    y = np.arange(shape[0], dtype=np.float32)[:, None] / mm + warp
    knots = rng.standard_normal(4000).astype(np.float32)
    rings = np.interp(y * 0.55 + 1500, np.arange(4000), knots) + 0.6 * np.interp(
        y * 1.9 + 1500, np.arange(4000), knots[::-1]
    )
    pores = smooth(rng, shape, (0.22 * mm, 7.0 * mm))
    dark = smoothstep(0.9, 2.2, pores)
    share = np.clip(0.5 + 0.17 * rings + 0.04 * pores, 0, 1)[..., None]
    tone = linear(96, 60, 36) * (1 - share) + linear(150, 104, 66) * share
    tone = tone * (1 - 0.35 * dark[..., None])
    return (
        tone.astype(np.float32),
        (-0.06 * dark).astype(np.float32),
        np.full(shape, 0.09, np.float32),
    )


def foam(shape: tuple[int, int], px_per_mm: float, rng: np.random.Generator) -> Ground:
    """Return charcoal foam, fine-pored, as used to bed specimens."""
    mm = px_per_mm
    pores = smooth(rng, shape, 0.7 * mm)
    fine = smooth(rng, shape, 0.3 * mm)
    tone = (
        linear(74, 77, 82)
        * (1.0 + 0.12 * pores + 0.08 * fine + 0.05 * fractal(rng, shape, 40 * mm, 2))[
            ..., None
        ]
    )
    return (
        np.clip(tone, 0.004, 1).astype(np.float32),
        (0.09 * pores + 0.05 * fine).astype(np.float32),
        np.full(shape, 0.015, np.float32),
    )


GROUNDS: dict[str, Callable[..., Ground]] = {
    "felt": felt,
    "sand": sand,
    "tray": tray,
    "wood": wood,
    "foam": foam,
}
