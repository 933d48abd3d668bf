"""Everything that stands on the picture, as rows for the keyboard and the screen reader."""

from collections.abc import Iterator
from dataclasses import dataclass

from PySide6.QtCore import QSignalBlocker, Qt
from PySide6.QtGui import QAction, QKeyEvent
from PySide6.QtWidgets import (
    QHBoxLayout,
    QHeaderView,
    QMenu,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from app.panels.fields import titled
from app.panels.hints import point_words
from app.panels.next_band import AT_LEAST_KEY, REASON_KEYS
from app.panels.plain_table import PlainTable
from app.panels.strip import Strip
from app.session import Aspect, Session, deeds
from app.style.follow import follow
from app.style.fonts import line_height
from app.style.widgets import Label, button
from landmarks.figures import is_plane
from landmarks.placing import REASONS, Placing, came_about
from landmarks.scheme import SERIES, VIEWS
from landmarks.sentences import say

NUDGES = {
    Qt.Key.Key_Left: (-1, 0),
    Qt.Key.Key_Right: (1, 0),
    Qt.Key.Key_Up: (0, -1),
    Qt.Key.Key_Down: (0, 1),
}
TENTH = 0.1
N_SHOWN = 7
"""So many lines are always in sight, the heads of the columns among them."""


@dataclass(frozen=True, slots=True)
class Line:
    """A row: its landmark (empty for the scale), its mark if it has one, its words."""

    landmark: str
    mark: tuple[str, int] | None
    letter: str
    name: str
    where: str


class LandmarkList(Strip):
    """Rows of the view's scheme: Enter arms, Del takes back, Alt and an arrow key nudges."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__("list", say("landmarks.title"), "landmarks", parent)
        self._session = session
        self._lines: tuple[Line, ...] = ()
        self.set_title(say("landmarks.title"), say("landmarks.keys"))
        self.table = _Table(self)
        self.arm = button(say("landmarks.arm"))
        self.cannot = button(say("band.cannot"))
        self.at_least = button(say("landmarks.at_least"))
        self.at_least.setToolTip(say("landmarks.at_least.tip"))
        self.take_back = button(say("landmarks.take_back"))
        self._empty = Label(say("landmarks.none"), "body", "ink2", wrap=True)
        body = QWidget()
        rows = QHBoxLayout(body)
        rows.setSpacing(16)
        rows.addWidget(self.table, 1)
        rows.addWidget(self._empty, 1, Qt.AlignmentFlag.AlignTop)
        column = QVBoxLayout()
        column.setSpacing(6)
        for one in (self.arm, self.cannot, self.at_least, self.take_back):
            column.addWidget(one)
        column.addStretch(1)
        rows.addLayout(column)
        self.set_body(body)
        self.setFocusProxy(self.table)
        self.arm.clicked.connect(self.arm_row)
        self.cannot.clicked.connect(self.ask_why_not)
        self.at_least.clicked.connect(self.turn_at_least)
        self.take_back.clicked.connect(self.delete_row)
        self.table.currentCellChanged.connect(lambda *_: self._chosen())
        session.changed.connect(self._look)
        follow(self._restyle)
        self._renew()

    def lines(self) -> tuple[Line, ...]:
        """Return the rows now shown."""
        return self._lines

    def line(self) -> Line | None:
        """Return the row that is chosen, or None."""
        row = self.table.currentRow()
        return self._lines[row] if 0 <= row < len(self._lines) else None

    def arm_row(self) -> None:
        """Arm the landmark of the chosen row for the next click on the picture."""
        line = self.line()
        if line is not None and line.landmark:
            deeds.arm(self._session, line.landmark)

    def delete_row(self) -> None:
        """Take back the mark of the chosen row, or whatever its landmark was answered."""
        line = self.line()
        if line is None:
            return
        if line.mark is not None:
            deeds.delete_mark(self._session, *line.mark)
        elif line.landmark:
            deeds.clear_landmark(self._session, line.landmark)

    def nudge_row(self, dx: float, dy: float) -> None:
        """Move the mark of the chosen row by so many pixels."""
        line = self.line()
        if line is not None and line.mark is not None:
            deeds.nudge(self._session, *line.mark, dx, dy)

    def ask_why_not(self) -> None:
        """Ask in a menu why the landmark of the chosen row cannot be placed."""
        menu = self.reasons_menu()
        if menu is not None:
            menu.popup(self.cannot.mapToGlobal(self.cannot.rect().bottomLeft()))

    def reasons_menu(self) -> QMenu | None:
        """Return the menu of answers of the chosen row: the reasons, and its true zero."""
        line, frame = self.line(), self._session.frame
        if line is None or not line.landmark or frame is None:
            return None
        row = VIEWS[frame.view].landmark(line.landmark)
        zero = (row.may_be_none,) if row is not None and row.may_be_none else ()
        menu = QMenu(self)
        menu.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        for reason in (*zero, *REASONS):
            words = titled(say(f"reason.{reason}"))
            action = QAction(f"{words}\t{REASON_KEYS.get(reason, '')}", menu)
            action.triggered.connect(
                lambda _=False, why=reason: self._say_why(why, line.landmark)
            )
            menu.addAction(action)
        return menu

    def answer(self, reason: str) -> None:
        """Say why the landmark of the chosen row cannot be placed."""
        line = self.line()
        if line is not None and line.landmark:
            self._say_why(reason, line.landmark)

    def turn_at_least(self) -> None:
        """Say of the series of the chosen row that there are more, or that these are all."""
        line, old = self.line(), self._series()
        if line is not None and old is not None:
            deeds.say_at_least(self._session, {old.landmark: not old.at_least})

    # -- inside ----------------------------------------------------------------------------

    def _say_why(self, reason: str, landmark: str) -> None:
        deeds.cannot_place(self._session, reason, landmark)

    def _look(self, aspects: Aspect) -> None:
        if aspects & (
            Aspect.COLLECTION | Aspect.SELECTION | Aspect.SPECIMEN | Aspect.PICTURE
        ):
            self._renew()
        elif aspects & (Aspect.MARK | Aspect.TOOL):
            self._show_chosen()

    def _renew(self) -> None:
        lines = tuple(self._read())
        self.table.setVisible(bool(lines))
        self._empty.setVisible(not lines)
        for one in (self.arm, self.cannot, self.take_back):
            one.setEnabled(bool(lines))
        if lines != self._lines:
            kept = max(self.table.currentRow(), 0)
            self._lines = lines
            quiet = QSignalBlocker(self.table)
            self.table.setRowCount(len(lines))
            for at, line in enumerate(lines):
                spoken = say("landmarks.row", name=line.name, where=line.where)
                for column, words in enumerate((line.letter, line.name, line.where)):
                    item = QTableWidgetItem(words)
                    item.setData(Qt.ItemDataRole.AccessibleTextRole, spoken)
                    self.table.setItem(at, column, item)
            if lines:
                self.table.setCurrentCell(min(kept, len(lines) - 1), 1)
            quiet.unblock()
        self._show_at_least()

    def _read(self) -> Iterator[Line]:
        session = self._session
        specimen, frame, picture = session.specimen, session.frame, session.picture
        if specimen is None or frame is None:
            return
        placed = specimen.placed(frame.id)
        for row in VIEWS[frame.view].landmarks if frame.view in VIEWS else ():
            name = titled(say(f"landmark.{row.key}.name"))
            one = placed.get(row.key)
            if one is None:
                yield Line(row.key, None, row.letter, name, say("landmarks.not_placed"))
            elif one.reason:
                yield Line(row.key, None, row.letter, name, say(f"reason.{one.reason}"))
            elif row.kind == SERIES:
                key = "landmarks.marked_at_least" if one.at_least else "landmarks.marked"
                n = _told(say(key, n=len(one.points)), one)
                yield Line(row.key, None, row.letter, name, n)
                for at, point in enumerate(one.points):
                    words = say("landmarks.one", name=name, n=at + 1)
                    letter = f"{row.letter}{at + 1}"
                    yield Line(row.key, (one.id, at), letter, words, point_words(point))
            else:
                where = _told(point_words(one.points[0]), one)
                yield Line(row.key, (one.id, 0), row.letter, name, where)
        if picture is not None and picture.scale is not None:
            plane = is_plane(picture.scale)
            for at, point in enumerate(picture.scale.points):
                key = "landmarks.corner" if plane else "landmarks.scale_end"
                words = say(key, n=at + 1)
                yield Line("", (picture.id, at), "", words, point_words(point))

    def _show_chosen(self) -> None:
        session = self._session
        tool = session.tool
        armed = tool.landmark if tool is not None else ""
        for at, line in enumerate(self._lines):
            chosen = line.mark == session.mark if session.mark is not None else False
            if chosen or (session.mark is None and armed and line.landmark == armed):
                if at != self.table.currentRow():
                    quiet = QSignalBlocker(self.table)
                    self.table.setCurrentCell(at, 1)
                    quiet.unblock()
                    self._show_at_least()
                break

    def _series(self) -> Placing | None:
        """Return the marked series that the chosen row belongs to, or None."""
        line, specimen, frame = self.line(), self._session.specimen, self._session.frame
        if line is None or specimen is None or frame is None:
            return None
        old = specimen.placed(frame.id).get(line.landmark)
        series = deeds.is_series(self._session, line.landmark)
        return old if series and old is not None and old.points else None

    def _show_at_least(self) -> None:
        old = self._series()
        self.at_least.setEnabled(old is not None)
        least = old is not None and old.at_least
        self.at_least.setText(say("landmarks.all" if least else "landmarks.at_least"))

    def _chosen(self) -> None:
        self._show_at_least()
        line = self.line()
        if line is not None:
            self._session.hand.choose_mark(line.mark)

    def _restyle(self) -> None:
        vertical = self.table.verticalHeader()
        high = max(24, line_height("body") + 8)
        vertical.setDefaultSectionSize(high)
        self.table.setMinimumHeight(N_SHOWN * high + 8)


def _told(where: str, one: Placing) -> str:
    """Return where something is, and what was accepted of a proposal."""
    how = came_about(one)
    return where if how is None else say("placing.with", where=where, how=how)


class _Table(PlainTable):
    def __init__(self, owner: LandmarkList) -> None:
        heads = [say(f"landmarks.{one}") for one in ("letter", "name", "where")]
        super().__init__(say("landmarks.title"), heads)
        self._owner = owner
        contents = QHeaderView.ResizeMode.ResizeToContents
        self.horizontalHeader().setSectionResizeMode(contents)
        self.cellDoubleClicked.connect(lambda *_: owner.arm_row())

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key, owner = Qt.Key(event.key()), self._owner
        reasons = {letter: reason for reason, letter in REASON_KEYS.items()}
        if key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            owner.arm_row()
        elif key in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace):
            owner.delete_row()
        elif key in NUDGES and event.modifiers() & Qt.KeyboardModifier.AltModifier:
            fine = event.modifiers() & Qt.KeyboardModifier.ControlModifier
            step = TENTH if fine else 1.0
            owner.nudge_row(*(step * way for way in NUDGES[key]))
        elif event.text().upper() == AT_LEAST_KEY:
            owner.turn_at_least()
        elif event.text().upper() in reasons:
            owner.answer(reasons[event.text().upper()])
        else:
            super().keyPressEvent(event)
