"""Collections are opened one after the other, and left with nothing behind.

What waits to be saved is saved before another one is opened or the window is closed.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer

from app.session.journal import FAILED, SAVING
from app.session.values import ALL, FIRST_PAGE
from landmarks.changes import Document
from landmarks.collection import About
from landmarks.sentences import Sentence
from landmarks.storage import Loaded, Row, Store

if TYPE_CHECKING:
    from app.session.session import Session

SUMMARIES_AFTER_MS = 700
"""The first specimen comes first; the list can wait so long for its beads."""

_Opened = tuple[Store, About, tuple[Row, ...], int]


class Opening(QObject):
    """Opens the collections of one session, and lets the last one go."""

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self._session = session
        self._afterwards: Callable[[], None] | None = None

    def open(
        self,
        opener: Callable[[], Store],
        *,
        path: Path | None,
        example: bool = False,
        then: Callable[[], None] | None = None,
        failed: Callable[[Sentence], None] | None = None,
    ) -> None:
        """Open a collection on the worker; the one that is open stays until that worked.

        What waits to be saved is saved before; as long as it cannot be, nothing is opened.
        """
        session, journal = self._session, self._session.journal
        if journal.state == FAILED:
            n = journal.n_waiting
            session.notice(Sentence("session.save_first", {"n": n}), "refused")
            return
        if journal.state == SAVING:
            self._afterwards = lambda: self.open(
                opener, path=path, example=example, then=then, failed=failed
            )
            return

        def question() -> tuple[_Opened, Mapping[Document, Loaded]]:
            store = opener()
            about = store.about()
            found = (store, about, store.list(FIRST_PAGE), store.count(FIRST_PAGE))
            known = Document("collection", about.id), *store.documents("person")
            return found, store.load(*known)

        def opened(answer: tuple[_Opened, Mapping[Document, Loaded]]) -> None:
            (store, about, rows, n_rows), known = answer
            previous = session.store
            journal.finish(session.failed)
            session.empty()
            session.store, session.about = store, about
            session.listing.rows, session.listing.n_rows = rows, n_rows
            session.path, session.example = path, example
            session.places.collection = path
            journal.write_to(store)
            session.reader.put(known)
            if previous is not None:
                session.desk.ask(previous.close, lambda _: None, session.failed)
            session.tell(ALL)
            if rows:
                # The example shows first what a finished record looks like.
                named = (row for row in rows if example and row.taxa)
                session.choose(next(named, rows[0]).specimen)
            QTimer.singleShot(SUMMARIES_AFTER_MS, self, self._derive_for_list)
            if then is not None:
                then()

        session.desk.ask(question, opened, failed or session.failed)

    def all_is_written(self) -> None:
        """Go on with the collection that waited to be opened until all was saved."""
        afterwards, self._afterwards = self._afterwards, None
        if afterwards is not None:
            afterwards()

    def may_close(self) -> bool:
        """Return whether nothing would be lost; what would is said, given up if asked again."""
        session, journal = self._session, self._session.journal
        if session.store is None:
            return True
        if journal.settle():
            return self._may_drop_drafts()
        why, n = journal.fault, journal.n_waiting
        if why is None or why.key == "session.close_again":
            return self._may_drop_drafts()
        journal.say_failed(Sentence("session.close_again", {"why": why, "n": n}))
        return False

    def close(self) -> None:
        """Write what waits, close the store and stop the worker."""
        session = self._session
        session.journal.finish()
        if session.store is not None:
            session.desk.ask(session.store.close, lambda _: None, lambda _: None)
        session.desk.close()

    # -- inside ----------------------------------------------------------------------------

    def _may_drop_drafts(self) -> bool:
        """Return whether nothing was left half done, or whether that was said already."""
        self._session.hand.take_instrument(None)
        said = self._session.hand.drafts.say_once()
        if said is not None:
            self._session.notice(said, "passing")
        return said is None

    def _derive_for_list(self) -> None:
        # Qt forgets a method of this object with it, which of another one it would not.
        self._session.listing.derive()
