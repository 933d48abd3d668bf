"""The sorting table: many pictures sorted into animals before they are taken in."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QEvent, QRect, Qt, QTimer, Signal
from PySide6.QtGui import QKeyEvent, QResizeEvent
from PySide6.QtWidgets import (
    QFileDialog,
    QHBoxLayout,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.background.pictures import PictureLoader
from app.panels.fields import one_line
from app.panels.sorting_how import SortingHow
from app.panels.sorting_sheet import SortingSheet
from app.panels.sorting_views import ViewLegend
from app.panels.strip import CONTEXT
from app.session import Aspect, Session
from app.session.sorting import LABELS, TIME, Sorting
from app.style.fonts import scaled
from app.style.widgets import FlowLayout, Label, button, icon_button
from app.style.widgets.painted import plain_tip
from landmarks.sentences import Sentence, say, text

LEAST_HIGH = 500
"""The table is this high, at the usual size of type, before it has room for the views."""


class SortingTable(QWidget):
    """Head: how it is sorted; the sheet; foot: what will be saved, and the way in or back.

    Signals
    -------
    take_in_wanted()
        All that is in a group is to be taken in.
    cancelled()
        Nothing is to be taken in.
    """

    take_in_wanted = Signal()
    cancelled = Signal()

    def __init__(
        self,
        session: Session,
        sorting: Sorting,
        loader: PictureLoader,
        folder: str = "",
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._session, self.sorting, self._folder = session, sorting, folder
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.setProperty("ground", "sheet")
        self.setProperty(CONTEXT, "sorting")
        self.setAccessibleName(say("sorting.title"))
        self.sheet = SortingSheet(sorting, loader)
        self._counts = Label("", "small", "ink2", wrap=True)
        self._will = Label("", "small", "ink2", wrap=True)
        self.how = SortingHow()
        self.legend = ViewLegend()
        self.undo = icon_button("undo-2", say("sorting.undo"))
        self.redo = icon_button("redo-2", say("sorting.redo"))
        self.deeds = {key: self._deed(key, icon_name) for key, icon_name in _DEEDS.items()}
        self.to_know = button("", "link", "info")
        self.cancel = button(say("sorting.cancel"))
        self.cancel.setToolTip(plain_tip(say("sorting.cancel.tip")))
        self.take_in = button(say("sorting.take_in"), "primary", "download")
        self.take_in.setToolTip(plain_tip(say("sorting.take_in.tip")))
        self._lay_out()
        self._connect()
        self.sheet.large.setParent(self)
        self.sheet.large.place = self._above_the_foot
        self.setFocusProxy(self.sheet)
        self._renew()

    # -- laid out --------------------------------------------------------------------------

    def _lay_out(self) -> None:
        title = QHBoxLayout()
        title.setSpacing(12)
        title.addWidget(Label(say("sorting.title"), "strong"))
        title.addWidget(self._counts, 1)
        title.addWidget(self.undo)
        title.addWidget(self.redo)
        # How it is sorted, and below or beside it what is done with what is selected.
        tools = QWidget()
        flow = FlowLayout(tools, gap=6, line_gap=4)
        flow.addWidget(self.how)
        for one in self.deeds.values():
            flow.addWidget(one)
        foot = QHBoxLayout()
        foot.setSpacing(10)
        foot.addWidget(self.to_know)
        foot.addWidget(self._will, 1)
        foot.addWidget(self.cancel)
        foot.addWidget(self.take_in)
        head = QVBoxLayout()
        head.setContentsMargins(16, 8, 16, 8)
        head.setSpacing(6)
        head.addLayout(title)
        head.addWidget(tools)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addLayout(head)
        column.addWidget(self.sheet, 1)
        below = QVBoxLayout()
        below.setContentsMargins(16, 6, 16, 8)
        below.setSpacing(6)
        below.addWidget(self.legend)
        below.addLayout(foot)
        column.addLayout(below)

    def _deed(self, key: str, icon_name: str) -> QPushButton:
        made = button(say(f"sorting.{key}"), "plain", icon_name)
        made.setToolTip(plain_tip(say(f"sorting.{key}.tip")))
        return made

    def _connect(self) -> None:
        sorting, sheet = self.sorting, self.sheet
        sorting.changed.connect(self._renew)
        sheet.chosen.connect(self._enable)
        self.how.method_wanted.connect(self._sort_by)
        self.how.gap_wanted.connect(lambda gap_s: sorting.propose(TIME, gap_s))
        self.legend.wanted.connect(sheet.deeds.give_view)
        self.undo.clicked.connect(sorting.undo)
        self.redo.clicked.connect(sorting.redo)
        self.cancel.clicked.connect(self.cancelled)
        self.take_in.clicked.connect(self._take_in)
        self.to_know.clicked.connect(self._show_words)
        for key, run in {
            "merge": sheet.deeds.merge,
            "split": sheet.deeds.split,
            "split_here": sheet.deeds.split_here,
            "number": sheet.deeds.number,
            "number_on": sheet.deeds.number_on,
            "leave_out": sheet.deeds.leave_out,
            "take_along": sheet.deeds.take_along,
        }.items():
            self.deeds[key].clicked.connect(run)
        self._session.changed.connect(self._look)
        # What could not be taken in can be tried again.
        self._session.noticed.connect(self._tried)

    def _tried(self, _sentence: Sentence, kind: str) -> None:
        if kind == "error":
            self._renew()

    def _look(self, aspects: Aspect) -> None:
        if aspects & Aspect.COLLECTION:
            # The loader was told to forget what was asked for.
            QTimer.singleShot(0, self, self.sheet.thumbs.forget_asked)

    # -- shown -----------------------------------------------------------------------------

    def _renew(self) -> None:
        sorting = self.sorting
        proposal = sorting.now.proposal
        n, groups = len(sorting.inside), len(proposal.groups)
        counts = Sentence("sorting.counts", {"n": groups, "pictures": n})
        if sorting.reading:
            values = {"n": sorting.n_read, "all": len(sorting.paths), "counts": counts}
            counts = Sentence("sorting.reading", values)
        why = Sentence("sorting.how", {"counts": counts, "why": proposal.why})
        if given := sum(one.given for one in proposal.groups):
            why = Sentence("sorting.kept", {"how": why, "n": given})
        self._counts.setText(one_line(text(why if n else counts)))
        self.how.show_method(sorting.method or TIME, proposal.gap_s)
        self._will.setText(one_line(text(self._what_will_be())))
        words = self.sheet.sentences()
        self.to_know.setVisible(bool(words))
        self.to_know.setText(say("sorting.to_know", n=len(words)))
        self.to_know.setAccessibleName(self.to_know.text())
        self.take_in.setText(say("sorting.take_in.n", n=n))
        self.take_in.setAccessibleName(self.take_in.text())
        self.take_in.setEnabled(bool(n) and not sorting.reading and not sorting.taking)
        self._enable()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Leave the views out where the pictures would have no room above them."""
        super().resizeEvent(event)
        self.legend.setVisible(self.height() > scaled(LEAST_HIGH))
        large = self.sheet.large
        QTimer.singleShot(0, large, lambda: large.setGeometry(self._above_the_foot()))

    def _above_the_foot(self) -> QRect:
        """Return where a picture is seen large: above all but the views and the foot."""
        return QRect(0, 0, self.width(), self.sheet.geometry().bottom() + 1)

    def _what_will_be(self) -> Sentence:
        """Return what is saved by taking in, and what is not."""
        sorting = self.sorting
        inside = sorting.inside
        values = {
            "specimens": Sentence("specimens.counts", {"n": len(sorting.groups)}),
            "pictures": Sentence("specimens.pictures", {"n": len(inside)}),
            "views": sum(key in inside for key in sorting.now.views),
        }
        if not inside and sorting.shots and not sorting.reading:
            return Sentence("sorting.will.nothing")
        words = Sentence("sorting.will", values)
        n = len(sorting.shots) - len(inside)
        return Sentence("sorting.will.apart", {"words": words, "n": n}) if n else words

    def _enable(self) -> None:
        sorting, sheet = self.sorting, self.sheet
        keys = sheet.choice.keys
        homes = [home for key in keys if (home := sorting.group_of(key)) is not None]
        inside, groups = len(homes), set(homes)
        able = {
            "merge": bool(groups) and len(sorting.groups) > 1,
            "split": bool(keys),
            "split_here": sheet.deeds.group_here() >= 0,
            "number": sheet.deeds.group_here() >= 0,
            "number_on": sheet.deeds.may_number_on,
            "leave_out": bool(inside),
            "take_along": inside < len(keys),
        }
        for key, one in self.deeds.items():
            one.setEnabled(able[key])
        self.deeds["take_along"].setVisible(bool(sorting.apart))
        views = frozenset(sorting.now.views.get(key, "") for key in keys)
        self.legend.show_chosen(views, able=bool(keys))
        self.undo.setEnabled(sorting.may_undo)
        self.redo.setEnabled(sorting.may_redo)

    def _show_words(self) -> None:
        bar = self.sheet.verticalScrollBar()
        bar.setValue(bar.maximum())

    # -- done ------------------------------------------------------------------------------

    def _sort_by(self, method: str) -> None:
        if method == LABELS:
            self._ask_for_table()
        else:
            self.sorting.propose(method)

    def _ask_for_table(self) -> None:
        found, _ = QFileDialog.getOpenFileName(
            self,
            say("sorting.table"),
            self._folder,
            f"{say('sorting.tables')} (*.csv *.tsv *.txt)",
        )
        if found:
            self.sort_by_labels(Path(found))
        else:
            self._renew()

    def sort_by_labels(self, path: Path) -> None:
        """Sort by a label table; one that cannot be read changes nothing."""

        def failed(sentence: Sentence) -> None:
            # Said here and nowhere else: in the band it would greet whoever is done here.
            self._counts.setText(one_line(text(sentence)))
            self.how.method.show_key(self.sorting.method)

        self.sorting.sort_by_labels(path, lambda: None, failed)

    def _take_in(self) -> None:
        self.take_in.setEnabled(False)
        self.take_in_wanted.emit()

    def event(self, event: QEvent) -> bool:
        """Let undo and redo of the window act on the table while it has the keyboard."""
        if event.type() == QEvent.Type.ShortcutOverride:
            assert isinstance(event, QKeyEvent)
            if _turn_of(event):
                event.accept()
                return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Undo, redo, Ctrl+Enter takes in, Esc asks for nothing: it cancels."""
        turn = _turn_of(event)
        if turn == "undo":
            self.sorting.undo()
        elif turn == "redo":
            self.sorting.redo()
        elif turn == "take_in":
            if self.take_in.isEnabled():
                self._take_in()
        else:
            super().keyPressEvent(event)


_DEEDS = {
    "merge": "merge",
    "split": "split",
    "split_here": "unlink",
    "number": "tag",
    "number_on": "list",
    "leave_out": "x",
    "take_along": "plus",
}


def _turn_of(event: QKeyEvent) -> str:
    """Return which of the window's keys means something else here."""
    control = event.modifiers() & Qt.KeyboardModifier.ControlModifier
    shift = event.modifiers() & Qt.KeyboardModifier.ShiftModifier
    if control and event.key() == Qt.Key.Key_Z:
        return "redo" if shift else "undo"
    if control and event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
        return "take_in"
    return ""
