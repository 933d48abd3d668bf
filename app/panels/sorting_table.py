"""The sorting table: many pictures sorted into animals before they are taken in."""

from __future__ import annotations

from math import exp, log
from pathlib import Path

from PySide6.QtCore import QEvent, Qt, QTimer, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import (
    QDoubleSpinBox,
    QFileDialog,
    QHBoxLayout,
    QMenu,
    QPushButton,
    QSizePolicy,
    QSlider,
    QVBoxLayout,
    QWidget,
)

from app.background.pictures import PictureLoader
from app.panels.fields import ChoiceField, later, one_line, titled, worded
from app.panels.sorting_sheet import SortingSheet
from app.panels.strip import CONTEXT
from app.panels.view_choice import VIEW_KEYS
from app.session import Aspect, Session
from app.session.sorting import ALONE, LABELS, NAME, TIME, Sorting
from app.style.follow import follow
from app.style.fonts import scaled
from app.style.widgets import FlowLayout, Label, button, icon_button
from app.style.widgets.painted import plain_tip
from landmarks.sentences import Sentence, say, text

METHODS = (TIME, NAME, LABELS, ALONE)
LEAST_MIN, MOST_MIN = 1 / 60, 240.0
_SLIDES = 200
_PAUSE_MS = 120
_ENDED_MS = 600


class SortingTable(QWidget):
    """Head: how it is sorted; the sheet; foot: what is to know, and the way in or back.

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
        self.method = ChoiceField(say("sorting.method"), worded("sorting.by", METHODS))
        self.gap = QDoubleSpinBox()
        self.gap.setAccessibleName(say("sorting.gap"))
        self.gap.setRange(LEAST_MIN, MOST_MIN)
        self.gap.setDecimals(2)
        self.gap.setSuffix(" min")
        self.gap.setKeyboardTracking(False)
        self.slider = QSlider(Qt.Orientation.Horizontal)
        self.slider.setRange(0, _SLIDES)
        self.slider.setAccessibleName(say("sorting.gap"))
        self.found_gap = button(say("sorting.gap.found"), "link")
        self.undo = icon_button("undo-2", say("sorting.undo"))
        self.redo = icon_button("redo-2", say("sorting.redo"))
        self.views = button(say("sorting.view"), "plain", "eye")
        self.views.setMenu(self._view_menu())
        self.deeds = {key: self._deed(key, icon_name) for key, icon_name in _DEEDS.items()}
        self.to_know = button("", "link", "info")
        self.cancel = button(say("sorting.cancel"))
        self.take_in = button(say("sorting.take_in"), "primary", "download")
        self._pause = later(_PAUSE_MS, self, self._gap_now)
        self._lay_out()
        self._connect()
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
        how = QWidget()
        line = FlowLayout(how, gap=8, line_gap=4)
        line.addWidget(Label(say("sorting.method"), "small", "ink2"))
        for one in (self.method, self.slider, self.gap, self.found_gap):
            line.addWidget(one)
        deeds = QWidget()
        flow = FlowLayout(deeds, gap=6, line_gap=4)
        for one in self.deeds.values():
            flow.addWidget(one)
        flow.addWidget(self.views)
        foot = QHBoxLayout()
        foot.setSpacing(10)
        foot.addWidget(self.to_know)
        foot.addStretch(1)
        foot.addWidget(self.cancel)
        foot.addWidget(self.take_in)
        head = QVBoxLayout()
        head.setContentsMargins(16, 8, 16, 8)
        head.setSpacing(6)
        head.addLayout(title)
        head.addWidget(how)
        head.addWidget(deeds)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addLayout(head)
        column.addWidget(self.sheet, 1)
        foot.setContentsMargins(16, 8, 16, 8)
        column.addLayout(foot)
        follow(self._restyle)
        self.method.setMinimumContentsLength(13)
        self.method.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)

    def _restyle(self) -> None:
        self.slider.setFixedSize(scaled(120), scaled(28))

    def _deed(self, key: str, icon_name: str) -> QPushButton:
        made = button(say(f"sorting.{key}"), "plain", icon_name)
        made.setToolTip(plain_tip(say(f"sorting.{key}.tip")))
        return made

    def _view_menu(self) -> QMenu:
        menu = QMenu(self)
        for key, view in VIEW_KEYS.items():
            # The key acts on the sheet itself; here it is only told.
            action = menu.addAction(f"{titled(say(f'view.{view}'))}\t{key}")
            action.triggered.connect(lambda _=False, it=view: self.sheet.give_view(it))
        menu.addSeparator()
        none = menu.addAction(say("sorting.view.none"))
        none.triggered.connect(lambda _=False: self.sheet.give_view(""))
        return menu

    def _connect(self) -> None:
        sorting, sheet = self.sorting, self.sheet
        sorting.changed.connect(self._renew)
        sheet.chosen.connect(self._enable)
        self.method.chosen.connect(self._sort_by)
        self.gap.valueChanged.connect(lambda _: self._gap_typed())
        self.slider.valueChanged.connect(lambda _: self._slid())
        self.found_gap.clicked.connect(lambda: sorting.propose(TIME))
        self.undo.clicked.connect(sorting.undo)
        self.redo.clicked.connect(sorting.redo)
        self.cancel.clicked.connect(self.cancelled)
        self.take_in.clicked.connect(self._take_in)
        self.to_know.clicked.connect(self._show_words)
        for key, run in {
            "merge": sheet.merge,
            "split": sheet.split,
            "split_here": sheet.split_here,
            "number": sheet.number,
            "number_on": self._number_on,
            "leave_out": sheet.leave_out,
            "take_along": sheet.take_along,
        }.items():
            self.deeds[key].clicked.connect(run)
        self._session.changed.connect(self._look)
        # What could not be taken in can be tried again.
        self._session.noticed.connect(lambda _, kind: self._tried(kind))

    def _tried(self, kind: str) -> None:
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
        n, groups = len(proposal.shots), len(proposal.groups)
        counts = Sentence("sorting.counts", {"n": groups, "pictures": n})
        if sorting.reading:
            values = {"n": sorting.n_read, "all": len(sorting.paths), "counts": counts}
            counts = Sentence("sorting.reading", values)
        why = Sentence("sorting.how", {"counts": counts, "why": proposal.why})
        self._counts.setText(one_line(text(why if n else counts)))
        self.method.show_key(sorting.method or TIME)
        timed = sorting.method == TIME
        for widget in (self.slider, self.gap, self.found_gap):
            widget.setVisible(timed)
        # What somebody is just setting is not set back by what comes in between.
        if timed and proposal.gap_s and not self._pause.isActive():
            self._show_gap(proposal.gap_s / 60)
        words = self.sheet.sentences()
        self.to_know.setVisible(bool(words))
        self.to_know.setText(say("sorting.to_know", n=len(words)))
        self.to_know.setAccessibleName(self.to_know.text())
        self.take_in.setText(say("sorting.take_in.n", n=n))
        self.take_in.setAccessibleName(self.take_in.text())
        self.take_in.setEnabled(bool(n) and not sorting.reading and not sorting.taking)
        self._enable()

    def _show_gap(self, minutes: float) -> None:
        for widget in (self.gap, self.slider):
            widget.blockSignals(True)  # noqa: FBT003 - Qt's own call
        self.gap.setValue(minutes)
        self.slider.setValue(_slide_of(minutes))
        for widget in (self.gap, self.slider):
            widget.blockSignals(False)  # noqa: FBT003 - Qt's own call

    def _enable(self) -> None:
        sorting, sheet = self.sorting, self.sheet
        keys = sheet.chosen_keys()
        homes = [home for key in keys if (home := sorting.group_of(key)) is not None]
        inside, groups = len(homes), set(homes)
        able = {
            "merge": bool(groups) and len(sorting.groups) > 1,
            "split": bool(keys),
            "split_here": sheet.group_here() >= 0,
            "number": sheet.group_here() >= 0,
            "number_on": self._may_number_on(),
            "leave_out": bool(inside),
            "take_along": inside < len(keys),
        }
        for key, one in self.deeds.items():
            one.setEnabled(able[key])
        self.deeds["take_along"].setVisible(bool(sorting.apart))
        self.views.setEnabled(bool(keys))
        self.undo.setEnabled(sorting.may_undo)
        self.redo.setEnabled(sorting.may_redo)

    def _may_number_on(self) -> bool:
        here = self.sheet.group_here()
        return here >= 0 and bool(self.sorting.now.proposal.group(here).number)

    def _show_words(self) -> None:
        bar = self.sheet.verticalScrollBar()
        bar.setValue(bar.maximum())

    # -- done ------------------------------------------------------------------------------

    def _number_on(self) -> None:
        if self._may_number_on():
            self.sorting.number_on(self.sheet.group_here())

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
            self._session.notice(sentence, "error")
            self._counts.setText(text(sentence))
            self.method.show_key(self.sorting.method)

        self.sorting.sort_by_labels(path, lambda: None, failed)

    def _slid(self) -> None:
        minutes = _minutes_of(self.slider.value())
        self.gap.blockSignals(True)  # noqa: FBT003 - Qt's own call
        self.gap.setValue(minutes)
        self.gap.blockSignals(False)  # noqa: FBT003 - Qt's own call
        self._pause.start()

    def _gap_typed(self) -> None:
        self._pause.start()

    def _gap_now(self) -> None:
        self.sorting.propose(TIME, self.gap.value() * 60)

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


def _minutes_of(slide: int) -> float:
    """Return the minutes of a place of the slider: seconds at its left, hours at its right.

    >>> round(_minutes_of(0) * 60), round(_minutes_of(_SLIDES))
    (1, 240)
    """
    share = slide / _SLIDES
    return exp(log(LEAST_MIN) + share * (log(MOST_MIN) - log(LEAST_MIN)))


def _slide_of(minutes: float) -> int:
    inside = min(max(minutes, LEAST_MIN), MOST_MIN)
    return round(_SLIDES * log(inside / LEAST_MIN) / log(MOST_MIN / LEAST_MIN))
