"""What the form of a name is made of: the name that is proposed, and a row of few words."""

from collections.abc import Sequence

from PySide6.QtCore import QRectF, QSize, Signal
from PySide6.QtGui import QPaintEvent
from PySide6.QtWidgets import QButtonGroup, QSizePolicy, QWidget

from app.style import focus
from app.style.fonts import line_height, scaled
from app.style.tokens import LAYOUT, RADIUS
from app.style.widgets import FlowLayout, button, paint_name
from app.style.widgets.nameplate import runs, runs_width
from app.style.widgets.painted import PaintedButton, rounded, smooth


class Proposal(PaintedButton):
    """The name that the candidates propose, on one line."""

    def __init__(self) -> None:
        self._name = ""
        super().__init__()
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)

    def show_name(self, name: str) -> None:
        """Show another name."""
        self._name = name
        self.restyle()

    def text(self) -> str:
        """Return the name, signs included."""
        return self._name

    def sizeHint(self) -> QSize:
        """Return the size it would like."""
        wide = runs_width(runs(self._name), "name_list") + 2 * scaled(10)
        return QSize(round(wide + 1), max(LAYOUT.target, line_height("name_list") + 8))

    def minimumSizeHint(self) -> QSize:
        """Return the least size in which it can be read."""
        return QSize(scaled(80), self.sizeHint().height())

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Paint it in the colours on screen."""
        painter = smooth(self)
        body = QRectF(self.rect()).adjusted(0, 1, 0, -1)
        lit = self.underMouse() and self.isEnabled()
        rounded(painter, body, RADIUS.control, "accent_soft", "accent_line" if lit else "")
        inner = body.adjusted(scaled(10), 0, -scaled(6), 0)
        paint_name(painter, inner, self._name, "name_list")
        if self.hasFocus():
            focus.paint_ring(painter, body, RADIUS.control)
        painter.end()


class WordRow(QWidget):
    """One of a few words, as a row of buttons that wraps."""

    chosen = Signal(str)

    def __init__(self, words: Sequence[tuple[str, str]], name: str) -> None:
        super().__init__()
        self.setAccessibleName(name)
        self._group = QButtonGroup(self)
        self._keys: list[str] = []
        self._flow = FlowLayout(self, gap=4, line_gap=4)
        self.set_words(words)
        self._group.idClicked.connect(lambda at: self.chosen.emit(self._keys[at]))

    def set_words(self, words: Sequence[tuple[str, str]]) -> None:
        """Offer other words; what was chosen stays chosen where it is among them."""
        keys = [key for key, _ in words]
        if keys == self._keys or not keys:
            return
        kept = self.key() if self._keys else ""
        for made in self._group.buttons():
            self._group.removeButton(made)
        self._flow.clear()
        self._keys = keys
        for at, (key, said) in enumerate(words):
            made = button(said)
            made.setCheckable(True)
            made.setStyleSheet("padding: 4px 10px;")
            made.setAccessibleName(said)
            made.setChecked(key == kept or (at == 0 and kept not in keys))
            self._group.addButton(made, at)
            self._flow.addWidget(made)

    def key(self) -> str:
        """Return the key that is chosen."""
        return self._keys[self._group.checkedId()]

    def show_key(self, key: str) -> None:
        """Show another key as chosen; one that is not offered changes nothing."""
        if key in self._keys:
            self._group.button(self._keys.index(key)).setChecked(True)
