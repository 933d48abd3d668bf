"""Openings with two rims, and margins under scutes: lines that no strongest edge tells.

A byssal opening has the edge of the valve and, farther in, the sharper rim against the dark; an
inhalant opening is crossed by its tentacles; scutes overhang the upper margin that is meant.
Form, colours, light and turn are drawn anew for each; the truth is that of the renderer.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from tests.rendering import Rendered, Setup, render_living, render_outside, render_pair
from tests.rendering.light import Lamp
from tests.rendering.specimens import (
    BRANCHED_OPENING,
    ELONGATE,
    FLUTED,
    LOW_FOLDED,
    PAIR,
    varied,
)

KINDS = ("byssal opening", "branched opening", "upper margin")


@dataclass(frozen=True)
class Lined:
    """A picture (h, w, 3) and a line (n, 2) in it that a person means, in its pixels."""

    kind: str
    seed: int
    picture: NDArray[np.uint8]
    line: NDArray[np.floating]
    closed: bool


def lined(kind: str, seed: int, width_px: int = 1800) -> Lined:
    """Return an invented opening or margin of a kind, its line a point per pixel."""
    rng = np.random.default_rng((733, seed, KINDS.index(kind)))
    made = {KINDS[0]: _byssal, KINDS[1]: _branched, KINDS[2]: _margin}[kind]
    key, rendered = made(rng, seed, width_px)
    truth = rendered.truth
    points = {**truth["landmarks"], **truth.get("more_landmarks", {})}[key]
    closed = kind != KINDS[2]
    line = np.array([*points, points[0]] if closed else points, float)
    return Lined(kind, seed, rendered.picture, evenly(line, 1.0), closed)


def evenly(line: NDArray[np.floating], step: float) -> NDArray[np.floating]:
    """Return an open line as points every *step* along it, its last point left out."""
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
    places = np.linspace(0.0, along[-1], int(along[-1] / step), endpoint=False)
    return np.column_stack([np.interp(places, along, line[:, k]) for k in (0, 1)])


def _byssal(rng: np.random.Generator, seed: int, width_px: int) -> tuple[str, Rendered]:
    form = (LOW_FOLDED, PAIR, LOW_FOLDED)[seed % 3]
    length = float(rng.uniform(75, 130))
    specimen = varied(
        form,
        {
            "length_mm": length,
            "byssal_opening_width": float(rng.uniform(0.09, 0.17)),
            "byssal_opening_from": float(rng.uniform(0.77, 0.83)),
            "plicae": float(rng.uniform(0.0, 0.008)),
            "n_plicae": int(rng.integers(4, 9)),
            "seed": int(rng.integers(1 << 30)),
        },
        {**_toned(rng, form), "soiling": float(rng.uniform(0.3, 0.8))},
    )
    setup = Setup(
        field_mm=length * float(rng.uniform(1.2, 1.5)),
        distance_mm=length * float(rng.uniform(6.0, 9.0)),
        ground=("foam", "felt")[seed % 2],
        lamp=_lamp(rng),
    )
    shown = render_pair(
        replace(specimen, scutes=None) if seed % 2 else specimen,
        "underside",
        width_px,
        seed,
        setup,
        turn_deg=float(rng.uniform(-12, 12)),
        centre_mm=(0.0, 0.14 * length),
        ends_above_table_mm=0.26 * length,
        block_mm=0.2 * length,
    )
    return "byssal_opening", shown


def _branched(rng: np.random.Generator, seed: int, width_px: int) -> tuple[str, Rendered]:
    def near(tone: tuple[int, int, int]) -> tuple[int, int, int]:
        red, green, blue = (int(v * rng.uniform(0.75, 1.2)) for v in tone)
        return red, green, blue

    size = float(rng.uniform(0.8, 1.25))
    animal = replace(
        BRANCHED_OPENING,
        margin_length_mm=104.0 * size,
        fold_swing_mm=float(rng.uniform(6, 12)) * size,
        inhalant=(float(rng.uniform(0.0, 0.1)), float(rng.uniform(0.58, 0.7))),
        tentacle_mm=float(rng.uniform(2.5, 5.5)) * size,
        slit_half_width_mm=float(rng.uniform(3.0, 5.0)) * size,
        pattern=("stripes", "maze", "rings")[seed % 3],
        tentacles=("branched", "branched", "simple")[seed % 3],
        deep=near(BRANCHED_OPENING.deep),
        mid=near(BRANCHED_OPENING.mid),
        bright=near(BRANCHED_OPENING.bright),
        spot=near(BRANCHED_OPENING.spot),
    )
    shown = render_living(
        animal,
        width_px,
        seed,
        view="living_inhalant_opening",
        field_mm=130.0 * size * float(rng.uniform(0.85, 1.15)),
        turn_deg=float(rng.uniform(-180, 180)),
    )
    return "opening", shown


def _margin(rng: np.random.Generator, seed: int, width_px: int) -> tuple[str, Rendered]:
    form = (ELONGATE, FLUTED)[seed % 2]
    outline = np.array(form.shape.outline) * rng.uniform(0.95, 1.05, (1, 2))
    specimen = varied(
        form,
        {
            "outline": tuple(map(tuple, outline)),
            "fold_depth": form.shape.fold_depth * float(rng.uniform(0.7, 1.3)),
            "lobes": form.shape.lobes * float(rng.uniform(0.6, 1.4)),
            "seed": int(rng.integers(1 << 30)),
        },
        _toned(rng, form),
        {"height": float(rng.uniform(0.02, 0.05)), "seed": int(rng.integers(1 << 30))},
    )
    setup = Setup(
        field_mm=form.shape.length_mm * float(rng.uniform(1.45, 1.65)),
        ground=("sand", "felt", "tray")[seed % 3],
        lamp=_lamp(rng),
        no_ruler=True,
    )
    shown = render_outside(
        specimen,
        width_px,
        seed,
        setup,
        valve=("left", "right")[int(rng.integers(2))],
        turn_deg=float(rng.uniform(-20, 20)),
        centre_mm=(0.0, 0.0),
    )
    return "upper_margin_line", shown


def _toned(rng: np.random.Generator, form: object) -> dict[str, object]:
    def near(tone: tuple[int, int, int]) -> tuple[int, ...]:
        shade = np.array(tone) * rng.uniform(0.78, 1.05)
        return tuple(int(v) for v in np.clip(shade, 0, 250))

    colours = form.colours  # type: ignore[attr-defined]
    return {
        "base": near(colours.base),
        "band": near(colours.band),
        "seed": int(rng.integers(1 << 30)),
    }


def _lamp(rng: np.random.Generator) -> Lamp:
    return Lamp(
        azimuth_deg=float(rng.uniform(0, 360)),
        elevation_deg=float(rng.uniform(34, 62)),
        softness_deg=float(rng.uniform(3, 10)),
    )
