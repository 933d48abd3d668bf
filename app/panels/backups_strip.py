"""The copies of the collection that were made while working, and the way into one of them."""

from collections.abc import Sequence
from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QListWidget, QVBoxLayout, QWidget

from app.panels.hints import clock, day
from app.panels.strip import Strip
from app.session import Session
from app.style.follow import follow
from app.style.fonts import scaled
from app.style.widgets import Label, button
from landmarks.sentences import say
from landmarks.sentences.numbers import plain
from landmarks.storage.backups import Backup

_HIGH = 150


class BackupsStrip(Strip):
    """A list, newest first; one can be opened as a copy, the collection stays as it is.

    Signals
    -------
    open_wanted(Backup), now_wanted(), shown()
        The person wants one opened, or made now; or looks at them.
    """

    open_wanted = Signal(object)
    now_wanted = Signal()
    shown = Signal()

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__("archive", say("backups.title"), "label", parent)
        self._session = session
        self._backups: tuple[Backup, ...] = ()
        self._asked = False
        self.list = QListWidget()
        self.list.setAccessibleName(say("backups.list"))
        self.open = button(say("backups.open"), "primary", "folder-open")
        self.now = button(say("backups.now"))
        self.where = Label("", "small", "ink2", wrap=True)
        self.nothing = Label("", "body", "ink2", wrap=True)
        self._lay_out()
        self.setFocusProxy(self.list)
        self.open.clicked.connect(self._open)
        self.list.itemActivated.connect(lambda _: self._open())
        self.list.currentRowChanged.connect(lambda _: self._enable())
        self.now.clicked.connect(self.now_wanted)
        follow(self._restyle)

    def showEvent(self, event: QShowEvent) -> None:
        """Read which copies there are now."""
        super().showEvent(event)
        self.shown.emit()

    def show_found(self, folder: Path | None, found: Sequence[tuple[Backup, int]]) -> None:
        """Show the copies; ``folder`` None where the collection lies in no file."""
        self._backups = tuple(one for one, _ in found)
        here = self.list.currentRow()
        self.list.clear()
        for one, size in found:
            moment = one.at.isoformat().replace("+00:00", "Z")
            words = {"day": day(moment), "time": clock(moment), "size": _size(size)}
            self.list.addItem(say("backups.row", **words))
        self.list.setCurrentRow(min(max(here, 0), len(found) - 1))
        said = "" if folder is None else say("backups.words", folder=str(folder))
        self.set_title(say("backups.title"))
        self.where.setText(said)
        self.where.setVisible(bool(said))
        key = "backups.memory" if folder is None else "backups.none"
        self.nothing.setText(say(key))
        self.nothing.setVisible(not found)
        self.list.setVisible(bool(found))
        self.now.setEnabled(folder is not None)
        asked, self._asked = self._asked, False
        if asked and self.isAncestorOf(self.window().focusWidget()):
            self.now.setFocus(Qt.FocusReason.OtherFocusReason)
        self._enable()

    def say_making(self) -> None:
        """Say that a copy is being made."""
        # The keyboard comes back once it is made, and opens no copy meanwhile.
        self._asked = self.window().focusWidget() is self.now
        if self._asked:
            self.setFocus(Qt.FocusReason.OtherFocusReason)
        self.now.setEnabled(False)
        self.set_title(say("backups.title"), say("backups.making"))

    # -- inside ----------------------------------------------------------------------------

    def _lay_out(self) -> None:
        body = QWidget()
        column = QVBoxLayout(body)
        column.addWidget(self.where)
        column.addWidget(self.nothing)
        column.addWidget(self.list)
        column.addStretch(1)
        self.set_body(body)
        self.add_to_head(self.now, self.open)

    def _enable(self) -> None:
        self.open.setEnabled(0 <= self.list.currentRow() < len(self._backups))

    def _open(self) -> None:
        at = self.list.currentRow()
        if 0 <= at < len(self._backups):
            self.open_wanted.emit(self._backups[at])

    def _restyle(self) -> None:
        self.list.setFixedHeight(scaled(_HIGH))


def _size(n_bytes: int) -> str:
    """Return the size of a file in words, in units of 1000 bytes as file managers have it."""
    for unit, least in (("GB", 1e9), ("MB", 1e6)):
        if n_bytes >= least:
            return f"{plain(n_bytes / least, 1)} {unit}"
    return f"{plain(n_bytes / 1e3, 0)} kB"
