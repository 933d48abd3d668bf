"""Edge maps: how strongly a window of a picture changes from place to place.

Windows are cut out of the picture at a whole step of pixels, so that nothing here ever needs
the whole of a large picture. The map is that of our own study of rendered shells; gradients of
lightness and colour are common practice (no source).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

from landmarks.geometry import Box, Point, bounds, distance

if TYPE_CHECKING:
    from numpy import float32, float64, uint8
    from numpy.typing import NDArray

    Pixels: TypeAlias = NDArray[uint8]
    Field: TypeAlias = NDArray[float32]
    Line: TypeAlias = NDArray[float64]
    Crop: TypeAlias = Callable[[Box, int], tuple[Pixels, Point]]

WINDOW_PX = 400
"""A window is at most so many map pixels wide and high."""

ORIGIN = Point(0.0, 0.0)
FLOOR = 0.06
"""What is added to a strength before its cost is taken: no place costs endlessly much."""

SIGMA_PX = 1.5
"""Blur of the map, in map pixels."""

_ROOM = 0.35
"""A line may bulge out of the box of its ends by this share of their distance."""

_LEAST_ROOM = 24.0


@dataclass(frozen=True, slots=True)
class EdgeMap:
    """How strongly a picture changes from place to place.

    Attributes
    ----------
    strength
        (rows, columns): 1 where only a hundredth of the pixels change more.
    origin
        The outer top-left corner of the map in the picture.
    step
        Picture pixels per map pixel.
    """

    strength: Field
    origin: Point = ORIGIN
    step: float = 1.0

    def pixel(self, point: Point) -> tuple[int, int]:
        """Return the row and column of the map that hold a point, or the nearest ones."""
        rows, columns = self.strength.shape
        column = int((point.x - self.origin.x) / self.step)
        row = int((point.y - self.origin.y) / self.step)
        return min(max(row, 0), rows - 1), min(max(column, 0), columns - 1)

    def point(self, row: float, column: float) -> Point:
        """Return the centre of a pixel of the map, in the picture."""
        return Point(
            self.origin.x + (column + 0.5) * self.step,
            self.origin.y + (row + 0.5) * self.step,
        )


def crop_of(picture: Pixels) -> Crop:
    """Return what cuts windows out of a whole picture (rows, columns, 3) of eight bits."""
    import numpy as np

    rows, columns = picture.shape[:2]

    def crop(box: Box, step: int) -> tuple[Pixels, Point]:
        left, top = max(0, int(box.x)), max(0, int(box.y))
        right = min(columns, int(box.x + box.width) + 1)
        bottom = min(rows, int(box.y + box.height) + 1)
        cut = picture[top:bottom, left:right]
        if step > 1 and min(cut.shape[:2]) >= step:
            tall, wide = cut.shape[0] // step, cut.shape[1] // step
            blocks = cut[: tall * step, : wide * step].reshape(tall, step, wide, step, -1)
            cut = blocks.mean(axis=(1, 3), dtype=np.float32).astype(np.uint8)
        return cut, Point(float(left), float(top))

    return crop


def channels(pixels: Pixels) -> tuple[Field, Field, Field]:
    """Return lightness, red against green, and blue against lightness, each in grey levels."""
    import numpy as np

    f = pixels.astype(np.float32)
    if f.ndim == 2:
        f = np.repeat(f[..., None], 3, axis=2)
    light = 0.3 * f[..., 0] + 0.59 * f[..., 1] + 0.11 * f[..., 2]
    return light, f[..., 0] - f[..., 1], f[..., 2] - light


def edge_map(pixels: Pixels, origin: Point = ORIGIN, step: float = 1.0) -> EdgeMap:
    """Return how strongly a window (rows, columns, 3) changes, in lightness and colour."""
    weighted = zip(channels(pixels), (1.0, 0.8, 0.5), strict=True)
    return EdgeMap(scaled(change([c * w for c, w in weighted])), origin, step)


def change(fields: list[Field]) -> Field:
    """Return the root of the greatest eigenvalue of the structure tensor over all fields."""
    import numpy as np

    xx = np.zeros_like(fields[0])
    xy, yy = xx.copy(), xx.copy()
    for one in fields:
        down, across = np.gradient(smoothed(one, SIGMA_PX))
        xx += across * across
        xy += across * down
        yy += down * down
    half = (xx - yy) / 2
    greatest = (xx + yy) / 2 + np.sqrt(half * half + xy * xy)
    made: Field = np.sqrt(np.maximum(greatest, 0))
    return made


def scaled(strength: Field) -> Field:
    """Return a strength such that one pixel in a hundred is above 1."""
    import numpy as np

    made: Field = strength / np.float32(np.percentile(strength, 99) or 1.0)
    return made


def costs(strength: Field) -> Field:
    """Return what a pixel of so much strength costs to cross."""
    made: Field = 1.0 / (strength + FLOOR)
    return made


def window(a: Point, b: Point) -> tuple[Box, int]:
    """Return the window to search for an edge from a to b, and its step of pixels.

    The step is a power of two that keeps the window within :data:`WINDOW_PX`.
    """
    box = bounds((a, b))
    room = max(_LEAST_ROOM, _ROOM * distance(a, b))
    wide = max(box.width, box.height) + 2 * room
    step = 1
    while wide / step > WINDOW_PX:
        step *= 2
    return Box(
        box.x - room, box.y - room, box.width + 2 * room, box.height + 2 * room
    ), step


def sampled(edges: EdgeMap, at: Line) -> NDArray[float64]:
    """Return the strength at points (..., 2) of the picture, between pixels bilinearly."""
    import numpy as np

    rows, columns = edges.strength.shape
    x = np.clip((at[..., 0] - edges.origin.x) / edges.step - 0.5, 0, columns - 1.001)
    y = np.clip((at[..., 1] - edges.origin.y) / edges.step - 0.5, 0, rows - 1.001)
    column, row = x.astype(int), y.astype(int)
    u, v = x - column, y - row
    s = edges.strength
    above = s[row, column] * (1 - u) + s[row, column + 1] * u
    below = s[row + 1, column] * (1 - u) + s[row + 1, column + 1] * u
    made: NDArray[float64] = above * (1 - v) + below * v
    return made


def smoothed(field: Field, sigma: float) -> Field:
    """Return a field blurred by a Gaussian, its border repeated."""
    import numpy as np

    n = int(3 * sigma + 0.5)
    kernel = np.exp(-0.5 * (np.arange(-n, n + 1) / sigma) ** 2)
    kernel = (kernel / kernel.sum()).astype(np.float32)
    for axis in (0, 1):
        pad = [(n, n), (0, 0)] if axis == 0 else [(0, 0), (n, n)]
        padded = np.pad(field, pad, mode="edge")
        length = field.shape[axis]
        total = np.zeros_like(field)
        for k, weight in enumerate(kernel):
            part = padded[k : k + length] if axis == 0 else padded[:, k : k + length]
            total += weight * part
        field = total
    return field
