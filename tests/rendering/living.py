"""A picture of a living clam from above, on the reef, and the truth about it."""

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from .body import Animal, Body, Grid
from .light import Lamp, linear, lit, photograph, shrunk
from .mantle import (
    draw_shell_rim,
    lay_mantle,
    open_mantle,
    set_eyes,
    set_tentacles,
    warped,
)
from .noise import smooth
from .reef import reef
from .truth import Rendered

Field = NDArray[np.float32]
Points = NDArray[np.floating]


def render_living(
    animal: Animal,
    width_px: int = 1000,
    seed: int = 1,
    *,
    field_mm: float = 250.0,
    aspect: float = 2 / 3,
    turn_deg: float = 8.0,
    centre_mm: tuple[float, float] = (0.0, 0.0),
    oversample: float = 1.0,
) -> Rendered:
    """Return a living clam from above with its truth; byssal end left when not turned."""
    scale = width_px / field_mm * oversample
    shape = (round(round(width_px * aspect) * oversample), round(width_px * oversample))
    rng = np.random.default_rng(seed)
    grid = Grid(shape, scale, turn_deg, centre_mm)
    body = Body(animal, seed)
    sea = reef(shape, scale, rng)
    along, across = grid.body_mm()
    draw_shell_rim(body, grid, sea, rng)
    layers = lay_mantle(animal, body, along, across, grid, rng)
    open_mantle(animal, body, layers, along, across, scale, rng)
    eyes = set_eyes(animal, body, layers, grid, rng)
    n_tentacles = set_tentacles(animal, body, layers, grid, rng)
    cover = layers["cover"][..., None]
    albedo = sea.tone * (1 - cover) + layers["tone"] * cover
    height = np.where(
        layers["cover"] > 0.5, np.maximum(layers["height"] + 9.0, sea.height), sea.height
    )
    gloss = sea.gloss * (1 - layers["cover"]) + layers["gloss"] * layers["cover"]
    # Soft flesh shows its folds more plainly than its low relief would.
    swell = height * (1.0 + 0.9 * layers["cover"])
    down, right = np.gradient(ndimage.gaussian_filter(swell, 0.5) * scale)
    normal = np.stack([-right, down, np.ones_like(height)], -1)
    normal /= np.linalg.norm(normal, axis=-1, keepdims=True)
    lamp = Lamp(118, 50, 8, 1.25, (0.97, 1.0, 0.95), 0.52, (0.66, 0.90, 1.0), 0.08)
    light = lit(
        lamp,
        height.astype(np.float32),
        normal.astype(np.float32),
        albedo,
        gloss,
        scale,
        seed,
    )
    light *= _caustics(rng, shape, scale)[..., None]
    light = light * np.array([0.80, 0.97, 1.06], np.float32) + linear(10, 34, 44) * 0.35
    final = (round(width_px * aspect), width_px)
    if oversample > 1:
        light = shrunk(light.astype(np.float32), final, oversample)
    picture = photograph(light.astype(np.float32), seed + 1, 0.5, vignette=0.3)
    return Rendered(
        picture, _truth(animal, body, grid, oversample, final, eyes, n_tentacles, seed)
    )


def _caustics(rng: np.random.Generator, shape: tuple[int, int], scale: float) -> Field:
    """Return the net of light that waves throw on the reef."""
    warp = 6 * scale * np.stack([smooth(rng, shape, 26 * scale) for _ in range(2)])
    net = np.zeros(shape, np.float32)
    for size in (30.0, 19.0):
        net += np.exp(-abs(warped(smooth(rng, shape, size * scale), warp)) / 0.10)
    return (
        0.90 + 0.26 * np.clip(ndimage.gaussian_filter(net, 0.5 * scale), 0, 1.6)
    ).astype(np.float32)


def _truth(
    animal: Animal,
    body: Body,
    grid: Grid,
    oversample: float,
    final: tuple[int, int],
    eyes: Points,
    n_tentacles: int,
    seed: int,
) -> dict[str, object]:
    def pixel(points: Points) -> object:
        return np.round(grid.pixels(np.asarray(points, float)) / oversample, 3).tolist()

    outline = body.outline
    upper = outline[outline[:, 1] > 0]
    tops = []
    for place in animal.main_folds:
        near = upper[abs(upper[:, 0] - place * body.half) < 0.10 * body.half]
        tops.append(near[np.argmax(near[:, 1])])
    centre, half_length, _ = body.slit()
    ends = np.array(
        [
            [x, float(body.middle(np.array(x)))]
            for x in (centre - half_length, centre + half_length)
        ]
    )
    near, far = sorted(ends, key=lambda end: abs(end[0] - animal.exhalant * body.half))
    low, high = outline.min(0), outline.max(0)
    corners = (
        grid.pixels(
            np.array(
                [
                    [x, y]
                    for x in (low[0] - 6, high[0] + 6)
                    for y in (low[1] - 6, high[1] + 6)
                ]
            )
        )
        / oversample
    )
    top_left = np.clip(corners.min(0), 0, None)
    bottom_right = np.minimum(corners.max(0), final[::-1])
    return {
        "made": "rendered, invented specimen; not a photograph",
        "width_px": final[1],
        "height_px": final[0],
        "seed": seed,
        "scale": {
            "px_per_mm": round(grid.scale / oversample, 6),
            "plane": "mantle",
            "in_picture": False,
        },
        "frame": np.round([*top_left, *(bottom_right - top_left)], 1).tolist(),
        "view": "living_from_above",
        "part": "joined_pair",
        "state": {"mantle": "extended", "valves": "as_in_life"},
        "modelled_on": animal.modelled_on,
        "landmarks": {
            "margin_byssal_end": pixel([-body.half, 0.0]),
            "margin_ligament_end": pixel([body.half, 0.0]),
            "main_folds": pixel(tops),
            "inhalant_near": pixel(near),
            "inhalant_far": pixel(far),
        },
        "eyes": np.round(eyes / oversample, 2).tolist(),
        "measures": {
            "visible_margin_length_mm": animal.margin_length_mm,
            "main_folds": len(animal.main_folds),
            "inhalant_length_mm": round(float(np.linalg.norm(near - far)), 4),
            "n_eyes": len(eyes),
            "n_tentacles": n_tentacles,
        },
        "characters": dict(animal.characters),
    }
