"""Scutes: leaf-like sheets of shell that stand on the folds, one above the other."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from .noise import along as noise_along
from .surface import Valve

Points = NDArray[np.floating]


@dataclass(frozen=True, slots=True)
class ScuteStyle:
    """How the scutes of a valve look; *height* is a share of the shell length.

    *gap* is the growth in size from one scute to the next; *lean* and *curl* (radians) tell
    how far a scute leans towards the margin at its foot and how much more at its rim.
    """

    height: float
    gap: float
    width: float = 0.8
    lean: float = 0.75
    curl: float = 0.55
    flare: float = 0.25
    n_flutes: float = 5.0
    first_size: float = 0.22
    last_size: float = 0.965
    end_share: float = 0.6
    lost: float = 0.0
    seed: int = 3


@dataclass(frozen=True)
class Scute:
    """One scute: its sheet (n_up, n_across, 3) with U (-1..1) across and V (0..1) up."""

    points: Points
    across: Points
    up: Points
    size: float
    fold: int
    broken: bool = False


def scutes(valve: Valve, style: ScuteStyle, px_per_mm: float) -> Iterator[Scute]:
    """Yield the scutes of all folds, sampled finely enough for *px_per_mm*."""
    main, ends = valve.fold_tops()
    places = np.sort(np.concatenate([main, ends]))
    rng = np.random.default_rng(style.seed)
    phase_slope = np.gradient(valve.phase(np.linspace(0, 1, 2001)), 1 / 2000)
    for number, place in enumerate(places):
        half_width = (
            0.5 * style.width / np.interp(place, np.linspace(0, 1, 2001), phase_slope)
        )
        share = 1.0 if place in main else style.end_share
        size = style.first_size * (1.0 + 0.5 * style.gap * rng.random())
        while size < style.last_size:
            tall = style.height * share * (0.82 + 0.36 * rng.random())
            young = 0.55 + 0.45 * min(1.0, (size - style.first_size) / 0.4)
            broken = rng.random() < style.lost
            tall *= young * (0.25 if broken else 1.0)
            scute = _scute(
                valve, style, rng, place, half_width, size, tall, number, px_per_mm
            )
            yield replace(scute, broken=broken)
            size *= 1.0 + style.gap * (0.8 + 0.4 * rng.random())


def _scute(valve, style, rng, place, half_width, size, tall, number, px_per_mm) -> Scute:
    """Build one sheet on the surface at (*place*, *size*)."""
    length = valve.shape.length_mm
    edge = place + half_width * np.array([-1.0, 1.0])
    foot = valve.points(edge, np.full(2, size))
    width_px = np.linalg.norm(foot[1] - foot[0]) * (1.0 + style.flare) * px_per_mm
    n_across = int(np.clip(1.35 * width_px, 12, 900))
    n_up = int(np.clip(1.5 * tall * length * size * px_per_mm, 8, 500))
    across = np.linspace(-1.0, 1.0, n_across)
    up = np.linspace(0.0, 1.0, n_up)[:, None]
    # The foot follows a growth line that is itself drawn out a little on the fold's top.
    sizes = size * (
        1.0 + 0.012 * (1 - across**2) + 0.002 * noise_along(rng, across + 1, 0.2, 2.0)
    )
    where = place + half_width * across
    base, normal, growth, side = _frame(valve, where, sizes)
    rim = np.clip(1.0 - abs(across) ** 2.6, 0.0, 1.0) ** 0.62
    ragged = (
        1.0
        + 0.05 * noise_along(rng, across + 1, 0.28, 2.0)
        + 0.025 * noise_along(rng, across + 1, 0.07, 2.0)
    )
    height = tall * length * size * rim * ragged
    lean = style.lean + style.curl * up**1.4 + 0.1 * (rng.random() - 0.5)
    flutes = 0.06 * np.cos(np.pi * (style.n_flutes * across + rng.random())) * up
    lines = 0.006 * noise_along(rng, up + 0.02 * across**2, 0.06, 1.1)
    reach = up * height
    sheet = (
        base
        + (reach * np.cos(lean))[..., None] * normal
        + (reach * (np.sin(lean) + flutes + lines))[..., None] * growth
        + (reach * style.flare * across)[..., None] * side
    )
    sheet = sheet - 0.25 * (1 - up[..., None]) * normal
    shape = sheet.shape[:2]
    return Scute(
        sheet, np.broadcast_to(across, shape), np.broadcast_to(up, shape), size, number
    )


def _frame(
    valve: Valve, where: Points, sizes: Points
) -> tuple[Points, Points, Points, Points]:
    """Return foot points, outward normals, directions of growth and of the side."""
    base = valve.points(where, sizes)
    older, younger, left, right = (
        valve.points(where + aside, sizes * share, fine=False)
        for aside, share in ((0.0, 1.02), (0.0, 0.98), (0.004, 1.0), (-0.004, 1.0))
    )
    growth, side = _smooth(older - younger), _smooth(left - right)
    normal = np.cross(side, growth)
    normal *= np.sign((normal @ np.array([0.0, 0.3, 1.0 if valve.right else -1.0])).sum())
    return base, _unit(_smooth(normal)), _unit(growth), _unit(side)


def _smooth(vectors: Points) -> Points:
    """Even out direction along the foot, so that folds do not tear a sheet."""
    n = max(3, vectors.shape[0] // 6)
    kernel = np.hanning(n + 2)[1:-1]
    padded = np.pad(_unit(vectors), ((n, n), (0, 0)), mode="edge")
    smooth = np.column_stack(
        [np.convolve(padded[:, k], kernel / kernel.sum(), "same") for k in range(3)]
    )
    return smooth[n:-n]


def _unit(vectors: Points) -> Points:
    return vectors / (np.linalg.norm(vectors, axis=-1, keepdims=True) + 1e-12)
