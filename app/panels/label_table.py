"""Labels from a table: which column is which, what joins which specimen, and then one deed."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QAbstractItemView,
    QButtonGroup,
    QCheckBox,
    QHBoxLayout,
    QHeaderView,
    QPushButton,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from app.panels.fields import ChoiceField, one_line, titled
from app.panels.strip import CONTEXT
from app.session import Session
from app.session.labelling import RESULTS, WRITTEN, Labelling
from app.style.follow import follow
from app.style.fonts import line_height, scaled
from app.style.widgets import FlowLayout, Label, button
from app.style.widgets.painted import plain_tip
from landmarks.intake.columns import EXTRA, FILE, LEFT_OUT, SPELLINGS
from landmarks.sentences import known, say, text

MOST = 300
"""Lines of a result that are shown; their number is always said."""

KEEP = EXTRA
_SHOWN = ("line", "specimen", "entry", "before", "after")


class LabelTablePage(QWidget):
    """Columns above, results below, the way in or back at the foot.

    Signals
    -------
    closed()
        It is done, or given up.
    """

    closed = Signal()

    def __init__(
        self, session: Session, labelling: Labelling, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._session, self.labelling = session, labelling
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.setProperty("ground", "sheet")
        self.setProperty(CONTEXT, "label")
        name = one_line(labelling.path.name)
        self.setAccessibleName(say("labels.title", file=name))
        self._title = Label(say("labels.title", file=name), "strong")
        self._notes = Label("", "small", "caution", wrap=True)
        self.columns = _table(say("labels.columns"), ("column", "value", "taken_for"))
        self.choices: list[ChoiceField] = []
        self.results: dict[str, QPushButton] = {}
        self.lines = _table(say("labels.lines"), _SHOWN)
        self._more = Label("", "small", "ink2")
        self.wins = QCheckBox(say("labels.wins"))
        self.cancel = button(say("labels.cancel"))
        self.accept = button(say("labels.accept"), "primary", "check")
        self._lay_out()
        self.setFocusProxy(self.columns)
        self.wins.clicked.connect(lambda on: labelling.let_win(table=bool(on)))
        self.cancel.clicked.connect(self.closed)
        self.accept.clicked.connect(labelling.accept)
        labelling.changed.connect(self._renew)
        labelling.done.connect(lambda _: self.closed.emit())
        follow(self._restyle)
        self._renew()

    # -- laid out --------------------------------------------------------------------------

    def _lay_out(self) -> None:
        chips = QWidget()
        flow = FlowLayout(chips, gap=6, line_gap=4)
        group = QButtonGroup(self)
        for key in RESULTS:
            made = button("")
            made.setCheckable(True)
            made.setChecked(key == WRITTEN)
            group.addButton(made)
            made.clicked.connect(lambda _=False: self._show_lines())
            self.results[key] = made
            flow.addWidget(made)
        foot = QHBoxLayout()
        foot.setSpacing(10)
        foot.addWidget(self.wins)
        foot.addStretch(1)
        foot.addWidget(self.cancel)
        foot.addWidget(self.accept)
        column = QVBoxLayout(self)
        column.setContentsMargins(16, 10, 16, 10)
        column.setSpacing(8)
        column.addWidget(self._title)
        column.addWidget(Label(say("labels.words"), "small", "ink2", wrap=True))
        column.addWidget(self._notes)
        column.addWidget(self.columns, 2)
        column.addWidget(chips)
        column.addWidget(self.lines, 3)
        column.addWidget(self._more)
        column.addLayout(foot)

    def _restyle(self) -> None:
        for table in (self.columns, self.lines):
            table.verticalHeader().setDefaultSectionSize(line_height("body") + 10)
        self.columns.verticalHeader().setDefaultSectionSize(line_height("body") + 18)
        for at, width in enumerate((56, 130, 150, 200)):
            self.lines.setColumnWidth(at, scaled(width))
        # What a column says may be long; what it is taken for never is.
        head = self.columns.horizontalHeader()
        head.setStretchLastSection(False)
        head.setSectionResizeMode(1, QHeaderView.ResizeMode.Stretch)
        self.columns.setColumnWidth(0, scaled(200))
        self.columns.setColumnWidth(2, scaled(280))

    # -- shown -----------------------------------------------------------------------------

    def _renew(self) -> None:
        one = self.labelling
        if one.table is not None and not self.choices:
            self._show_columns()
            notes = [one_line(text(note)) for note in one.table.notes]
            self._notes.setText("\n".join(notes[:3]))
            self._notes.setToolTip("")
        self._notes.setVisible(bool(self._notes.text()))
        self._show_matching()
        counts = one.counts()
        for key, chip in self.results.items():
            chip.setText(say(f"labels.{key}", n=counts[key]))
            chip.setAccessibleName(chip.text())
            chip.setMinimumWidth(chip.sizeHint().width())
        n = counts[WRITTEN]
        self.accept.setText(say("labels.accept.n", n=n))
        self.accept.setAccessibleName(self.accept.text())
        self.accept.setEnabled(bool(n) and not one.busy)
        self._show_lines()

    def _show_columns(self) -> None:
        table = self.labelling.table
        assert table is not None
        self.columns.setRowCount(len(table.header))
        for at, name in enumerate(table.header):
            values = dict.fromkeys(row[at] for row in table.rows[:50] if row[at])
            words = (one_line(name), one_line(", ".join(list(values)[:4])))
            for across, word in enumerate(words):
                self.columns.setItem(at, across, _item(word))
            field = ChoiceField(say("labels.taken_for", column=one_line(name)), _targets())
            field.chosen.connect(lambda key, it=at: self._take(it, key))
            self.choices.append(field)
            self.columns.setCellWidget(at, 2, field)

    def _show_matching(self) -> None:
        matching = self.labelling.matching
        if matching is None:
            return
        for field, target in zip(self.choices, matching.targets, strict=False):
            field.show_key(KEEP if target.startswith(EXTRA) else target or LEFT_OUT)

    def _take(self, column: int, target: str) -> None:
        if target == KEEP:
            self.labelling.keep(column)
        else:
            self.labelling.take(column, target)

    def _shown(self) -> str:
        return next(key for key, chip in self.results.items() if chip.isChecked())

    def _show_lines(self) -> None:
        key = self._shown()
        found = self.labelling.told(key, MOST)
        self.lines.setRowCount(len(found))
        for row, one in enumerate(found):
            words = (
                "" if one.line is None else str(one.line),
                one.number or (say("specimens.no_number") if one.specimen else ""),
                entry_name(one.entry),
                one.before,
                one.after,
            )
            for across, word in enumerate(words):
                self.lines.setItem(row, across, _item(one_line(word)))
        self._more.setText(say("labels.first", n=MOST) if len(found) == MOST else "")
        self._more.setVisible(len(found) == MOST)


def entry_name(entry: str) -> str:
    """Return the name of an entry of the label; one under its own name as it stands."""
    return say(f"label.{entry}") if known(f"label.{entry}") else one_line(entry)


def _targets() -> list[tuple[str, str]]:
    """Return what a column can be taken for: nothing, entries, the file, its own name."""
    entries = [
        (key, titled(entry_name(key))) for key in SPELLINGS if key not in (FILE, LEFT_OUT)
    ]
    return [
        (LEFT_OUT, say("labels.left_out")),
        *entries,
        (FILE, say("labels.file")),
        (KEEP, say("labels.keep")),
    ]


def _table(name: str, columns: Sequence[str]) -> QTableWidget:
    made = QTableWidget(0, len(columns))
    made.setAccessibleName(name)
    made.setHorizontalHeaderLabels([say(f"labels.column.{one}") for one in columns])
    made.verticalHeader().hide()
    made.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
    made.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
    made.setTabKeyNavigation(False)
    made.setWordWrap(False)
    head = made.horizontalHeader()
    head.setStretchLastSection(True)
    head.setSectionResizeMode(QHeaderView.ResizeMode.Interactive)
    head.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft)
    return made


def _item(words: str) -> QTableWidgetItem:
    made = QTableWidgetItem(words)
    made.setToolTip(plain_tip(words))
    made.setFlags(Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable)
    return made
