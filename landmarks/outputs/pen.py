"""The pen that paints marks on pixels, finely and smoothed, with Pillow.

Marks are drawn :data:`FINE` times larger on a tile of their own and reduced, which smooths
their edges. Who paints speaks in coordinates of the result; only the tile knows the fine ones.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from math import ceil, floor
from pathlib import Path
from typing import TYPE_CHECKING, Any

from landmarks.geometry import Point
from landmarks.outputs.marks import MARKS, PLATE_TEXT_PX, SQUARE_SHARE

if TYPE_CHECKING:
    from PIL.Image import Image
    from PIL.ImageDraw import ImageDraw

FINE = 3
"""Marks are drawn this many times larger and reduced, which smooths their edges."""


@dataclass(slots=True)
class Pen:
    """The picture under work: ``share`` brings picture pixels to its own, ``unit`` sizes."""

    image: Image
    share: float
    unit: float
    font: Path | None

    def place(self, point: Point) -> tuple[float, float]:
        """Return where a point of the picture lies in the result."""
        return point.x * self.share, point.y * self.share

    def stamp(
        self,
        places: Iterable[tuple[float, float]],
        reach: float,
        draw: Callable[[Tile], None],
    ) -> None:
        """Draw on a fine tile around some places, and lay it on the picture."""
        from PIL import Image, ImageDraw

        xs, ys = zip(*places, strict=True)
        left = max(0, floor(min(xs) - reach))
        top = max(0, floor(min(ys) - reach))
        right = min(self.image.width, ceil(max(xs) + reach))
        bottom = min(self.image.height, ceil(max(ys) + reach))
        if right <= left or bottom <= top:
            return
        size = ((right - left) * FINE, (bottom - top) * FINE)
        sheet = Image.new("RGBA", size)
        draw(Tile(ImageDraw.Draw(sheet), left, top))
        self.image.alpha_composite(sheet.reduce(FINE), (left, top))

    def type(self, size: float) -> Any:
        """Return the typeface at a size, as large as a tile needs it."""
        from PIL import ImageFont

        px = size * self.unit * FINE
        if self.font is not None:
            return ImageFont.truetype(str(self.font), round(px))
        return ImageFont.load_default(px)

    def text_width(self, words: str, size: float = PLATE_TEXT_PX) -> float:
        """Return how wide words are in the result."""
        return float(self.type(size).getlength(words)) / FINE


@dataclass(slots=True)
class Tile:
    """A fine sheet that is drawn on in coordinates of the result."""

    draw: ImageDraw
    left: int
    top: int

    def to(self, place: tuple[float, float]) -> tuple[float, float]:
        """Return a place of the result in the fine coordinates of the tile."""
        return (place[0] - self.left) * FINE, (place[1] - self.top) * FINE

    def disc(self, place: tuple[float, float], radius: float, colour: Any) -> None:
        """Fill a disc."""
        x, y = self.to(place)
        r = radius * FINE
        self.draw.ellipse((x - r, y - r, x + r, y + r), fill=colour)

    def ring(
        self, place: tuple[float, float], radius: float, width: float, colour: Any
    ) -> None:
        """Draw a circle, its line centred on the radius."""
        x, y = self.to(place)
        r, w = (radius + width / 2) * FINE, max(1, round(width * FINE))
        self.draw.ellipse((x - r, y - r, x + r, y + r), outline=colour, width=w)

    def path(
        self,
        places: Sequence[tuple[float, float]],
        width: float,
        colour: Any,
        *,
        round_ends: bool = False,
    ) -> None:
        """Draw a line through places; its ends are cut or round."""
        fine = [self.to(place) for place in places]
        self.draw.line(fine, fill=colour, width=max(1, round(width * FINE)), joint="curve")
        if round_ends:
            for place in (places[0], places[-1]):
                self.disc(place, width / 2, colour)

    def diamond(self, place: tuple[float, float], half: float, colour: Any) -> None:
        """Fill a square that stands on a corner."""
        x, y = self.to(place)
        h = half * FINE
        self.draw.polygon([(x, y - h), (x + h, y), (x, y + h), (x - h, y)], fill=colour)

    def square(self, place: tuple[float, float], half: float, colour: Any) -> None:
        """Fill a square that looks as large as the diamond of the same half."""
        (x, y), h = self.to(place), half * SQUARE_SHARE * FINE
        self.draw.rectangle((x - h, y - h, x + h, y + h), fill=colour)

    def words(
        self, place: tuple[float, float], words: str, kind: Any, colour: Any, anchor: str
    ) -> None:
        """Write words, held at a place by Pillow's anchor."""
        self.draw.text(self.to(place), words, fill=colour, font=kind, anchor=anchor)


def case_colour() -> tuple[int, int, int, int]:
    """Return the colour of the dark case around light lines."""
    return faint(MARKS.dark, MARKS.case_alpha)


def faint(colour: str, alpha: float) -> tuple[int, int, int, int]:
    """Return a colour ``#rrggbb`` at a share of its strength, as RGBA."""
    red, green, blue = (int(colour[at : at + 2], 16) for at in (1, 3, 5))
    return red, green, blue, round(255 * alpha)
