"""Copies of the collection, made while somebody works in it, on a worker of their own."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer, Signal

from app.background.desk import Desk
from app.session import Session
from app.session.notices import Kind
from landmarks.changes import ChangeSet
from landmarks.errors import StoreError
from landmarks.sentences import Sentence
from landmarks.storage import Saved

if TYPE_CHECKING:
    from landmarks.storage.backups import BackedUp, Backup

LOOK_EVERY_MS = 60_000
"""So often it is seen whether a copy is due, once something was saved."""


class BackingUp(QObject):
    """Makes copies that are due; what goes wrong is said once for a collection.

    Signals
    -------
    made()
        A copy was made, or could not be: what there is may be shown anew.
    """

    made = Signal()

    def __init__(self, session: Session, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self._desk = Desk(self)
        self._worked = False
        self._at_work = False
        self._said: set[tuple[Path | None, str]] = set()
        session.journal.saved.connect(self._saved)
        self._timer = QTimer(self)
        self._timer.setInterval(LOOK_EVERY_MS)
        self._timer.timeout.connect(self.look)
        self._timer.start()

    def close(self) -> None:
        """Finish the copy that is being made, and make no more."""
        self._timer.stop()
        self._desk.close()

    def look(self) -> None:
        """Make a copy if something was saved and one is due."""
        if self._worked:
            self.make()

    def make(self, *, always: bool = False, then: Callable[[], None] | None = None) -> None:
        """Make a copy if one is due, or ``always``; ``then`` is called where one was made."""
        store = self._session.store
        if store is None or self._at_work:
            return
        self._at_work, self._worked = True, False
        kind: Kind = "refused" if always else "warning"

        def done(answer: BackedUp) -> None:
            self._at_work = False
            if answer.fault is not None:
                said = store.path, answer.fault.key
                if always or said not in self._said:
                    self._said.add(said)
                    self._session.notice(answer.fault, kind)
            elif answer.made is None and always:
                self._session.notice(Sentence("backups.only_read"), "refused")
            elif answer.made is not None and then is not None:
                then()
            self.made.emit()

        def failed(sentence: Sentence) -> None:
            self._at_work = False
            self._session.notice(sentence, kind)
            self.made.emit()

        def question() -> BackedUp:
            from landmarks.storage.backups import back_up

            return back_up(store, moment, always=always)

        moment = datetime.now(UTC)
        self._desk.ask(question, done, failed)

    def read(
        self, then: Callable[[Path | None, tuple[tuple[Backup, int], ...]], None]
    ) -> None:
        """Read which copies there are, newest first, each with its size in bytes."""
        from landmarks.storage.backups import backups_of, folder_of

        store = self._session.store
        path = None if store is None else store.path
        if path is None:
            then(None, ())
            return

        def question() -> tuple[tuple[Backup, int], ...]:
            return tuple((one, _size(one.path)) for one in backups_of(path))

        self._desk.ask(
            question, lambda found: then(folder_of(path), found), lambda _: then(None, ())
        )

    def take_out(self, backup: Backup, target: Path, then: Callable[[Path], None]) -> None:
        """Copy a backup to a place of its own, so that it can be opened and worked in."""

        def question() -> Path:
            from landmarks.storage.new_folder import check_free

            values = check_free(target)
            try:
                shutil.copyfile(backup.path, target)
            except OSError as fault:
                reason = fault.strerror or ""
                raise StoreError("store.disk_says", **values, reason=reason) from None
            return target

        self._desk.ask(question, then, lambda one: self._session.notice(one, "error"))

    def _saved(self, _deed: ChangeSet, _answer: Saved) -> None:
        self._worked = True


def _size(path: Path) -> int:
    try:
        return path.stat().st_size
    except OSError:
        return 0
