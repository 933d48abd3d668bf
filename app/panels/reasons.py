"""All reasons of one candidate: every observation, what the tables say, and who says so."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QGuiApplication, QKeyEvent
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from app.panels import cell_words
from app.panels.candidate_rows import TEXT
from app.style.icons import icon_text
from app.style.tokens import ICON
from app.style.widgets import Drawing, Label, NameLabel
from app.style.widgets.bare import bare_column
from app.style.widgets.buttons import button
from landmarks.identification.answer import Candidate, Reason
from landmarks.sentences import percent, say, text
from landmarks.tables.model import Tables

ORDER = ("rules_out", "against", "for", "silent")
_MARK = {
    "for": ("plus", "plus"),
    "against": ("minus", "minus"),
    "rules_out": ("x", "minus"),
    "silent": ("circle-dashed", "ink2"),
}


class Reasons(QWidget):
    """The page of reasons; its text can be selected and copied.

    Signals
    -------
    closed()
        Back to the list.
    """

    closed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.taxon = ""
        self.rows: dict[str, Label] = {}
        self._plain: list[str] = []
        self.back = button(say("side.reasons.back"), "link", "list")
        self.back.clicked.connect(self.closed)
        self.copy = button(say("side.reasons.copy"), "link", "copy")
        self.copy.setToolTip(say("side.reasons.copy_tip"))
        self.copy.clicked.connect(self.copy_all)
        head = QHBoxLayout()
        head.addWidget(self.back)
        head.addStretch(1)
        head.addWidget(self.copy)
        self._name = NameLabel(role="name_top")
        self._share = Label(role="title", ink="accent")
        name = QHBoxLayout()
        name.addWidget(self._name, 1)
        name.addWidget(self._share)
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(TEXT, 0, TEXT, 12)
        self._column.setSpacing(4)
        self._column.addLayout(head)
        self._column.addLayout(name)
        self._body: QWidget | None = None

    def show_candidate(self, one: Candidate, tables: Tables, at: str = "") -> None:
        """Show a candidate's reasons; ``at`` is the character to begin with."""
        self.taxon = one.taxon
        self._name.set_name(one.name)
        self._share.setText(percent(one.stated))
        self.rows, self._plain = {}, [f"{one.name}, {percent(one.stated)}"]
        if self._body is not None:
            self._column.removeWidget(self._body)
            self._body.hide()
            self._body.deleteLater()
        self._body = QWidget()
        column = bare_column(self._body, 4)
        for direction in ORDER:
            reasons = [why for why in one.reasons if why.direction == direction]
            if reasons:
                self._add_heading(column, direction)
            for why in reasons:
                self._add_reason(column, why, tables)
        if not one.reasons:
            column.addWidget(Label(say("side.reasons.none"), "small", "ink2", wrap=True))
        self._column.addWidget(self._body)
        first = self.rows.get(at)
        if first is not None:
            first.setFocus(Qt.FocusReason.OtherFocusReason)

    def plain(self) -> str:
        """Return all of it as plain text."""
        return "\n".join(self._plain)

    def copy_all(self) -> None:
        """Put all of it on the clipboard as plain text."""
        QGuiApplication.clipboard().setText(self.plain())

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Go back on Esc."""
        if event.key() == Qt.Key.Key_Escape:
            self.closed.emit()
            return
        super().keyPressEvent(event)

    def _add_heading(self, column: QVBoxLayout, direction: str) -> None:
        words = say(f"side.reasons.{direction}")
        label = Label(words, "small_strong", "ink2")
        label.setContentsMargins(0, 8, 0, 0)
        column.addWidget(label)
        self._plain += ["", words]

    def _add_reason(self, column: QVBoxLayout, why: Reason, tables: Tables) -> None:
        icon, ink = _MARK[why.direction]
        edge = float(ICON.inline)
        sentence = _selectable(text(why.sentence), "body", "ink")
        self.rows[why.character] = sentence
        words = QVBoxLayout()
        words.setSpacing(0)
        words.addWidget(sentence)
        self._plain.append(f"- {text(why.sentence)}")
        lines = [
            " ".join(
                part
                for part in (
                    f"{cell_words.cell_words(cell, tables)}.",
                    cell.note,
                    cell_words.cell_source(cell, tables),
                )
                if part
            )
            for cell in why.cells
        ] or [say("side.reasons.no_cell")]
        for line in lines:
            words.addWidget(_selectable(line, "small", "ink2"))
            self._plain.append(f"  {line}")
        row = QHBoxLayout()
        row.setSpacing(8)
        mark = Drawing(icon_text(icon), (edge, edge), ink)
        mark.setContentsMargins(0, 3, 0, 0)
        row.addWidget(mark, 0, Qt.AlignmentFlag.AlignTop)
        row.addLayout(words, 1)
        column.addLayout(row)


def _selectable(words: str, role: str, ink: str) -> Label:
    label = Label(words, role, ink, wrap=True)
    label.setTextInteractionFlags(
        Qt.TextInteractionFlag.TextSelectableByMouse
        | Qt.TextInteractionFlag.TextSelectableByKeyboard
    )
    label.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
    label.setAccessibleName(words)
    return label
