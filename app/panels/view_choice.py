"""Which view does a picture show? All of them as drawings, one key each."""

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QKeyEvent, QPaintEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QApplication,
    QLineEdit,
    QPlainTextEdit,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from app.panels.fields import titled
from app.panels.strip import CONTEXT
from app.session import Session, deeds
from app.style import focus
from app.style.drawings import drawing_pixmap, view_drawing
from app.style.fonts import line_height, scaled
from app.style.tokens import DRAWING, RADIUS
from app.style.widgets import FlowLayout, Label
from app.style.widgets.keycap import keycap_size, paint_keycap
from app.style.widgets.painted import PaintedButton, rounded, smooth, text_width, write
from landmarks.scheme import VIEWS
from landmarks.sentences import say

_LETTERS = "1234567890L"

VIEW_KEYS: dict[str, str] = dict(
    zip(
        _LETTERS,
        sorted(VIEWS, key=lambda key: (key == "label", not VIEWS[key].landmarks)),
        strict=True,
    )
)
"""The key of each view: those with landmarks first, the label last."""


class ViewChoice(QWidget):
    """One button for each view; a digit chooses while the focus is here."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self.setProperty(CONTEXT, "views")
        self.setAccessibleName(say("views.title"))
        policy = QSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        self.buttons: dict[str, QWidget] = {}
        tiles = QWidget()
        flow = FlowLayout(tiles, gap=6, line_gap=6)
        for key, view in VIEW_KEYS.items():
            made = _ViewButton(key, view)
            made.clicked.connect(lambda _=False, it=view: deeds.say_view(session, it))
            self.buttons[view] = made
            flow.addWidget(made)
        column = QVBoxLayout(self)
        column.setContentsMargins(16, 8, 16, 10)
        column.setSpacing(2)
        column.addWidget(Label(say("views.title"), "strong"))
        column.addWidget(Label(say("views.words"), "small", "ink2", wrap=True))
        column.addSpacing(6)
        column.addWidget(tiles)

    def take_focus(self) -> None:
        """Take the keyboard, so that one key chooses; not away from a list or a field."""
        focused = QApplication.focusWidget()
        if not isinstance(focused, (QAbstractItemView, QLineEdit, QPlainTextEdit)):
            next(iter(self.buttons.values())).setFocus(Qt.FocusReason.OtherFocusReason)

    def press_key(self, key: str) -> bool:
        """Choose the view of a key; return whether it has one."""
        view = VIEW_KEYS.get(key.upper())
        if view is None or self.isHidden():
            return False
        deeds.say_view(self._session, view)
        return True

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Choose by key; arrow keys go to the next button."""
        shown = list(self.buttons.values())
        turn = {Qt.Key.Key_Left: -1, Qt.Key.Key_Right: 1}.get(Qt.Key(event.key()))
        at = next((i for i, one in enumerate(shown) if one.hasFocus()), None)
        if turn is not None and at is not None:
            shown[(at + turn) % len(shown)].setFocus(Qt.FocusReason.OtherFocusReason)
        elif not self.press_key(event.text()):
            super().keyPressEvent(event)


class _ViewButton(PaintedButton):
    def __init__(self, key: str, view: str) -> None:
        self._key = key
        self._words = titled(say(f"view.{view}"))
        self._drawing = view_drawing(view)
        self._measured = bool(VIEWS[view].landmarks)
        super().__init__()
        self.setAccessibleName(self._words)
        if self._measured:
            self.setAccessibleDescription(say("views.measured"))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.click()
        else:
            super().keyPressEvent(event)

    def sizeHint(self) -> QSize:
        key = keycap_size(self._key)[0]
        role = "small_strong" if self._measured else "small"
        width = 8 + key + 6 + self._wide() + text_width(self._words, role) + 14
        height = max(scaled(DRAWING.row[1]) + 8, line_height("small") + 10, 24)
        return QSize(round(width), round(height))

    def minimumSizeHint(self) -> QSize:
        return self.sizeHint()

    def _wide(self) -> int:
        return scaled(DRAWING.row[0]) + 7 if self._drawing else 2

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = smooth(self)
        whole = QRectF(self.rect())
        fill = "accent_soft" if self.underMouse() else "raised"
        rounded(painter, whole, RADIUS.control, fill, "edge")
        width, height = keycap_size(self._key)
        middle = whole.center().y()
        paint_keycap(painter, QRectF(8, middle - height / 2, width, height), self._key)
        left = 8 + width + 6
        if self._drawing:
            ratio = self.devicePixelRatioF()
            wide, high = (scaled(edge) for edge in DRAWING.row)
            drawn = drawing_pixmap(self._drawing, wide, high, "ink", ratio)
            painter.drawPixmap(QPointF(left, middle - high / 2), drawn)
        left += self._wide()
        role = "small_strong" if self._measured else "small"
        place = QRectF(left, 0, whole.right() - 6 - left, whole.height())
        write(painter, place, self._words, role)
        if self.hasFocus():
            focus.paint_ring(painter, whole, RADIUS.control)
        painter.end()
