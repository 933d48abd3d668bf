"""A living clam from above: mantle over a wavy margin, two openings, eyes, on a reef.

Everything is drawn as a height map in the picture: the mantle is soft, shows no side, and is
seen from straight above.  Lengths are millimetres at the mantle.
"""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from .light import Lamp, linear, lit, photograph
from .noise import along as noise_along
from .noise import fractal, smooth, smoothstep
from .reef import reef
from .truth import Rendered

Field = NDArray[np.float32]
Points = NDArray[np.floating]


@dataclass(frozen=True, slots=True)
class Animal:
    """An invented living clam; *main_folds* gives for each fold its place (-1..1) along the shell."""

    margin_length_mm: float = 150.0
    width_share: float = 0.40
    main_folds: tuple[float, ...] = (-0.68, -0.34, 0.0, 0.34, 0.68)
    fold_swing_mm: float = 11.0
    overhang_mm: float = 9.0
    inhalant: tuple[float, float] = (0.06, 0.64)
    exhalant: float = -0.36
    tentacle_mm: float = 2.6
    eye_gap_mm: float = 2.7
    deep: tuple[int, int, int] = (16, 40, 92)
    bright: tuple[int, int, int] = (46, 150, 196)
    spot: tuple[int, int, int] = (176, 150, 82)
    modelled_on: str = "Tridacna maxima"
    characters: dict[str, str] = field(default_factory=dict)


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
    """Return a living clam from above, byssal end to the left when not turned, with its truth."""
    scale = width_px / field_mm * oversample
    shape = (round(round(width_px * aspect) * oversample), round(width_px * oversample))
    rng = np.random.default_rng(seed)
    grid = _Grid(shape, scale, turn_deg, centre_mm)
    body = _Body(animal, seed)
    sea = reef(shape, scale, rng)
    along, across = grid.body_mm()
    _shell_rim(body, grid, sea, rng)
    layers = _mantle(animal, body, along, across, grid, rng)
    _openings(animal, body, layers, along, across, scale, rng)
    eyes = _eyes(animal, body, layers, grid, rng)
    n_tentacles = _tentacles(animal, body, layers, grid, rng)
    cover = layers["cover"][..., None]
    albedo = sea.tone * (1 - cover) + layers["tone"] * cover
    height = np.where(layers["cover"] > 0.5, np.maximum(layers["height"] + 9.0, sea.height), sea.height)
    gloss = sea.gloss * (1 - layers["cover"]) + layers["gloss"] * layers["cover"]
    # Soft flesh shows its folds more plainly than its low relief would.
    swell = height * (1.0 + 0.9 * layers["cover"])
    down, right = np.gradient(ndimage.gaussian_filter(swell, 0.5) * scale)
    normal = np.stack([-right, down, np.ones_like(height)], -1)
    normal /= np.linalg.norm(normal, axis=-1, keepdims=True)
    lamp = Lamp(118, 50, 8, 1.25, (0.97, 1.0, 0.95), 0.52, (0.66, 0.90, 1.0), 0.08)
    light = lit(lamp, height.astype(np.float32), normal.astype(np.float32), albedo, gloss, scale, seed)
    light *= _caustics(rng, shape, scale)[..., None]
    light = light * np.array([0.80, 0.97, 1.06], np.float32) + linear(10, 34, 44) * 0.35
    final = (round(width_px * aspect), width_px)
    if oversample > 1:
        from .scene import _shrunk

        light = _shrunk(light.astype(np.float32), final, oversample)
    picture = photograph(light.astype(np.float32), seed + 1, 0.5, vignette=0.3)
    return Rendered(picture, _truth(animal, body, grid, oversample, final, eyes, n_tentacles, seed))


class _Grid:
    """The picture's pixels and the animal's own frame (along the shell, across it), in mm."""

    def __init__(self, shape: tuple[int, int], scale: float, turn_deg: float, centre: tuple[float, float]) -> None:
        self.shape, self.scale = shape, scale
        turn = np.radians(turn_deg)
        self.axes = np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
        self.centre = np.array(centre)

    def body_mm(self) -> tuple[Field, Field]:
        rows, columns = self.shape
        x = (np.arange(columns) + 0.5 - columns / 2)[None, :] / self.scale - self.centre[0]
        y = (rows / 2 - np.arange(rows) - 0.5)[:, None] / self.scale - self.centre[1]
        along = self.axes[0, 0] * x + self.axes[0, 1] * y
        across = self.axes[1, 0] * x + self.axes[1, 1] * y
        return along.astype(np.float32), across.astype(np.float32)

    def pixels(self, body: Points) -> Points:
        """Return continuous pixels of points (..., 2) of the animal's frame."""
        world = np.asarray(body) @ self.axes + self.centre
        x = self.shape[1] / 2 + world[..., 0] * self.scale
        y = self.shape[0] / 2 - world[..., 1] * self.scale
        return np.stack([x, y], -1)


class _Body:
    """The curves of one animal: the wavy mid line, the shell margin, the mantle edge."""

    def __init__(self, animal: Animal, seed: int) -> None:
        self.animal, self.half = animal, animal.margin_length_mm / 2
        rng = np.random.default_rng(seed + 77)
        self.tones = [(k, rng.random() * 6.28, rng.normal() * s) for k, s in ((9, 1.1), (17, 0.9), (31, 0.6), (53, 0.35))]
        folds = np.array(animal.main_folds)
        middles = np.concatenate([[folds[0] - 0.34], (folds[1:] + folds[:-1]) / 2, [folds[-1] + 0.34]])
        knots = np.sort(np.concatenate([folds, middles]))
        swing = np.where(np.isin(knots, folds), 1.0, -1.0) * animal.fold_swing_mm / 2
        from scipy.interpolate import PchipInterpolator

        places = np.concatenate([[-1.6], knots, [1.6]])
        self.swing = PchipInterpolator(places, np.concatenate([[0.0], swing, [0.0]]))
        self.outline = self._mantle_outline()

    def middle(self, along: Points) -> Points:
        """Return how far the gape between the valves swings aside at *along* mm."""
        return self.swing(np.clip(along / self.half, -1.6, 1.6)) * 0.3

    def margin_half_width(self, along: Points, side: float) -> Points:
        """Return the distance of the shell margin from the axis on one side (+1 or -1)."""
        t = np.clip(abs(along) / self.half, 0, 1)
        teeth = 0.9 * np.sin(along * 1.25) ** 2 * smoothstep(0.86, 0.93, t) * smoothstep(1.0, 0.97, t)
        width = teeth + self.animal.width_share * self.half * (1 - t**2.4) ** (1 / 1.9)
        swing = self.swing(np.clip(along / self.half, -1.6, 1.6)) * (1 - t**6)
        return width + side * swing

    def margin_points(self, n: int = 1600) -> Points:
        """Return the shell margin (n, 2), anticlockwise, exact at both tips."""
        angle = np.linspace(0, 2 * np.pi, n, endpoint=False)
        along = self.half * np.sign(np.cos(angle)) * abs(np.cos(angle)) ** 0.9
        up = np.sin(angle) >= 0
        across = np.where(up, self.margin_half_width(along, 1.0), -self.margin_half_width(along, -1.0))
        return np.column_stack([along, across])

    def _mantle_outline(self, n: int = 2400) -> Points:
        """Return the mantle's outline (n, 2): beyond the margin, but short of its two tips."""
        angle = np.linspace(0, 2 * np.pi, n, endpoint=False)
        outline = _evened(_rounded(self.margin_points(n), n // 60), n)
        tangent = np.roll(outline, -1, 0) - np.roll(outline, 1, 0)
        normal = np.column_stack([tangent[:, 1], -tangent[:, 0]])
        normal /= np.linalg.norm(normal, axis=1, keepdims=True) + 1e-9
        frill = sum(s * np.sin(k * angle + phase) for k, phase, s in self.tones)
        from_tip = np.hypot(abs(outline[:, 0]) - self.half, outline[:, 1])
        tip = smoothstep(34.0, 5.0, from_tip)
        reach = self.animal.overhang_mm * (1 - tip) - 6.0 * tip + frill * (1 - 0.6 * tip)
        free = _without_loops(outline + normal * reach[:, None])
        return _evened(_rounded(_evened(free, n), 24), n)


def _mantle(animal: Animal, body: _Body, along: Field, across: Field, grid: _Grid, rng: np.random.Generator) -> dict[str, Field]:
    """Return tone, height, gloss and cover of the mantle without its openings."""
    scale, shape = grid.scale, along.shape
    inside = _signed_distance(grid.pixels(body.outline), shape) / scale
    deep = np.clip(inside, 0.0, None)
    middle = across - body.middle(along).astype(np.float32)
    waves = fractal(rng, shape, 11 * scale, 3)
    drape = (body.swing(np.clip(along / body.half, -1.6, 1.6)) / animal.fold_swing_mm * np.sign(middle)).astype(np.float32)
    flesh = noise_along(rng, along + 3.0 * waves + 200.0, 2.6, 420.0) * smoothstep(2.0, 12.0, abs(middle))
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
    maze = _warped(smooth(rng, shape, 1.25 * scale) - 0.7 * smooth(rng, shape, 3.2 * scale), warp)
    islands = _warped(smooth(rng, shape, 2.0 * scale), warp)
    dots = smooth(rng, shape, 0.5 * scale)
    near_edge = np.exp(-deep / 13.0)
    bright, dark, spot = (linear(*c) for c in (animal.bright, animal.deep, animal.spot))
    centre = linear(46, 44, 26)
    tone = dark * near_edge[..., None] + (0.45 * dark + 0.55 * centre) * (1 - near_edge[..., None])
    tone = tone * (1.0 + 0.22 * waves)[..., None]
    lines = smoothstep(0.34, 0.06, abs(maze))
    tone = _over(tone, bright * (0.45 + 0.55 * near_edge)[..., None], lines * (0.30 + 0.62 * near_edge))
    tone = _over(tone, bright, 0.7 * smoothstep(1.35, 1.9, maze + 0.5 * near_edge))
    tone = _over(tone, dark * 0.3, 0.6 * smoothstep(0.7, 1.5, -maze))
    gold = smoothstep(1.3, 2.0, islands + 0.25 * dots) * smoothstep(3.5, 10.0, deep)
    tone = _over(tone, spot * (1 + 0.15 * dots)[..., None], 0.75 * gold)
    tone = _over(tone, linear(120, 220, 232), 0.9 * smoothstep(1.5, 2.1, dots) * (0.16 + 0.84 * near_edge))
    rim = np.exp(-(((deep - 0.7) / 0.65) ** 2))
    tone = _over(tone, bright * (0.75 + 0.3 * waves)[..., None], rim * np.clip(0.42 + 0.25 * waves, 0.1, 0.8))
    tone = _over(tone, dark * 0.35, 0.75 * np.exp(-(((deep - 3.1) / 0.9) ** 2)))
    tone = _over(tone, linear(52, 52, 32), 0.5 * np.exp(-((middle / 6.0) ** 2)))
    return {
        "tone": np.clip(tone, 0.002, 0.9).astype(np.float32),
        "height": height.astype(np.float32),
        "gloss": (0.10 + 0.04 * waves).astype(np.float32),
        "cover": np.clip(0.5 + inside * scale, 0, 1).astype(np.float32),
        "inside": inside.astype(np.float32),
    }


def _openings(animal: Animal, body: _Body, layers: dict[str, Field], along: Field, across: Field, scale: float, rng: np.random.Generator) -> None:
    """Sink the inhalant slit and raise the exhalant cone."""
    tone, height, gloss = layers["tone"], layers["height"], layers["gloss"]
    middle = across - body.middle(along).astype(np.float32)
    centre, half_length, half_width = _slit(animal, body)
    t = (along - centre) / half_length
    wobble = 1.0 + 0.10 * noise_along(rng, along + 200.0, 3.5, 400.0)
    radius = np.sqrt(np.clip(1.0 - t * t, 0.0, 1.0)) ** 0.85 * half_width * wobble
    beyond = np.hypot(np.clip(abs(along - centre) - half_length, 0, None), np.clip(abs(middle) - radius, 0, None))
    within = np.where(abs(t) < 1, radius - abs(middle), -1.0)
    hole = smoothstep(-0.1, 0.35, np.where(within > 0, within, -beyond))
    lip = np.exp(-((np.where(within > 0, -within, beyond) - 0.9) / 1.1) ** 2)
    height += 1.9 * lip - 16.0 * hole
    tone[:] = _over(tone, linear(66, 122, 122), 0.5 * lip * (1 - hole))
    gills = 0.5 + 0.5 * np.cos(2 * np.pi * along / 1.15 + 0.5 * middle)
    depth_tone = linear(12, 15, 14)[None, None] + linear(58, 50, 34) * (0.35 * gills * smoothstep(0.8, 2.4, within))[..., None]
    tone[:] = tone * (1 - hole[..., None]) + depth_tone * hole[..., None]
    gloss *= 1 - hole
    ex = animal.exhalant * body.half
    r = np.hypot(along - ex, middle)
    ring = 3.1 + 0.10 * np.cos(3 * np.arctan2(middle, along - ex) + 1.0)
    cone = np.where(r > ring, np.exp(-(r - ring) / 4.2), np.exp(-((r - ring) / 0.8) ** 2))
    dark = smoothstep(0.1, 0.9, ring - r)
    height += 12.0 * cone - 18.0 * dark
    tone[:] = _over(tone, linear(64, 92, 78), 0.55 * np.exp(-(((r - ring) / 5.5) ** 2)))
    tone[:] = _over(tone, linear(150, 190, 176), 0.6 * np.exp(-(((r - ring - 0.45) / 0.6) ** 2)))
    streaks = smoothstep(0.2, 0.9, np.cos(13 * np.arctan2(middle, along - ex)))
    tone[:] = _over(tone, linear(30, 48, 44), 0.4 * streaks * np.exp(-(((r - 6.5) / 3.0) ** 2)))
    tone[:] = _over(tone, linear(8, 12, 12), dark)


def _eyes(animal: Animal, body: _Body, layers: dict[str, Field], grid: _Grid, rng: np.random.Generator) -> Points:
    """Set a row of pin-hole eyes inside the mantle's edge; return their pixels (n, 2)."""
    outline = body.outline
    closed = np.vstack([outline, outline[:1]])
    arc = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(closed, axis=0), axis=1))])
    steps = animal.eye_gap_mm * (1.0 + 0.22 * rng.standard_normal(int(arc[-1] / animal.eye_gap_mm) + 20)).clip(0.5, 1.8)
    places = np.cumsum(steps)
    places = places[places < arc[-1] - 0.6 * animal.eye_gap_mm]
    tangent = np.gradient(closed, axis=0)
    normal = np.column_stack([-tangent[:, 1], tangent[:, 0]])
    normal /= np.linalg.norm(normal, axis=1, keepdims=True) + 1e-9
    inset = 1.9 + 0.25 * rng.standard_normal(places.size)
    at = [
        np.interp(places, arc, closed[:, k]) + np.interp(places, arc, normal[:, k]) * inset for k in range(2)
    ]
    points = np.column_stack(at)
    pixels = grid.pixels(points)
    for place, size in zip(pixels, rng.uniform(0.34, 0.52, places.size), strict=True):
        _disc(layers, place, 1.05 * grid.scale, linear(120, 206, 214), 0.42, 0.35, soft=0.6)
        _disc(layers, place, size * grid.scale, linear(4, 5, 8), 0.97, 0.15, soft=0.25)
        _disc(layers, place + grid.scale * np.array([-0.16, -0.2]), 0.15 * grid.scale, linear(225, 240, 245), 0.8, 0.0, soft=0.5)
    return pixels


def _tentacles(animal: Animal, body: _Body, layers: dict[str, Field], grid: _Grid, rng: np.random.Generator) -> int:
    """Line the inhalant opening with small simple tentacles; return how many there are."""
    centre, half_length, half_width = _slit(animal, body)
    around = np.linspace(0, 2 * np.pi, 2000)
    along = centre + half_length * np.cos(around)
    rim = np.sign(np.sin(around)) * abs(np.sin(around)) ** 0.85 * half_width
    path = np.column_stack([along, rim + body.middle(along)])
    arc = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(path, axis=0), axis=1))])
    n = int(arc[-1] / 0.95)
    places = (np.arange(n) + 0.35 * rng.standard_normal(n)) * arc[-1] / n
    start = np.column_stack([np.interp(places, arc, path[:, k]) for k in range(2)])
    inward = np.column_stack([np.full(n, centre) - start[:, 0], body.middle(start[:, 0]) - start[:, 1]])
    inward /= np.linalg.norm(inward * [0.25, 1.0], axis=1, keepdims=True) + 1e-9
    inward *= [0.25, 1.0]
    for root, way in zip(start, inward, strict=True):
        outwards = rng.random() < 0.5
        length = animal.tentacle_mm * rng.uniform(0.6, 1.35) * (0.8 if outwards else 1.0)
        heading = np.arctan2(way[1], way[0]) + (np.pi if outwards else 0.0) + 0.45 * rng.standard_normal()
        bend = 0.9 * rng.standard_normal() / max(length, 0.5)
        point = root + (0.5 if outwards else -0.3) * way
        steps = int(length * grid.scale / 1.0) + 3
        for k in range(steps):
            share = k / (steps - 1)
            heading += bend * length / steps
            point = point + length / steps * np.array([np.cos(heading), np.sin(heading)])
            width = (0.24 * (1 - share) + 0.13) * grid.scale
            light = linear(176, 190, 164) * (0.45 + 0.55 * share)
            _disc(layers, grid.pixels(point), width, light, 0.9, 0.0, soft=0.4, at_least=8.5 + 0.8 * share)
    return n


def _rounded(outline: Points, times: int) -> Points:
    for _ in range(max(2, times)):
        outline = (np.roll(outline, 1, 0) + 2 * outline + np.roll(outline, -1, 0)) / 4
    return outline


def _evened(outline: Points, n: int) -> Points:
    """Return n points at even distances along a closed outline."""
    closed = np.vstack([outline, outline[:1]])
    arc = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(closed, axis=0), axis=1))])
    places = np.linspace(0, arc[-1], n, endpoint=False)
    return np.column_stack([np.interp(places, arc, closed[:, k]) for k in range(2)])


def _without_loops(outline: Points) -> Points:
    """Cut off the small loops that an outline pushed outwards makes in its bays."""
    n = outline.shape[0]
    reach = n // 8
    keep = np.ones(n, bool)
    i = 0
    while i < n:
        start, step = outline[i], outline[(i + 1) % n] - outline[i]
        others = (i + np.arange(2, reach)) % n
        first, second = outline[others], outline[(others + 1) % n] - outline[others]
        across = step[0] * second[:, 1] - step[1] * second[:, 0]
        across = np.where(abs(across) < 1e-12, 1e-12, across)
        gap = first - start
        t = (gap[:, 0] * second[:, 1] - gap[:, 1] * second[:, 0]) / across
        u = (gap[:, 0] * step[1] - gap[:, 1] * step[0]) / across
        crossing = np.flatnonzero((t >= 0) & (t <= 1) & (u >= 0) & (u <= 1))
        if crossing.size:
            skip = int(crossing[-1]) + 2
            keep[(i + 1 + np.arange(skip)) % n] = False
            i += skip
        i += 1
    return outline[keep]


def _slit(animal: Animal, body: _Body) -> tuple[float, float, float]:
    """Return middle, half length and half width of the inhalant opening in mm."""
    low, high = sorted(np.array(animal.inhalant) * body.half)
    return (low + high) / 2, (high - low) / 2, 3.3


def _shell_rim(body: _Body, grid: _Grid, sea, rng: np.random.Generator) -> None:  # noqa: ANN001
    """Draw the shell's margin into the sea floor: seen at both ends, hidden under the mantle between."""
    shape, scale = grid.shape, grid.scale
    inside = _signed_distance(grid.pixels(body.margin_points()), shape) / scale
    cover = np.clip(0.5 + inside * scale, 0, 1)
    rows = noise_along(rng, np.clip(inside, -40, 40) + 60.0, 0.8, 120.0)
    tone = linear(206, 188, 156) * (1.0 + 0.08 * rows + 0.05 * smooth(rng, shape, 2 * scale))[..., None]
    tone = _over(tone, linear(232, 222, 200), 0.7 * smoothstep(1.2, 0.3, inside))
    along, across = grid.body_mm()
    algae = smoothstep(-0.2, 1.2, fractal(rng, shape, 7 * scale, 3) - 0.25 * np.clip(2.0 - inside, 0, 2))
    tone = _over(tone, linear(104, 98, 70), 0.85 * algae)
    tone = tone * (0.75 + 0.12 * fractal(rng, shape, 2.5 * scale, 3))[..., None]
    ribs = 0.5 + 0.5 * np.cos(np.arctan2(across, abs(along) - 0.55 * body.half) * 17.0)
    tone = tone * (0.8 + 0.2 * ribs)[..., None]
    seam = across - 0.9 * np.sin(along * 0.9) * np.clip((body.half - abs(along)) / 6.0, 0, 1)
    shut = np.exp(-((seam / 0.4) ** 2))
    tone = _over(tone, linear(14, 14, 12), 0.9 * shut)
    sea.tone[:] = sea.tone * (1 - cover[..., None]) + tone * cover[..., None]
    crevice = np.exp(-np.clip(-inside, 0, None) / 4.0) * (1 - cover)
    sea.height[:] = sea.height - 7.0 * crevice
    top = 11.0 + 1.2 * smoothstep(2.0, 0.3, inside) + 1.0 * ribs - 2.0 * shut - 0.2 * np.clip(inside, 0, 16)
    sea.height[:] = np.where(cover > 0.5, top, np.minimum(sea.height, 12.0 + 0.4 * np.clip(sea.height - 12, 0, None)))


def _caustics(rng: np.random.Generator, shape: tuple[int, int], scale: float) -> Field:
    """Return the net of light that waves throw on the reef."""
    warp = 6 * scale * np.stack([smooth(rng, shape, 26 * scale) for _ in range(2)])
    net = np.zeros(shape, np.float32)
    for size in (30.0, 19.0):
        net += np.exp(-abs(_warped(smooth(rng, shape, size * scale), warp)) / 0.10)
    return (0.90 + 0.26 * np.clip(ndimage.gaussian_filter(net, 0.5 * scale), 0, 1.6)).astype(np.float32)


def _disc(layers: dict[str, Field], place: Points, radius: float, tone: Points, share: float, lift: float, *, soft: float, at_least: float | None = None) -> None:
    """Paint a soft disc into tone and height around one pixel position."""
    shape = layers["height"].shape
    reach = int(np.ceil(radius * (1 + soft))) + 1
    column, row = int(place[0]), int(place[1])
    if not (reach < row < shape[0] - reach and reach < column < shape[1] - reach):
        return
    window = (slice(row - reach, row + reach + 1), slice(column - reach, column + reach + 1))
    y, x = np.mgrid[row - reach : row + reach + 1, column - reach : column + reach + 1] + 0.5
    distance = np.hypot(x - place[0], y - place[1])
    weight = np.clip((radius * (1 + soft / 2) - distance) / (radius * soft + 0.6), 0, 1).astype(np.float32)
    layers["tone"][window] = layers["tone"][window] * (1 - share * weight[..., None]) + tone * (share * weight)[..., None]
    height = layers["height"]
    if at_least is None:
        height[window] += lift * weight
    else:
        height[window] = np.where(weight > 0.4, np.maximum(height[window], at_least), height[window])


def _signed_distance(polygon: Points, shape: tuple[int, int]) -> Field:
    """Return the distance of pixels to a closed polygon, positive inside, in pixels."""
    from PIL import Image, ImageDraw

    fine = 2
    sheet = Image.new("L", (shape[1] * fine, shape[0] * fine), 0)
    ImageDraw.Draw(sheet).polygon([tuple(point) for point in polygon * fine], fill=255)
    mask = np.asarray(sheet.resize((shape[1], shape[0]), Image.Resampling.BOX), np.float32) / 255.0
    solid = mask >= 0.5
    inner = ndimage.distance_transform_edt(solid).astype(np.float32)
    outer = ndimage.distance_transform_edt(~solid).astype(np.float32)
    rough = np.where(solid, inner - 0.5, 0.5 - outer)
    return np.where((mask > 0) & (mask < 1), mask - 0.5, rough).astype(np.float32)


def _warped(values: Field, warp: Field) -> Field:
    y, x = np.mgrid[0 : values.shape[0], 0 : values.shape[1]].astype(np.float32)
    return ndimage.map_coordinates(values, [y + warp[0], x + warp[1]], order=1, mode="reflect")


def _over(tone: Field, colour: Points, share: Field) -> Field:
    share = np.clip(share, 0, 1)[..., None]
    return tone * (1 - share) + colour * share


def _truth(animal: Animal, body: _Body, grid: _Grid, oversample: float, final: tuple[int, int], eyes: Points, n_tentacles: int, seed: int) -> dict[str, object]:
    def pixel(points: Points) -> object:
        return np.round(grid.pixels(np.asarray(points, float)) / oversample, 3).tolist()

    outline = body.outline
    upper = outline[outline[:, 1] > 0]
    tops = []
    for place in animal.main_folds:
        near = upper[abs(upper[:, 0] - place * body.half) < 0.10 * body.half]
        tops.append(near[np.argmax(near[:, 1])])
    centre, half_length, _ = _slit(animal, body)
    ends = np.array([[x, float(body.middle(np.array(x)))] for x in (centre - half_length, centre + half_length)])
    near, far = sorted(ends, key=lambda end: abs(end[0] - animal.exhalant * body.half))
    low, high = outline.min(0), outline.max(0)
    corners = grid.pixels(np.array([[x, y] for x in (low[0] - 6, high[0] + 6) for y in (low[1] - 6, high[1] + 6)])) / oversample
    top_left = np.clip(corners.min(0), 0, None)
    bottom_right = np.minimum(corners.max(0), final[::-1])
    return {
        "made": "rendered, invented specimen; not a photograph",
        "width_px": final[1],
        "height_px": final[0],
        "seed": seed,
        "scale": {"px_per_mm": round(grid.scale / oversample, 6), "plane": "mantle", "in_picture": False},
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
