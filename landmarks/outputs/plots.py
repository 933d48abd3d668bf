"""A small painter of plots: squares of a matrix, points on a diagonal, bars side by side.

Nothing more than the reports need, drawn with Pillow: fine, and reduced to smooth the edges.
Colours are told apart without their hue by lightness, and every series by its place or its
mark as well.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from PIL.Image import Image

FINE = 2
INK, FAINT, PAPER = "#15191B", "#D5DADD", "#FFFFFF"
SERIES = ("#0B4F78", "#E69F00", "#56B4E9", "#A33B20")
_TYPE, _SMALL, _TITLE = 15.0, 13.0, 18.0


@dataclass(frozen=True, slots=True)
class Point:
    """A mark with an interval: ``x`` and ``y`` from 0 to 1, ``share`` of all it stands for."""

    x: float
    y: float
    low: float
    high: float
    share: float


def diagonal_plot(
    title: str, x_name: str, y_name: str, series: Sequence[tuple[str, Sequence[Point]]]
) -> Image:
    """Return points about the diagonal of a unit square: what was stated against what is true.

    The area of a mark tells its share of all answers.
    """
    sheet = _Sheet(640, 640 + 24 * len(series))
    left, top, side = 86.0, 56.0, 500.0
    sheet.words(left, 18, title, _TITLE)
    for step in range(0, 11, 2):
        at = step / 10
        x, y = left + at * side, top + side - at * side
        sheet.line((left, y), (left + side, y), FAINT, 1)
        sheet.line((x, top), (x, top + side), FAINT, 1)
        sheet.words(left - 10, y - 9, f"{100 * at:.0f} %", _SMALL, "right")
        sheet.words(x, top + side + 8, f"{100 * at:.0f} %", _SMALL, "middle")
    sheet.line((left, top + side), (left + side, top), INK, 1.4)
    sheet.words(left + side / 2, top + side + 30, x_name, _TYPE, "middle")
    sheet.upright(18, top + side / 2, y_name, _TYPE)
    for place, (name, points) in enumerate(series):
        colour = SERIES[place % len(SERIES)]
        for one in points:
            x, y = left + one.x * side, top + side - one.y * side
            low, high = top + side - one.low * side, top + side - one.high * side
            sheet.line((x, low), (x, high), colour, 2)
            sheet.mark(x, y, 4 + 16 * one.share**0.5, colour, hollow=bool(place % 2))
        y = top + side + 62 + 24 * place
        sheet.mark(left + 8, y + 9, 7, colour, hollow=bool(place % 2))
        sheet.words(left + 24, y, name, _TYPE)
    return sheet.done()


def matrix_plot(title: str, names: Sequence[str], rows: Sequence[Sequence[int]]) -> Image:
    """Return a matrix of counts, shaded by the shares in each row."""
    n, cell = len(names), 46.0
    left, top = 190.0, 200.0
    sheet = _Sheet(round(left + n * cell + 30), round(top + n * cell + 30))
    sheet.words(20, 18, title, _TITLE)
    for row, counts in enumerate(rows):
        whole = sum(counts) or 1
        y = top + row * cell
        sheet.words(left - 10, y + cell / 2 - 9, names[row], _SMALL, "right")
        sheet.upright(left + (row + 0.5) * cell, top - 10, names[row], _SMALL, start=True)
        for column, count in enumerate(counts):
            x, share = left + column * cell, count / whole
            sheet.box(x, y, cell - 2, cell - 2, _between(share))
            if count:
                ink = PAPER if share > 0.45 else INK
                words = f"{100 * share:.0f}" if share >= 0.005 else "·"
                sheet.words(
                    x + cell / 2 - 1, y + cell / 2 - 9, words, _SMALL, "middle", ink
                )
    return sheet.done()


def bar_plot(
    title: str,
    names: Sequence[str],
    series: Sequence[tuple[str, Sequence[tuple[float, float, float]]]],
) -> Image:
    """Return bars from 0 to 1 with intervals, a group for each name, a bar for each series."""
    left, top, high = 70.0, 56.0, 330.0
    wide = 110.0
    sheet = _Sheet(
        round(left + wide * len(names) + 40), round(top + high + 50 + 26 * len(series))
    )
    sheet.words(20, 18, title, _TITLE)
    for step in range(0, 11, 2):
        y = top + high * (1 - step / 10)
        sheet.line((left, y), (left + wide * len(names), y), FAINT, 1)
        sheet.words(left - 8, y - 9, f"{10 * step} %", _SMALL, "right")
    thick = (wide - 30) / max(len(series), 1)
    for place, name in enumerate(names):
        start = left + place * wide + 15
        sheet.words(start + (wide - 30) / 2, top + high + 8, name, _SMALL, "middle")
        for number, (_, values) in enumerate(series):
            value, low, top_value = values[place]
            x = start + number * thick
            y = top + high * (1 - value)
            sheet.box(x, y, thick - 4, high * value, SERIES[number % len(SERIES)])
            middle = x + thick / 2 - 2
            ends = (top + high * (1 - low), top + high * (1 - top_value))
            sheet.line((middle, ends[0]), (middle, ends[1]), INK, 1.6)
    for number, (name, _) in enumerate(series):
        y = top + high + 42 + 26 * number
        sheet.box(left, y + 2, 16, 14, SERIES[number % len(SERIES)])
        sheet.words(left + 26, y, name, _TYPE)
    return sheet.done()


class _Sheet:
    """A white sheet that is drawn on in pixels of the result."""

    def __init__(self, width: int, height: int) -> None:
        from PIL import Image, ImageDraw

        self.image = Image.new("RGB", (width * FINE, height * FINE), PAPER)
        self.draw = ImageDraw.Draw(self.image)

    def done(self) -> Image:
        return self.image.reduce(FINE)

    def line(
        self, a: tuple[float, float], b: tuple[float, float], colour: str, width: float
    ) -> None:
        self.draw.line([_fine(*a), _fine(*b)], fill=colour, width=round(width * FINE))

    def box(self, x: float, y: float, w: float, h: float, colour: str) -> None:
        if h > 0:
            self.draw.rectangle([_fine(x, y), _fine(x + w, y + h)], fill=colour)

    def mark(self, x: float, y: float, radius: float, colour: str, *, hollow: bool) -> None:
        box = [_fine(x - radius, y - radius), _fine(x + radius, y + radius)]
        fill = PAPER if hollow else colour
        self.draw.ellipse(box, fill=fill, outline=colour, width=2 * FINE)

    def words(
        self,
        x: float,
        y: float,
        words: str,
        size: float,
        align: str = "left",
        colour: str = INK,
    ) -> None:
        type_ = _type(size)
        width = type_.getlength(words) / FINE
        start = x - {"left": 0.0, "middle": 0.5, "right": 1.0}[align] * width
        self.draw.text(_fine(start, y), words, font=type_, fill=colour)

    def upright(
        self, x: float, y: float, words: str, size: float, *, start: bool = False
    ) -> None:
        """Write from below upwards, about ``y`` or, with ``start``, from it on."""
        from PIL import Image, ImageDraw

        type_ = _type(size)
        wide, high = round(type_.getlength(words)) + 4, round(size * 1.5 * FINE)
        strip = Image.new("RGB", (wide, high), PAPER)
        ImageDraw.Draw(strip).text((0, 0), words, font=type_, fill=INK)
        turned = strip.transpose(Image.Transpose.ROTATE_90)
        at_x, at_y = _fine(x - size * 0.7, y)
        up = wide if start else wide / 2
        self.image.paste(turned, (round(at_x), round(at_y - up)))


def _fine(x: float, y: float) -> tuple[float, float]:
    return x * FINE, y * FINE


def _type(size: float) -> Any:
    from PIL import ImageFont

    return ImageFont.load_default(size * FINE)


def _between(share: float) -> str:
    """Return the shade of a share: from almost white to the darkest series colour."""
    ends = ((0xF4, 0x0B), (0xF6, 0x4F), (0xF8, 0x78))
    mixed = [round(a + (b - a) * min(share, 1.0) ** 0.7) for a, b in ends]
    return "#{:02X}{:02X}{:02X}".format(*mixed)
