"""The mantle of a living clam as a height map: flesh, two openings, eyes, tentacles.

The mantle is soft, shows no side, and is seen from straight above, so a height over each
pixel says all.  Lengths are millimetres at the mantle.
"""

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from .body import Animal, Body, Grid
from .light import linear
from .noise import along as noise_along
from .noise import fractal, smooth, smoothstep
from .patterns import PATTERNS, Flesh, disc, over
from .reef import Reef

Field = NDArray[np.float32]
Points = NDArray[np.floating]


def lay_mantle(
    animal: Animal,
    body: Body,
    along: Field,
    across: Field,
    grid: Grid,
    rng: np.random.Generator,
) -> dict[str, Field]:
    """Return tone, height, gloss and cover of the mantle without its openings."""
    scale, shape = grid.scale, along.shape
    inside = _signed_distance(grid.pixels(body.outline), shape) / scale
    deep = np.clip(inside, 0.0, None)
    middle = across - body.middle(along).astype(np.float32)
    waves = fractal(rng, shape, 11 * scale, 3)
    drape = (
        body.swing(np.clip(along / body.half, -1.6, 1.6))
        / animal.fold_swing_mm
        * np.sign(middle)
    ).astype(np.float32)
    flesh = noise_along(rng, along + 3.0 * waves + 200.0, 2.6, 420.0) * smoothstep(
        2.0, 12.0, abs(middle)
    )
    ruffle = noise_along(rng, along + 2.0 * waves + 200.0, 7.0, 420.0)
    height = (
        2.0
        + 5.0 * (1.0 - np.exp(-deep / 2.2))
        + 6.0 * (1.0 - np.exp(-deep / 16.0))
        + (1.3 * waves + 1.1 * ruffle) * np.exp(-deep / 15.0)
        + 6.0 * drape * smoothstep(3.0, 24.0, abs(middle))
        + 0.7 * flesh
        - 3.4 * np.exp(-((middle / 5.0) ** 2))
        + 0.10 * smooth(rng, shape, 0.9 * scale)
    )
    warp = 2.6 * scale * np.stack([smooth(rng, shape, 10 * scale) for _ in range(2)])
    maze = warped(
        smooth(rng, shape, 1.25 * scale) - 0.7 * smooth(rng, shape, 3.2 * scale), warp
    )
    islands = warped(smooth(rng, shape, 2.0 * scale), warp)
    dots = smooth(rng, shape, 0.5 * scale)
    near_edge = np.exp(-deep / 13.0)
    plain = Flesh(waves, maze, islands, dots, near_edge, deep)
    tone = PATTERNS[animal.pattern](animal, plain)
    bright, dark = linear(*animal.bright), linear(*animal.deep)
    rim = np.exp(-(((deep - 0.7) / 0.65) ** 2))
    tone = over(
        tone,
        bright * (0.75 + 0.3 * waves)[..., None],
        rim * np.clip(0.42 + 0.25 * waves, 0.1, 0.8),
    )
    tone = over(tone, dark * 0.35, 0.75 * np.exp(-(((deep - 3.1) / 0.9) ** 2)))
    tone = over(tone, linear(52, 52, 32), 0.5 * np.exp(-((middle / 6.0) ** 2)))
    return {
        "tone": np.clip(tone, 0.002, 0.9).astype(np.float32),
        "height": height.astype(np.float32),
        "gloss": (0.10 + 0.04 * waves).astype(np.float32),
        "cover": np.clip(0.5 + inside * scale, 0, 1).astype(np.float32),
        "inside": inside.astype(np.float32),
    }


def open_mantle(
    animal: Animal,
    body: Body,
    layers: dict[str, Field],
    along: Field,
    across: Field,
    scale: float,
    rng: np.random.Generator,
) -> Points:
    """Sink the inhalant slit, raise the exhalant cone; return the slit's outline (n, 2)."""
    tone, height, gloss = layers["tone"], layers["height"], layers["gloss"]
    middle = across - body.middle(along).astype(np.float32)
    centre, half_length, _half_width = body.slit()
    t = (along - centre) / half_length
    # The same knots for all pixels and for the outline that the truth tells.
    line = centre + half_length * np.cos(np.linspace(0.0, np.pi, 61))
    places = np.concatenate([along.ravel(), line]) + 200.0
    wobble = 1.0 + 0.10 * noise_along(rng, places, 3.5, 400.0)
    edge = _slit_half(body, line, wobble[-line.size :])
    wobble = wobble[: -line.size].reshape(along.shape)
    radius = _slit_half(body, along, wobble)
    beyond = np.hypot(
        np.clip(abs(along - centre) - half_length, 0, None),
        np.clip(abs(middle) - radius, 0, None),
    )
    within = np.where(abs(t) < 1, radius - abs(middle), -1.0)
    hole = smoothstep(-0.1, 0.35, np.where(within > 0, within, -beyond))
    lip = np.exp(-(((np.where(within > 0, -within, beyond) - 0.9) / 1.1) ** 2))
    height += 1.9 * lip - 16.0 * hole
    tone[:] = over(tone, linear(66, 122, 122), 0.5 * lip * (1 - hole))
    shown = 1.8 if animal.tentacles == "none" else 0.35
    gills = 0.5 + 0.5 * np.cos(2 * np.pi * along / 1.15 + 0.5 * middle)
    depth_tone = (
        linear(12, 15, 14)[None, None]
        + linear(58, 50, 34) * (shown * gills * smoothstep(0.8, 2.4, within))[..., None]
    )
    tone[:] = tone * (1 - hole[..., None]) + depth_tone * hole[..., None]
    gloss *= 1 - hole
    ex = animal.exhalant * body.half
    r = np.hypot(along - ex, middle)
    ring = animal.exhalant_mm + 0.10 * np.cos(3 * np.arctan2(middle, along - ex) + 1.0)
    cone = np.where(r > ring, np.exp(-(r - ring) / 4.2), np.exp(-(((r - ring) / 0.8) ** 2)))
    dark = smoothstep(0.1, 0.9, ring - r)
    height += 12.0 * cone - 18.0 * dark
    tone[:] = over(tone, linear(64, 92, 78), 0.55 * np.exp(-(((r - ring) / 5.5) ** 2)))
    tone[:] = over(
        tone, linear(150, 190, 176), 0.6 * np.exp(-(((r - ring - 0.45) / 0.6) ** 2))
    )
    streaks = smoothstep(0.2, 0.9, np.cos(13 * np.arctan2(middle, along - ex)))
    tone[:] = over(
        tone, linear(30, 48, 44), 0.4 * streaks * np.exp(-(((r - 6.5) / 3.0) ** 2))
    )
    tone[:] = over(tone, linear(8, 12, 12), dark)
    # The hole is half dark where this little remains of its half width.
    edge = np.clip(edge - 0.12, 0.0, None)
    upper = np.column_stack([line, body.middle(line) + edge])
    lower = np.column_stack([line, body.middle(line) - edge])
    return np.concatenate([upper, lower[-2:0:-1]])


def _slit_half(body: Body, along: Points, wobble: Points) -> Points:
    """Return the half width of the inhalant opening at places along the shell."""
    centre, half_length, half_width = body.slit()
    t = (along - centre) / half_length
    return np.sqrt(np.clip(1.0 - t * t, 0.0, 1.0)) ** 0.85 * half_width * wobble


def set_eyes(
    animal: Animal,
    body: Body,
    layers: dict[str, Field],
    grid: Grid,
    rng: np.random.Generator,
) -> Points:
    """Set a row of pin-hole eyes inside the mantle's edge; return their pixels (n, 2)."""
    outline = body.outline
    closed = np.vstack([outline, outline[:1]])
    arc = np.concatenate(
        [[0.0], np.cumsum(np.linalg.norm(np.diff(closed, axis=0), axis=1))]
    )
    steps = animal.eye_gap_mm * (
        1.0 + 0.22 * rng.standard_normal(int(arc[-1] / animal.eye_gap_mm) + 20)
    ).clip(0.5, 1.8)
    places = np.cumsum(steps)
    places = places[places < arc[-1] - 0.6 * animal.eye_gap_mm]
    tangent = np.gradient(closed, axis=0)
    normal = np.column_stack([-tangent[:, 1], tangent[:, 0]])
    normal /= np.linalg.norm(normal, axis=1, keepdims=True) + 1e-9
    inset = 1.9 + 0.25 * rng.standard_normal(places.size)
    at = [
        np.interp(places, arc, closed[:, k]) + np.interp(places, arc, normal[:, k]) * inset
        for k in range(2)
    ]
    points = _apart(np.column_stack(at), 0.55 * animal.eye_gap_mm)
    pixels = grid.pixels(points)
    margin = 1.4 * grid.scale
    rows, columns = grid.shape
    seen = (pixels > margin).all(1) & (pixels < [columns - margin, rows - margin]).all(1)
    pixels = pixels[seen]
    for place, size in zip(pixels, rng.uniform(0.34, 0.52, len(pixels)), strict=True):
        size = size * animal.eye_size
        disc(
            layers,
            place,
            1.05 * animal.eye_size * grid.scale,
            linear(120, 206, 214),
            0.42,
            0.35,
            soft=0.6,
        )
        disc(layers, place, size * grid.scale, linear(4, 5, 8), 0.97, 0.15, soft=0.25)
        disc(
            layers,
            place + grid.scale * np.array([-0.16, -0.2]),
            0.15 * grid.scale,
            linear(225, 240, 245),
            0.8,
            0.0,
            soft=0.5,
        )
    return pixels


def _apart(points: Points, least: float) -> Points:
    """Leave out points that lie nearer than *least* to one that is already there."""
    kept: list[Points] = []
    for point in points:
        if all(np.hypot(*(point - other)) >= least for other in kept):
            kept.append(point)
    return np.array(kept)


def draw_shell_rim(
    body: Body, grid: Grid, sea: Reef, rng: np.random.Generator, burrow_mm: float = 0.0
) -> None:
    """Draw the shell's margin into the sea floor; the mantle hides all but its two ends.

    In a burrow the rock stands *burrow_mm* above the margin and follows it closely.
    """
    shape, scale = grid.shape, grid.scale
    inside = _signed_distance(grid.pixels(body.margin_points()), shape) / scale
    cover = np.clip(0.5 + inside * scale, 0, 1)
    rows = noise_along(rng, np.clip(inside, -40, 40) + 60.0, 0.8, 120.0)
    tone = (
        linear(206, 188, 156)
        * (1.0 + 0.08 * rows + 0.05 * smooth(rng, shape, 2 * scale))[..., None]
    )
    tone = over(tone, linear(232, 222, 200), 0.7 * smoothstep(1.2, 0.3, inside))
    along, across = grid.body_mm()
    algae = smoothstep(
        -0.2, 1.2, fractal(rng, shape, 7 * scale, 3) - 0.25 * np.clip(2.0 - inside, 0, 2)
    )
    tone = over(tone, linear(104, 98, 70), 0.85 * algae)
    tone = tone * (0.75 + 0.12 * fractal(rng, shape, 2.5 * scale, 3))[..., None]
    ribs = 0.5 + 0.5 * np.cos(np.arctan2(across, abs(along) - 0.55 * body.half) * 17.0)
    tone = tone * (0.8 + 0.2 * ribs)[..., None]
    seam = across - 0.9 * np.sin(along * 0.9) * np.clip(
        (body.half - abs(along)) / 6.0, 0, 1
    )
    shut = np.exp(-((seam / 0.4) ** 2))
    tone = over(tone, linear(14, 14, 12), 0.9 * shut)
    sea.tone[:] = sea.tone * (1 - cover[..., None]) + tone * cover[..., None]
    if burrow_mm:
        _wall_in(sea, inside, burrow_mm, scale, rng)
    else:
        crevice = np.exp(-np.clip(-inside, 0, None) / 4.0) * (1 - cover)
        sea.height[:] = sea.height - 7.0 * crevice
    top = (
        11.0
        + 1.2 * smoothstep(2.0, 0.3, inside)
        + 1.0 * ribs
        - 2.0 * shut
        - 0.2 * np.clip(inside, 0, 16)
    )
    sea.height[:] = np.where(
        cover > 0.5,
        top,
        sea.height
        if burrow_mm
        else np.minimum(sea.height, 12.0 + 0.4 * np.clip(sea.height - 12, 0, None)),
    )


def _wall_in(
    sea: Reef, inside: Field, burrow_mm: float, scale: float, rng: np.random.Generator
) -> None:
    """Raise the rock around the shell, to a ragged rim that nearly touches it."""
    shape = inside.shape
    ragged = 0.9 * smooth(rng, shape, 5.0 * scale) + 0.4 * smooth(rng, shape, 1.6 * scale)
    wall = smoothstep(0.0, 2.0, -inside + 0.5 + ragged)
    rock = 11.0 + burrow_mm + 0.55 * (sea.height - np.median(sea.height))
    sea.height[:] = 8.0 + (rock - 8.0) * wall
    sea.tone[:] = sea.tone * (0.72 + 0.28 * wall)[..., None]


def _signed_distance(polygon: Points, shape: tuple[int, int]) -> Field:
    """Return the distance of pixels to a closed polygon, positive inside, in pixels."""
    from PIL import Image, ImageDraw

    fine = 2
    sheet = Image.new("L", (shape[1] * fine, shape[0] * fine), 0)
    ImageDraw.Draw(sheet).polygon([tuple(point) for point in polygon * fine], fill=255)
    mask = (
        np.asarray(sheet.resize((shape[1], shape[0]), Image.Resampling.BOX), np.float32)
        / 255.0
    )
    solid = mask >= 0.5
    inner = ndimage.distance_transform_edt(solid).astype(np.float32)
    outer = ndimage.distance_transform_edt(~solid).astype(np.float32)
    rough = np.where(solid, inner - 0.5, 0.5 - outer)
    return np.where((mask > 0) & (mask < 1), mask - 0.5, rough).astype(np.float32)


def warped(values: Field, warp: Field) -> Field:
    y, x = np.mgrid[0 : values.shape[0], 0 : values.shape[1]].astype(np.float32)
    return ndimage.map_coordinates(
        values, [y + warp[0], x + warp[1]], order=1, mode="reflect"
    )
