"""A profile with its peaks, linked to the picture: the peak under the pointer is told."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QMouseEvent, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.panels.plotting import draw_line
from app.style import palette
from app.style.fonts import font, line_height, scaled
from app.style.widgets.painted import Painted, smooth, write
from landmarks.outputs.marks import SQUARE_SHARE

_MARK = 8.0
_REACH = 14.0


@dataclass(frozen=True, slots=True)
class Curve:
    """Values at even places from left to right; a filled one stands on the base."""

    values: tuple[float, ...]
    filled: bool = True


@dataclass(frozen=True, slots=True)
class Peak:
    """A numbered mark on the first curve, at a share of its width."""

    number: int
    place: float
    square: bool = False


class ProfilePlot(Painted):
    """Curves over one line of the picture, with numbered marks.

    Signals
    -------
    hovered(int)
        The index of the peak under the pointer, or -1.
    pointed(float)
        Where along the profile the pointer is, 0 to 1, or -1.
    """

    hovered = Signal(int)
    pointed = Signal(float)

    def __init__(self, caption: str, parent: QWidget | None = None) -> None:
        self._caption = caption
        self._curves: tuple[Curve, ...] = ()
        self._peaks: tuple[Peak, ...] = ()
        self._bands: tuple[tuple[float, float], ...] = ()
        self._noise = 0.0
        self._lit = -1
        self._cursor = -1.0
        super().__init__(parent)
        self.setMouseTracking(True)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleName(caption)

    def show_profile(
        self,
        curves: Sequence[Curve],
        peaks: Sequence[Peak] = (),
        *,
        bands: Sequence[tuple[float, float]] = (),
        noise: float = 0.0,
        words: str = "",
    ) -> None:
        """Show curves with their peaks.

        Parameters
        ----------
        bands
            Stretches from share to share of the width that are shaded.
        noise
            Height of the band about 0 within which all is noise, in the curves' unit.
        words
            What a screen reader says of it.
        """
        shown = tuple(curves), tuple(peaks), tuple(bands), noise
        if shown != (self._curves, self._peaks, self._bands, self._noise):
            self._curves, self._peaks, self._bands, self._noise = shown
            self.update()
        self.setAccessibleDescription(words)

    def light(self, index: int) -> None:
        """Show one peak as hovered; -1: none."""
        if index != self._lit:
            self._lit = index
            self.update()

    def set_cursor_at(self, share: float) -> None:
        """Show a line at a share of the width; below 0: none."""
        if share != self._cursor:
            self._cursor = share
            self.update()

    @property
    def lit(self) -> int:
        """Return the index of the peak that is shown as hovered, or -1."""
        return self._lit

    def place_of(self, index: int) -> QPointF:
        """Return where a peak is drawn."""
        return self._at(self._peaks[index].place)

    def sizeHint(self) -> QSize:
        """Return the size it would like."""
        return QSize(scaled(320), scaled(100))

    def minimumSizeHint(self) -> QSize:
        """Return the least size in which it can be read."""
        return QSize(scaled(180), scaled(84))

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Tell the peak under the pointer, and where along the profile it is."""
        x, room = event.position().x(), self._room()
        near = [(abs(self._at(one.place).x() - x), k) for k, one in enumerate(self._peaks)]
        away, index = min(near, default=(_REACH + 1, -1))
        index = index if away <= _REACH else -1
        if index != self._lit:
            self.light(index)
            self.hovered.emit(index)
        self.pointed.emit(min(max((x - room.left()) / max(room.width(), 1.0), 0.0), 1.0))

    def leaveEvent(self, event: QEvent) -> None:
        """Forget the pointer."""
        self.light(-1)
        self.hovered.emit(-1)
        self.pointed.emit(-1.0)
        super().leaveEvent(event)

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Paint base, bands, curves, then the numbered marks."""
        painter = smooth(self)
        room = self._room()
        for first, last in self._bands:
            left = room.left() + first * room.width()
            band = QRectF(left, room.top(), (last - first) * room.width(), room.height())
            painter.fillRect(band, palette.colour("caution_soft"))
        base = self._y(0.0)
        if self._noise:
            half = abs(self._y(self._noise) - base)
            noise = QRectF(room.left(), base - half, room.width(), 2 * half)
            painter.fillRect(noise, palette.colour("sunken"))
        draw_line(painter, (room.left(), base), (room.right(), base), "edge")
        for number, curve in enumerate(self._curves):
            self._paint_curve(painter, curve, number)
        if self._cursor >= 0:
            x = room.left() + self._cursor * room.width()
            painter.setPen(QPen(palette.colour("ink"), 1, Qt.PenStyle.DashLine))
            painter.drawLine(QPointF(x, room.top()), QPointF(x, room.bottom()))
        for index, peak in enumerate(self._peaks):
            self._paint_peak(painter, peak, lit=index == self._lit)
        words = QRectF(0, self.height() - line_height("caption"), self.width(),
                       line_height("caption"))  # fmt: skip
        write(painter, words, self._caption, "caption", "ink2")
        painter.end()

    def _paint_curve(self, painter: QPainter, curve: Curve, number: int) -> None:
        room, n = self._room(), len(curve.values)
        if n < 2:
            return
        line = QPolygonF(
            [
                QPointF(room.left() + k / (n - 1) * room.width(), self._y(value))
                for k, value in enumerate(curve.values)
            ]
        )
        if curve.filled:
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(palette.colour("accent_soft"))
            ground = self._y(min(0.0, self._range()[0]))
            painter.drawPolygon(
                QPolygonF([QPointF(room.left(), ground), *line.toList(),
                           QPointF(room.right(), ground)])
            )  # fmt: skip
        style = Qt.PenStyle.SolidLine if number == 0 else Qt.PenStyle.DashLine
        painter.setPen(QPen(palette.colour("accent"), 1.8, style))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawPolyline(line)

    def _paint_peak(self, painter: QPainter, peak: Peak, *, lit: bool) -> None:
        at, half = self._at(peak.place), scaled(_MARK)
        if lit:
            painter.setPen(QPen(palette.colour("ink"), 1))
            painter.setBrush(palette.colour("raised"))
            painter.drawPolygon(_shape(at, half + 4, square=peak.square))
        painter.setPen(QPen(palette.colour("raised"), 1.2))
        painter.setBrush(palette.colour("accent"))
        painter.drawPolygon(_shape(at, half, square=peak.square))
        painter.setPen(palette.colour("on_accent"))
        painter.setFont(font("keycap"))
        cell = QRectF(at.x() - half, at.y() - half, 2 * half, 2 * half)
        painter.drawText(cell, Qt.AlignmentFlag.AlignCenter, str(peak.number))

    def _room(self) -> QRectF:
        """Return the part in which curves are drawn."""
        edge = scaled(_MARK) + 3.0
        low = line_height("caption") + 4.0
        return QRectF(edge, edge, max(1.0, self.width() - 2 * edge),
                      max(1.0, self.height() - edge - low))  # fmt: skip

    def _range(self) -> tuple[float, float]:
        values = [value for curve in self._curves for value in curve.values]
        low, high = min(values, default=0.0), max(values, default=1.0)
        low, high = min(low, -self._noise, 0.0), max(high, self._noise)
        return (low, high) if high > low else (low, low + 1.0)

    def _y(self, value: float) -> float:
        low, high = self._range()
        room = self._room()
        return room.bottom() - (value - low) / (high - low) * room.height()

    def _at(self, place: float) -> QPointF:
        room = self._room()
        values = self._curves[0].values if self._curves else (0.0,)
        value = values[min(round(place * (len(values) - 1)), len(values) - 1)]
        return QPointF(room.left() + place * room.width(), self._y(value))


def _shape(at: QPointF, half: float, *, square: bool) -> QPolygonF:
    if square:
        h = half * SQUARE_SHARE
        corners = ((-h, -h), (h, -h), (h, h), (-h, h))
    else:
        corners = ((0, -half), (half, 0), (0, half), (-half, 0))
    return QPolygonF([QPointF(at.x() + dx, at.y() + dy) for dx, dy in corners])
