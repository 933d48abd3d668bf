"""Pictures decoded for the screen: reduced, whole, as a pyramid; upright, sRGB, 32 bits.

Qt decodes, because its pixels need no second copy; what Qt cannot read, or reads without
noticing that the file is cut short, goes through the core. Reading a file lets other Python
threads run, but converting and scaling a whole QImage does not (half a second at
100 megapixels), so both are done in strips of a few milliseconds each.
"""

from __future__ import annotations

import mmap
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from threading import Lock
from time import sleep
from typing import TYPE_CHECKING

from PySide6.QtCore import QLoggingCategory, QRect, QRectF, QSize, Qt
from PySide6.QtGui import (
    QColorSpace,
    QImage,
    QImageIOHandler,
    QImageReader,
    QPainter,
    QTransform,
)

from app.background.watched import WatchedFile
from landmarks.errors import PictureError
from landmarks.geometry import Box
from landmarks.picture import (
    MAX_PIXELS,
    TURNED,
    eight_bits,
    opened,
    turned_upright,
    upright_size,
)
from landmarks.picture import orientation as orientation_of

if TYPE_CHECKING:
    from PIL.Image import Image

ALLOCATION_MB = 2048
"""Qt refuses single pictures above this; 400 megapixels at 4 bytes need 1600."""

ROWS = 256
"""Rows of one strip; even, so that halves of strips meet without a seam."""

BREATH_S = 0.0005
"""Pause between strips, for the window. Without it a worker whose calls keep giving up the
interpreter lock for an instant and taking it again can starve the window for a tenth of a
second on a busy machine (measured: 76 to 211 ms without, see tests/benchmarks/canvas.py)."""

READING = Lock()
"""Held while one of Qt's readers is at work; they work one at a time. Qt takes locks of its
own in there, and asks a file of ours for its bytes, which come through the interpreter lock:
another reader that holds the one and waits for the other is a deadlock, seen when a picture
was opened while another was given up. Whoever waits here has given up the interpreter lock,
and a picture that was given up lets go at its next 16 kB."""

SMALLEST_SIDE = 1024
"""The pyramid ends where the longer side is this or less."""

QT_FORMATS = ("jpeg", "png", "tiff", "webp", "ppm", "pgm", "pbm")
"""Formats trusted to Qt. It shows half a BMP or GIF without a word, so the core reads those."""

_WIDE = (
    QImage.Format.Format_RGBX16FPx4,
    QImage.Format.Format_RGBA16FPx4,
    QImage.Format.Format_RGBX32FPx4,
    QImage.Format.Format_RGBA32FPx4,
)
_SRGB = QColorSpace(QColorSpace.NamedColorSpace.SRgb)


@dataclass(frozen=True, slots=True)
class Header:
    """What is known of a picture before its pixels.

    ``width`` and ``height`` are those of the upright picture; ``reducible`` tells whether a
    small copy costs less than the whole; ``by_qt`` who decodes it; ``orientation`` is what is
    left to be applied after Qt's own reading (1: nothing).
    """

    width: int
    height: int
    reducible: bool
    by_qt: bool
    orientation: int = 1

    @property
    def size(self) -> QSize:
        """Return the upright size."""
        return QSize(self.width, self.height)


def prepare() -> None:
    """Set our own limit of memory, and silence Qt's log of faults that we say ourselves."""
    QImageReader.setAllocationLimit(ALLOCATION_MB)
    QLoggingCategory.setFilterRules("qt.gui.imageio*=false\nqt.imageformats*=false")


def look(path: Path) -> Header:
    """Return what the header of a picture says.

    Raises
    ------
    PictureError
        If it is missing, empty, no picture, damaged or above our limit of pixels.
    """
    # Asked by content, and only of the formats we trust: a drawing called .jpg is not run.
    with READING:
        name = QImageReader.imageFormat(str(path)).toStdString()
        reader = _reader(path)
        size = reader.size() if name in QT_FORMATS else QSize()
    if size.isValid() and not size.isEmpty():
        if size.width() * size.height() > MAX_PIXELS:
            raise PictureError(
                "picture.too_large", file=path.name, limit=MAX_PIXELS // 1_000_000
            )
        if name == "jpeg":
            if _jpeg_ends(path):
                with READING:
                    turned = reader.transformation() & _TURNED_90
                upright = size.transposed() if turned else size
                return Header(upright.width(), upright.height(), reducible=True, by_qt=True)
        else:
            # Not all of Qt's readers know the orientation that the core reads.
            with opened(path) as image:
                orientation = orientation_of(image)
                if not _looks_the_same(image):
                    return Header(*upright_size(image), reducible=False, by_qt=False)
            upright = size.transposed() if orientation in TURNED else size
            return Header(
                upright.width(),
                upright.height(),
                reducible=False,
                by_qt=True,
                orientation=orientation,
            )
    return _look_by_core(path)


def preview(path: Path, header: Header, room: QSize) -> QImage:
    """Return a reduced copy that fits the room; only for a ``reducible`` picture.

    Raises
    ------
    PictureError
        If it cannot be decoded.
    """
    reader = _reader(path)
    reader.setAutoTransform(True)
    wanted = header.size.scaled(room, Qt.AspectRatioMode.KeepAspectRatio)
    wanted = wanted.expandedTo(QSize(1, 1)).boundedTo(header.size)
    with READING:
        turned = reader.transformation() & _TURNED_90
        # Qt wants the size before the turn.
        reader.setScaledSize(wanted.transposed() if turned else wanted)
        image = reader.read()
    if image.isNull():
        raise PictureError("picture.damaged", file=path.name, reason=reader.errorString())
    return _for_screen(image)


def whole(
    path: Path,
    header: Header,
    watch: Callable[[float], bool] = lambda _fraction: True,
) -> QImage:
    """Return the whole picture, upright, sRGB, 32 bits a pixel.

    Parameters
    ----------
    watch
        Called with the share of the file that has been read; returns whether to go on. When
        it says no, the decoder runs out of data and what comes back is of no use.

    Raises
    ------
    PictureError
        If it cannot be decoded.
    """
    if not header.by_qt:
        return _whole_by_core(path)
    file = WatchedFile(path, watch)
    try:
        with READING:
            reader = QImageReader(file)
            reader.setAutoTransform(header.reducible)
            image = reader.read()
    finally:
        file.close()
    if file.abandoned:
        return image
    if image.isNull() or image.format() in _WIDE:
        return _whole_by_core(path)
    image = _for_screen(image)
    return image if header.orientation == 1 else _turned(image, header.orientation)


def pyramid(image: QImage) -> Iterator[QImage]:
    """Yield the picture and its halves, quarters ... largest first."""
    yield image
    while max(image.width(), image.height()) > SMALLEST_SIDE:
        image = _half(image)
        yield image


def sample(image: QImage, room: QSize) -> QImage:
    """Return a small copy by taking single pixels: coarse, but at once."""
    return image.scaled(
        room, Qt.AspectRatioMode.KeepAspectRatio, Qt.TransformationMode.FastTransformation
    )


def thumbnail(path: Path, box: QSize, region: Box | None = None) -> QImage:
    """Return a copy of a picture, or of a region of it, that fits a box (device pixels).

    Raises
    ------
    PictureError
        If it cannot be decoded.
    """
    header = look(path)
    part = region or Box(0, 0, header.width, header.height)
    share = min(
        box.width() / max(part.width, 1.0), box.height() / max(part.height, 1.0), 1.0
    )
    room = QSize(round(header.width * share), round(header.height * share))
    room = room.expandedTo(QSize(1, 1))
    if header.reducible:
        small = preview(path, header, room)
    else:
        small = whole(path, header)
        for level in pyramid(small):
            if level.width() < room.width():
                break
            small = level
        small = small.scaled(
            room,
            Qt.AspectRatioMode.IgnoreAspectRatio,
            Qt.TransformationMode.SmoothTransformation,
        )
    if region is None:
        return small
    sx, sy = small.width() / header.width, small.height() / header.height
    cut = QRectF(part.x * sx, part.y * sy, part.width * sx, part.height * sy)
    return small.copy(cut.toAlignedRect() & small.rect())


_TURNED_90 = QImageIOHandler.Transformation.TransformationRotate90


def _reader(path: Path) -> QImageReader:
    reader = QImageReader(str(path))
    reader.setDecideFormatFromContent(True)
    return reader


def _jpeg_ends(path: Path) -> bool:
    """Return whether the main picture of a JPEG file has its end marker.

    In compressed data FF is followed by 00 or a restart number, so FF D9 is found only where
    a picture ends (ISO/IEC 10918-1, from memory); an end before the first scan belongs to a
    thumbnail. Without this, a file that was cut short is shown with a grey lower half.
    """
    with (
        path.open("rb") as file,
        mmap.mmap(file.fileno(), 0, access=mmap.ACCESS_READ) as data,
    ):
        at = 2
        while at + 4 <= len(data) and data[at] == 0xFF:
            marker = data[at + 1]
            if marker == 0xDA:
                return data.rfind(b"\xff\xd9", at) >= 0
            if marker == 0xFF:
                at += 1
            else:
                at += 2 + int.from_bytes(data[at + 2 : at + 4], "big")
    return False


def _looks_the_same(image: Image) -> bool:
    """Return whether Qt shows an open picture as the core does.

    It shows greys of 16 bits over their whole range, which leaves a camera of 12 bits all
    but black, takes bands of no told meaning (TIFF tag 338) for transparency, and the
    colours of Lab for those of a screen.
    """
    if image.mode in ("I", "F", "LAB") or image.mode.startswith("I;16"):
        return False
    tags = getattr(image, "tag_v2", {})
    return 0 not in (tags.get(338) or ())


def _look_by_core(path: Path) -> Header:
    with suppress(OSError):  # Whatever hinders a look at the file is said by the core.
        if path.is_dir():
            raise PictureError("picture.is_folder", file=path.name)
        if path.stat().st_size == 0:
            raise PictureError("picture.empty", file=path.name)
    with opened(path) as image:
        width, height = upright_size(image)
    return Header(width, height, reducible=False, by_qt=False)


def _whole_by_core(path: Path) -> QImage:
    """Decode by the core, and carry the pixels over strip by strip."""
    with opened(path) as image:
        made = eight_bits(turned_upright(image))
        width, height = made.size
        out = _blank(width, height, path)
        for top in range(0, height, ROWS):
            sleep(BREATH_S)
            rows = min(ROWS, height - top)
            strip = made.crop((0, top, width, top + rows)).tobytes("raw", "BGRX")
            _paste(
                out,
                QImage(strip, width, rows, width * 4, QImage.Format.Format_RGB32),
                top,
            )
    return out


def _for_screen(image: QImage) -> QImage:
    """Return the picture as sRGB without alpha; transparent parts become white."""
    space = image.colorSpace()
    plain = not space.isValid() or space == _SRGB
    if plain and image.format() == QImage.Format.Format_RGB32:
        return image
    out = _blank(image.width(), image.height())
    out.fill(Qt.GlobalColor.white)
    for top, strip in _strips(image):
        if not plain:
            converted = strip.convertedToColorSpace(_SRGB)
            strip = strip if converted.isNull() else converted
        if strip.format() == QImage.Format.Format_CMYK8888:
            strip = strip.convertToFormat(QImage.Format.Format_RGB32)
        _paste(out, strip, top)
    return out


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


def _half(image: QImage) -> QImage:
    width, height = (image.width() + 1) // 2, (image.height() + 1) // 2
    out = _blank(width, height)
    for top, strip in _strips(image):
        small = strip.scaled(
            width,
            (strip.height() + 1) // 2,
            Qt.AspectRatioMode.IgnoreAspectRatio,
            Qt.TransformationMode.SmoothTransformation,
        )
        _paste(out, small, top // 2)
    return out


def _turned(image: QImage, orientation: int) -> QImage:
    """Return the picture with an EXIF orientation (2 to 8) applied, strip by strip."""
    turn = QTransform(*_TURNS[orientation], 0, 0)
    frame = turn.mapRect(QRect(0, 0, image.width(), image.height()))
    out = _blank(frame.width(), frame.height())
    painter = QPainter(out)
    for top, strip in _strips(image):
        place = turn.mapRect(QRect(0, top, strip.width(), strip.height()))
        painter.drawImage(place.topLeft() - frame.topLeft(), strip.transformed(turn))
    painter.end()
    return out


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


def _blank(width: int, height: int, path: Path | None = None) -> QImage:
    image = QImage(width, height, QImage.Format.Format_RGB32)
    if image.isNull():
        raise PictureError("picture.no_memory", file=path.name if path else "")
    return image


def _paste(out: QImage, strip: QImage, top: int) -> None:
    painter = QPainter(out)
    painter.drawImage(0, top, strip)
    painter.end()
