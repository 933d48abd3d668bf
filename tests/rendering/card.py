"""A printed card beside a specimen: the label of a collection."""

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
class Card:
    """A card of *size_mm* whose middle lies at *centre_mm* on the table, turned.

    Its lines read upright when it is not turned; the first one is set in capitals.
    """

    centre_mm: tuple[float, float]
    lines: tuple[str, ...]
    turn_deg: float = 0.0
    size_mm: tuple[float, float] = (58.0, 26.0)
    top_mm: float = 0.5
    paper: tuple[int, int, int] = (236, 228, 206)
    ink: tuple[int, int, int] = (40, 38, 44)
    seed: int = 3

    def corners(self, camera: Camera) -> NDArray[np.floating]:
        """Return the corners (4, 2) in pixels, from the top left of the text, clockwise."""
        along, across = axes(self.turn_deg)
        half = np.array(self.size_mm) / 2
        world = [
            [
                *(np.array(self.centre_mm) + i * half[0] * along + j * half[1] * across),
                self.top_mm,
            ]
            for i, j in ((-1, 1), (1, 1), (1, -1), (-1, -1))
        ]
        return camera.project(np.array(world))[0]

    def truth(self, camera: Camera) -> dict[str, object]:
        """Return the region and the text of the card, and how it is turned."""
        corners = self.corners(camera)
        low, high = corners.min(0), corners.max(0)
        return {
            "frame": np.round([*low, *(high - low)], 1).tolist(),
            "view": "label",
            "text": list(self.lines),
            "turn_deg": self.turn_deg,
        }

    def draw(self, camera: Camera, layers: Layers) -> None:
        """Lay the card into the arrays of a scene."""
        window = layers.window(self.corners(camera))
        if window is None:
            return
        world = camera.on_plane(pixel_centres(window), self.top_mm)
        along, across = axes(self.turn_deg)
        offset = world - np.array(self.centre_mm)
        a, b = offset @ along, offset @ across
        outside = np.maximum(abs(a) - self.size_mm[0] / 2, abs(b) - self.size_mm[1] / 2)
        share = np.clip(0.5 - outside * camera.px_per_mm, 0, 1)[..., None].astype(
            np.float32
        )
        fine = float(np.clip(2 * camera.px_per_mm, 8, 28))
        sheet = ndimage.gaussian_filter(self._sheet(fine), 0.4 * fine / camera.px_per_mm)
        where = [
            (self.size_mm[1] / 2 - b) * fine - 0.5,
            (a + self.size_mm[0] / 2) * fine - 0.5,
        ]
        ink = ndimage.map_coordinates(sheet, where, order=1, mode="constant")[..., None]
        rng = np.random.default_rng(self.seed)
        aged = 1.0 + 0.035 * fractal(rng, a.shape, 9.0 * camera.px_per_mm)[..., None]
        yellow = 1.0 - 0.10 * np.exp(-((outside / 3.0) ** 2))[..., None] * [0.2, 0.6, 1.6]
        tone = (
            linear(*self.paper) * aged * yellow * (1 - 0.9 * ink)
            + linear(*self.ink) * 0.9 * ink
        )
        albedo, gloss = layers.albedo, layers.gloss
        albedo[window] = albedo[window] * (1 - share) + tone * share
        gloss[window] = gloss[window] * (1 - share[..., 0]) + 0.03 * share[..., 0]
        inside = share[..., 0] > 0.5
        layers.normal[window][inside] = [0.0, 0.0, 1.0]
        layers.height[window][inside] = self.top_mm

    def _sheet(self, fine: float) -> Field:
        wide, tall = (round(one * fine) for one in self.size_mm)
        sheet = Image.new("L", (wide, tall), 0)
        pen = ImageDraw.Draw(sheet)
        rim = 1.4 * fine
        pen.rectangle(
            [rim, rim, wide - rim, tall - rim], outline=150, width=round(0.22 * fine)
        )
        step = (self.size_mm[1] - 5.0) / len(self.lines)
        for number, line in enumerate(self.lines):
            size = min(4.0, 0.78 * step) * (0.86 if number == 0 else 1.0)
            font = ImageFont.load_default(size * fine)
            text = line.upper() if number == 0 else line
            pen.text(
                (3.4 * fine, (2.6 + (number + 0.5) * step) * fine),
                text,
                fill=255,
                font=font,
                anchor="lm",
                stroke_width=max(1, round(0.07 * fine)),
            )
        return np.asarray(sheet, np.float32) / 255.0
