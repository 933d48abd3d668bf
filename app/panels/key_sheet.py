"""Every key on one sheet, made from the table of actions."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import (
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from app.style import tokens
from app.style.fonts import font
from app.style.widgets import KeyCap
from landmarks.sentences import say


class KeySheet(QScrollArea):
    """Keys by menu, in columns; Esc closes."""

    closed = Signal()

    def __init__(self, keys: Sequence[tuple[str, str, str]]) -> None:
        super().__init__()
        self.setAccessibleName(say("keys.title"))
        self.setWidgetResizable(True)
        self.setFixedHeight(tokens.LAYOUT.strip_instrument)
        inside = QWidget()
        columns = QHBoxLayout(inside)
        columns.setContentsMargins(16, 12, 16, 12)
        columns.setSpacing(32)
        for menu in dict.fromkeys(row[2] for row in keys):
            columns.addLayout(_column(menu, [row for row in keys if row[2] == menu]))
        columns.addStretch(1)
        self.setWidget(inside)


def _column(menu: str, keys: Sequence[tuple[str, str, str]]) -> QVBoxLayout:
    column = QVBoxLayout()
    title = QLabel(say(f"menu.{menu}").replace("&", ""))
    title.setFont(font("strong"))
    column.addWidget(title)
    grid = QGridLayout()
    grid.setHorizontalSpacing(8)
    grid.setVerticalSpacing(4)
    for index, (key, words, _) in enumerate(keys):
        written = QKeySequence(key).toString(QKeySequence.SequenceFormat.NativeText)
        grid.addWidget(KeyCap(written), index, 0, Qt.AlignmentFlag.AlignRight)
        label = QLabel(words)
        label.setTextFormat(Qt.TextFormat.PlainText)
        grid.addWidget(label, index, 1)
    column.addLayout(grid)
    column.addStretch(1)
    return column
