"""The loupe: the pixels under the pointer four times enlarged, beside the pointer."""

from __future__ import annotations

from math import ceil

from PySide6.QtCore import QPointF, QRect, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QImage, QPainter, QPainterPath, QPen

from app.canvas import sprites
from app.canvas.pyramid import draw_part
from app.style.tokens import MARKS
from landmarks.geometry import Point
from landmarks.sentences import Number, number

GAP_PX = 34.0
"""Room between the pointer and the edge of the loupe."""


class Loupe:
    """Where the loupe is and what it shows; in logical pixels of the viewport."""

    def __init__(self) -> None:
        self._centre: QPointF | None = None
        self._point = Point(0.0, 0.0)
        self._zoom = float(MARKS.loupe_zoom)
        self._degrees = 0.0

    @property
    def shown(self) -> bool:
        """Return whether the loupe is on the screen."""
        return self._centre is not None

    def rect(self) -> QRect:
        """Return what it covers, its label included; empty while it is off."""
        if self._centre is None:
            return QRect()
        reach = MARKS.loupe_radius + 4
        return (
            QRectF(self._centre.x() - reach, self._centre.y() - reach, 2 * reach, 2 * reach)
            .adjusted(0, 0, 0, MARKS.plate_height + 8)
            .toAlignedRect()
        )

    def put(
        self, pointer: QPointF, point: Point, view: QSize, zoom: float, degrees: float
    ) -> None:
        """Show a point beside the pointer: at its right, or at its left near the border."""
        radius = MARKS.loupe_radius + 6
        x = pointer.x() + GAP_PX + radius
        if x + radius > view.width():
            x = pointer.x() - GAP_PX - radius
        below = radius + MARKS.plate_height + 4
        y = min(max(pointer.y(), radius), max(radius, view.height() - below))
        self._centre, self._point, self._degrees = QPointF(x, y), point, degrees
        # Where the view itself is as large, the loupe goes on ahead.
        self._zoom = float(max(MARKS.loupe_zoom, ceil(2 * zoom)))

    def hide(self) -> None:
        """Take the loupe away."""
        self._centre = None

    def paint(self, painter: QPainter, image: QImage | None, size: QSize) -> None:
        """Draw it over the viewport; ``image`` is the largest copy, ``size`` the full size."""
        if self._centre is None:
            return
        radius = float(MARKS.loupe_radius)
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.translate(self._centre)
        circle = QPainterPath()
        circle.addEllipse(QPointF(0, 0), radius, radius)
        painter.save()
        painter.setClipPath(circle)
        painter.fillRect(
            QRectF(-radius, -radius, 2 * radius, 2 * radius), QColor("#303030")
        )
        if image is not None:
            self._paint_pixels(painter, image, size, radius)
        painter.restore()
        painter.setBrush(Qt.BrushStyle.NoBrush)
        for width, colour in ((4.6, MARKS.dark), (2.0, MARKS.light)):
            painter.setPen(QPen(QColor(colour), width))
            painter.drawEllipse(QPointF(0, 0), radius, radius)
        gap = max(7.0, self._zoom * 0.75 + 3)
        for width, ink in ((3.0, sprites.case()), (1.2, QColor(MARKS.light))):
            painter.setPen(QPen(ink, width, c=Qt.PenCapStyle.FlatCap))
            for x, y in ((1, 0), (-1, 0), (0, 1), (0, -1)):
                painter.drawLine(
                    QPointF(x * gap, y * gap), QPointF(x * (radius - 4), y * (radius - 4))
                )
        self._paint_label(painter, radius)
        painter.restore()

    def _paint_pixels(
        self, painter: QPainter, image: QImage, size: QSize, radius: float
    ) -> None:
        painter.rotate(self._degrees)
        painter.scale(self._zoom, self._zoom)
        painter.translate(-self._point.x, -self._point.y)
        frame = QRectF(0, 0, size.width(), size.height())
        reach = radius / self._zoom * 1.45
        part = QRectF(self._point.x - reach, self._point.y - reach, 2 * reach, 2 * reach)
        if (part & frame).isEmpty():
            return
        draw_part(painter, (image,), frame, part & frame, self._zoom)

    def _paint_label(self, painter: QPainter, radius: float) -> None:
        ratio = painter.device().devicePixelRatio()
        plate = sprites.plate(f"{number(Number(self._zoom))} ×", ratio)
        size = plate.deviceIndependentSize()
        painter.drawPixmap(QPointF(-size.width() / 2, radius + 6), plate)
