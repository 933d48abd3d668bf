"""The table of agreement: a row for each measure and character, with what is lacking."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QSignalBlocker, Qt
from PySide6.QtWidgets import QTableWidgetItem

from app.panels.fields import titled
from app.panels.plain_table import PlainTable
from app.style.follow import follow
from app.style.fonts import line_height
from app.style.widgets.buttons import plain_tip
from landmarks.outputs.agreement import COLUMNS, Report, cells_of, name_of, untold_of
from landmarks.repeats import Repeated, Rescored
from landmarks.sentences import say, text

_SPANNED = 4
"""Columns that the share of equal scores takes, in the rows of characters."""


@dataclass(frozen=True, slots=True)
class Line:
    """A row of the table in words: what is seen, spoken, and said of what is lacking."""

    name: str
    cells: tuple[str, ...]
    spoken: str
    why: str
    spanned: bool


def lines_of(report: Report) -> tuple[Line, ...]:
    """Return the rows of a report in words, measures first."""
    heads = {one: say(f"agreement.column.{one}") for one in COLUMNS}
    rows: tuple[Repeated | Rescored, ...] = (*report.measures, *report.characters)
    lines = []
    for row in rows:
        name, cells = titled(name_of(report, row)), cells_of(report, row)
        said = tuple(f"{heads[one]} {cells[one]}" for one in COLUMNS)
        spoken = say("agreement.spoken", name=name, cells=", ".join(said))
        why = "\n".join(text(one) for one in untold_of(row))
        spanned = isinstance(row, Rescored)
        lines.append(Line(name, tuple(cells.values()), spoken, why, spanned))
    return tuple(lines)


class AgreementTable(PlainTable):
    """What is seen, how it agrees, and as a tool tip what it lacks."""

    def __init__(self) -> None:
        heads = [say(f"agreement.column.{one}") for one in ("name", *COLUMNS)]
        super().__init__(say("agreement.title"), heads)
        for at, one in enumerate(COLUMNS, 1):
            head = QTableWidgetItem(heads[at])
            head.setToolTip(plain_tip(say(f"agreement.tip.{one}")))
            self.setHorizontalHeaderItem(at, head)
        follow(self._restyle)

    def show_lines(self, lines: tuple[Line, ...]) -> None:
        """Show lines in place of those before; the chosen one stays chosen."""
        kept = max(self.currentRow(), 0)
        quiet = QSignalBlocker(self)
        self.clearSpans()
        self.setRowCount(len(lines))
        for at, line in enumerate(lines):
            for column, words in enumerate((line.name, *line.cells)):
                item = QTableWidgetItem(words)
                item.setData(Qt.ItemDataRole.AccessibleTextRole, line.spoken)
                if line.why:
                    item.setToolTip(plain_tip(line.why))
                self.setItem(at, column, item)
            if line.spanned:
                self.setSpan(at, 2, 1, _SPANNED)
        # Once for all: a column that follows its contents is measured at every cell.
        self.resizeColumnsToContents()
        # The last one takes again what is left, which it has just lost.
        for stretched in (False, True):
            self.horizontalHeader().setStretchLastSection(stretched)
        if lines:
            self.setCurrentCell(min(kept, len(lines) - 1), 0)
        quiet.unblock()

    def _restyle(self) -> None:
        high = max(24, line_height("body") + 6)
        self.verticalHeader().setDefaultSectionSize(high)
