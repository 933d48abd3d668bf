"""What a scene is laid out of before it is lit, and the part of it that a flat thing covers."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Field = NDArray[np.float32]
Points = NDArray[np.floating]
Window = tuple[slice, slice]


@dataclass(frozen=True, slots=True)
class Layers:
    """Height in mm, normal, colour, gloss and distance from the lens of every pixel."""

    height: Field
    normal: Field
    albedo: Field
    gloss: Field
    depth: Field

    def window(self, corners: Points) -> Window | None:
        """Return the pixels round some places of the picture, with a rim; None for none."""
        rows, columns = self.height.shape
        left, top = np.floor(np.clip(corners.min(0) - 2, 0, None)).astype(int)
        right, bottom = np.ceil(np.minimum(corners.max(0) + 2, [columns, rows])).astype(int)
        if right <= left or bottom <= top:
            return None
        return slice(top, bottom), slice(left, right)


def pixel_centres(window: Window) -> Points:
    """Return the middle (h, w, 2) of every pixel of a window."""
    rows, columns = window
    x, y = np.meshgrid(
        np.arange(columns.start, columns.stop) + 0.5, np.arange(rows.start, rows.stop) + 0.5
    )
    return np.stack([x, y], -1)


def axes(turn_deg: float) -> tuple[Points, Points]:
    """Return the directions along and across a thing that lies turned on the table."""
    turn = np.radians(turn_deg)
    return np.array([np.cos(turn), np.sin(turn)]), np.array([-np.sin(turn), np.cos(turn)])
