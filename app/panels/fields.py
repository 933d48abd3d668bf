"""What the strips and forms of the window share: labelled fields, choices, a head to close."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from math import isfinite

from PySide6.QtCore import QObject, Qt, QTimer, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent
from PySide6.QtWidgets import (
    QComboBox,
    QLineEdit,
    QPlainTextEdit,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from app.style.follow import follow
from app.style.fonts import line_height
from app.style.widgets import Label
from landmarks.sentences import Sentence, say, text

IN_WINDOW: Mapping[str, str] = {
    "check.picture_moved": "check.picture_moved.window",
    "check.picture_gone": "check.picture_gone.window",
    "check.picture_empty": "check.picture_empty.window",
    "check.picture_withheld": "check.picture_withheld.window",
    "check.picture_folder": "check.picture_folder.window",
    "check.differs": "check.differs.window",
    "check.stale": "check.stale.window",
    "check.not_derived": "check.not_derived.window",
    "export.coarsened": "export.coarsened.window",
}
"""Sentences that name switches of the command line, and what the window says instead."""

Choices = Sequence[tuple[str, str]]
"""Key and words of what can be chosen."""


class WordField(QLineEdit):
    """One line of words; `edited` comes once, on leaving it or Enter, if they changed."""

    edited = Signal(str)

    def __init__(
        self, name: str, placeholder: str = "", parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setAccessibleName(name)
        self.setPlaceholderText(placeholder)
        self._shown = ""
        self.editingFinished.connect(self._finish)

    def show_words(self, words: str) -> None:
        """Show what is recorded, unless the person is writing something else just now."""
        if words == self._shown and (self.hasFocus() or self.text() == words):
            return
        self._shown = words
        self.setText(words)
        self.setCursorPosition(0)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Take the writing back with Esc; without anything to take back, Esc goes on.

        Ctrl+Z brings the writing back: it is replaced as a person would, not forgotten.
        """
        if event.key() == Qt.Key.Key_Escape and self.text() != self._shown:
            self.selectAll()
            self.insert(self._shown)
            return
        super().keyPressEvent(event)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Show the words from their beginning once they are written and left."""
        super().focusOutEvent(event)
        away = Qt.FocusReason.PopupFocusReason, Qt.FocusReason.ActiveWindowFocusReason
        if event.reason() not in away:
            self.setCursorPosition(0)

    def pending(self) -> str | None:
        """Return what was written and not handed on yet, or None."""
        return self.text() if self.text() != self._shown else None

    def take_over(self, words: str) -> None:
        """Hold these words for recorded: they are handed on by another way."""
        self._shown = words

    def _finish(self) -> None:
        if self.text() != self._shown:
            self._shown = self.text()
            # What is handed on is a deed, which is taken back as one.
            at = self.cursorPosition()
            self.setText(self._shown)
            self.setCursorPosition(at)
            self.edited.emit(self._shown)


class TextField(QPlainTextEdit):
    """Several lines of words; `edited` comes once, on leaving it, if they changed."""

    edited = Signal(str)

    def __init__(self, name: str, n_lines: int = 3, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(name)
        self.setTabChangesFocus(True)
        self._shown, self._n_lines = "", n_lines
        follow(self._restyle)

    def show_words(self, words: str) -> None:
        """Show what is recorded, unless the person is writing something else just now."""
        if words == self._shown and (self.hasFocus() or self.toPlainText() == words):
            return
        self._shown = words
        self.setPlainText(words)

    def pending(self) -> str | None:
        """Return what was written and not handed on yet, or None."""
        words = self.toPlainText()
        return words if words != self._shown else None

    def take_over(self, words: str) -> None:
        """Hold these words for recorded: they are handed on by another way."""
        self._shown = words

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Hand on what was written."""
        super().focusOutEvent(event)
        words = self.pending()
        if words is not None and event.reason() != Qt.FocusReason.PopupFocusReason:
            self._shown = words
            self.document().clearUndoRedoStacks()
            self.edited.emit(words)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Take the writing back with Esc, and Ctrl+Z brings it back; else Esc goes on."""
        if event.key() == Qt.Key.Key_Escape and self.pending() is not None:
            self.selectAll()
            self.insertPlainText(self._shown)
            return
        if event.key() == Qt.Key.Key_Escape:
            event.ignore()
            return
        super().keyPressEvent(event)

    def _restyle(self) -> None:
        self.setFixedHeight(self._n_lines * line_height("body") + 14)


class ChoiceField(QComboBox):
    """One of several words; `chosen` carries the key when a person chooses."""

    chosen = Signal(str)

    def __init__(
        self, name: str, choices: Choices = (), parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setAccessibleName(name)
        policy = QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon
        self.setSizeAdjustPolicy(policy)
        self.setMinimumContentsLength(6)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.set_choices(choices)
        self.activated.connect(lambda _: self.chosen.emit(self.key()))

    def set_choices(self, choices: Choices) -> None:
        """Offer other words; what was chosen stays chosen if it is among them."""
        kept = self.key()
        self.clear()
        for key, words in choices:
            self.addItem(words, key)
        self.show_key(kept)

    def key(self) -> str:
        """Return the key that is chosen."""
        return str(self.currentData() or "")

    def show_key(self, key: str) -> None:
        """Show a key; one that is not offered is added as it stands, so that it is kept."""
        found = self.findData(key)
        if found < 0 and key:
            self.addItem(key, key)
            found = self.count() - 1
        self.setCurrentIndex(max(found, 0))


def open_choice(n_letters: int) -> QComboBox:
    """Return a choice of so many letters at least, in which other words can be typed."""
    made = QComboBox()
    made.setEditable(True)
    made.setInsertPolicy(QComboBox.InsertPolicy.NoInsert)
    policy = QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon
    made.setSizeAdjustPolicy(policy)
    made.setMinimumContentsLength(n_letters)
    return made


def labelled(field: QWidget, words: str = "") -> QWidget:
    """Return a field with its name above it; without words, its accessible name."""
    holder = QWidget()
    label = Label(words or field.accessibleName(), "caption", "ink2")
    label.setBuddy(field)
    column = QVBoxLayout(holder)
    column.setContentsMargins(0, 0, 0, 0)
    column.setSpacing(2)
    column.addWidget(label)
    column.addWidget(field)
    column.addStretch(1)
    return holder


def worded(
    prefix: str, keys: Iterable[str], empty: str = ""
) -> tuple[tuple[str, str], ...]:
    """Return keys with their words of the catalogue, after an empty choice if it has words."""
    first = ((("", empty),)) if empty else ()
    return (*first, *((key, say(f"{prefix}.{key}")) for key in keys))


def number_typed(text: str) -> float | None:
    """Return the number somebody typed, with point or comma; None where there is none.

    >>> number_typed(" 152,5 "), number_typed("many")
    (152.5, None)
    """
    try:
        value = float(text.strip().replace(",", ".").replace("\N{MINUS SIGN}", "-"))
    except ValueError:
        return None
    return value if isfinite(value) else None


def titled(words: str) -> str:
    """Return words with a capital first letter, to stand alone.

    >>> titled("hinge edge")
    'Hinge edge'
    """
    return words[:1].upper() + words[1:]


def in_window(sentence: Sentence) -> str:
    """Return a sentence as the window says it, where the command line has other ways out."""
    key = IN_WINDOW.get(sentence.key)
    return text(sentence if key is None else Sentence(key, sentence.values))


def one_line(text: str) -> str:
    """Return a stranger's text without line ends or control characters."""
    return " ".join("".join(c if c.isprintable() else " " for c in text).split())


def later(ms: int, owner: QObject, take: Callable[[], None]) -> QTimer:
    """Return a timer that calls once, so long after it was last started."""
    timer = QTimer(owner)
    timer.setSingleShot(True)
    timer.setInterval(ms)
    timer.timeout.connect(take)
    return timer
