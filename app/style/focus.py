"""The focus ring: 2 px of accent, 2 px outside a button, never under a neighbour.

A style sheet can only draw inside a widget, so the ring is one transparent widget above
the window, moved to whichever button has the focus. Painted widgets of ours and fields
draw their own ring, on their edge.
"""

from PySide6.QtCore import QEvent, QObject, QPoint, QRect, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPalette, QPen
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractScrollArea,
    QApplication,
    QSlider,
    QWidget,
)
from shiboken6 import isValid

from app.style.tokens import RADIUS

GAP, WIDTH = 2, 2
_OWN_RING = "ownRing"

_MOVES = (
    QEvent.Type.Move,
    QEvent.Type.Resize,
    QEvent.Type.Show,
    QEvent.Type.Hide,
    QEvent.Type.LayoutRequest,
)


def install(app: QApplication) -> None:
    """Let the ring follow the focus of the whole application."""
    keeper = _Keeper(app)
    app.focusChanged.connect(keeper.move_to)


def paints_own_ring(button: QAbstractButton) -> None:
    """Say that a button draws its ring itself."""
    button.setProperty(_OWN_RING, "yes")


def paint_ring(painter: QPainter, rect: QRectF, radius: float) -> None:
    """Draw the ring just inside a rectangle, for widgets that paint themselves."""
    painter.setPen(QPen(painter_accent(), WIDTH))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRoundedRect(rect.adjusted(1, 1, -1, -1), radius, radius)


def painter_accent() -> QColor:
    """Return the colour of the ring."""
    return QApplication.palette().color(QPalette.ColorRole.Accent)


class _Keeper(QObject):
    """Knows the widget that has the focus and keeps one ring above its window."""

    def __init__(self, app: QApplication) -> None:
        super().__init__(app)
        self._ring: _Ring | None = None
        self._watched: list[QWidget] = []

    def move_to(self, _old: QWidget | None, new: QWidget | None) -> None:
        for old in self._watched:
            if isValid(old):
                old.removeEventFilter(self)
        self._watched = []
        if self._ring is not None and isValid(self._ring):
            self._ring.hide()
        if new is None or not _wants_ring(new):
            return
        window = new.window()
        self._ring = self._ring_of(window)
        widget = new
        while widget is not window:
            widget.installEventFilter(self)
            self._watched.append(widget)
            parent = widget.parentWidget()
            if parent is None:
                break
            widget = parent
        self._place()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() in _MOVES:
            self._place()
        return False

    def _ring_of(self, window: QWidget) -> "_Ring":
        ring = self._ring
        if ring is not None and isValid(ring):
            if ring.parentWidget() is window:
                return ring
            ring.deleteLater()
        return _Ring(window)

    def _place(self) -> None:
        ring = self._ring
        if ring is None or not isValid(ring) or not self._watched:
            return
        target = self._watched[0]
        if not isValid(target) or not target.isVisible():
            ring.hide()
            return
        out = GAP + WIDTH
        window = target.window()
        where = QRect(target.mapTo(window, QPoint()), target.size())
        seen = window.rect()
        # Asked anew each time: what was kept of a view's own widgets may have lost its hold.
        area = target.parentWidget()
        while area is not None and area is not window:
            if isinstance(area.parentWidget(), QAbstractScrollArea):
                seen &= QRect(area.mapTo(window, QPoint()), area.size())
            area = area.parentWidget()
        ring.show_round(where.adjusted(-out, -out, out, out), seen)


def _wants_ring(widget: QWidget) -> bool:
    return isinstance(widget, QAbstractButton | QSlider) and not widget.property(_OWN_RING)


class _Ring(QWidget):
    """The ring itself: sees no mouse, is no stop for the keyboard, has no ground."""

    def __init__(self, window: QWidget) -> None:
        super().__init__(window)
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.setAttribute(Qt.WidgetAttribute.WA_NoSystemBackground)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._clip = QRect()

    def show_round(self, outer: QRect, seen: QRect) -> None:
        self.setGeometry(outer)
        self._clip = seen.translated(-outer.topLeft())
        self.show()
        self.raise_()
        self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setClipRect(self._clip)
        paint_ring(painter, QRectF(self.rect()), RADIUS.control + GAP + 1)
        painter.end()
