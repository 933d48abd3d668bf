"""One place of the picture rail: a frame with what it has, or the place for a new one."""

from PySide6.QtCore import QMimeData, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QDrag, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QApplication, QSizePolicy, QWidget

from app.panels.thumbnails import dashed, paint_thumbnail
from app.style import focus, palette
from app.style.fonts import line_height, scaled
from app.style.icons import icon_pixmap
from app.style.tokens import ICON, RADIUS
from app.style.widgets.buttons import plain_tip
from app.style.widgets.painted import PaintedChoice, rounded, smooth, text_width, write
from landmarks.geometry import Box

THUMB = (48, 36)
FRAME = "application/x-hingeline-frame"
"""What a card carries when it is dragged: the id of its frame."""

_ALL, _TITLE, _ICON = 2, 1, 0
"""How much a card says: title and words, the title alone, or only its icon."""
_ICON_SIDES, _SIDES = 12, 30
"""What stands at the sides of the icon alone, and beside thumbnail and words."""
_LEAST_THUMB = 24


class Card(PaintedChoice):
    """One place of the rail: thumbnail or icon, title, what it has."""

    turned = Signal(object, int)

    def __init__(
        self,
        title: str,
        icon: str = "",
        *,
        empty: bool = False,
        parent: QWidget | None = None,
    ) -> None:
        self.title, self.words, self._icon, self._empty = title, "", icon, empty
        self._thumbnail: object = None
        self._says, self._most = _ALL, 0
        self.frame = ""
        self.shows: tuple[str, Box | None] = "", None
        self._pressed = QPointF()
        super().__init__(parent)
        self.setCheckable(not empty)
        # A click leaves the keyboard with the picture.
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self.setAccessibleName(title)

    def say(self, title: str, words: str) -> None:
        """Show a title and a line of words below."""
        self.title, self.words = title, words
        spoken = f"{title}, {words}" if words else title
        self.setAccessibleName(spoken)
        self.setToolTip(plain_tip(spoken))
        self.restyle()

    def show_thumbnail(self, thumbnail: object) -> None:
        """Show a thumbnail, or the place of one that is on its way."""
        self._thumbnail = thumbnail
        self.update()

    def fit(self, room: int) -> None:
        """Say as much as there is room for: all, the title alone, or only show the icon."""
        says = next((one for one in (_ALL, _TITLE) if self._wide(one) <= room), _ICON)
        if says != self._says:
            self._says = says
            self.updateGeometry()
            self.update()

    def set_most(self, most: int) -> None:
        """Be no wider than this, with words that end earlier; 0: as wide as they are."""
        if most != self._most:
            self._most = most
            self.updateGeometry()

    def least(self) -> int:
        """Return how wide it is where it only shows its icon."""
        return scaled(ICON.tool) + 2 * _ICON_SIDES

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Go to the next card with the arrow keys; Enter chooses."""
        turn = {Qt.Key.Key_Left: -1, Qt.Key.Key_Right: 1}.get(Qt.Key(event.key()))
        if turn is not None:
            self.turned.emit(self, turn)
        elif event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.click()
        else:
            super().keyPressEvent(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Remember where a drag would begin."""
        self._pressed = event.position()
        super().mousePressEvent(event)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Let the frame be dragged to another specimen."""
        far = (event.position() - self._pressed).manhattanLength()
        held = bool(event.buttons() & Qt.MouseButton.LeftButton)
        if not (held and self.frame and far >= QApplication.startDragDistance()):
            super().mouseMoveEvent(event)
            return
        self.setDown(False)
        drag, data = QDrag(self), QMimeData()
        data.setData(FRAME, self.frame.encode())
        drag.setMimeData(data)
        drag.setPixmap(self.grab())
        drag.exec(Qt.DropAction.MoveAction)

    def sizeHint(self) -> QSize:
        """Return the size it would like."""
        return QSize(self._wide(self._says), card_height())

    def minimumSizeHint(self) -> QSize:
        """Return the least size in which it can be read."""
        return self.sizeHint()

    def _wide(self, says: int) -> int:
        if says == _ICON:
            return self.least()
        words = text_width(self.title, "small_strong")
        if says == _ALL:
            words = max(words, text_width(self.words, "caption"))
        wide = round(scaled(THUMB[0]) + _SIDES + min(words, scaled(180)))
        return min(wide, self._most) if self._most > 0 else wide

    def _sign(self) -> QRectF:
        """Return the place of the thumbnail or icon: where there is no room, words come first."""
        wide = float(scaled(THUMB[0]))
        if self._most > 0 and not self._icon:
            words = text_width(self.title, "small_strong")
            words = max(words, text_width(self.words, "caption"))
            left = self.width() - _SIDES - words
            wide = 0.0 if left < _LEAST_THUMB else min(wide, left)
        where = QRectF(6, 0, wide, scaled(THUMB[1]))
        middle = where.center().x() if self._says != _ICON else self.width() / 2
        where.moveCenter(QPointF(middle, self.height() / 2))
        return where

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Paint it in the colours on screen."""
        painter = smooth(self)
        whole = QRectF(self.rect())
        chosen, hovered = self.isChecked(), self.underMouse() and self.isEnabled()
        if self._empty:
            dashed(painter, whole.adjusted(1, 1, -1, -1), RADIUS.row)
        if chosen or hovered:
            rounded(painter, whole, RADIUS.row, "accent_soft" if chosen else "ground")
        if chosen:
            painter.setPen(QPen(palette.colour("accent"), 1.6))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(whole.adjusted(1, 1, -1, -1), RADIUS.row, RADIUS.row)
        where = self._sign()
        if self._icon:
            edge = float(scaled(ICON.tool))
            ink = "ink2" if self.isEnabled() else "ink3"
            mark = icon_pixmap(self._icon, edge, ink, self.devicePixelRatioF())
            painter.drawPixmap(where.center() - QPointF(edge / 2, edge / 2), mark)
        elif where.width() > 0:
            paint_thumbnail(painter, where, self._thumbnail)  # type: ignore[arg-type]
        if self._says != _ICON:
            self._write(painter, whole, where.right() + (9 if where.width() else 5))
        if self.hasFocus():
            focus.paint_ring(painter, whole, RADIUS.row)
        painter.end()

    def _write(self, painter: QPainter, whole: QRectF, left: float) -> None:
        """Write the title, and below it what is told of it where there is room."""
        words = self.words if self._says == _ALL else ""
        first, second = line_height("small_strong"), line_height("caption")
        top = whole.center().y() - (first + second * bool(words)) / 2
        room = whole.right() - 9 - left
        plain, quiet = ("ink", "ink2") if self.isEnabled() else ("ink3", "ink3")
        ink = "accent" if self.isChecked() else plain
        write(painter, QRectF(left, top, room, first), self.title, "small_strong", ink)
        write(painter, QRectF(left, top + first, room, second), words, "caption", quiet)


def card_height() -> int:
    """Return the height of a card, in logical pixels."""
    words = line_height("small_strong") + line_height("caption")
    return max(scaled(THUMB[1]) + 10, words + 8)
