"""Rulers of every kind, drawn exactly under a tilted camera, for trials of the fit.

Only a band about the dragged line is drawn. What is true is the number of pixels to a
millimetre along the ruler, at the middle of the line.
"""

from __future__ import annotations

import io
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from PIL import Image
from scipy import ndimage

from landmarks.geometry import Point
from tests.rendering.camera import Camera
from tests.rendering.noise import fractal, smooth

INCH = 25.4
Field = NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class Kind:
    """One condition of the trials; ranges are drawn from evenly.

    ``style`` is ``ticks``, ``blocks``, ``plain`` (no graduation) or ``noisy`` (none, on wood);
    ``step_mm`` is the distance of ticks or of the edges of blocks, ``second_step_mm`` that of
    a second ruler that lies edge to edge with the first; none where it is 0.
    """

    name: str
    style: str = "ticks"
    step_mm: float = 1.0
    px_per_mm: tuple[float, float] = (4.0, 22.0)
    length_mm: tuple[float, float] = (60.0, 150.0)
    body: str = "white"
    blur_px: float = 0.8
    noise: float = 0.02
    quality: int = 88
    hidden: float = 0.0
    tilt_deg: float = 0.0
    cross_tilt_deg: float = 0.0
    click_px: float = 1.5
    bend_mm: float = 0.0
    jump_mm: float = 0.0
    shadow: bool = False
    second_step_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class Drawn:
    """A picture (h, w) of a ruler, the line somebody dragged, and what is so."""

    picture: NDArray[np.uint8]
    first: Point
    second: Point
    length_mm: float
    px_per_mm: float
    step_mm: float
    widest_px: float


def draw(kind: Kind, seed: int, stream: int = 1) -> Drawn:
    """Return one trial; equal seeds give equal pictures."""
    rng = np.random.default_rng((stream, seed, *kind.name.encode()))
    scale = float(np.exp(rng.uniform(*np.log(kind.px_per_mm))))
    whole = float(rng.uniform(*kind.length_mm))
    whole = min(whole, 2200.0 / scale)
    step = kind.step_mm if kind.style in ("ticks", "blocks") else 1.0
    n = max(1, int(whole / step))
    length = n * step
    tilt = np.array([kind.cross_tilt_deg, kind.tilt_deg]) * rng.choice([-1, 1], 2)
    size = int(length * scale * 1.25 + 160)
    distance = max(450.0, 3.0 * length)
    camera = Camera(size, size, scale, distance, 0.0, (float(tilt[0]), 0.0))
    turn = float(rng.uniform(0, 2 * np.pi))
    # The tilt is about the axis square to the ruler, so that the scale drifts along it.
    lean = np.radians(kind.tilt_deg) * rng.choice([-1.0, 1.0])
    middle = rng.uniform(-4, 4, 2)
    place = _Place(camera, turn, lean, middle, length, kind.bend_mm)
    lateral = float(rng.uniform(1.2, 2.6))
    ends = [place.pixel(a, lateral) for a in (0.0, length)]
    hand = kind.click_px * rng.standard_normal((2, 2))
    first, second = (Point(*(end + off)) for end, off in zip(ends, hand, strict=True))
    picture = _picture(kind, place, first, second, length, scale, rng)
    # The scale holds at the middle of the line in the picture, not of the ruler.
    centre = np.array([(first.x + second.x) / 2, (first.y + second.y) / 2], np.float64)
    a = float(place.ruler(centre[:1], centre[1:])[0][0])
    step_px = np.linalg.norm(
        place.pixel(a + 0.05, lateral) - place.pixel(a - 0.05, lateral)
    )
    return Drawn(
        picture, first, second, length, float(step_px / 0.1), kind.step_mm, length * scale
    )


@dataclass(frozen=True, slots=True)
class _Place:
    """Where a ruler lies: its own coordinates (a along, b across) to pixels and back."""

    camera: Camera
    turn: float
    lean: float
    middle: NDArray[np.floating]
    length: float
    bend_mm: float = 0.0

    def pixel(self, a: float, b: float) -> NDArray[np.floating]:
        """Return where a place on the ruler is seen."""
        if self.bend_mm:
            a, b = self._bent(np.array(a), np.array(b))
        from_middle = float(a) - self.length / 2
        along, across = self._axes()
        flat = along * from_middle * np.cos(self.lean) + across * float(b) + self.middle
        world = np.array([*flat, from_middle * np.sin(self.lean)])
        return self.camera.project(world)[0]

    def ruler(self, x: Field, y: Field) -> tuple[Field, Field]:
        """Return the ruler's own coordinates of pixels, exactly."""
        camera = self.camera
        along, across = self._axes()
        focal = camera.px_per_mm * camera.distance_mm
        axes = camera._axes()
        rays = np.stack(
            [(x - camera.width_px / 2) / focal, (camera.height_px / 2 - y) / focal], -1
        )
        rays = np.concatenate([rays, np.full((*rays.shape[:-1], 1), -1.0)], -1) @ axes
        lens = axes.T @ np.array([0.0, 0.0, camera.distance_mm])
        base = np.array([*self.middle, 0.0])
        u = np.array([*(along * np.cos(self.lean)), np.sin(self.lean)])
        v = np.array([*across, 0.0])
        normal = np.cross(u, v)
        reach = (normal @ (base - lens)) / (rays @ normal)
        hit = lens + rays * reach[..., None] - base
        a, b = hit @ u + self.length / 2, hit @ v
        return self._straight(a, b) if self.bend_mm else (a, b)

    def _axes(self) -> tuple[NDArray[np.floating], NDArray[np.floating]]:
        along = np.array([np.cos(self.turn), np.sin(self.turn)])
        return along, np.array([along[1], -along[0]])

    def _radius(self) -> float:
        return self.length**2 / (8 * self.bend_mm)

    def _bent(self, a, b):
        """Return flat coordinates of a place on a ruler bent to an arc in its plane."""
        angle = (a - self.length / 2) / self._radius()
        r = self._radius() + b
        return r * np.sin(angle) + self.length / 2, r * np.cos(angle) - self._radius()

    def _straight(self, a, b):
        x, y = a - self.length / 2, b + self._radius()
        return np.arctan2(x, y) * self._radius() + self.length / 2, np.hypot(x, y) - (
            self._radius()
        )


BODIES = {
    "white": (226.0, 34.0),
    "black": (34.0, 216.0),
    "steel": (168.0, 60.0),
    "wood": (188.0, 70.0),
}


def _picture(kind, place, first, second, length, scale, rng) -> NDArray[np.uint8]:
    size = place.camera.width_px
    y, x = np.mgrid[0:size, 0:size].astype(np.float32) + 0.5
    ux, uy = second.x - first.x, second.y - first.y
    span = np.hypot(ux, uy)
    off = ((x - first.x) * uy - (y - first.y) * ux) / span
    far = ((x - first.x) * ux + (y - first.y) * uy) / span
    reach = max(34.0, 3.2 * scale)
    near = (abs(off) < reach) & (far > -70) & (far < span + 70)
    a, b = place.ruler(x[near], y[near])
    a, b = a.astype(np.float32), b.astype(np.float32)
    pixel = 1.0 / scale
    ground, ink = BODIES[kind.body]
    tone = np.full(a.shape, ground, np.float32)
    if kind.body == "wood" or kind.style == "noisy":
        grain = smooth(rng, (size, size), (1.5, 14.0))[near]
        tone = tone * (1 + (0.10 if kind.style != "noisy" else 0.2) * grain)
    if kind.body == "steel":
        tone += 70 * np.exp(
            -(((a - rng.uniform(0.2, 0.8) * length) / (0.12 * length)) ** 2)
        )
        tone += 6 * smooth(rng, (size, size), (0.7, 20.0))[near]
    inked = _ink(kind, a, b, length, pixel, rng)
    on_body = np.clip(0.5 + (b + 0.4) / pixel, 0, 1)
    if kind.second_step_mm:
        shifted = a + float(rng.uniform(0, kind.second_step_mm))
        other = replace(kind, step_mm=kind.second_step_mm, second_step_mm=0.0)
        inked = inked + _ink(other, shifted, -1.0 - b, length, pixel, rng)
        on_body = np.maximum(on_body, np.clip(0.5 + (-0.6 - b) / pixel, 0, 1))
    tone = tone * (1 - 0.9 * inked) + ink * 0.9 * inked
    table = 96 + 16 * smooth(rng, (size, size), 2.2)[near]
    tone = tone * on_body + table * (1 - on_body)
    slope = rng.uniform(-0.25, 0.25, 2)
    tone *= 1 + (slope[0] * (x[near] - size / 2) + slope[1] * (y[near] - size / 2)) / size
    if kind.shadow:
        edge = (a - rng.uniform(0.3, 0.7) * length) + 0.6 * b
        tone *= 0.45 + 0.55 / (1 + np.exp(-np.clip(edge / 1.5, -30, 30)))
    if kind.hidden:
        start = rng.uniform(0.05, 0.9 - kind.hidden) * length
        cover = (a > start) & (a < start + kind.hidden * length)
        lumps = 120 + 40 * fractal(rng, (size, size), 12.0)[near]
        tone = np.where(cover, lumps, tone)
    picture = np.full((size, size), 96.0, np.float32)
    picture[near] = tone
    if kind.blur_px:
        picture = ndimage.gaussian_filter(picture, kind.blur_px)
    picture += 255 * kind.noise * rng.standard_normal(picture.shape, dtype=np.float32)
    made = np.clip(picture + 0.5, 0, 255).astype(np.uint8)
    return _compressed(made, kind.quality)


def _ink(kind, a, b, length, pixel, rng) -> Field:
    """Return how inked each place is, averaged over the pixel that sees it."""
    if kind.style in ("plain", "noisy"):
        return np.zeros_like(a)
    if kind.jump_mm:
        a = a + kind.jump_mm * (a > length / 2)
    step = kind.step_mm
    extra = 3 * step
    if kind.style == "blocks":
        # Triangle wave of the distance to the nearest edge, positive on inked blocks.
        wave = abs(((a / step) % 2) - 1) - 0.5
        on = (a > -step) & (a < length + step)
        band = (b > 0.0) & (b < 5.0)
        return np.clip(0.5 + wave * step / pixel, 0, 1) * on * band
    number = np.round(a / step)
    long_every = 10 if step in (1.0, 0.5) else 4
    reach = np.where(
        number % long_every == 0, 7.0, np.where(number % (long_every // 2) == 0, 5.2, 3.6)
    )
    half = min(0.11, 0.14 * step)
    thin = np.clip(
        np.minimum((half - abs(a - number * step)) / pixel + 0.5, 2 * half / pixel), 0, 1
    )
    on = (number * step >= -extra) & (number * step <= length + extra)
    return thin * on * np.clip(0.5 + (reach - b) / pixel, 0, 1) * (b > 0.1)


def _compressed(picture: NDArray[np.uint8], quality: int) -> NDArray[np.uint8]:
    file = io.BytesIO()
    Image.fromarray(picture).save(file, "JPEG", quality=quality)
    return np.asarray(Image.open(file))


_PLAIN = Kind("white ruler")
KINDS: tuple[Kind, ...] = (
    _PLAIN,
    replace(_PLAIN, name="black ruler, white ticks", body="black"),
    replace(_PLAIN, name="steel with glare", body="steel"),
    replace(_PLAIN, name="wood", body="wood"),
    replace(_PLAIN, name="blur 1.5 px", blur_px=1.5),
    replace(_PLAIN, name="blur 2.5 px", blur_px=2.5, px_per_mm=(6.0, 22.0)),
    replace(_PLAIN, name="noise 6 %, JPEG 60", noise=0.06, quality=60),
    replace(_PLAIN, name="a quarter hidden", hidden=0.25),
    replace(_PLAIN, name="cast shadow", shadow=True),
    replace(_PLAIN, name="tilt 10 along", tilt_deg=10.0),
    replace(_PLAIN, name="tilt 20 along", tilt_deg=20.0),
    replace(_PLAIN, name="tilt 30 along", tilt_deg=30.0),
    replace(_PLAIN, name="tilt 12 along, 12 across", tilt_deg=12.0, cross_tilt_deg=12.0),
    replace(_PLAIN, name="half millimetres", step_mm=0.5, px_per_mm=(6.0, 22.0)),
    replace(_PLAIN, name="clicks 3 px", click_px=3.0),
    replace(_PLAIN, name="sixteenths of an inch", step_mm=INCH / 16),
    replace(_PLAIN, name="tenths of an inch", step_mm=INCH / 10),
    replace(_PLAIN, name="eighths of an inch", step_mm=INCH / 8),
    replace(_PLAIN, name="2 mm ticks", step_mm=2.0),
    replace(_PLAIN, name="5 mm ticks", step_mm=5.0),
    replace(_PLAIN, name="coarse, 2.6 to 4 px/mm", px_per_mm=(2.6, 4.0)),
    replace(_PLAIN, name="blocks of 1 mm", style="blocks"),
    replace(_PLAIN, name="blocks of 5 mm", style="blocks", step_mm=5.0),
    replace(_PLAIN, name="blocks of 10 mm", style="blocks", step_mm=10.0),
    replace(
        _PLAIN,
        name="all bad",
        blur_px=1.5,
        noise=0.04,
        quality=70,
        hidden=0.2,
        tilt_deg=12.0,
    ),
    replace(_PLAIN, name="bent to an arc", bend_mm=6.0),
    replace(_PLAIN, name="two rulers end to end", jump_mm=0.5),
    replace(_PLAIN, name="no graduation, plain", style="plain"),
    replace(_PLAIN, name="no graduation, wood", style="noisy", body="wood"),
)
