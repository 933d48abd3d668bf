"""The picture itself, drawn from whichever reduced copy suits the zoom."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QRect, QRectF, QSize
from PySide6.QtGui import QImage, QPainter
from PySide6.QtWidgets import QGraphicsItem, QStyleOptionGraphicsItem, QWidget

TRUE_PIXELS_FROM = 2.0
"""Device pixels per picture pixel from which pixels are shown as squares."""


class PyramidItem(QGraphicsItem):
    """A picture at its full size in the scene, whatever copies of it are at hand.

    Reduced copies are not for speed alone: drawn straight from the whole picture, ribs and
    the ticks of a ruler shimmer and break up.
    """

    def __init__(self) -> None:
        super().__init__()
        # Without this flag exposedRect is the whole picture.
        self.setFlag(QGraphicsItem.GraphicsItemFlag.ItemUsesExtendedStyleOption)
        self._frame = QRectF()
        self._levels: tuple[QImage, ...] = ()

    @property
    def largest(self) -> QImage | None:
        """Return the largest copy at hand."""
        return self._levels[0] if self._levels else None

    def set_size(self, size: QSize) -> None:
        """Take the upright full size of another picture, forgetting the one before."""
        self.prepareGeometryChange()
        self._frame = QRectF(0, 0, size.width(), size.height())
        self._levels = ()

    def set_levels(self, levels: Sequence[QImage]) -> None:
        """Show these copies, largest first."""
        self._levels = tuple(levels)
        self.update()

    def boundingRect(self) -> QRectF:
        """Return the frame of the picture."""
        return self._frame

    def paint(
        self,
        painter: QPainter,
        option: QStyleOptionGraphicsItem,
        _widget: QWidget | None = None,
    ) -> None:
        """Draw what is exposed."""
        if not self._levels:
            return
        zoom = option.levelOfDetailFromTransform(painter.worldTransform())
        exposed = option.exposedRect & self._frame
        draw_part(painter, self._levels, self._frame, exposed, zoom)


def draw_part(
    painter: QPainter,
    levels: Sequence[QImage],
    frame: QRectF,
    part: QRectF,
    zoom: float,
) -> None:
    """Draw a part of a picture that fills ``frame``, at ``zoom`` device pixels per pixel."""
    image = levels[0]
    for smaller in levels[1:]:
        if smaller.width() / frame.width() >= zoom - 1e-6:
            image = smaller
    sx, sy = image.width() / frame.width(), image.height() / frame.height()
    source = (
        QRect(
            int(part.x() * sx) - 1,
            int(part.y() * sy) - 1,
            int(part.width() * sx) + 3,
            int(part.height() * sy) + 3,
        )
        & image.rect()
    )
    painter.setRenderHint(
        QPainter.RenderHint.SmoothPixmapTransform, zoom < TRUE_PIXELS_FROM or sx < 1
    )
    target = QRectF(
        source.x() / sx, source.y() / sy, source.width() / sx, source.height() / sy
    )
    painter.drawImage(target, image, QRectF(source))
