"""Pixels carried over strip by strip: to sRGB without alpha, halved, turned, or from apart.

Converting and scaling a whole QImage holds the interpreter lock (half a second at
100 megapixels), so both are done in strips of a few milliseconds each.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path
from time import sleep

from PySide6.QtCore import QRect, QSize, Qt
from PySide6.QtGui import QColorSpace, QImage, QPainter, QTransform

from landmarks.errors import PictureError

ROWS = 256
"""Rows of one strip; even, so that halves of strips meet without a seam."""

_AT_ONCE = 1_000_000
"""Pixels that are made opaque while nothing else of Python runs, a millisecond or so."""

BREATH_S = 0.0005
"""Pause between strips, for the window. Without it a worker whose calls keep giving up the
interpreter lock for an instant and taking it again can starve the window for a tenth of a
second on a busy machine (measured: 76 to 211 ms without, see tests/benchmarks/canvas.py)."""

_SRGB = QColorSpace(QColorSpace.NamedColorSpace.SRgb)


def for_screen(image: QImage) -> QImage:
    """Return the picture as sRGB without alpha; transparent parts become white."""
    space = image.colorSpace()
    plain = not space.isValid() or space == _SRGB
    if plain and image.format() == QImage.Format.Format_RGB32:
        return image
    out = blank(image.width(), image.height())
    out.fill(Qt.GlobalColor.white)
    for top, strip in _strips(image):
        if not plain:
            converted = strip.convertedToColorSpace(_SRGB)
            strip = strip if converted.isNull() else converted
        if strip.format() == QImage.Format.Format_CMYK8888:
            strip = strip.convertToFormat(QImage.Format.Format_RGB32)
        _paste(out, strip, top)
    return out


def half(image: QImage) -> QImage:
    """Return the picture at half its size, each pixel the mean of four."""
    width, height = (image.width() + 1) // 2, (image.height() + 1) // 2
    out = blank(width, height)
    for top, strip in _strips(image):
        small = strip.scaled(
            width,
            (strip.height() + 1) // 2,
            Qt.AspectRatioMode.IgnoreAspectRatio,
            Qt.TransformationMode.SmoothTransformation,
        )
        _paste(out, small, top // 2)
    return out


def turned(image: QImage, orientation: int) -> QImage:
    """Return the picture with an EXIF orientation (2 to 8) applied, strip by strip."""
    turn = QTransform(*_TURNS[orientation], 0, 0)
    frame = turn.mapRect(QRect(0, 0, image.width(), image.height()))
    out = blank(frame.width(), frame.height())
    painter = QPainter(out)
    for top, strip in _strips(image):
        place = turn.mapRect(QRect(0, top, strip.width(), strip.height()))
        painter.drawImage(place.topLeft() - frame.topLeft(), strip.transformed(turn))
    painter.end()
    return out


def blank(width: int, height: int, path: Path | None = None) -> QImage:
    """Return room for a picture.

    Raises
    ------
    PictureError
        If there is none.
    """
    image = QImage(width, height, QImage.Format.Format_RGB32)
    if image.isNull():
        raise PictureError("picture.no_memory", file=path.name if path else "")
    return image


def _paste(out: QImage, strip: QImage, top: int) -> None:
    painter = QPainter(out)
    painter.drawImage(0, top, strip)
    painter.end()


def filled(
    strips: Iterable[tuple[int, bytes | bytearray]], size: QSize, path: Path
) -> QImage:
    """Return the picture whose strips come with their first row: 32 bits, blue first.

    Raises
    ------
    PictureError
        If there is no room for it.
    """
    out = blank(size.width(), size.height(), path)
    line = 4 * size.width()
    for top, pixels in strips:
        sleep(BREATH_S)
        rows, seen = len(pixels) // line, opaque(pixels)
        strip = QImage(seen, size.width(), rows, line, QImage.Format.Format_RGB32)
        _paste(out, strip, top)
    return out


def opaque(pixels: bytes | bytearray) -> bytearray:
    """Return pixels of 32 bits with their last byte filled.

    Pillow leaves it empty. Qt takes it for the opacity where it draws a picture larger than
    it is, though the format has none: such a picture was not to be seen.
    """
    made = pixels if isinstance(pixels, bytearray) else bytearray(pixels)
    for start in range(3, len(made), 4 * _AT_ONCE):
        end = start + 4 * _AT_ONCE
        made[start:end:4] = b"\xff" * len(range(start, min(end, len(made)), 4))
    return made


def _strips(image: QImage) -> Iterator[tuple[int, QImage]]:
    """Yield the strips of a picture, each a view of its memory, with its first row."""
    bits, line = image.constBits(), image.bytesPerLine()
    for top in range(0, image.height(), ROWS):
        sleep(BREATH_S)
        rows = min(ROWS, image.height() - top)
        strip = QImage(
            bits[top * line : (top + rows) * line],
            image.width(),
            rows,
            line,
            image.format(),
        )
        if image.colorCount():
            strip.setColorTable(image.colorTable())
        strip.setColorSpace(image.colorSpace())
        yield top, strip


# x' = a x + c y and y' = b x + d y for each orientation (CIPA DC-008, from memory).
_TURNS = {
    2: (-1, 0, 0, 1),
    3: (-1, 0, 0, -1),
    4: (1, 0, 0, -1),
    5: (0, 1, 1, 0),
    6: (0, 1, -1, 0),
    7: (0, -1, -1, 0),
    8: (0, -1, 1, 0),
}
