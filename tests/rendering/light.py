"""Light on a scene, and the step from light to a photograph."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from .noise import smooth

Field = NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class Lamp:
    """A soft key light with sky and fill; azimuth anticlockwise from picture right."""

    azimuth_deg: float = 128.0
    elevation_deg: float = 40.0
    softness_deg: float = 5.0
    key: float = 1.08
    key_colour: tuple[float, float, float] = (1.0, 0.955, 0.88)
    sky: float = 0.30
    sky_colour: tuple[float, float, float] = (0.86, 0.94, 1.0)
    fill: float = 0.10
    exposure: float = 1.0


def lit(
    lamp: Lamp,
    height: Field,
    normal: Field,
    albedo: Field,
    gloss: Field,
    px_per_mm: float,
    seed: int,
) -> Field:
    """Return linear light (h, w, 3) of a scene given as a height map with normals."""
    towards = _direction(lamp.azimuth_deg, lamp.elevation_deg)
    away = _direction(lamp.azimuth_deg + 180.0, 35.0)
    shadow = soft_shadow(lamp, height, px_per_mm, seed)
    open_sky = openness(height, px_per_mm)
    lambert = normal @ towards
    key = (
        0.78 * np.clip(lambert, 0, None) + 0.22 * np.clip((lambert + 0.35) / 1.35, 0, None)
    ) * shadow
    sky = 0.55 + 0.45 * normal[..., 2]
    fill = np.clip(normal @ away, 0, None)
    halfway = towards + np.array([0.0, 0.0, 1.0], np.float32)
    halfway /= np.linalg.norm(halfway)
    shine = np.clip(normal @ halfway, 0, None) ** 38 * gloss * shadow
    picture = np.empty((*height.shape, 3), np.float32)
    for channel in range(3):
        tone = albedo[..., channel]
        # Light thrown between the walls of a valley takes the colour of the wall.
        between = open_sky / (1.0 - 0.82 * tone * (1.0 - open_sky))
        ambient = (lamp.sky * sky * lamp.sky_colour[channel] + lamp.fill * fill) * between
        direct = lamp.key * lamp.key_colour[channel] * key * (0.45 + 0.55 * between)
        picture[..., channel] = (
            tone * (direct + ambient) + shine * lamp.key_colour[channel] * 0.5
        )
    return picture * lamp.exposure


def soft_shadow(
    lamp: Lamp, height: Field, px_per_mm: float, seed: int, n_lights: int = 14
) -> Field:
    """Return the share of the lamp that each pixel sees (1 = all of it)."""
    shrink = max(1.0, px_per_mm / min(max(px_per_mm / 1.6, 2.5), 5.0))
    small = _resized(height, shrink)
    scale = px_per_mm / shrink
    rng = np.random.default_rng(seed)
    top = float(small.max())
    total = np.zeros_like(small)
    for light in range(n_lights):
        spread = lamp.softness_deg * np.sqrt((light + 0.5) / n_lights)
        angle = 2.399963 * light + rng.random() * 0.5
        azimuth = np.radians(lamp.azimuth_deg + spread * np.cos(angle) * 1.6)
        rise = np.tan(np.radians(lamp.elevation_deg + spread * np.sin(angle)))
        total += _hidden(small, scale, azimuth, rise, top)
    share = ndimage.gaussian_filter(1.0 - total / n_lights, 0.6)
    return np.clip(_grown(share, height.shape), 0.0, 1.0)


def openness(height: Field, px_per_mm: float) -> Field:
    """Return how open to the sky each pixel is (1 = a plain, less in valleys)."""
    total = np.zeros_like(height)
    for radius in (0.7, 1.6, 4.0, 10.0, 24.0):
        shrink = max(1.0, radius * px_per_mm / 5.0)
        small = _resized(height, shrink)
        around = ndimage.gaussian_filter(small, radius * px_per_mm / shrink, mode="nearest")
        lower = np.clip((_grown(around, height.shape) - height) / (1.25 * radius), 0.0, 1.2)
        total += lower
    return np.exp(-1.5 * total)


def photograph(
    light: Field, seed: int, blur_px: float, vignette: float = 0.2, noise: float = 0.008
) -> NDArray[np.uint8]:
    """Return the picture (h, w, 3) of eight bits: lens, sensor, tone curve, sRGB."""
    rng = np.random.default_rng(seed)
    rows, columns = light.shape[:2]
    y = (np.arange(rows, dtype=np.float32) - rows / 2)[:, None] / (columns / 2)
    x = (np.arange(columns, dtype=np.float32) - columns / 2)[None, :] / (columns / 2)
    falloff = 1.0 - vignette * (x * x + y * y) / 1.45
    grain = smooth(rng, (rows, columns), 1.1)
    out = np.empty(light.shape, np.uint8)
    for channel in range(3):
        plane = ndimage.gaussian_filter(light[..., channel], blur_px) * falloff
        plane = plane + noise * np.sqrt(np.clip(plane, 0.002, None)) * (
            0.7 * grain + 0.5 * rng.standard_normal((rows, columns), dtype=np.float32)
        )
        plane = np.clip(plane, 0, None)
        plane = plane * 1.06 / (1.0 + 0.2 * plane)
        out[..., channel] = np.clip(_srgb(plane) * 255.0 + 0.5, 0, 255).astype(np.uint8)
    return out


def shrunk(light: Field, shape: tuple[int, int], factor: float) -> Field:
    """Return a finer drawing (h, w, 3) averaged down to *shape*."""
    soft = 0.42 * (factor - 1) + 0.1
    planes = [
        sampled(ndimage.gaussian_filter(light[..., k], soft), shape) for k in range(3)
    ]
    return np.stack(planes, -1)


def sampled(field: Field, shape: tuple[int, int]) -> Field:
    """Resample a field to another number of pixels over the same area, linearly."""
    for axis in (0, 1):
        n, wanted = field.shape[axis], shape[axis]
        where = np.clip((np.arange(wanted) + 0.5) * n / wanted - 0.5, 0, n - 1.001)
        base = where.astype(int)
        t = (where - base).astype(np.float32)
        t = t[:, None] if axis == 0 else t[None, :]
        field = (
            np.take(field, base, axis) * (1 - t)
            + np.take(field, np.minimum(base + 1, n - 1), axis) * t
        )
    return field


def linear(red: int, green: int, blue: int) -> NDArray[np.float32]:
    """Return linear light (3,) of an sRGB colour given in 0..255."""
    c = np.array([red, green, blue], np.float32) / 255.0
    return np.where(c <= 0.04045, c / 12.92, ((c + 0.055) / 1.055) ** 2.4).astype(
        np.float32
    )


def _srgb(light: Field) -> Field:
    low = 12.92 * light
    return np.where(
        light <= 0.0031308, low, 1.055 * np.clip(light, 1e-6, None) ** (1 / 2.4) - 0.055
    )


def _direction(azimuth_deg: float, elevation_deg: float) -> Field:
    a, e = np.radians([azimuth_deg, elevation_deg])
    return np.array([np.cos(a) * np.cos(e), np.sin(a) * np.cos(e), np.sin(e)], np.float32)


def _hidden(
    height: Field, px_per_mm: float, azimuth: float, rise: float, top: float
) -> Field:
    """Return how far (0..1) each pixel lies in the shadow of a lamp in one direction."""
    hidden = np.zeros_like(height)
    reach = min(top / rise, 160.0)
    distance = 0.5 / px_per_mm * 1.5
    while distance < reach:
        right = round(distance * px_per_mm * np.cos(azimuth))
        up = round(distance * px_per_mm * np.sin(azimuth))
        soft = 0.12 + 0.02 * distance
        over = _moved(height, up, -right)
        over -= height
        over -= np.float32(distance * rise + 0.05)
        over *= np.float32(1.0 / soft)
        np.maximum(hidden, over, out=hidden)
        distance += max(1.0 / px_per_mm, distance * 0.055)
    return np.clip(hidden, 0.0, 1.0)


def _moved(field: Field, down: int, across: int) -> Field:
    """Return a field shifted by whole pixels; what comes in from outside is low."""
    rows, columns = field.shape
    out = np.full_like(field, -1e3)
    if abs(down) >= rows or abs(across) >= columns:
        return out
    to = (
        slice(max(down, 0), rows + min(down, 0)),
        slice(max(across, 0), columns + min(across, 0)),
    )
    source = (
        slice(max(-down, 0), rows + min(-down, 0)),
        slice(max(-across, 0), columns + min(-across, 0)),
    )
    out[to] = field[source]
    return out


def _resized(field: Field, shrink: float) -> Field:
    if shrink <= 1.01:
        return field
    smoothed = ndimage.gaussian_filter(field, 0.35 * shrink)
    return sampled(
        smoothed,
        (max(2, round(field.shape[0] / shrink)), max(2, round(field.shape[1] / shrink))),
    )


def _grown(field: Field, shape: tuple[int, int]) -> Field:
    return field if field.shape == shape else sampled(field, shape)
