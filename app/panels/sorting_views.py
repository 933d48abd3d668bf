"""The views and their keys along the foot of the sorting table: read, or clicked."""

from __future__ import annotations

from PySide6.QtCore import QRectF, QSize, Signal
from PySide6.QtGui import QPaintEvent
from PySide6.QtWidgets import QWidget

from app.panels.view_choice import VIEW_KEYS
from app.style import focus
from app.style.fonts import line_height
from app.style.tokens import RADIUS
from app.style.widgets import FlowLayout
from app.style.widgets.keycap import keycap_size, paint_keycap
from app.style.widgets.painted import PaintedChoice, rounded, smooth, text_width, write
from landmarks.sentences import say

NO_VIEW = "⌫"
"""On the cap of the key that takes a view back."""


class ViewLegend(QWidget):
    """Every view with its key; those that the selected pictures show stand out.

    Signals
    -------
    wanted(view)
        The selected pictures show this view.
    """

    wanted = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(say("sorting.views"))
        self.buttons: dict[str, _View] = {}
        flow = FlowLayout(self, gap=2, line_gap=2)
        for key, view in (*VIEW_KEYS.items(), (NO_VIEW, "")):
            words = say(f"view.{view}") if view else say("sorting.view.none")
            made = self.buttons[view] = _View(key, words)
            made.clicked.connect(lambda _=False, it=view: self.wanted.emit(it))
            flow.addWidget(made)

    def show_chosen(self, views: frozenset[str], *, able: bool) -> None:
        """Let the views of what is selected stand out; without a selection, none can be given."""
        for view, one in self.buttons.items():
            one.setChecked(view in views)
            one.setEnabled(able)


class _View(PaintedChoice):
    def __init__(self, key: str, words: str) -> None:
        self._key, self._words = key, words
        super().__init__()
        self.setCheckable(True)
        self.setAccessibleName(f"{words} ({key})")

    def sizeHint(self) -> QSize:
        key = keycap_size(self._key)
        wide = 4 + key[0] + 4 + text_width(self._words, "small_strong") + 6
        return QSize(round(wide), round(max(key[1] + 6, line_height("small") + 4, 24)))

    def minimumSizeHint(self) -> QSize:
        return self.sizeHint()

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = smooth(self)
        whole = QRectF(self.rect())
        if self.isChecked():
            rounded(painter, whole, RADIUS.row, "accent_soft")
        wide, high = keycap_size(self._key)
        middle = whole.center().y()
        paint_keycap(painter, QRectF(4, middle - high / 2, wide, high), self._key)
        place = QRectF(8 + wide, 0, whole.width() - wide - 12, whole.height())
        ink = "ink" if self.isChecked() else "ink2" if self.isEnabled() else "ink3"
        role = "small_strong" if self.isChecked() else "small"
        write(painter, place, self._words, role, ink)
        if self.hasFocus():
            focus.paint_ring(painter, whole, RADIUS.row)
        painter.end()
