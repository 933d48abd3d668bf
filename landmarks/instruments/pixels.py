"""Part of a picture as lightness that instruments can sample between its pixels.

numpy is imported when a window is read or sampled, not before.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeAlias

from landmarks.geometry import Box, Point, bounds

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array: TypeAlias = NDArray[np.floating[Any]]

_LUMA = (0.299, 0.587, 0.114)
"""Weights of red, green and blue (Rec. ITU-R BT.601, from memory)."""


@dataclass(frozen=True, slots=True, eq=False)
class Window:
    """Lightness of a rectangle of the upright picture.

    Attributes
    ----------
    light
        Rows by columns, 0 (black) to 255 (white), as 32-bit floats.
    left, top
        The picture's pixel that stands in the first column and row.
    """

    light: Array
    left: int = 0
    top: int = 0

    @property
    def width(self) -> int:
        """Return the number of columns."""
        return int(self.light.shape[1])

    @property
    def height(self) -> int:
        """Return the number of rows."""
        return int(self.light.shape[0])

    def holds(self, point: Point) -> bool:
        """Return whether a point of the picture lies in the window."""
        return Box(self.left, self.top, self.width, self.height).holds(point)

    def at(self, x: Array, y: Array) -> Array:
        """Return lightness at places of the picture, between pixel centres in proportion.

        Outside the window the nearest pixel counts; x and y have one common shape.
        """
        import numpy as np

        across = np.clip(x - (self.left + 0.5), 0, self.width - 1)
        down = np.clip(y - (self.top + 0.5), 0, self.height - 1)
        column = np.minimum(across.astype(np.int32), max(0, self.width - 2))
        row = np.minimum(down.astype(np.int32), max(0, self.height - 2))
        across, down = across - column, down - row
        flat = np.ravel(self.light)
        here = row * self.width + column
        right = 1 if self.width > 1 else 0
        below = self.width if self.height > 1 else 0
        above = flat[here] * (1 - across) + flat[here + right] * across
        under = flat[here + below] * (1 - across) + flat[here + below + right] * across
        return np.asarray(above * (1 - down) + under * down)


def around(points: Sequence[Point], margin: float) -> Box:
    """Return the box that holds all points with so many pixels to spare on every side."""
    x, y, width, height = bounds(points)
    return Box(x - margin, y - margin, width + 2 * margin, height + 2 * margin)


def read_window(path: Path, box: Box | None = None) -> Window:
    """Return lightness of a picture file, or of the part of it that lies in a box.

    Raises
    ------
    PictureError
        If the file cannot be opened.
    """
    from landmarks.picture import upright

    picture = upright(path)
    left, top, right, bottom = _whole(box, picture.width, picture.height)
    import numpy as np

    part = picture.convert("L").crop((left, top, right, bottom))
    return Window(np.asarray(part, np.float32), left, top)


def window_of(pixels: NDArray[Any], box: Box | None = None) -> Window:
    """Return lightness of decoded pixels of the whole upright picture.

    Parameters
    ----------
    pixels
        Rows by columns, grey or with red, green and blue (and more) last, 0 to 255.
    """
    import numpy as np

    rows, columns = pixels.shape[:2]
    left, top, right, bottom = _whole(box, columns, rows)
    part = pixels[top:bottom, left:right]
    if part.ndim == 3:
        part = part[..., :3] @ np.array(_LUMA, np.float32)
    return Window(np.asarray(part, np.float32), left, top)


def smoothed(profile: Array, sigma: float) -> Array:
    """Return a profile (or several as rows) smoothed by a Gaussian, mirrored at its ends."""
    import numpy as np

    n = int(profile.shape[-1])
    if sigma <= 0 or n < 2:
        return np.array(profile, float)
    reach = int(min(np.ceil(4 * sigma), n - 1))
    flat = np.reshape(profile, (-1, n))
    padded = np.concatenate(
        [flat[:, reach:0:-1], flat, flat[:, -2 : -reach - 2 : -1]], axis=1
    )
    offsets = np.arange(-reach, reach + 1)
    kernel = np.exp(-0.5 * (offsets / sigma) ** 2)
    kernel /= kernel.sum()
    size = fast_length(padded.shape[1] + 2 * reach)
    spectrum = np.fft.rfft(padded, size) * np.fft.rfft(kernel, size)
    whole = np.fft.irfft(spectrum, size)[:, 2 * reach : 2 * reach + n]
    return np.asarray(whole.reshape(profile.shape))


def fast_length(n: int) -> int:
    """Return the next length that is quick to transform: 2, 3 and 5 its only factors."""
    best = 1 << max(0, n - 1).bit_length()
    for fives in (1, 5, 25, 125):
        for threes in (1, 3, 9, 27):
            odd = fives * threes
            best = min(best, odd << max(0, -(-n // odd) - 1).bit_length())
    return best


def _whole(box: Box | None, width: int, height: int) -> tuple[int, int, int, int]:
    """Return left, top, right and bottom of the pixels that a box touches, at least one."""
    if box is None:
        return 0, 0, width, height
    left = min(max(0, int(box.x)), width - 1)
    top = min(max(0, int(box.y)), height - 1)
    right = min(width, max(left + 1, int(box.x + box.width) + 1))
    bottom = min(height, max(top + 1, int(box.y + box.height) + 1))
    return left, top, right, bottom
