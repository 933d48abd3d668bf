"""The picture adjusted for the eye: what is in view, worked out in the background.

Over the picture lies its adjusted copy of the part in view and a margin around it. Moved
beyond that margin, or zoomed, the picture shows plain at the rim until the next copy is there;
whatever comes too late is dropped.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, floor
from typing import TYPE_CHECKING

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QImage, QPainter
from PySide6.QtWidgets import QGraphicsItem, QStyleOptionGraphicsItem, QWidget

from app.canvas.pyramid import TRUE_PIXELS_FROM, draw_part
from landmarks.instruments.seeing import Seeing, seen

if TYPE_CHECKING:
    from numpy import uint8
    from numpy.typing import NDArray

ROWS = 128
"""Rows that are drawn at a time: the interpreter lock is held that long."""

_SAMPLE_PX = 300


@dataclass(frozen=True, slots=True)
class Adjusted:
    """An adjusted copy: what it shows of the scene, at how many of its pixels per pixel."""

    image: QImage
    part: QRectF
    finesse: float
    zoom: float


class AdjustedItem(QGraphicsItem):
    """Lies over the picture, below every mark."""

    def __init__(self) -> None:
        super().__init__()
        self.setFlag(QGraphicsItem.GraphicsItemFlag.ItemUsesExtendedStyleOption)
        self.setZValue(0.5)
        self._copy: Adjusted | None = None
        self._frame = QRectF()

    def show_copy(self, copy: Adjusted | None, frame: QRectF) -> None:
        """Show this copy, within the frame of the picture; None: nothing."""
        self.prepareGeometryChange()
        self._copy, self._frame = copy, frame
        self.update()

    def boundingRect(self) -> QRectF:
        """Return what is covered."""
        return QRectF() if self._copy is None else self._copy.part & self._frame

    def paint(
        self,
        painter: QPainter,
        option: QStyleOptionGraphicsItem,
        _widget: QWidget | None = None,
    ) -> None:
        """Draw what is exposed."""
        copy = self._copy
        if copy is None:
            return
        k = copy.finesse
        target = option.exposedRect & copy.part & self._frame
        if target.isEmpty():
            return
        left = floor((target.x() - copy.part.x()) * k)
        top = floor((target.y() - copy.part.y()) * k)
        right = ceil((target.right() - copy.part.x()) * k)
        bottom = ceil((target.bottom() - copy.part.y()) * k)
        source = QRectF(left, top, right - left, bottom - top) & QRectF(copy.image.rect())
        place = QRectF(
            copy.part.x() + source.x() / k,
            copy.part.y() + source.y() / k,
            source.width() / k,
            source.height() / k,
        )
        painter.save()
        painter.setClipRect(self._frame, Qt.ClipOperation.IntersectClip)
        painter.setRenderHint(
            QPainter.RenderHint.SmoothPixmapTransform, copy.zoom < TRUE_PIXELS_FROM
        )
        painter.drawImage(place, copy.image, source)
        painter.restore()


def adjust(
    levels: Sequence[QImage],
    frame: QRectF,
    part: QRectF,
    zoom: float,
    how: Seeing,
    whole: NDArray[uint8] | None,
) -> Adjusted:
    """Return the adjusted copy of a part of the scene; in any thread.

    Parameters
    ----------
    zoom
        Device pixels per pixel of the picture; the copy is no finer than the picture.
    whole
        What :func:`sample_of` says of the picture.
    """
    finesse = min(zoom, levels[0].width() / frame.width())
    part = _within(part, frame, finesse)
    image = _drawn(levels, frame, part, finesse)
    plain = image.convertToFormat(QImage.Format.Format_RGB888)
    _put(seen(_pixels(plain), how, whole), image)
    return Adjusted(image, part, finesse, zoom)


def sample_of(levels: Sequence[QImage]) -> NDArray[uint8]:
    """Return a few pixels of the whole picture, by which colours are balanced."""
    smallest = levels[-1]
    step = max(1, max(smallest.width(), smallest.height()) // _SAMPLE_PX)
    plain = smallest.convertToFormat(QImage.Format.Format_RGB888)
    return _pixels(plain)[::step, ::step].copy()


def _within(part: QRectF, frame: QRectF, finesse: float) -> QRectF:
    """Return the part that lies in the frame, begun and ended on whole pixels of the copy."""
    inner = part & frame
    left = floor((inner.left() - part.left()) * finesse)
    top = floor((inner.top() - part.top()) * finesse)
    width = ceil((inner.right() - part.left()) * finesse) - left
    height = ceil((inner.bottom() - part.top()) * finesse) - top
    return QRectF(
        part.left() + left / finesse,
        part.top() + top / finesse,
        max(1, width) / finesse,
        max(1, height) / finesse,
    )


def _drawn(levels: Sequence[QImage], frame: QRectF, part: QRectF, finesse: float) -> QImage:
    """Return the plain part, drawn in strips."""
    width, height = round(part.width() * finesse), round(part.height() * finesse)
    image = QImage(width, height, QImage.Format.Format_RGB32)
    image.fill(Qt.GlobalColor.gray)
    painter = QPainter(image)
    painter.scale(finesse, finesse)
    painter.translate(-part.x(), -part.y())
    for top in range(0, height, ROWS):
        strip = QRectF(
            part.x(), part.y() + top / finesse, part.width(), ROWS / finesse
        ).intersected(part)
        painter.setClipRect(strip)
        draw_part(painter, levels, frame, strip & frame, finesse)
    painter.end()
    return image


def _pixels(image: QImage) -> NDArray[uint8]:
    """Return red, green and blue of an image of 24 bits, for as long as that lives."""
    import numpy as np

    flat = np.frombuffer(image.constBits(), np.uint8)
    rows = flat.reshape(image.height(), image.bytesPerLine())[:, : 3 * image.width()]
    return rows.reshape(image.height(), image.width(), 3)


def _put(pixels: NDArray[uint8], image: QImage) -> None:
    """Put red, green and blue into an image, strip by strip; Qt changes the layout."""
    height, width = pixels.shape[:2]
    painter = QPainter(image)
    painter.setCompositionMode(QPainter.CompositionMode.CompositionMode_Source)
    for top in range(0, height, ROWS):
        strip = pixels[top : top + ROWS]
        even = QImage(strip.data, width, len(strip), 3 * width, QImage.Format.Format_RGB888)
        painter.drawImage(0, top, even)
    painter.end()
