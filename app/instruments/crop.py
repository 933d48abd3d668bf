"""Windows of the picture on the bench, cut from what is in memory for the screen anyway.

The copies the canvas draws from are the picture as it was read: upright, sRGB, and its halves,
quarters ... So a picture of a hundred megapixels costs an instrument nothing but its windows.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from PySide6.QtGui import QImage

from landmarks.geometry import Box, Point

if TYPE_CHECKING:
    from landmarks.instruments.edges import Crop, Pixels


def crop_of_levels(levels: Sequence[QImage]) -> Crop:
    """Return what cuts windows out of a picture that is at hand as a pyramid.

    Parameters
    ----------
    levels
        The whole picture, its half, its quarter ... with 32 bits a pixel. They are only read,
        so that any thread may cut.
    """
    width, height = levels[0].width(), levels[0].height()

    def crop(box: Box, step: int) -> tuple[Pixels, Point]:
        import numpy as np

        left, top = max(0, int(box.x)), max(0, int(box.y))
        right = min(width, int(box.x + box.width) + 1)
        bottom = min(height, int(box.y + box.height) + 1)
        level = 0
        while 2 << level <= step and level + 1 < len(levels):
            level += 1
        image, shrunk = levels[level], 1 << level
        # Bytes of a pixel are blue, green, red and one that is not used.
        flat = np.frombuffer(image.constBits(), np.uint8)
        rows = flat.reshape(image.height(), image.bytesPerLine() // 4, 4)
        first, last = top // shrunk, max(top // shrunk + 1, bottom // shrunk)
        start, stop = left // shrunk, max(left // shrunk + 1, right // shrunk)
        cut = rows[first:last, start:stop, 2::-1]
        more = step // shrunk
        if more > 1 and min(cut.shape[:2]) >= more:
            tall, wide = cut.shape[0] // more, cut.shape[1] // more
            blocks = cut[: tall * more, : wide * more].reshape(tall, more, wide, more, -1)
            cut = blocks.mean(axis=(1, 3), dtype=np.float32).astype(np.uint8)
        # A copy of its own: the picture may leave the screen while it is looked at.
        return np.ascontiguousarray(cut), Point(
            float(start * shrunk), float(first * shrunk)
        )

    return crop


def warm_up() -> None:
    """Load what the first click needs, while the person still looks for its place."""
    import numpy  # noqa: F401
