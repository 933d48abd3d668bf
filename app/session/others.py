"""Somebody else at work in the same collection: what they saved comes in by itself.

The store is asked now and then, on the worker, what came last: less than a millisecond. What
others saved is read only while nothing is being dragged, written or done with an instrument;
what both changed is asked about when it is saved (:attr:`Session.conflicted`).
"""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QObject, QTimer

from app.session.session import Session
from app.session.values import Aspect
from landmarks.changes import ChangeSet, Document
from landmarks.storage import Happened, Saved

EVERY_MS = 3000


class Others(QObject):
    """Looks for the work of others while ``active()``, takes it in while not ``busy()``."""

    def __init__(
        self,
        session: Session,
        active: Callable[[], bool],
        busy: Callable[[], bool],
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._session, self._active, self._busy = session, active, busy
        self._known: int | None = None
        self._own: set[str] = set()
        self._touched: dict[Document, None] = {}
        self._listed = False
        self._asking = False
        session.changed.connect(self._look)
        session.journal.saved.connect(self._saved)
        self._timer = QTimer(self)
        self._timer.setInterval(EVERY_MS)
        self._timer.timeout.connect(self.look)
        self._timer.start()

    def stop(self) -> None:
        """Look no more: the window is being closed."""
        self._timer.stop()

    def look(self) -> None:
        """Ask what others saved since, and take it in where that disturbs nothing."""
        store = self._session.store
        if store is None or store.path is None or self._asking or not self._active():
            return
        known = self._known
        self._asking = True

        def question() -> tuple[int, tuple[Happened, ...]]:
            latest = store.latest()
            new = known is not None and latest > known
            return latest, store.since(known) if new and known is not None else ()

        def answered(answer: tuple[int, tuple[Happened, ...]]) -> None:
            self._asking = False
            if self._session.store is not store:
                return
            self._known, happened = answer
            for one in happened:
                if one.id not in self._own:
                    self._touched.update(dict.fromkeys(one.touched))
                    self._listed = True
            self._own.clear()
            self._take_in()

        def failed(_: object) -> None:
            # Whether the file can be read is said by whatever needs it, not every 3 s.
            self._asking = False

        self._session.desk.ask(question, answered, failed)

    def _take_in(self) -> None:
        session = self._session
        if not self._listed or self._at_work():
            return
        here = [one for one in self._touched if session.reader.has(one)]
        self._touched.clear()
        self._listed = False
        if here:
            session.reader.again(here)
        else:
            session.listing.refresh()

    def _at_work(self) -> bool:
        session = self._session
        return (
            session.instrument is not None
            or session.live is not None
            or session.repeat is not None
            or session.journal.state != "saved"
            or self._busy()
        )

    def _saved(self, deed: ChangeSet, _: Saved) -> None:
        self._own.add(deed.id)

    def _look(self, aspects: Aspect) -> None:
        if aspects & Aspect.COLLECTION:
            self._known = None
            self._own.clear()
            self._touched.clear()
            self._listed = False
            self.look()
