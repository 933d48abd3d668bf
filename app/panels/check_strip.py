"""The check of the collection: what is wrong, one line each, and what to do about it."""

from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QListWidget, QVBoxLayout, QWidget

from app.panels.fields import in_window, one_line, titled
from app.panels.strip import Strip
from app.session import Aspect, Session
from app.style.follow import follow
from app.style.fonts import scaled
from app.style.widgets import FlowLayout, Label, button
from landmarks.outputs.inspection import Inspection
from landmarks.sentences import say
from landmarks.storage.moved import MOVED

MOST_LINES = 500
"""So many findings are listed; the others are counted."""

_LIST_FAULTS = ("store.fault_list", "store.fault_found")
_HIGH = 150


class CheckStrip(Strip):
    """Checks when asked; every finding is a line that can be copied.

    Signals
    -------
    check_wanted(), look_wanted(), given_up()
        The person wants to check, to look for pictures under a folder, or no more of it.
    accept_wanted(Inspection), renew_wanted(Inspection), relist_wanted()
        The person wants moved pictures noted, stale values derived, the list made anew.

    Attributes
    ----------
    folders
        Where pictures were looked for, besides where they were.
    """

    check_wanted = Signal()
    look_wanted = Signal()
    accept_wanted = Signal(object)
    renew_wanted = Signal(object)
    relist_wanted = Signal()
    given_up = Signal()

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__("check", say("check.title"), "label", parent)
        self._session = session
        self.folders: list[Path] = []
        self._found: Inspection | None = None
        self._busy = False
        self.start = button(say("check.start"), "primary")
        self.look = button(say("check.look_under"), "plain", "search")
        self.give_up = button(say("many.give_up"))
        self.said = Label("", "body", wrap=True)
        self.list = QListWidget()
        self.list.setAccessibleName(say("check.title"))
        self.list.setWordWrap(True)
        self.list.setTextElideMode(Qt.TextElideMode.ElideNone)
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.accept = button("", "primary", "check")
        self.renew = button("")
        self.relist = button(say("check.relist"))
        self._lay_out()
        self.setFocusProxy(self.start)
        self.start.clicked.connect(self.check_wanted)
        self.look.clicked.connect(self.look_wanted)
        self.give_up.clicked.connect(self.given_up)
        self.accept.clicked.connect(lambda: self.accept_wanted.emit(self._found))
        self.renew.clicked.connect(lambda: self.renew_wanted.emit(self._found))
        self.relist.clicked.connect(self.relist_wanted)
        session.changed.connect(self._changed)
        follow(self._restyle)
        self._renew()

    def begin(self) -> None:
        """Say that it is being checked."""
        self._busy = True
        self.said.setText(say("check.reading"))
        self._renew()

    def say_progress(self, words: str) -> None:
        """Say how far it is."""
        self.said.setText(words)

    def end(self) -> None:
        """Let the person check again."""
        self._busy = False
        self.said.setText("")
        self._renew()

    def show_found(self, found: Inspection) -> None:
        """Show what was found, and offer what can be done about it."""
        self._found = found
        self.list.clear()
        lines = [titled(one_line(in_window(one))) for one in (*found.faults, *found.notes)]
        self.list.addItems(lines[:MOST_LINES])
        if len(lines) > MOST_LINES:
            self.list.addItem(say("check.more", n=len(lines) - MOST_LINES))
        n = len(found.faults)
        good = {"specimens": found.n_specimens, "pictures": len(found.pictures)}
        self.said.setText(say("check.found", n=n) if n else say("check.good", **good))
        self._renew()

    # -- inside ----------------------------------------------------------------------------

    def _lay_out(self) -> None:
        body, doing = QWidget(), QWidget()
        ways = FlowLayout(doing, gap=8, line_gap=4)
        for one in (self.accept, self.renew, self.relist):
            ways.addWidget(one)
        column = QVBoxLayout(body)
        column.setSpacing(6)
        column.addWidget(self.said)
        column.addWidget(self.list)
        column.addWidget(doing)
        column.addStretch(1)
        self._doing = doing
        self.set_body(body)
        self.add_to_head(self.look, self.give_up, self.start)

    def _changed(self, aspects: Aspect) -> None:
        if aspects & Aspect.COLLECTION:
            self._found, self.folders = None, []
            self.list.clear()
            self._renew()

    def _renew(self) -> None:
        found, busy = self._found, self._busy
        moved = 0 if found is None else sum(row.state == MOVED for row in found.pictures)
        n_renew = 0 if found is None else len(found.to_renew)
        listed = found is not None and any(one.key in _LIST_FAULTS for one in found.faults)
        self.accept.setText(say("check.accept", n=moved))
        self.renew.setText(say("check.renew", n=n_renew))
        for made in (self.accept, self.renew):
            made.setAccessibleName(made.text())
        self.accept.setVisible(bool(moved))
        self.renew.setVisible(bool(n_renew))
        self.relist.setVisible(listed)
        self._doing.setVisible(not busy and bool(moved or n_renew or listed))
        self.list.setVisible(not busy and self.list.count() > 0)
        if found is None and not busy:
            self.said.setText(say("check.words"))
        self.said.setVisible(bool(self.said.text()))
        self.start.setText(say("check.start" if found is None else "check.again"))
        self.start.setAccessibleName(self.start.text())
        self.give_up.setVisible(busy)
        # The keyboard goes where something can be done before its place is shut.
        held = self.start.hasFocus() or self.look.hasFocus()
        if busy and held and self.give_up.isVisible():
            self.give_up.setFocus(Qt.FocusReason.OtherFocusReason)
        able = not busy and self._session.store is not None
        for one in (self.start, self.look):
            one.setEnabled(able)
        self.setFocusProxy(self.give_up if busy else self.start)

    def _restyle(self) -> None:
        self.list.setFixedHeight(scaled(_HIGH))
