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
        self._ids: dict[str, None] = {}
        self._in_order: tuple[str, ...] | None = ()
        self.reading = False

    @property
    def ids(self) -> tuple[str, ...]:
        """Return the ids of those that are chosen, in the order of the list."""
        if self._in_order is None:
            self._in_order = tuple(self._ids)
        return self._in_order

    def __contains__(self, specimen: object) -> bool:
        """Return whether a specimen is chosen."""
        return specimen in self._ids

    def __len__(self) -> int:
        """Return how many are chosen."""
        return len(self._ids)

    def put(self, ids: Iterable[str]) -> None:
        """Choose these and no others."""
        self._put(dict.fromkeys(ids))

    def toggle(self, specimen: str) -> None:
        """Choose one more, or one less."""
        if specimen in self._ids:
            del self._ids[specimen]
        else:
            self._ids[specimen] = None
        self._in_order = None
        self.changed.emit()

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

        def question() -> dict[str, None]:
            return dict.fromkeys(store.ids(query))

        def read(ids: dict[str, None]) -> None:
            self.reading = False
            if session.store is store:
                self._put(ids)

        def failed(sentence: Sentence) -> None:
            self.reading = False
            session.notice(sentence, "error")

        self.reading = True
        session.desk.ask(question, read, failed)

    def _put(self, ids: dict[str, None]) -> None:
        # Two choices of equal many in another order are one to all that is done with them.
        if ids != self._ids:
            self._ids, self._in_order = ids, None
            self.changed.emit()
