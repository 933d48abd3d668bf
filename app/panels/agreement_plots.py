"""Two small plots of how a measure repeats: differences against the mean, and over time.

Record and repeat of one specimen are one point. Those of the chosen pair are filled, the
others hollow; lines are told apart by their dashes, never by colour alone.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import ceil, floor, hypot

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.panels.plotting import draw_dot, draw_level, draw_line, round_above
from app.style import focus
from app.style.fonts import line_height, scaled
from app.style.widgets.painted import Painted, rounded, smooth, text_width, write
from landmarks.outputs.differences import Points, points_of
from landmarks.repeats import Repeated
from landmarks.sentences import say, text
from landmarks.sentences.numbers import plain

Way = Callable[[float], float]
"""From a value to its place along an axis."""

_DOT, _RING, _REACH = 3.4, 1.5, 9.0
_HIGH, _WIDE = 152, 300


class DifferencePlot(Painted):
    """One of the two plots; arrow keys and clicks choose a pair.

    Signals
    -------
    chosen(int)
        The index of a pair among those of the measure.
    """

    chosen = Signal(int)

    def __init__(self, kind: str, parent: QWidget | None = None) -> None:
        self._kind, self._points, self._at = kind, Points(), -1
        self._title = say(f"agreement.plot.{kind}")
        super().__init__(parent)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName(self._title)

    def show_measure(self, row: Repeated | None, name: str, at: int) -> None:
        """Show a measure and its chosen pair; None shows nothing."""
        self._points = Points() if row is None else points_of(row, self._kind)
        self._at = at
        self.setAccessibleName(self._spoken(name))
        self.update()

    def choose(self, at: int) -> None:
        """Fill the point of another pair."""
        if at != self._at:
            self._at = at
            self.update()

    def places(self) -> list[QPointF]:
        """Return where the points stand, in the order of the pairs."""
        if not self._points.x:
            return []
        to_x, to_y = self._ways(self._field())
        return [
            QPointF(to_x(x), to_y(y))
            for x, y in zip(self._points.x, self._points.y, strict=True)
        ]

    def sizeHint(self) -> QSize:
        """Return the size it would like."""
        return QSize(scaled(_WIDE), scaled(_HIGH) + line_height("caption"))

    def minimumSizeHint(self) -> QSize:
        """Return the least size in which it can be read."""
        return QSize(scaled(200), scaled(120))

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Choose the point nearest to the pointer, within reach."""
        here = event.position()
        away = [
            (hypot(p.x() - here.x(), p.y() - here.y()), k)
            for k, p in enumerate(self.places())
        ]
        nearest = min(away, default=(_REACH + 1, -1))
        if nearest[0] <= _REACH:
            self.chosen.emit(nearest[1])

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Go to the pair at the left or right."""
        turn = {Qt.Key.Key_Left: -1, Qt.Key.Key_Right: 1}.get(Qt.Key(event.key()))
        if turn is None or not self._points.x:
            super().keyPressEvent(event)
            return
        order = sorted(range(len(self._points.x)), key=lambda k: self._points.x[k])
        at = order.index(self._at) + turn if self._at in order else 0
        self.chosen.emit(order[min(max(at, 0), len(order) - 1)])

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Paint it in the colours on screen."""
        painter = smooth(self)
        whole = QRectF(self.rect()).adjusted(0.5, 0.5, -0.5, -0.5)
        rounded(painter, QRectF(self.rect()), 6, "raised", "line")
        title = QRectF(10, 4, whole.width() - 20, line_height("caption"))
        write(painter, title, self._title, "caption", "ink2")
        if self._points.x:
            self._paint(painter, self._field())
        else:
            middle = Qt.AlignmentFlag.AlignCenter
            none = say("agreement.plot.none")
            write(painter, whole.adjusted(8, 0, -8, 0), none, "caption", "ink2", middle)
        if self.hasFocus():
            focus.paint_ring(painter, whole, 6)
        painter.end()

    # -- inside ----------------------------------------------------------------------------

    def _field(self) -> QRectF:
        """Return the room between the axes."""
        high = line_height("caption")
        left = max((text_width(w, "caption") for _, w in self._y_ticks()), default=20) + 14
        return QRectF(self.rect()).adjusted(left, high + 12, -14, -(2 * high + 10))

    def _spans(self) -> tuple[tuple[float, float], tuple[float, float]]:
        found = self._points
        y = [*found.y, *(found.limits or ()), 0.0]
        return _widened(found.x), _widened(y)

    def _ways(self, field: QRectF) -> tuple[Way, Way]:
        (left, right), (low, high) = self._spans()
        across, up = field.width() / (right - left), field.height() / (high - low)
        return (
            lambda x: field.left() + (x - left) * across,
            lambda y: field.bottom() - (y - low) * up,
        )

    def _y_ticks(self) -> list[tuple[float, str]]:
        return _ticks(*self._spans()[1], 4, self._points.unit)

    def _paint(self, painter: QPainter, field: QRectF) -> None:
        found = self._points
        to_x, to_y = self._ways(field)
        high = line_height("caption")
        for value, words in self._y_ticks():
            draw_level(painter, field, to_y(value), words)
        for value, words in _ticks(*self._spans()[0], max(2, int(field.width() / 70)), ""):
            wide = text_width(words, "caption") + 2
            place = QRectF(to_x(value) - wide / 2, field.bottom() + 2, wide, high)
            foot = to_x(value), field.bottom()
            draw_line(painter, foot, (foot[0], foot[1] + 3), "edge")
            write(painter, place, words, "caption", "ink2", Qt.AlignmentFlag.AlignHCenter)
        name = QRectF(field.left(), field.bottom() + high, field.width(), high)
        right = Qt.AlignmentFlag.AlignRight
        write(painter, name, text(found.x_words), "caption", "ink2", right)
        corner = field.left(), field.bottom()
        draw_line(painter, corner, (field.right(), field.bottom()), "edge")
        draw_line(painter, (field.left(), field.top()), corner, "edge")
        self._paint_levels(painter, field)
        self._paint_points(painter)

    def _paint_levels(self, painter: QPainter, field: QRectF) -> None:
        found = self._points
        to_x, to_y = self._ways(field)
        painter.save()
        painter.setClipRect(field)
        if found.middle is not None:
            y = to_y(found.middle)
            draw_line(painter, (field.left(), y), (field.right(), y), "accent", 1.6)
        for limit in found.limits or ():
            y = to_y(limit)
            ends = (field.left(), y), (field.right(), y)
            draw_line(painter, *ends, "accent", 1.4, (5, 4))
        if found.slope is not None:
            slope, start = found.slope
            left, right = self._spans()[0]
            first, last = [(to_x(x), to_y(start + slope * x)) for x in (left, right)]
            draw_line(painter, first, last, "caution", 1.6, (8, 3, 2, 3))
        painter.restore()

    def _paint_points(self, painter: QPainter) -> None:
        places = self.places()
        for at, place in enumerate(places):
            if at != self._at:
                draw_dot(painter, place, _DOT, "ink2", hollow=_RING)
        # The chosen one comes last, above those that lie on it.
        if 0 <= self._at < len(places):
            draw_dot(painter, places[self._at], _DOT + 1.4 + _RING / 2, "accent")

    def _spoken(self, name: str) -> str:
        found = self._points
        values = {"title": self._title, "name": name, "n": len(found.x)}
        if found.limits is None or found.middle is None:
            return say("agreement.plot.spoken.bare", **values)
        low, high = (plain(one) for one in found.limits)
        return say(
            "agreement.plot.spoken", bias=plain(found.middle), low=low, high=high, **values
        )


def _widened(values: Sequence[float]) -> tuple[float, float]:
    low, high = min(values), max(values)
    room = (high - low) * 0.08 or abs(high) * 0.05 or 1.0
    return low - room, high + room


def _ticks(low: float, high: float, most: int, unit: str) -> list[tuple[float, str]]:
    """Return round values of an axis with their words, the unit on the last one only."""
    step = round_above((high - low) / max(most, 1), (1, 2, 2.5, 5, 10))
    values = [k * step for k in range(ceil(low / step), floor(high / step) + 1)]
    words = [plain(round(value, 10)) for value in values]
    if words and unit:
        words[-1] = f"{words[-1]} {unit}"
    return list(zip(values, words, strict=True))
