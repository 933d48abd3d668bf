"""The scale bar on the picture: a round length, in a corner free of marks."""

from __future__ import annotations

from collections.abc import Iterable

from PySide6.QtCore import QPointF, QRect, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPen

from app.style import fonts
from app.style.tokens import MARKS
from app.style.widgets.plate import paint_ground
from landmarks.figures import ScaleBar, scale_bar
from landmarks.sentences import Number, number

MARGIN = 12
_PADDING = 10.0


class ScaleBarOverlay:
    """Where the bar is and how long; in logical pixels of the viewport."""

    def __init__(self) -> None:
        self._bar: ScaleBar | None = None
        self._corner = 0
        self._view = QSize()

    def fit(self, mm_per_px: float | None, zoom: float, view: QSize) -> None:
        """Choose the length for this zoom; without a scale there is no bar."""
        self._view = view
        least, most = MARKS.scale_bar_px
        # A picture pixel is ``zoom`` screen pixels wide.
        self._bar = None if mm_per_px is None else scale_bar(mm_per_px / zoom, least, most)

    def avoid(self, marks: Iterable[tuple[float, float]]) -> None:
        """Go to a corner where no mark lies, or the one with the fewest; stay if it is free."""
        if self._bar is None:
            return
        places = list(marks)
        counts = []
        for corner in range(4):
            room = QRectF(self._rect(corner)).adjusted(-16, -16, 16, 16)
            counts.append(sum(room.contains(QPointF(x, y)) for x, y in places))
        if counts[self._corner] > min(counts):
            self._corner = counts.index(min(counts))

    def rect(self) -> QRect:
        """Return what it covers; empty where there is no bar."""
        return self._rect(self._corner)

    def paint(self, painter: QPainter) -> None:
        """Draw the bar over the viewport."""
        if self._bar is None:
            return
        rect = QRectF(self.rect())
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        paint_ground(painter, rect)
        painter.setFont(fonts.font("plate"))
        painter.setPen(QColor(MARKS.plate_ink))
        words = rect.adjusted(0, 3, 0, -10)
        painter.drawText(words, Qt.AlignmentFlag.AlignCenter, self._words())
        left = rect.center().x() - self._bar.length_px / 2
        y = rect.bottom() - 8
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)  # noqa: FBT003
        painter.setPen(QPen(QColor(MARKS.plate_ink), 3, c=Qt.PenCapStyle.FlatCap))
        painter.drawLine(QPointF(left, y), QPointF(left + self._bar.length_px, y))
        painter.restore()

    def _words(self) -> str:
        assert self._bar is not None
        length = self._bar.length_mm
        return number(Number(float(f"{length:.6g}"), unit="mm"))

    def _rect(self, corner: int) -> QRect:
        if self._bar is None:
            return QRect()
        metrics = QFontMetricsF(fonts.font("plate"))
        width = max(self._bar.length_px, metrics.horizontalAdvance(self._words()))
        width, height = width + 2 * _PADDING, metrics.height() + 18
        # Top right first, where it is least in the way of a shell that stands on its umbo.
        right, bottom = corner in (0, 2), corner in (2, 3)
        x = self._view.width() - MARGIN - width if right else MARGIN
        y = self._view.height() - MARGIN - height if bottom else MARGIN
        return QRectF(x, y, width, height).toAlignedRect()
