"""A row of the right side that paints itself: ground, light, focus, and a line to write on."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QEnterEvent,
    QFocusEvent,
    QKeyEvent,
    QPainter,
    QPaintEvent,
    QResizeEvent,
)
from PySide6.QtWidgets import QFrame, QSizePolicy, QWidget

from app.style import focus, palette
from app.style.fonts import line_height, scaled
from app.style.icons import icon_pixmap
from app.style.tokens import DRAWING, ICON, LAYOUT, RADIUS
from app.style.widgets.painted import PaintedButton, rounded, smooth, text_width, write
from landmarks.sentences import say

INSET = 8
"""Between the edge of the side and the ground of a row."""

EDGE = 16
"""Between the edge of the side and the end of its text."""

DRAWING_LEFT = 31
"""Between the edge of the side and the drawings of a list."""

INDENT = 36
"""Between the edge of the side and the beginning of its text, under the section's title."""


class Row(PaintedButton):
    """A line that can be clicked, hovered and lit.

    Signals
    -------
    hovered(bool)
        The pointer or the keyboard came to it, or left it.
    """

    hovered = Signal(bool)

    def __init__(self, parent: QWidget | None = None) -> None:
        self.lit = self.chosen = False
        self._high = 0
        super().__init__(parent)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def set_lit(self, lit: bool) -> None:  # noqa: FBT001 - as Qt's setters
        """Light the row, because what it rests on is pointed at."""
        if lit != self.lit:
            self.lit = lit
            self.update()

    def set_chosen(self, chosen: bool) -> None:  # noqa: FBT001 - as Qt's setters
        """Show the row as the one at work."""
        if chosen != self.chosen:
            self.chosen = chosen
            self.update()

    def height_wanted(self) -> int:
        """Return the height of the row as wide as it is; it grows with type."""
        return max(scaled(24), line_height("body") + 4)

    def fit_height(self) -> None:
        """Ask for another height where what is written needs more lines, or fewer."""
        if self.height_wanted() != self._high:
            self._high = self.height_wanted()
            self.updateGeometry()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Let what is written take as many lines as the width leaves it."""
        super().resizeEvent(event)
        if event.size().width() != event.oldSize().width():
            self.fit_height()

    def paint_row(self, painter: QPainter, whole: QRectF) -> None:
        """Write the row; the ground is painted already."""

    def sizeHint(self) -> QSize:
        """Return the size it would like."""
        return QSize(scaled(320), self.height_wanted())

    def minimumSizeHint(self) -> QSize:
        """Return the least size in which it can be read."""
        return QSize(scaled(100), self.height_wanted())

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Paint it in the colours on screen."""
        painter = smooth(self)
        whole = QRectF(self.rect())
        ground = whole.adjusted(INSET, 0, -INSET, 0)
        if self.lit or self.chosen or (self.underMouse() and self.isEnabled()):
            rounded(painter, ground, RADIUS.row, "accent_soft")
        if self.chosen:
            bar = QRectF(ground.left(), ground.top() + 4, 3, ground.height() - 8)
            rounded(painter, bar, 1.5, "accent")
        self.paint_row(painter, whole)
        if self.hasFocus():
            focus.paint_ring(painter, ground, RADIUS.row)
        painter.end()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Let Enter click, and the arrows go from row to row."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.click()
        elif event.key() in (Qt.Key.Key_Down, Qt.Key.Key_Up):
            self.focusNextPrevChild(event.key() == Qt.Key.Key_Down)
        else:
            # The base class would move the focus on Left and Right as well.
            if event.key() in (Qt.Key.Key_Left, Qt.Key.Key_Right):
                event.ignore()
                return
            super().keyPressEvent(event)

    def enterEvent(self, event: QEnterEvent) -> None:
        """Tell that the pointer came."""
        super().enterEvent(event)
        self.hovered.emit(True)  # noqa: FBT003

    def leaveEvent(self, event: QEvent) -> None:
        """Tell that the pointer left."""
        super().leaveEvent(event)
        self.hovered.emit(False)  # noqa: FBT003

    def focusInEvent(self, event: QFocusEvent) -> None:
        """Tell that the keyboard came."""
        super().focusInEvent(event)
        if event.reason() in (
            Qt.FocusReason.TabFocusReason,
            Qt.FocusReason.BacktabFocusReason,
        ):
            self.hovered.emit(True)  # noqa: FBT003

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Tell that the keyboard left."""
        super().focusOutEvent(event)
        self.hovered.emit(False)  # noqa: FBT003

    def paint_icon(
        self, painter: QPainter, left: float, middle: float, name: str, ink: str
    ) -> float:
        """Draw an inline icon, and return where the text after it begins."""
        edge = scaled(ICON.inline)
        pixmap = icon_pixmap(name, edge, ink, self.devicePixelRatioF())
        painter.drawPixmap(round(left), round(middle - edge / 2), pixmap)
        return left + edge + 5


class MoreLine(Row):
    """A row that shows the rest of a list, or hides it again."""

    def __init__(self, icon_left: int = 0, parent: QWidget | None = None) -> None:
        self._words = self._deed = ""
        self._icon = "chevron-down"
        self._icon_left = icon_left
        super().__init__(parent)

    def say_more(self, n: int, of: int, *, all_shown: bool) -> None:
        """Say how many rows are left out, and what a click does."""
        self._words = "" if all_shown else say("side.n_more", n=n)
        key = "side.show_fewer" if all_shown else "side.show_all"
        self._deed = say(key, n=of)
        self._icon = "minus" if all_shown else "chevron-down"
        self.setAccessibleName(f"{self._words}, {self._deed}".strip(", "))
        self.update()

    def height_wanted(self) -> int:
        """Return the height of the row."""
        return max(scaled(LAYOUT.character_row), line_height("body") + 8)

    def sizeHint(self) -> QSize:
        """Return the size it would like."""
        return QSize(scaled(200), self.height_wanted())

    def paint_row(self, painter: QPainter, whole: QRectF) -> None:
        """Write how many more there are and what a click does."""
        edge, wide = scaled(ICON.row), scaled(DRAWING.row[0])
        left = self._icon_left or DRAWING_LEFT + (wide - edge) / 2
        pixmap = icon_pixmap(self._icon, edge, "accent", self.devicePixelRatioF())
        painter.drawPixmap(round(left), round((whole.height() - edge) / 2), pixmap)
        text_left = self._icon_left + edge + 8 if self._icon_left else 43 + wide
        right = -(self._icon_left or EDGE)
        line = whole.adjusted(text_left, 0, right, 0)
        deed_width = text_width(self._deed, "small_strong") + 1
        if text_width(self._words, "body") + deed_width + 8 < line.width():
            write(painter, line, self._words, "body", "ink2")
        deed = line.adjusted(max(0, line.width() - deed_width), 0, 0, 0)
        write(
            painter, deed, self._deed, "small_strong", "accent", Qt.AlignmentFlag.AlignRight
        )


class Divider(QFrame):
    """A line of one pixel between two parts of the side, level or upright."""

    def __init__(self, *, upright: bool = False, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        policy = QSizePolicy.Policy
        if upright:
            self.setFixedWidth(1)
            self.setSizePolicy(policy.Fixed, policy.Expanding)
        else:
            self.setFixedHeight(1)
            self.setSizePolicy(policy.Expanding, policy.Fixed)

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Paint it in the colours on screen."""
        painter = smooth(self)
        painter.fillRect(self.rect(), palette.colour("line"))
        painter.end()
