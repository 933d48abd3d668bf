"""The scale bar on the picture: a round length, where it covers neither marks nor names."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from PySide6.QtCore import QPointF, QRect, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPen

from app.style import fonts
from app.style.tokens import MARKS
from app.style.widgets.plate import paint_ground
from landmarks.figures import ScaleBar, scale_bar
from landmarks.sentences import Number, number

MARGIN = 12
_PADDING = 10.0
_AWAY, _COVERED, _COVERS = 16.0, 7.0, 3
"""Marks so near are in the way, those nearer than the second are covered: as bad as three."""
_SHARES = 1.0, 0.5
"""Of the usual length: where all corners are taken the bar is shorter."""

_Place = tuple[float, float]
"""Where the bar stands in the free width and the free height of the view, from 0 to 1."""

# Top right first, where it is least in the way of a shell that stands on its umbo.
_CORNERS: tuple[_Place, ...] = ((1, 0), (0, 0), (1, 1), (0, 1))
_EDGES: tuple[_Place, ...] = tuple(
    place
    for along in (0.5, 0.25, 0.75, 0.125, 0.375, 0.625, 0.875)
    for place in ((along, 0.0), (along, 1.0), (1.0, along), (0.0, along))
)


class ScaleBarOverlay:
    """Where the bar is and how long; in logical pixels of the viewport."""

    def __init__(self) -> None:
        self._bars: tuple[ScaleBar, ...] = ()
        self._bar: ScaleBar | None = None
        self._place = _CORNERS[0]
        self._view = QSize()

    def fit(self, mm_per_px: float | None, zoom: float, view: QSize) -> None:
        """Choose the length for this zoom; without a scale there is no bar."""
        self._view = view
        least, most = MARKS.scale_bar_px
        self._bars = ()
        if mm_per_px is not None:
            # A picture pixel is ``zoom`` screen pixels wide.
            here = mm_per_px / zoom
            self._bars = tuple(scale_bar(here, least * by, most * by) for by in _SHARES)
        self._bar = next(iter(self._bars), None)

    def avoid(
        self, marks: Iterable[tuple[float, float]], names: Iterable[QRectF] = ()
    ) -> None:
        """Go where no mark and no name lies, or the fewest marks; stay where that is free.

        A name that is read is never covered: where one lies everywhere there is no bar.
        """
        places, read = list(marks), list(names)
        least: int | None = None
        chosen: tuple[ScaleBar | None, _Place] = None, self._place
        for bar, place in self._ways():
            rect = QRectF(self._rect(bar, place))
            if any(rect.intersects(name) for name in read):
                continue
            cost = _n_within(rect, _AWAY, places)
            if cost:
                cost += (_COVERS - 1) * _n_within(rect, _COVERED, places)
            if least is None or cost < least:
                least, chosen = cost, (bar, place)
            if not cost:
                break
        self._bar, self._place = chosen

    def rect(self) -> QRect:
        """Return what it covers; empty where there is no bar."""
        return QRect() if self._bar is None else self._rect(self._bar, self._place)

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
        painter.drawText(words, Qt.AlignmentFlag.AlignCenter, _words(self._bar))
        left = rect.center().x() - self._bar.length_px / 2
        y = rect.bottom() - 8
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)  # noqa: FBT003
        painter.setPen(QPen(QColor(MARKS.plate_ink), 3, c=Qt.PenCapStyle.FlatCap))
        painter.drawLine(QPointF(left, y), QPointF(left + self._bar.length_px, y))
        painter.restore()

    def _ways(self) -> Iterator[tuple[ScaleBar, _Place]]:
        """Yield how long it may be and where, best first: where it is before other places."""
        for spots in (_CORNERS, _EDGES):
            for bar in self._bars:
                for place in sorted(spots, key=lambda one: one != self._place):
                    yield bar, place

    def _rect(self, bar: ScaleBar, place: _Place) -> QRect:
        metrics = QFontMetricsF(fonts.font("plate"))
        width = max(bar.length_px, metrics.horizontalAdvance(_words(bar)))
        width, height = width + 2 * _PADDING, metrics.height() + 18
        x = MARGIN + place[0] * (self._view.width() - 2 * MARGIN - width)
        y = MARGIN + place[1] * (self._view.height() - 2 * MARGIN - height)
        return QRectF(x, y, width, height).toAlignedRect()


def _words(bar: ScaleBar) -> str:
    return number(Number(float(f"{bar.length_mm:.6g}"), unit="mm"))


def _n_within(rect: QRectF, away: float, places: Sequence[tuple[float, float]]) -> int:
    left, right = rect.left() - away, rect.right() + away
    top, bottom = rect.top() - away, rect.bottom() + away
    return sum(left <= x <= right and top <= y <= bottom for x, y in places)
