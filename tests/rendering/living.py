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
    warped,
)
from .noise import smooth
from .reef import reef
from .tentacles import set_tentacles
from .truth import Rendered

Field = NDArray[np.float32]
Points = NDArray[np.floating]


def render_living(
    animal: Animal,
    width_px: int = 1000,
    seed: int = 1,
    *,
    view: str = "living_from_above",
    field_mm: float = 250.0,
    aspect: float = 2 / 3,
    turn_deg: float = 8.0,
    centre_mm: tuple[float, float] = (0.0, 0.0),
    burrow_mm: float = 0.0,
    oversample: float = 1.0,
) -> Rendered:
    """Return a living clam from above with its truth; byssal end left when not turned.

    The same picture, nearer, shows the inhalant opening or the mantle edge: *view* says what
    the truth is told of.  *burrow_mm* is how high the rock stands above the shell's margin.
    """
    scale = width_px / field_mm * oversample
    shape = (round(round(width_px * aspect) * oversample), round(width_px * oversample))
    rng = np.random.default_rng(seed)
    grid = Grid(shape, scale, turn_deg, centre_mm)
    body = Body(animal, seed)
    sea = reef(shape, scale, rng)
    if view == "living_mantle_edge":
        # So near, the rock lies behind the depth of field.
        for plane in (sea.height, *(sea.tone[..., k] for k in range(3))):
            plane[:] = ndimage.gaussian_filter(plane, 0.22 * scale)
    along, across = grid.body_mm()
    draw_shell_rim(body, grid, sea, rng, burrow_mm)
    layers = lay_mantle(animal, body, along, across, grid, rng)
    slit = open_mantle(animal, body, layers, along, across, scale, rng)
    eyes = set_eyes(animal, body, layers, grid, rng)
    roots = set_tentacles(animal, body, layers, grid, rng)
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
    light *= caustics(rng, shape, scale)[..., None]
    light = light * np.array([0.80, 0.97, 1.06], np.float32) + linear(10, 34, 44) * 0.35
    final = (round(width_px * aspect), width_px)
    if oversample > 1:
        light = shrunk(light.astype(np.float32), final, oversample)
    picture = photograph(light.astype(np.float32), seed + 1, 0.5, vignette=0.3)
    return Rendered(
        picture,
        _truth(animal, body, grid, oversample, final, (eyes, roots, slit), seed, view),
    )


def caustics(rng: np.random.Generator, shape: tuple[int, int], scale: float) -> Field:
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
    found: tuple[Points, Points, Points],
    seed: int,
    view: str,
) -> dict[str, object]:
    eyes, roots, slit = found

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
    spans = sorted(
        (outline[np.argmin(outline[:, 0])], outline[np.argmax(outline[:, 0])]),
        key=lambda end: abs(end[0] - animal.exhalant * body.half),
    )
    edge = _seen_edge(grid.pixels(outline) / oversample, final)
    eyes, roots = eyes / oversample, roots / oversample
    scale = grid.scale / oversample
    marks: dict[str, object]
    if view == "living_inhalant_opening":
        marks = {
            "inhalant_near": pixel(near),
            "inhalant_far": pixel(far),
            "mantle_near": pixel(spans[0]),
            "mantle_far": pixel(spans[1]),
            "opening": pixel(slit),
            "tentacles": np.round(roots, 3).tolist(),
        }
    elif view == "living_mantle_edge":
        marks = {"edge": np.round(edge, 3).tolist(), "eyes": np.round(eyes, 3).tolist()}
    else:
        marks = {
            "margin_byssal_end": pixel([-body.half, 0.0]),
            "margin_ligament_end": pixel([body.half, 0.0]),
            "main_folds": pixel(tops),
            "inhalant_near": pixel(near),
            "inhalant_far": pixel(far),
        }
    span = float(np.linalg.norm(spans[0] - spans[1]))
    inhalant = float(np.linalg.norm(near - far))
    whole = {
        "inhalant_length_mm": round(inhalant, 4),
        "mantle_span_mm": round(span, 4),
        "inhalant_ratio": round(inhalant / span, 5),
        "inhalant_area_mm2": round(_area(slit), 3),
        "n_tentacles": len(roots),
        "tentacle_count": len(roots),
        "n_eyes": len(eyes),
    }
    if view == "living_from_above":
        whole = {
            "visible_margin_length_mm": animal.margin_length_mm,
            "main_folds": len(animal.main_folds),
            **whole,
        }
    elif view == "living_mantle_edge":
        whole = {**_eye_measures(eyes / scale, edge / scale), "n_eyes": len(eyes)}
    return {
        "made": "rendered, invented specimen; not a photograph",
        "width_px": final[1],
        "height_px": final[0],
        "seed": seed,
        "scale": {"px_per_mm": round(scale, 6), "plane": "mantle", "in_picture": False},
        "frame": _around(grid.pixels(outline) / oversample, 6 * scale, final),
        "view": view,
        "part": "joined_pair",
        "state": {
            "mantle": "extended" if animal.overhang_mm > 0 else "partly",
            "valves": "as_in_life",
        },
        "modelled_on": animal.modelled_on,
        "landmarks": marks,
        **({} if view == "living_mantle_edge" else {"eyes": np.round(eyes, 2).tolist()}),
        "measures": whole,
        "characters": dict(animal.characters),
    }


def _around(points: Points, rim: float, final: tuple[int, int]) -> list[float]:
    """Return the region (x, y, width, height) that holds the points, inside the picture."""
    top_left = np.clip(points.min(0) - rim, 0, None)
    bottom_right = np.minimum(points.max(0) + rim, final[::-1])
    return np.round([*top_left, *(bottom_right - top_left)], 1).tolist()


def _area(outline: Points) -> float:
    x, y = outline.T
    return float(abs(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2)


def _seen_edge(outline: Points, final: tuple[int, int], most: int = 240) -> Points:
    """Return the longest unbroken stretch of a closed outline that lies in the picture."""
    rim = 2.0
    seen = (outline > rim).all(1) & (outline < np.array(final[::-1]) - rim).all(1)
    if seen.all():
        return outline[:: max(1, len(outline) // most)]
    turned = np.roll(np.arange(len(outline)), -int(np.argmin(seen)))
    runs = np.split(turned, np.flatnonzero(~seen[turned]))
    longest = max((run[seen[run]] for run in runs), key=len)
    step = max(1, len(longest) // most)
    kept = longest[::step] if (len(longest) - 1) % step == 0 else longest[::step].tolist()
    return outline[np.append(kept, longest[-1]) if kept[-1] != longest[-1] else kept]


def _eye_measures(eyes: Points, edge: Points) -> dict[str, float]:
    """Return how many eyes the edge bears per centimetre, and how evenly (all in mm)."""
    along = np.concatenate(
        [[0.0], np.cumsum(np.linalg.norm(np.diff(edge, axis=0), axis=1))]
    )
    steps = np.linalg.norm(np.diff(eyes, axis=0), axis=1)
    # Two eyes that are not neighbours on the edge have no spacing.
    steps = steps[steps < 4.0 * np.median(steps)]
    return {
        "edge_length_mm": round(float(along[-1]), 4),
        "eye_density": round(10 * len(eyes) / float(along[-1]), 5),
        "eye_spacing_mm": round(float(steps.mean()), 4),
        "eye_regularity": round(float(steps.std(ddof=1) / steps.mean()), 5),
    }
