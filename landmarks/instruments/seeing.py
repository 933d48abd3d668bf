"""Seeing better: local contrast, underwater colour, brightness - for display only.

Pixels in, pixels out, rows by columns by red, green and blue in eight bits; the picture
itself stays as it is, and no instrument ever measures on what is made here. Edges do not move,
but how strong they look does.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from numpy import float64, uint8
    from numpy.typing import NDArray

    Pixels = NDArray[uint8]

RADIUS_PX = 32.0
"""Local contrast compares with the surroundings within about so many screen pixels."""

AMOUNT = 0.8
MOST_GAIN = 4.0
"""A channel is made at most so many times stronger: beyond that only noise is left."""


@dataclass(frozen=True, slots=True)
class Seeing:
    """How the picture is shown: ``local_contrast`` 0 to 1, ``brightness`` in stops."""

    local_contrast: float = 0.0
    underwater: bool = False
    brightness: float = 0.0

    @property
    def adjusted(self) -> bool:
        """Return whether what is shown differs from the picture; it must then be said."""
        return bool(self.local_contrast or self.underwater or self.brightness)


def seen(pixels: Pixels, how: Seeing, whole: Pixels | None = None) -> Pixels:
    """Return pixels as they are to be shown; unadjusted, the very same.

    Parameters
    ----------
    whole
        A small copy of the picture that the pixels are a part of, so that colours do not
        change with the part that is looked at.
    """
    if how.underwater:
        pixels = underwater(pixels, whole)
    if how.brightness:
        pixels = brighter(pixels, how.brightness)
    if how.local_contrast:
        pixels = local_contrast(pixels, how.local_contrast * AMOUNT)
    return pixels


def local_contrast(
    pixels: Pixels, amount: float = AMOUNT, radius_px: float = RADIUS_PX
) -> Pixels:
    """Return pixels whose lightness stands out from its surroundings; colours keep their hue.

    Unsharp masking with wide surroundings, which are taken at a quarter of the size.
    """
    import numpy as np
    from PIL import Image, ImageFilter

    grey = Image.fromarray(pixels).convert("L")
    small = grey.resize(
        (max(1, grey.width // 4), max(1, grey.height // 4)), Image.Resampling.BOX
    )
    around = small.filter(ImageFilter.GaussianBlur(radius_px / 4))
    around = around.resize(grey.size, Image.Resampling.BILINEAR)
    plain, mean = np.asarray(grey), np.asarray(around)
    # Tables for all 511 differences instead of a product for every pixel.
    steps = np.rint(np.arange(-255, 256) * amount).astype(np.int16)
    made = np.empty_like(pixels)
    for rows in _strips(len(pixels)):
        apart = plain[rows].astype(np.int16) - mean[rows]
        lifted = pixels[rows] + np.take(steps, apart + 255)[..., None]
        np.clip(lifted, 0, 255, out=made[rows], casting="unsafe")
    return made


def underwater(pixels: Pixels, whole: Pixels | None = None) -> Pixels:
    """Return pixels with the red that water took given back, then balanced to grey.

    Red gains what green has and red lacks on the average, most where red is weak; then the
    three means are made equal. A usual recipe for underwater pictures (from memory, no
    source); done with tables, as a pixel depends on its own red and green alone.
    """
    import numpy as np

    sample = (pixels if whole is None else whole)[::4, ::4].reshape(-1, 3) / 255.0
    red, green, blue = sample.T
    lacks = max(0.0, float(green.mean() - red.mean()))
    level = np.arange(256) / 255
    given = red + lacks * (1 - red) * green
    means = np.array([given.mean(), green.mean(), blue.mean()])
    gains = np.minimum(means.mean() / np.maximum(means, 1e-3), MOST_GAIN)
    reds = level[:, None] + lacks * (1 - level[:, None]) * level[None, :]
    tables = [_bytes(level * gain) for gain in gains]
    red_table = _bytes(reds * gains[0]).ravel()
    made = np.empty_like(pixels)
    for rows in _strips(len(pixels)):
        part = pixels[rows]
        both = (part[..., 0].astype(np.uint16) << 8) | part[..., 1]
        made[rows, :, 0] = np.take(red_table, both)
        for channel in (1, 2):
            made[rows, :, channel] = np.take(tables[channel], part[..., channel])
    return made


def brighter(pixels: Pixels, stops: float) -> Pixels:
    """Return pixels as with so many stops more light; highlights roll off, nothing is cut.

    Works on light, not on its sRGB code (IEC 61966-2-1, approximated by a power of 2.2, from
    memory).
    """
    import numpy as np

    light = (np.arange(256) / 255) ** 2.2
    gain = 2.0**stops
    # A shoulder that keeps white white and has the slope of the gain in the shadows.
    lit = light * gain / (1 + light * (gain - 1))
    return np.take(_bytes(lit ** (1 / 2.2)), pixels)


def _strips(n: int) -> Iterator[slice]:
    """Yield strips of rows that stay in the nearest memory of the processor."""
    for first in range(0, n, 32):
        yield slice(first, first + 32)


def _bytes(values: NDArray[float64]) -> Pixels:
    import numpy as np

    return np.clip(np.rint(values * 255), 0, 255).astype(np.uint8)
