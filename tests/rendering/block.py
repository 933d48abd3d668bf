"""A wooden block that lifts a ruler to the height of what is measured."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .camera import Camera
from .ground import wood
from .layers import Layers, Window, axes, pixel_centres
from .light import linear
from .ruler import Ruler

Field = NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class Block:
    """A box on the table: centre X, Y, length and width in mm, turned, *top_mm* high."""

    centre_mm: tuple[float, float]
    size_mm: tuple[float, float]
    top_mm: float
    turn_deg: float = 0.0
    seed: int = 8

    def draw(self, camera: Camera, layers: Layers) -> None:
        """Lay the block into the arrays of a scene: its sides in slices, then its top."""
        along, across = axes(self.turn_deg)
        window, pixels = self._window(camera, along, across)
        height, normal = layers.height[window], layers.normal[window]
        albedo, gloss = layers.albedo[window], layers.gloss[window]
        depth = layers.depth[window]
        rows, columns = height.shape
        for level in np.linspace(0.0, self.top_mm, 24):
            world = camera.on_plane(pixels, level) - np.array(self.centre_mm)
            a, b = world @ along, world @ across
            inside = (abs(a) < self.size_mm[0] / 2) & (abs(b) < self.size_mm[1] / 2)
            height[inside] = level
            albedo[inside] = linear(150, 112, 72)
            gloss[inside] = 0.05
        rng = np.random.default_rng(self.seed)
        tone, relief, shine = wood(height.shape, camera.px_per_mm, rng)
        paler = np.clip(tone * np.array([1.55, 1.7, 1.9], np.float32), 0, 0.8)
        albedo[inside], gloss[inside] = paler[inside], shine[inside]
        height[inside] += relief[inside]
        edge = np.minimum(self.size_mm[0] / 2 - abs(a), self.size_mm[1] / 2 - abs(b))
        long_edge = self.size_mm[1] / 2 - abs(b) < self.size_mm[0] / 2 - abs(a)
        lean = np.where(inside, np.exp(-((edge / 0.5) ** 2)), 0.0)[..., None]
        outward = np.where(
            long_edge[..., None],
            np.sign(b)[..., None] * across,
            np.sign(a)[..., None] * along,
        )
        tilt = np.concatenate([lean * outward, np.ones((rows, columns, 1))], -1)
        tilt /= np.linalg.norm(tilt, axis=-1, keepdims=True)
        normal[inside] = tilt[inside]
        flat = np.concatenate(
            [
                camera.on_plane(pixels, self.top_mm),
                np.full((rows, columns, 1), self.top_mm),
            ],
            -1,
        )
        depth[inside] = camera.project(flat)[1][inside]

    def _window(self, camera: Camera, along: Field, across: Field) -> tuple[Window, Field]:
        """Return the part of the picture that can hold the block, and its pixel centres."""
        half = np.array(self.size_mm) / 2
        corners = [
            [
                *(np.array(self.centre_mm) + i * half[0] * along + j * half[1] * across),
                level,
            ]
            for i in (-1, 1)
            for j in (-1, 1)
            for level in (0.0, self.top_mm)
        ]
        box = camera.project(np.array(corners))[0]
        size = [camera.width_px, camera.height_px]
        left, top = np.clip(np.floor(box.min(0)), 0, size).astype(int)
        right, bottom = np.clip(np.ceil(box.max(0)), 0, size).astype(int)
        window = (slice(top, bottom), slice(left, right))
        return window, pixel_centres(window)


def block_under(lying: Ruler, top_mm: float) -> Block:
    """Return the wooden block that carries a ruler."""
    half = lying.length_mm / 2
    along, across = axes(lying.turn_deg)
    under = np.array(lying.zero_mm) + half * along - (lying.width_mm / 2 + 1.0) * across
    size = (2 * half + 30.0, lying.width_mm + 12.0)
    return Block(tuple(under), size, top_mm, lying.turn_deg)
