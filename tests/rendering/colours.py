"""The colours of shells, in linear light, from a place on the shell."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .buffer import (
    BLOCK,
    CRUST,
    FLESH,
    INNER,
    INSIDE,
    LIGAMENT,
    PLATE,
    SCUTE,
    SHELL,
    Buffer,
)
from .light import linear
from .noise import along, fractal, smooth, smoothstep

Rgb = tuple[int, int, int]


@dataclass(frozen=True, slots=True)
class Colours:
    """sRGB colours of one shell and how strongly each shows.

    *wear* is how far from the umbo (in size) the surface is eroded, *cover* how much of it
    bears crusts and algae.
    """

    base: Rgb = (232, 218, 190)
    band: Rgb = (222, 186, 132)
    young: Rgb = (236, 232, 222)
    dirt: Rgb = (150, 128, 92)
    rim: Rgb = (250, 240, 212)
    blotch: Rgb = (190, 96, 62)
    inside: Rgb = (222, 208, 182)
    porcelain: Rgb = (238, 234, 226)
    inner_rim: Rgb = (240, 222, 186)
    flesh: Rgb = (64, 48, 30)
    flesh_mark: Rgb = (58, 160, 178)
    banding: float = 0.55
    soiling: float = 0.45
    blotches: float = 0.0
    seam: float = 0.0
    gloss: float = 0.10
    wear: float = 0.0
    cover: float = 0.0
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
    for of_kind, paint_kind in _BY_KIND:
        mine = kind == of_kind
        tone[mine] = paint_kind(colours, rng, place[mine], cloud[mine])
    porcelain = (kind == INNER) | (kind == PLATE)
    shine[porcelain] = 0.20
    tone[kind == LIGAMENT] = linear(66, 42, 27)
    shine[kind == LIGAMENT] = 0.12
    tone[kind == BLOCK] = linear(188, 150, 104)
    tone[kind == CRUST] = linear(214, 206, 190)
    outer = (kind == SHELL) | (kind == SCUTE)
    if colours.wear:
        size = np.where(kind == SHELL, np.exp(place[:, 1]), place[:, 2])
        worn = outer * smoothstep(1.15, 0.75, size / colours.wear + 0.12 * cloud)
        pits = smooth(rng, shape, 1.1 * px_per_mm)
        _bump(buffer, where, local, 0.32 * np.minimum(pits, 0.3), worn, px_per_mm)
        chalk = linear(222, 214, 200) * (1 + 0.05 * cloud)[:, None]
        tone = _mix(tone, chalk, 0.85 * worn)
        tone = _mix(
            tone, linear(96, 84, 64), 0.55 * worn * smoothstep(-0.9, -1.8, pits[local])
        )
        shine *= 1 - 0.8 * worn
    if colours.cover:
        tone, shine = _covered(
            buffer,
            colours,
            rng,
            (where, local, shape),
            outer | (kind == CRUST),
            tone,
            shine,
            px_per_mm,
        )
    tone *= (1.0 + 0.03 * speck + 0.035 * cloud)[:, None]
    albedo[where] = np.clip(tone, 0.004, 0.92)
    gloss[where] = shine * (1.0 + 0.25 * np.clip(cloud, -1.5, 1.5))


def _covered(
    buffer: Buffer, colours: Colours, rng, region, outer, tone, shine, px_per_mm: float
) -> tuple[NDArray, NDArray]:
    """Lay crusts of pink algae, green turf and brown film over the outside."""
    where, local, shape = region
    for colour, size_mm, thick, rarity in (
        ((116, 108, 74), 16.0, 0.05, 0.35),
        ((178, 138, 144), 12.0, 0.22, 1.0),
        ((98, 112, 66), 9.0, 0.25, 1.15),
        ((226, 222, 208), 5.0, 0.30, 1.75),
    ):
        patches = fractal(rng, shape, size_mm * px_per_mm, 4)
        rough = fractal(rng, shape, 0.9 * px_per_mm, 2)
        edge = rarity + 0.9 * (1.0 - colours.cover)
        thin = 0.62 + 0.22 * np.clip(rough[local], -1.5, 1.5)
        share = outer * thin * smoothstep(edge - 0.1, edge + 0.65, patches[local])
        bump = thick * (smoothstep(edge, edge + 0.5, patches) + 0.35 * rough)
        _bump(buffer, where, local, bump, share, px_per_mm)
        here = linear(*colour) * (1.0 + 0.16 * rough[local])[:, None]
        tone = _mix(tone, here, share)
        shine = shine * (1 - 0.7 * share)
    return tone, shine


def _bump(buffer: Buffer, where, local, relief, share, px_per_mm: float) -> None:
    """Lean the normals of some pixels as if a relief in mm lay on the surface."""
    down, right = np.gradient(relief * px_per_mm)
    normal = buffer.normal[where]
    normal[:, 0] -= share * right[local]
    normal[:, 1] += share * down[local]
    normal /= np.linalg.norm(normal, axis=1, keepdims=True) + 1e-9
    buffer.normal[where] = normal


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
    tone = _mix(tone, linear(*colours.dirt), 0.6 * soil)
    # The line where two shut valves meet holds dirt.
    return _mix(tone, linear(52, 42, 30), colours.seam * smoothstep(0.988, 0.998, size))


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


def _inner(colours: Colours, rng, place: NDArray, cloud: NDArray) -> NDArray:
    """Paint the inside: *place* is size, fold, scar (0..1) and distance from its middle."""
    size, fold, scar, rings = place.T
    tone = np.broadcast_to(linear(*colours.porcelain), (place.shape[0], 3))
    mantle_line = smoothstep(0.70, 0.725, size + 0.012 * cloud)
    tone = tone * (1.0 - 0.05 * mantle_line)[:, None]
    line = np.exp(-(((size + 0.012 * cloud - 0.712) / 0.008) ** 2))
    tone = _mix(tone, linear(206, 198, 180), 0.55 * line)
    rim = smoothstep(0.86, 0.985, size + 0.02 * cloud)
    tone = _mix(tone, linear(*colours.inner_rim), 0.8 * rim)
    tone = _mix(tone, linear(*colours.dirt), 0.12 * rim * smoothstep(0.5, 0.0, fold))
    striae = 0.5 + 0.5 * np.sin(46.0 * rings + 1.5 * cloud)
    old = linear(214, 204, 186) * (0.94 + 0.06 * striae)[:, None]
    tone = _mix(tone, old, 0.75 * scar)
    return _mix(tone, linear(150, 134, 106), 0.55 * np.exp(-(((scar - 0.5) / 0.28) ** 2)))


def _plate(colours: Colours, rng, place: NDArray, cloud: NDArray) -> NDArray:
    """Paint the hinge plate: *place* is how deep in the ligament groove, tooth, share, way."""
    groove, tooth, _, way = place.T
    tone = np.broadcast_to(linear(*colours.porcelain), (place.shape[0], 3)) * 0.94
    tone = _mix(tone, linear(252, 250, 244), 0.5 * tooth)
    fibres = 0.8 + 0.35 * along(rng, way + 1.0, 0.004, 2.2)
    brown = linear(74, 48, 30) * fibres[:, None]
    return _mix(tone, brown, 0.92 * smoothstep(0.25, 0.7, groove + 0.06 * cloud))


def _flesh(colours: Colours, rng, place: NDArray, cloud: NDArray) -> NDArray:
    """Paint the mantle at the rim: *place* is millimetres along, up, share up, edge."""
    way, up, share, _ = place.T
    tone = np.broadcast_to(linear(*colours.flesh), (place.shape[0], 3))
    tone = tone * (1.0 + 0.18 * cloud)[:, None]
    bands = np.sin(1.1 * up + 0.9 * cloud + 0.7 * np.sin(way / 7.0))
    spots = smoothstep(0.35, 0.9, np.sin(way / 1.9 + 2.0 * cloud) * bands + 0.2 * cloud)
    tone = _mix(tone, linear(*colours.flesh_mark), 0.8 * spots)
    tone = _mix(tone, linear(*colours.flesh_mark), 0.75 * smoothstep(0.88, 0.99, share))
    gap = 3.1
    nearest = (way + 0.8 * np.sin(way / 5.0)) % gap - gap / 2
    eye = np.hypot(nearest, 12.0 * (share - 0.60))
    tone = _mix(tone, linear(150, 206, 200), 0.7 * smoothstep(1.0, 0.7, eye))
    return _mix(tone, linear(6, 7, 9), 0.95 * smoothstep(0.55, 0.42, eye))


_BY_KIND = (
    (SHELL, _shell),
    (SCUTE, _scute),
    (INSIDE, _inside),
    (INNER, _inner),
    (PLATE, _plate),
    (FLESH, _flesh),
)


def _mix(first: NDArray, second: NDArray, share: NDArray) -> NDArray:
    share = np.clip(share, 0, 1)[:, None].astype(np.float32)
    return first * (1 - share) + second * share
