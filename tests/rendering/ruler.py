"""A ruler lying in a plane: exact graduation, evaluated pixel by pixel."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont
from scipy import ndimage

from .camera import Camera
from .layers import Layers, axes, pixel_centres
from .light import linear
from .noise import fractal

Field = NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class Ruler:
    """A ruler whose zero lies at *zero_mm* on the table's X, Y; turned anticlockwise.

    The graduated edge runs along the ruler's own first axis; the body lies below it
    (towards the bottom of the picture when not turned).  *top_mm* is the height of its
    upper face.
    """

    zero_mm: tuple[float, float]
    turn_deg: float = 0.0
    length_mm: int = 150
    width_mm: float = 24.0
    margin_mm: float = 6.0
    top_mm: float = 1.5
    body: tuple[int, int, int] = (226, 222, 210)
    ink: tuple[int, int, int] = (28, 27, 26)
    unit_mark: str = "mm"
    gloss: float = 0.12
    seed: int = 5

    def ends(self, camera: Camera) -> NDArray[np.floating]:
        """Return zero and the last graduation at the graduated edge, in pixels (2, 2)."""
        along, _ = axes(self.turn_deg)
        zero = np.array([*self.zero_mm, self.top_mm])
        last = zero + np.array([*(along * self.length_mm), 0.0])
        return camera.project(np.stack([zero, last]))[0]

    def draw(self, camera: Camera, layers: Layers) -> None:
        """Lay the ruler into a scene's arrays, under what stands nearer to the lens."""
        corners = np.column_stack([self._corners(), np.full(4, self.top_mm)])
        window = layers.window(camera.project(corners)[0])
        if window is None:
            return
        height, normal, albedo = layers.height, layers.normal, layers.albedo
        gloss, depth = layers.gloss, layers.depth
        world = camera.on_plane(pixel_centres(window), self.top_mm)
        along, across = axes(self.turn_deg)
        offset = world - np.array(self.zero_mm)
        a = (offset @ along).astype(np.float32)
        b = (-(offset @ across)).astype(np.float32)
        pixel = 1.0 / camera.px_per_mm
        inside = self._cover(a, b, pixel)
        plane_depth = camera.project(
            np.concatenate([world, np.full((*a.shape, 1), self.top_mm)], -1)
        )[1]
        inside = np.where(plane_depth < depth[window], inside, 0.0)
        ink = self._ticks(a, b, pixel) + self._digits(a, b, camera.px_per_mm)
        ink = np.clip(ink, 0, 1)[..., None] * 0.94
        rng = np.random.default_rng(self.seed)
        wear = 1.0 + 0.02 * fractal(rng, a.shape, 3.0 * camera.px_per_mm)[..., None]
        tone = linear(*self.body) * wear * (1 - ink) + linear(*self.ink) * ink
        # A bevel along the graduated edge and a rounded far edge catch the light.
        slope = 0.10 * np.exp(-((b / 1.3) ** 2)) - 0.5 * np.exp(
            -(((b - self.width_mm) / 0.5) ** 2)
        )
        tilt = np.stack([slope * across[0], slope * across[1], np.ones_like(slope)], -1)
        tilt /= np.linalg.norm(tilt, axis=-1, keepdims=True)
        share = inside[..., None].astype(np.float32)
        albedo[window] = albedo[window] * (1 - share) + tone * share
        normal[window] = normal[window] * (1 - share) + tilt * share
        gloss[window] = gloss[window] * (1 - inside) + self.gloss * inside
        height[window] = np.where(inside > 0.5, self.top_mm, height[window])
        depth[window] = np.where(inside > 0.5, plane_depth, depth[window])

    def _corners(self) -> NDArray[np.floating]:
        along, across = axes(self.turn_deg)
        ends = (-self.margin_mm, self.length_mm + self.margin_mm)
        return np.array(
            [
                np.array(self.zero_mm) + along * a - across * b
                for a in ends
                for b in (0.0, self.width_mm)
            ]
        )

    def _cover(self, a: Field, b: Field, pixel: float) -> Field:
        """Return the share of each pixel that the body covers; its corners are rounded."""
        middle = self.length_mm / 2
        radius = 1.2
        da = abs(a - middle) - (middle + self.margin_mm - radius)
        db = abs(b - self.width_mm / 2) - (self.width_mm / 2 - radius)
        outside = np.hypot(np.clip(da, 0, None), np.clip(db, 0, None)) - radius
        return np.clip(0.5 - outside / pixel, 0, 1)

    def _ticks(self, a: Field, b: Field, pixel: float) -> Field:
        number = np.round(a)
        on = (number >= 0) & (number <= self.length_mm)
        reach = np.where(number % 10 == 0, 7.5, np.where(number % 5 == 0, 5.5, 3.6))
        half = np.where(number % 10 == 0, 0.13, 0.11)
        thin = np.clip(0.5 + (half - abs(a - number)) / pixel, 0, 1)
        full = np.minimum(thin, 2 * half / pixel) if pixel > 0.22 else thin
        end = np.clip(0.5 + (reach - b) / pixel, 0, 1) * np.clip(
            0.5 + (b - 0.15) / pixel, 0, 1
        )
        return np.where(on, full * end, 0.0)

    def _digits(self, a: Field, b: Field, px_per_mm: float) -> Field:
        """Return how inked each pixel is by the numbers of the centimetres."""
        fine = float(np.clip(2 * px_per_mm, 8, 28))
        sheet = Image.new(
            "L", (round((self.length_mm + 12) * fine), round(self.width_mm * fine)), 0
        )
        pen = ImageDraw.Draw(sheet)
        font = ImageFont.load_default(4.3 * fine)
        for cm in range(self.length_mm // 10 + 1):
            place = ((cm * 10 + 6) * fine, 11.2 * fine)
            pen.text(place, str(cm), fill=255, font=font, anchor="mm")
        small = ImageFont.load_default(2.6 * fine)
        pen.text(
            (7.0 * fine, 18.2 * fine), self.unit_mark, fill=255, font=small, anchor="lm"
        )
        texture = np.asarray(sheet, np.float32) / 255.0
        texture = ndimage.gaussian_filter(texture, 0.45 * fine / px_per_mm)
        where = [b * fine - 0.5, (a + 6.0) * fine - 0.5]
        return ndimage.map_coordinates(texture, where, order=1, mode="constant")
