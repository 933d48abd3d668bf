"""Thumbnails as the panels ask for them, and how they and empty places are drawn."""

from typing import Protocol

from PySide6.QtCore import QPointF, QRectF, QSizeF, Qt, SignalInstance
from PySide6.QtGui import QPainter, QPainterPath, QPen, QPixmap

from app.style import palette
from app.style.fonts import scaled
from app.style.icons import icon_pixmap
from app.style.tokens import ICON, RADIUS
from app.style.widgets.painted import rounded
from landmarks.geometry import Box


class Thumbnails(Protocol):
    """Small pictures made by somebody else: asked for at any time, told when they come."""

    @property
    def arrived(self) -> SignalInstance:
        """Return the signal that carries the id of a picture whose thumbnail has come."""

    def __call__(self, picture_id: str, region: Box | None = None) -> QPixmap | None:
        """Return the thumbnail of a picture, or of a region of it; None while there is none."""


def paint_thumbnail(painter: QPainter, where: QRectF, thumbnail: QPixmap | None) -> None:
    """Fill a rounded rectangle with a thumbnail, cut at its sides; a grey one without it."""
    if thumbnail is None or thumbnail.isNull():
        rounded(painter, where, 4, "sunken")
        edge = float(scaled(ICON.row))
        ratio = painter.device().devicePixelRatioF()
        mark = icon_pixmap("image", edge, "ink3", ratio)
        painter.drawPixmap(where.center() - QPointF(edge / 2, edge / 2), mark)
        return
    size = QSizeF(thumbnail.size())
    shown = where.size().scaled(size, Qt.AspectRatioMode.KeepAspectRatio)
    source = QRectF(QPointF(), shown)
    source.moveCenter(QRectF(QPointF(), size).center())
    path = QPainterPath()
    path.addRoundedRect(where, 4, 4)
    painter.save()
    painter.setClipPath(path)
    painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
    painter.drawPixmap(where, thumbnail, source)
    painter.restore()


def dashed(painter: QPainter, rect: QRectF, radius: float = RADIUS.card) -> None:
    """Draw the dashed edge of a place that is still empty."""
    pen = QPen(palette.colour("edge"), 1.3)
    pen.setDashPattern([4, 3])
    painter.setPen(pen)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRoundedRect(rect.adjusted(0.5, 0.5, -0.5, -0.5), radius, radius)
