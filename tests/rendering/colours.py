"""The colours of shells, in linear light, from a place on the shell."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .buffer import BLOCK, INSIDE, LIGAMENT, SCUTE, SHELL, Buffer
from .light import linear
from .noise import along, fractal, smooth, smoothstep

Rgb = tuple[int, int, int]


@dataclass(frozen=True, slots=True)
class Colours:
    """sRGB colours of one shell and how strongly each shows."""

    base: Rgb = (232, 218, 190)
    band: Rgb = (222, 186, 132)
    young: Rgb = (236, 232, 222)
    dirt: Rgb = (150, 128, 92)
    rim: Rgb = (250, 240, 212)
    blotch: Rgb = (190, 96, 62)
    inside: Rgb = (222, 208, 182)
    banding: float = 0.55
    soiling: float = 0.45
    blotches: float = 0.0
    gloss: float = 0.10
    seed: int = 11


def paint(
    buffer: Buffer, specimen: int, colours: Colours, albedo, gloss, px_per_mm: float
) -> None:
    """Fill tone and gloss of the pixels that see *specimen*."""
    where = np.nonzero(buffer.specimen == specimen)
    if where[0].size == 0:
        return
    rng = np.random.default_rng(colours.seed)
    top, left = where[0].min(), where[1].min()
    shape = (int(where[0].max() - top + 1), int(where[1].max() - left + 1))
    local = (where[0] - top, where[1] - left)
    cloud = fractal(rng, shape, 9 * px_per_mm, 4)[local]
    speck = smooth(rng, shape, 0.5 * px_per_mm)[local]
    kind = buffer.kind[where]
    place = buffer.place[where]
    tone, shine = (
        np.zeros((kind.size, 3), np.float32),
        np.full(kind.size, colours.gloss, np.float32),
    )
    for of_kind, paint_kind in ((SHELL, _shell), (SCUTE, _scute), (INSIDE, _inside)):
        mine = kind == of_kind
        tone[mine] = paint_kind(colours, rng, place[mine], cloud[mine])
    tone[kind == LIGAMENT] = linear(66, 42, 27)
    shine[kind == LIGAMENT] = 0.12
    tone[kind == BLOCK] = linear(188, 150, 104)
    tone *= (1.0 + 0.03 * speck + 0.035 * cloud)[:, None]
    albedo[where] = np.clip(tone, 0.004, 0.92)
    gloss[where] = shine * (1.0 + 0.25 * np.clip(cloud, -1.5, 1.5))


def _shell(colours: Colours, rng, place: NDArray, cloud: NDArray) -> NDArray:
    phase, log_size, fold, _ = place.T
    size = np.exp(log_size)
    age = log_size + 3.6 + 0.006 * cloud
    bands = along(rng, age, 0.09, 3.8) + 0.7 * along(rng, age, 0.022, 3.8)
    share = colours.banding * smoothstep(-0.4, 1.7, bands) * smoothstep(0.15, 0.5, size)
    tone = _mix(linear(*colours.base), linear(*colours.band), share)
    fine = along(rng, age, 0.006, 3.8)
    tone = tone * (1.0 + 0.035 * fine)[:, None]
    worn = smoothstep(0.34, 0.1, size + 0.03 * cloud)
    tone = _mix(tone, linear(*colours.young), 0.75 * worn)
    if colours.blotches:
        islands = (
            np.sin(2 * np.pi * (phase * 1.0 + 0.25) + 1.3 * cloud)
            * np.sin(26 * log_size + 2.2 * cloud)
            + 0.35 * cloud
        )
        share = (
            colours.blotches * smoothstep(0.15, 0.7, islands) * smoothstep(0.2, 0.5, size)
        )
        tone = _mix(tone, linear(*colours.blotch), share)
    valley = smoothstep(0.5, 0.0, fold)
    soil = colours.soiling * np.clip(
        valley * (0.55 + 0.35 * cloud) + 0.3 * smoothstep(0.9, 2.2, cloud), 0, 1
    )
    return _mix(tone, linear(*colours.dirt), 0.6 * soil)


def _scute(colours: Colours, rng, place: NDArray, cloud: NDArray) -> NDArray:
    across, up, size, _ = place.T
    lines = along(rng, up + 0.03 * across**2 + 0.13 * size, 0.05, 1.4)
    tone = _mix(
        linear(*colours.base),
        linear(*colours.band),
        colours.banding * smoothstep(0.2, 1.6, lines),
    )
    tone = _mix(
        tone,
        linear(*colours.dirt),
        0.5 * colours.soiling * smoothstep(0.35, 0.0, up) + 0.05 * np.clip(cloud, 0, 1),
    )
    return _mix(tone, linear(*colours.rim), 0.75 * smoothstep(0.55, 0.98, up))


def _inside(colours: Colours, rng, place: NDArray, cloud: NDArray) -> NDArray:
    return np.broadcast_to(linear(*colours.inside), (place.shape[0], 3)).copy()


def _mix(first: NDArray, second: NDArray, share: NDArray) -> NDArray:
    share = np.clip(share, 0, 1)[:, None].astype(np.float32)
    return first * (1 - share) + second * share
