"""Which specimens are chosen besides the one on the bench: for what is done to many."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from landmarks.sentences import Sentence

if TYPE_CHECKING:
    from app.session.session import Session


class Chosen(QObject):
    """Ids of specimens in the order in which they are listed; empty: only that on the bench.

    They stay chosen when the list is sorted or searched otherwise, so that one deed can
    follow another.

    Signals
    -------
    changed()
        Others are chosen now.
    """

    changed = Signal()

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self._session = session
        self.ids: tuple[str, ...] = ()
        self.set: frozenset[str] = frozenset()
        self.reading = False

    def __contains__(self, specimen: object) -> bool:
        """Return whether a specimen is chosen."""
        return specimen in self.set

    def __len__(self) -> int:
        """Return how many are chosen."""
        return len(self.ids)

    def put(self, ids: Iterable[str]) -> None:
        """Choose these and no others."""
        made = tuple(dict.fromkeys(ids))
        if made != self.ids:
            self.ids, self.set = made, frozenset(made)
            self.changed.emit()

    def toggle(self, specimen: str) -> None:
        """Choose one more, or one less."""
        if specimen in self.set:
            self.put(one for one in self.ids if one != specimen)
        else:
            self.put((*self.ids, specimen))

    def stretch(self, first: int, last: int) -> None:
        """Choose a stretch of the list, both ends included; what is not here is read."""
        low, high = sorted((first, last))
        session = self._session
        if high < len(session.rows):
            self.put(row.specimen for row in session.rows[low : high + 1])
            return
        self._read(low, high - low + 1)

    def everything(self) -> None:
        """Choose all that is listed."""
        session = self._session
        if session.n_rows <= len(session.rows):
            self.put(row.specimen for row in session.rows)
        else:
            self._read(0, session.n_rows)

    def _read(self, offset: int, limit: int) -> None:
        session, store = self._session, self._session.store
        if store is None:
            return
        query = replace(session.query, offset=offset, limit=limit, columns=())
        simple = not query.text and not query.filters and limit == session.n_rows

        def question() -> tuple[str, ...]:
            if simple:
                # All of them: their order matters to nothing that is done to many.
                return tuple(one.id for one in store.documents("specimen"))
            return tuple(row.specimen for row in store.list(query))

        def read(ids: tuple[str, ...]) -> None:
            self.reading = False
            if session.store is store:
                self.put(ids)

        def failed(sentence: Sentence) -> None:
            self.reading = False
            session.notice(sentence, "error")

        self.reading = True
        session.desk.ask(question, read, failed)
