"""Words beside buttons or fields, or above or below where these would leave them no room."""

from PySide6.QtCore import Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QBoxLayout, QLayout, QWidget

from app.style.fonts import scaled
from app.style.widgets.bare import bare_row

_LEAST_WORDS = 200
"""Words that would be narrower than this, at the usual type, have the whole width."""


class Beside(QWidget):
    """A row of words that wrap and of buttons: the second goes below the first in large type.

    Parameters
    ----------
    last
        The words come after what is beside them, as they do after fields.
    """

    def __init__(
        self, words: QWidget | QLayout, *buttons: QWidget, last: bool = False
    ) -> None:
        super().__init__()
        self._buttons = buttons
        self._pressed = QWidget()
        row = bare_row(self._pressed, 8)
        for one in buttons:
            row.addWidget(one)
        self._both = QBoxLayout(QBoxLayout.Direction.LeftToRight, self)
        self._both.setContentsMargins(0, 0, 0, 0)
        self._both.setSpacing(8)
        if isinstance(words, QLayout):
            self._both.addLayout(words, 1)
        else:
            self._both.addWidget(words, 1)
        at = 0 if last else 1
        self._both.insertWidget(at, self._pressed, 0, Qt.AlignmentFlag.AlignLeft)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Put the second below the first where the words would be too narrow beside it."""
        super().resizeEvent(event)
        wide = sum(one.sizeHint().width() + 8 for one in self._buttons)
        below = event.size().width() - wide < scaled(_LEAST_WORDS)
        ways = QBoxLayout.Direction
        self._both.setDirection(ways.TopToBottom if below else ways.LeftToRight)
