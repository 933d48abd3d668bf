"""Pictures decoded for the screen: reduced, whole, as a pyramid; upright, sRGB, 32 bits.

Qt decodes, because its pixels need no second copy; what Qt cannot read, or reads without
noticing that the file is cut short, goes through the core. What may die, or takes long and
cannot be interrupted, is decoded by the core in a process of its own.
"""

from __future__ import annotations

import mmap
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QLoggingCategory, QRectF, QSize, Qt
from PySide6.QtGui import QImage, QImageIOHandler, QImageReader

from app.background import by_core
from app.background.by_core import Header, go_on
from app.background.carrying import for_screen, half, turned
from app.background.watched import format_of, read_watched, reader_of
from landmarks.errors import PictureError
from landmarks.geometry import Box
from landmarks.picture import (
    MAX_PIXELS,
    TURNED,
    is_read_apart,
    opened,
    upright_size,
)
from landmarks.picture import orientation as orientation_of

if TYPE_CHECKING:
    from PIL.Image import Image

ALLOCATION_MB = 2048
"""Qt refuses single pictures above this; 400 megapixels at 4 bytes need 1600."""

SMALLEST_SIDE = 1024
"""The pyramid ends where the longer side is this or less."""

_WIDE = (
    QImage.Format.Format_RGBX16FPx4,
    QImage.Format.Format_RGBA16FPx4,
    QImage.Format.Format_RGBX32FPx4,
    QImage.Format.Format_RGBA32FPx4,
)


def prepare() -> None:
    """Set our own limit of memory, and silence Qt's log of faults that we say ourselves."""
    QImageReader.setAllocationLimit(ALLOCATION_MB)
    QLoggingCategory.setFilterRules("qt.gui.imageio*=false\nqt.imageformats*=false")


def look(path: Path, watch: Callable[[float], bool] = go_on) -> Header:
    """Return what the header of a picture says.

    Parameters
    ----------
    watch
        As for :func:`whole`.

    Raises
    ------
    PictureError
        If it is missing, empty, no picture, damaged or above our limit of pixels.
    """
    if is_read_apart(path):
        return by_core.look(path, watch)
    # Asked by content, and only of the formats we trust: a drawing called .jpg is not run.
    name, reader = format_of(path), reader_of(path)
    size = reader.size() if name else QSize()
    if size.isValid() and not size.isEmpty():
        if size.width() * size.height() > MAX_PIXELS:
            raise PictureError(
                "picture.too_large", file=path.name, limit=MAX_PIXELS // 1_000_000
            )
        if name == "jpeg":
            if _jpeg_ends(path):
                sideways = reader.transformation() & _TURNED_90
                upright = size.transposed() if sideways else size
                return Header(upright.width(), upright.height(), reducible=True, by_qt=True)
        else:
            # Not all of Qt's readers know the orientation that the core reads.
            with opened(path) as image:
                orientation = orientation_of(image)
                if not _looks_the_same(image) or _asks_for_all_at_once(name, size):
                    return by_core.header_of(path, *upright_size(image))
            upright = size.transposed() if orientation in TURNED else size
            return Header(
                upright.width(),
                upright.height(),
                reducible=False,
                by_qt=True,
                orientation=orientation,
            )
    return by_core.look(path, watch)


def first_sight(
    path: Path, header: Header, room: QSize, watch: Callable[[float], bool] = go_on
) -> QImage | None:
    """Return what can be seen long before the whole picture is there, or nothing.

    Parameters
    ----------
    watch
        As for :func:`whole`; when it says no, what comes back is of no use.

    Raises
    ------
    PictureError
        If it cannot be decoded.
    """
    larger = header.width * header.height > 1.5 * room.width() * room.height()
    if not larger:
        return None
    if header.reducible:
        return preview(path, header, room, watch)
    return by_core.reduced(path, header, room, watch) if header.apart else None


def preview(
    path: Path, header: Header, room: QSize, watch: Callable[[float], bool] = go_on
) -> QImage:
    """Return a reduced copy that fits the room; only for a ``reducible`` picture.

    Raises
    ------
    PictureError
        If it cannot be decoded.
    """
    wanted = header.size.scaled(room, Qt.AspectRatioMode.KeepAspectRatio)
    wanted = wanted.expandedTo(QSize(1, 1)).boundedTo(header.size)
    reader = reader_of(path)
    reader.setAutoTransform(True)
    sideways = reader.transformation() & _TURNED_90
    # Qt wants the size before the turn.
    reader.setScaledSize(wanted.transposed() if sideways else wanted)
    image = read_watched(reader, path, watch)
    if image is None:
        return QImage()
    if image.isNull():
        raise PictureError("picture.damaged", file=path.name, reason=reader.errorString())
    return for_screen(image)


def whole(
    path: Path,
    header: Header,
    watch: Callable[[float], bool] = go_on,
) -> QImage:
    """Return the whole picture, upright, sRGB, 32 bits a pixel.

    Parameters
    ----------
    watch
        Called with the share of the work that is done; returns whether to go on. When it
        says no, the decoder runs out of data, or its process is ended: what comes back is
        of no use, or is the sentence that it was given up.

    Raises
    ------
    PictureError
        If it cannot be decoded.
    """
    if not header.by_qt:
        return by_core.whole(path, header, watch)
    reader = reader_of(path)
    reader.setAutoTransform(header.reducible)
    image = read_watched(reader, path, watch)
    if image is None:
        return QImage()
    if image.isNull() or image.format() in _WIDE:
        return by_core.whole(path, header, watch)
    image = for_screen(image)
    return image if header.orientation == 1 else turned(image, header.orientation)


def pyramid(image: QImage) -> Iterator[QImage]:
    """Yield the picture and its halves, quarters ... largest first."""
    yield image
    while max(image.width(), image.height()) > SMALLEST_SIDE:
        image = half(image)
        yield image


def sample(image: QImage, room: QSize) -> QImage:
    """Return a small copy by taking single pixels: coarse, but at once."""
    return image.scaled(
        room, Qt.AspectRatioMode.KeepAspectRatio, Qt.TransformationMode.FastTransformation
    )


def thumbnail(
    path: Path,
    box: QSize,
    region: Box | None = None,
    watch: Callable[[float], bool] = go_on,
) -> QImage:
    """Return a copy of a picture, or of a region of it, that fits a box (device pixels).

    Parameters
    ----------
    watch
        As for :func:`whole`.

    Raises
    ------
    PictureError
        If it cannot be decoded.
    """
    header = look(path, watch)
    part = region or Box(0, 0, header.width, header.height)
    share = min(
        box.width() / max(part.width, 1.0), box.height() / max(part.height, 1.0), 1.0
    )
    room = QSize(round(header.width * share), round(header.height * share))
    room = room.expandedTo(QSize(1, 1))
    if header.reducible:
        small = preview(path, header, room, watch)
    else:
        n_pixels = header.width * header.height
        reduced = None
        if header.apart and n_pixels > by_core.LARGE:
            reduced = by_core.reduced(path, header, room, watch)
        small = whole(path, header, watch) if reduced is None else reduced
        if small.isNull():
            return small  # It was given up.
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
    but black.
    """
    return image.mode not in ("I", "F") and not image.mode.startswith("I;16")


def _asks_for_all_at_once(name: str, size: QSize) -> bool:
    """Return whether Qt's reader takes the whole file first, and then cannot be stopped."""
    return name == "webp" and size.width() * size.height() > by_core.LARGE
