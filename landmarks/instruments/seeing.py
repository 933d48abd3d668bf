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

_REDUCED, _ROWS, _SHARES = 4, 32, 64
"""The surroundings are taken so many times smaller; rows of one strip; parts of an amount."""


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
    own: Pixels | None = None
    if how.underwater or how.brightness:
        water = _water_of(pixels if whole is None else whole) if how.underwater else None
        own = pixels = _recoloured(pixels, _tone(how.brightness), water)
    if how.local_contrast:
        # What was made here already needs no second room: fresh memory costs as much time.
        pixels = _lifted(pixels, how.local_contrast * AMOUNT, RADIUS_PX, own)
    return pixels


def local_contrast(
    pixels: Pixels, amount: float = AMOUNT, radius_px: float = RADIUS_PX
) -> Pixels:
    """Return pixels whose lightness stands out from its surroundings; colours keep their hue.

    Unsharp masking with wide surroundings, which are taken at a quarter of the size.
    """
    return _lifted(pixels, amount, radius_px)


def _lifted(
    pixels: Pixels, amount: float, radius_px: float, room: Pixels | None = None
) -> Pixels:
    """Return pixels with local contrast, in new room or in that which is given."""
    import numpy as np
    from PIL import Image, ImageFilter

    grey = Image.fromarray(pixels).convert("L")
    around = grey.reduce(_REDUCED).filter(ImageFilter.GaussianBlur(radius_px / _REDUCED))
    around = around.resize(grey.size, Image.Resampling.BILINEAR)
    plain, mean = np.asarray(grey), np.asarray(around)
    width = plain.shape[1]
    # Whole numbers: no difference of two bytes is too large for sixteen bits.
    share = round(amount * _SHARES)
    lifted = np.empty((_ROWS, width, 3), np.int16)
    made = np.empty_like(pixels) if room is None else room
    for rows in _strips(len(pixels)):
        apart = plain[rows].astype(np.int16)
        apart -= mean[rows]
        apart *= share
        apart += _SHARES // 2
        apart //= _SHARES
        part = lifted[: len(apart)]
        # One channel after the other is far quicker than all three of each pixel.
        for channel in range(3):
            part[..., channel] = apart
        part += pixels[rows]
        np.maximum(part, 0, out=part)
        np.minimum(part, 255, out=part)
        made[rows] = part
    return made


def underwater(pixels: Pixels, whole: Pixels | None = None) -> Pixels:
    """Return pixels with the red that water took given back, then balanced to grey.

    Red gains what green has and red lacks on the average, most where red is weak; then the
    three means are made equal. A usual recipe for underwater pictures (from memory, no
    source); done with tables, as a pixel depends on its own red and green alone.
    """
    return _recoloured(pixels, _tone(0.0), _water_of(pixels if whole is None else whole))


def brighter(pixels: Pixels, stops: float) -> Pixels:
    """Return pixels as with so many stops more light; highlights roll off, nothing is cut.

    Works on light, not on its sRGB code (IEC 61966-2-1, approximated by a power of 2.2, from
    memory).
    """
    return _recoloured(pixels, _tone(stops))


@dataclass(frozen=True, slots=True)
class _Water:
    """What water took is given back: green and blue by their own value, red by green too."""

    reds: Pixels
    greens: Pixels
    blues: Pixels


def _water_of(pixels: Pixels) -> _Water:
    """Return the tables that give a picture back what water took of its colours."""
    import numpy as np

    red, green, blue = pixels[::4, ::4].reshape(-1, 3).T / 255.0
    lacks = max(0.0, float(green.mean() - red.mean()))
    level = np.arange(256) / 255
    given = red + lacks * (1 - red) * green
    means = np.array([given.mean(), green.mean(), blue.mean()])
    gains = np.minimum(means.mean() / np.maximum(means, 1e-3), MOST_GAIN)
    reds = level[:, None] + lacks * (1 - level[:, None]) * level[None, :]
    return _Water(*(_bytes(one * gain) for one, gain in zip((reds, level, level), gains,
                                                            strict=True)))  # fmt: skip


def _tone(stops: float) -> Pixels:
    """Return what each value becomes with so many stops more light; none: as it is."""
    import numpy as np

    light = (np.arange(256) / 255) ** 2.2
    gain = 2.0**stops
    # A shoulder that keeps white white and has the slope of the gain in the shadows.
    lit = light * gain / (1 + light * (gain - 1))
    return _bytes(lit ** (1 / 2.2))


def _recoloured(pixels: Pixels, tone: Pixels, water: _Water | None = None) -> Pixels:
    """Return pixels in one pass: water's part first, then the tone, both as one table."""
    import numpy as np

    made = np.empty_like(pixels)
    if water is None:
        for rows in _strips(len(pixels)):
            np.take(tone, pixels[rows], out=made[rows], mode="clip")
        return made
    reds, others = tone[water.reds].ravel(), (tone[water.greens], tone[water.blues])
    for rows in _strips(len(pixels)):
        part = pixels[rows]
        both = (part[..., 0].astype(np.uint16) << 8) | part[..., 1]
        made[rows, :, 0] = np.take(reds, both)
        for channel, table in enumerate(others, 1):
            made[rows, :, channel] = np.take(table, part[..., channel])
    return made


def _strips(n: int) -> Iterator[slice]:
    """Yield strips of rows that stay in the nearest memory of the processor."""
    for first in range(0, n, _ROWS):
        yield slice(first, first + _ROWS)


def _bytes(values: NDArray[float64]) -> Pixels:
    import numpy as np

    return np.clip(np.rint(values * 255), 0, 255).astype(np.uint8)
