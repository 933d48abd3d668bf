"""Every key on one sheet: those of the table of actions, and those of each place."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QVBoxLayout, QWidget

from app.panels.hints import HINTS
from app.panels.strip import Strip
from app.style.fonts import scaled
from app.style.tokens import LAYOUT
from app.style.widgets import KeyCap, Label
from app.style.widgets.bare import bare_column
from landmarks.sentences import say

Line = tuple[tuple[str, ...], str]
"""The key caps of a line and what they do."""

PLACES = (
    "views", "mark", "series", "scale", "plane", "edge_trace", "folds", "landmarks",
    "characters", "name", "specimens", "table", "sorting",
)  # fmt: skip
"""Places whose keys stand in no menu, in the order of the work."""

_MOST_COLUMNS = 3
_TITLE_LINES = 2
"""A title and the room below a section are as high as so many lines."""
_SHARE = 0.46
"""The sheet takes no more than this share of the height of the window."""


class KeySheet(Strip):
    """Keys by menu, then by place; the arrow keys scroll, Esc closes."""

    wide_from = 900

    def __init__(self, keys: Sequence[tuple[str, str, str]]) -> None:
        super().__init__("keyboard", say("keys.title"))
        self.set_title(say("keys.title"), say("keys.words"))
        self._sections: list[tuple[QWidget, int]] = []
        for menu in dict.fromkeys(row[2] for row in keys):
            lines: list[Line] = []
            lines += [((_native(key),), words) for key, words, its in keys if its == menu]
            self._add(say(f"menu.{menu}").replace("&", ""), lines)
        for place in PLACES:
            lines = [(caps, say(words)) for caps, words in HINTS[place]]
            self._add(say(f"keys.place.{place}"), lines)
        body = QWidget()
        self._side_by_side = QHBoxLayout(body)
        self._side_by_side.setSpacing(14)
        self._columns = [QVBoxLayout() for _ in range(_MOST_COLUMNS)]
        for column in self._columns:
            column.setSpacing(18)
            self._side_by_side.addLayout(column, 1)
        self.arrange(wide=False)
        self.set_body(body)
        self._area.setAccessibleName(say("keys.title"))
        self._area.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setFocusProxy(self._area)

    def arrange(self, *, wide: bool) -> None:
        """Spread the sections, in their order, over two columns or three of one height."""
        for column in self._columns:
            while column.count():
                column.takeAt(0)
        n_columns = _MOST_COLUMNS if wide else _MOST_COLUMNS - 1
        most, so_far = sum(n_lines for _, n_lines in self._sections) / n_columns, 0.0
        for section, n_lines in self._sections:
            at = int((so_far + n_lines / 2) / most)
            self._columns[min(at, n_columns - 1)].addWidget(section)
            so_far += n_lines
        for at, column in enumerate(self._columns):
            column.addStretch(1)
            self._side_by_side.setStretch(at, int(at < n_columns))

    def _add(self, title: str, lines: Sequence[Line]) -> None:
        self._sections.append((_section(title, lines), len(lines) + _TITLE_LINES))

    def most_high(self) -> int:
        """Return the height it never exceeds: a sheet to read leaves the picture less."""
        return max(scaled(LAYOUT.strip_characters), round(self.window().height() * _SHARE))


def _native(key: str) -> str:
    return QKeySequence(key).toString(QKeySequence.SequenceFormat.NativeText)


def _section(title: str, lines: Iterable[Line]) -> QWidget:
    holder = QWidget()
    column = bare_column(holder, 6)
    column.addWidget(Label(title, "strong"))
    grid = QGridLayout()
    grid.setHorizontalSpacing(8)
    grid.setVerticalSpacing(4)
    for at, (caps, words) in enumerate(lines):
        keys = QHBoxLayout()
        keys.setSpacing(2)
        keys.addStretch(1)
        for cap in caps:
            keys.addWidget(KeyCap(cap))
        grid.addLayout(keys, at, 0)
        grid.addWidget(Label(words, wrap=True), at, 1)
    grid.setColumnStretch(1, 1)
    column.addLayout(grid)
    return holder
