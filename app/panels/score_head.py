"""The head of the strip for characters: the question, how to judge it, and four buttons."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QAbstractButton, QHBoxLayout, QVBoxLayout, QWidget

from app.style.widgets import Label
from app.style.widgets.buttons import button, icon_button, plain_tip
from landmarks.sentences import say


class ScoreHead(QWidget):
    """Says a title and a line; where it is narrow, a shorter line until it is asked for.

    Attributes
    ----------
    clear, unsure, skip, close_button
        The buttons, from the left; where it is narrow they have no words.
    """

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.title = Label(role="title", wrap=True)
        self.line = Label(role="small", ink="ink2", wrap=True)
        self._lines = "", ""
        self._narrow = self._in_full = False
        self.clear = button(say("side.strip.clear"), icon_name="undo-2")
        self.unsure = button(say("side.strip.unsure"), icon_name="circle-question-mark")
        self.unsure.setCheckable(True)
        self.skip = button(say("side.strip.skip"), icon_name="chevron-right")
        self.close_button = icon_button("x", say("side.strip.close_tip"))
        self._worded = {"clear": self.clear, "unsure": self.unsure, "skip": self.skip}
        for key, made in self._worded.items():
            made.setToolTip(say(f"side.strip.{key}_tip"))
        head = QHBoxLayout()
        head.setSpacing(8)
        head.addWidget(self.title, 1)
        for one in self.buttons():
            head.addWidget(one, 0, Qt.AlignmentFlag.AlignTop)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(1)
        column.addLayout(head)
        column.addWidget(self.line)

    def buttons(self) -> tuple[QAbstractButton, ...]:
        """Return the buttons in their order."""
        return self.clear, self.unsure, self.skip, self.close_button

    def say(self, title: str, line: str, short: str = "") -> None:
        """Say a title and a line, which may have a shorter form."""
        self._lines, self._in_full = (line, short or line), False
        self.title.setText(title)
        for label in (self.title, self.line):
            label.setToolTip(plain_tip(line))
        self._show_line()

    def turn_full(self) -> None:
        """Show the line in full, or again the shorter one."""
        self._in_full = not self._in_full
        self._show_line()

    def set_narrow(self, *, narrow: bool) -> None:
        """Say less, so that the drawings keep their room."""
        if narrow is not self._narrow:
            self._narrow = narrow
            self.title.set_role("strong" if narrow else "title")
            for key, made in self._worded.items():
                made.setText("" if narrow else say(f"side.strip.{key}"))
            self._show_line()

    def _show_line(self) -> None:
        line, short = self._lines
        self.line.setText(short if self._narrow and not self._in_full else line)
