"""A line of words for many specimens: where theirs differ, it stays so until somebody says.

Differing words cannot be edited, only written over or emptied, and an empty line means
neither: emptying is asked for by itself, with Delete or the button in the line.
"""

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QAction, QKeyEvent
from PySide6.QtWidgets import QLineEdit, QWidget

from app.style.icons import icon
from app.style.widgets.painted import plain_tip
from landmarks.sentences import say


class SeveralLine(QLineEdit):
    """The words that many specimens share, or *several*.

    Signals
    -------
    edited()
        What the person wants of it is another thing now.
    """

    edited = Signal()

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._name, self._several, self._empties = name, False, False
        self.setAccessibleName(name)
        self._turn = QAction(self)
        self._turn.triggered.connect(lambda: self.empty_all(empties=not self._empties))
        self.addAction(self._turn, QLineEdit.ActionPosition.TrailingPosition)
        self.textChanged.connect(self._written)
        self._renew()

    def show_shared(self, words: str | None) -> None:
        """Show what all have; None: their words differ."""
        self._several, self._empties = words is None, False
        self.setText(words or "")
        self.setCursorPosition(0)
        self._renew()

    def wanted(self) -> str | None:
        """Return the words that all shall have, the empty ones too; None: leave them."""
        words = self.text().strip()
        return words if words or self._empties or not self._several else None

    def empty_all(self, *, empties: bool) -> None:
        """Ask that differing words be taken away from all, or leave them after all."""
        if self._several and empties != self._empties:
            self._empties = empties
            if empties:
                self.clear()
            self._renew()
            self.edited.emit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Empty differing words with Delete, and leave them after all with Esc."""
        bare = self._several and not self.text()
        if bare and event.key() in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace):
            self.empty_all(empties=True)
        elif bare and self._empties and event.key() == Qt.Key.Key_Escape:
            self.empty_all(empties=False)
        else:
            super().keyPressEvent(event)

    def _written(self, words: str) -> None:
        if words:
            self._empties = False
        self._renew()
        self.edited.emit()

    def _renew(self) -> None:
        """Say in the line what becomes of differing words, and offer the other way."""
        bare = self._several and not self.text()
        key = "will_empty" if self._empties else "several"
        self.setPlaceholderText(say(f"many.{key}") if bare else "")
        turn = "leave_them" if self._empties else "empty"
        words = say(f"many.{turn}", field=self._name)
        self._turn.setText(words)
        self._turn.setToolTip(plain_tip(words))
        self._turn.setIcon(icon("undo-2" if self._empties else "x"))
        self._turn.setVisible(bare)
        for tool in self._turn.associatedObjects():
            if isinstance(tool, QWidget) and tool is not self:
                tool.setAccessibleName(words)
        self.setAccessibleDescription(self.placeholderText())
