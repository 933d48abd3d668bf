"""The head of a strip: what it is about, what can be done, and the button that closes it."""

from collections.abc import Iterable

from PySide6.QtWidgets import (
    QHBoxLayout,
    QLabel,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from app.style.fonts import line_height, scaled
from app.style.widgets import Label
from app.style.widgets.flow import FlowLayout

_GAP = 10
_NO_MOST = 2**24 - 1
"""What Qt takes for no greatest width."""
_LEAST_WORDS, _MOST_LINES = 160, 3
"""Words that would be narrower than this, at the usual type, or have more lines, go below."""


class StripHead(QVBoxLayout):
    """Icon, title, words, buttons and the closing button: in one row, as long as all fit.

    Where they do not, the words go to ``words_below``, which scrolls with the body; where the
    buttons still leave the title no room, they stand in lines of their own.
    """

    def __init__(
        self, icon: QWidget, title: Label, sentence: Label, close: QWidget
    ) -> None:
        super().__init__()
        self._icon, self._title, self._close = icon, title, close
        self._sentence = sentence
        self._words: list[QLabel] = [sentence]
        self._ways: list[QWidget] = []
        self._are_below = self._stand_alone = False
        self.words_below = QVBoxLayout()
        self.words_below.setSpacing(4)
        self._row, self._lines = QHBoxLayout(), FlowLayout(gap=_GAP)
        self._row.setSpacing(_GAP)
        for one in (icon, title, close):
            self._row.addWidget(one)
        self.setSpacing(4)
        self.addLayout(self._row)
        self.addLayout(self._lines)
        self._place()

    @property
    def ways(self) -> tuple[QWidget, ...]:
        """Return what can be done here, in its order, the closing button last."""
        return (*self._ways, self._close)

    def add(self, *widgets: QWidget, first: bool = False) -> None:
        """Put widgets before the closing button: words that wrap, or something to press.

        What is to be pressed comes after what is there; ``first``: before it.
        """
        ways: list[QWidget] = []
        for one in widgets:
            if isinstance(one, QLabel) and one.wordWrap():
                self._words.append(one)
            else:
                ways.append(one)
        self._ways = [*ways, *self._ways] if first else [*self._ways, *ways]
        self._place()

    def fit(self, width: int) -> bool:
        """Lay all out for a width, and return whether anything has moved."""
        room = width - sum(_wide((self._icon, self._close))) - _GAP
        title = self._title.fontMetrics().horizontalAdvance(self._title.text())
        free = room - title - _GAP - sum(_wide(self._ways))
        alone = free < 0
        below = alone or any(
            free < scaled(_LEAST_WORDS)
            or one.heightForWidth(free) > _MOST_LINES * line_height("strong")
            for one in self._words
            if one.text() and not one.isHidden()
        )
        for one in self._words:
            # Fields that scroll sideways in a narrow strip do not take the words along.
            one.setMaximumWidth(width if below else _NO_MOST)
        if (below, alone) == (self._are_below, self._stand_alone):
            return False
        self._are_below, self._stand_alone = below, alone
        self._place()
        return True

    def _place(self) -> None:
        for layout in (self._row, self._lines, self.words_below):
            for one in (*self._words, *self._ways):
                layout.removeWidget(one)
        for one in self._words:
            if self._are_below:
                self.words_below.addWidget(one)
            else:
                self._row.insertWidget(self._row.count() - 1, one, 1)
        for one in self._ways:
            if self._stand_alone:
                self._lines.addWidget(one)
            else:
                self._row.insertWidget(self._row.count() - 1, one)
        self._title.setWordWrap(self._stand_alone)
        self.say(self._sentence.text())

    def say(self, sentence: str) -> None:
        """Say the sentence; without one it still keeps the buttons at the right."""
        self._sentence.setText(sentence)
        fills = not self._are_below and not any(
            map(_expands, (*self._words[1:], *self._ways))
        )
        self._sentence.setVisible(bool(sentence) or fills)
        self._row.setStretchFactor(self._title, int(self._are_below))


def _wide(widgets: Iterable[QWidget]) -> Iterable[int]:
    """Return how wide those of some widgets are that are shown, with the gap before each."""
    return (one.sizeHint().width() + _GAP for one in widgets if not one.isHidden())


def _expands(widget: QWidget) -> bool:
    return widget.sizePolicy().horizontalPolicy() == QSizePolicy.Policy.Expanding
