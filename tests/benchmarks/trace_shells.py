"""Shells on four grounds with their exact outlines: what the edge trace is tried on."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from tests.rendering import Specimen
from tests.rendering.ground import GROUNDS, Ground
from tests.rendering.light import Lamp
from tests.rendering.reef import reef
from tests.rendering.scene import Scene, draw
from tests.rendering.specimens import (
    BLOTCHED,
    DEEP_FOLDED,
    ELONGATE,
    FLUTED,
    LOW_FOLDED,
    PAIR,
    varied,
)
from tests.rendering.views import Laid, Setup, lay

FORMS = (FLUTED, PAIR, ELONGATE, DEEP_FOLDED, BLOTCHED, LOW_FOLDED)
TRIED_ON = ("felt", "sand", "tray", "rubble")
FINER = 1
"""The silhouette is that of the picture itself, pixel by pixel."""


@dataclass(frozen=True)
class Shell:
    """A picture (h, w, 3) and the silhouette (n, 2) of the shell in it, in its pixels."""

    ground: str
    seed: int
    scutes: bool
    picture: NDArray[np.uint8]
    outline: NDArray[np.floating]


def shell(ground: str, seed: int, width_px: int = 1500, aspect: float = 0.75) -> Shell:
    """Return an invented shell on a ground; every fourth has scutes, low ones."""
    rng = np.random.default_rng((161, seed, TRIED_ON.index(ground)))
    specimen = _specimen(rng, scutes=seed % 4 == 3)
    laid = Laid(specimen, ("left", "right")[rng.integers(2)], float(rng.uniform(-180, 180)))
    length = specimen.shape.length_mm
    setup = Setup(
        field_mm=length / float(rng.uniform(0.58, 0.68)),
        aspect=aspect,
        distance_mm=length * float(rng.uniform(4.0, 9.0)),
        tilt_deg=tuple(map(float, rng.normal(0.0, 1.5, 2))),
        ground=ground,
        no_ruler=True,
        lamp=Lamp(
            azimuth_deg=float(rng.uniform(0, 360)),
            elevation_deg=float(rng.uniform(34, 62)),
            softness_deg=float(rng.uniform(3, 10)),
        ),
    )
    camera = setup.camera(width_px)
    lying = lay(laid)
    GROUNDS.setdefault("rubble", _rubble)
    scene = Scene(camera, ((lying,),), ground, {}, (), setup.lamp, seed=seed)
    seen = draw(camera.larger(FINER), (lying,), 1).specimen > 0
    return Shell(
        ground, seed, specimen.scutes is not None, scene.picture(), _silhouette(seen)
    )


def _specimen(rng: np.random.Generator, *, scutes: bool) -> Specimen:
    """Return one of the invented forms with its size, folds and colours changed."""
    form = FORMS[rng.integers(len(FORMS))]
    outline = np.array(form.shape.outline) * rng.uniform(0.95, 1.05, (1, 2))
    colours = {
        name: tuple(
            int(v) for v in np.clip(np.array(tone) * rng.uniform(0.78, 1.05), 0, 250)
        )
        for name, tone in (("base", form.colours.base), ("band", form.colours.band))
    }
    made = varied(
        form,
        {
            "length_mm": float(rng.uniform(60, 220)),
            "outline": tuple(map(tuple, outline)),
            "fold_depth": form.shape.fold_depth * float(rng.uniform(0.6, 1.3)),
            "lobes": form.shape.lobes * float(rng.uniform(0.6, 1.4)),
            "seed": int(rng.integers(1 << 30)),
        },
        {**colours, "seed": int(rng.integers(1 << 30))},
    )
    if not scutes:
        return replace(made, scutes=None)
    style = made.scutes or FLUTED.scutes
    return replace(made, scutes=replace(style, height=0.035, lean=0.9))


def _rubble(shape: tuple[int, int], px_per_mm: float, rng: np.random.Generator) -> Ground:
    """Return loose stones of the reef, lying flat enough for a shell to lie on them."""
    floor = reef(shape, px_per_mm, rng)
    low = 0.3 * (floor.height - float(floor.height.max()))
    return floor.tone, low.astype(np.float32), floor.gloss


def _silhouette(seen: NDArray[np.bool_]) -> NDArray[np.floating]:
    """Return the outer edge of a mask as points about one pixel of the picture apart."""
    from shapely import box, unary_union

    whole = ndimage.binary_fill_holes(seen)
    labels, n = ndimage.label(whole)
    sizes = ndimage.sum(whole, labels, range(1, n + 1))
    whole = labels == 1 + int(np.argmax(sizes))
    runs = []
    for row in np.flatnonzero(whole.any(1)):
        steps = np.flatnonzero(
            np.diff(np.concatenate([[0], whole[row].view(np.int8), [0]]))
        )
        runs += [
            box(a, row, b, row + 1) for a, b in zip(steps[::2], steps[1::2], strict=True)
        ]
    edge = np.array(unary_union(runs).exterior.coords)[:-1]
    even = along_evenly(edge, 0.5)
    # The steps of the pixels are smoothed away over a pixel and a half of the picture.
    smooth = ndimage.gaussian_filter1d(even, 1.5 * FINER / 0.5, axis=0, mode="wrap")
    return along_evenly(smooth / FINER, 1.0)


def along_evenly(outline: NDArray[np.floating], step: float) -> NDArray[np.floating]:
    """Return a closed outline as points every *step* along it."""
    closed = np.vstack([outline, outline[:1]])
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(closed, axis=0).T))])
    places = np.linspace(0.0, along[-1], max(8, int(along[-1] / step)), endpoint=False)
    return np.column_stack([np.interp(places, along, closed[:, k]) for k in (0, 1)])
