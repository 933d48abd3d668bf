"""The list of specimens: which rows a query finds, and what is derived of them for it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from time import monotonic
from typing import TYPE_CHECKING

from PySide6.QtCore import QTimer

from app.session.values import FIRST_PAGE, PAGE, Aspect
from landmarks.changes import Document
from landmarks.sentences import Sentence
from landmarks.storage import Query, Row
from landmarks.summaries import (
    AT_ONCE,
    is_stale,
    renew_readable,
    rests_on_derived,
    stale_among,
    stale_specimens,
    summary_of,
)

if TYPE_CHECKING:
    from app.session.session import Session

READ_AT_ONCE = 500
"""Stale specimens out of sight that are looked up at once, to be derived a few at a time."""

SHOWN_EVERY_S = 1.0
"""While values are derived, the list is read again only so often."""

FIRST = 100
"""So many rows come first where another list is asked for: more than a screen shows."""

REST_MS = 250
"""So long after another list was asked for nothing else is: its rows never wait for what is
counted or derived meanwhile."""


class Listing:
    """The rows that the query of the session finds, read on the worker.

    Attributes
    ----------
    rows, n_rows
        The first rows, and how many there are in all.
    query
        What is asked for, and in which order.
    edition
        So often the list was read anew; rows that only came later do not count.
    n_stale
        Specimens that are still to be derived again before the query finds all it should.
    """

    def __init__(self, session: Session) -> None:
        self._session = session
        self.rows: tuple[Row, ...] = ()
        self.query = FIRST_PAGE
        self.n_rows = 0
        self.edition = 0
        self.n_stale = 0
        self._deriving = False
        self._hidden: list[str] = []
        self._derived: set[str] = set()
        self._unreadable: set[str] = set()
        self._shown_at = 0.0
        self._rests = 0
        self._reads = 0

    @property
    def deriving(self) -> bool:
        """Return whether summaries are being derived on the worker, or soon may be."""
        return self._deriving or self._rests > 0

    def refresh(self, query: Query | None = None) -> None:
        """Read the list again, with another query where one is given.

        As many rows as were there are read again; of another list the first come first, and
        the others once it is on screen.
        """
        if query is None:
            self._read(PAGE)
        else:
            self.query = replace(query, offset=0, limit=PAGE)
            self._rest()
            self._read(FIRST)

    def _read(self, limit: int, *, more: bool = False) -> None:
        """Read so many rows; ``more`` of a list of which the first are here."""
        session, asked = self._session, self.query
        store = session.store
        if store is None:
            return

        def question() -> tuple[tuple[Row, ...], int]:
            rows = store.list(replace(asked, limit=limit))
            return rows, len(rows) if len(rows) < limit else store.count(asked)

        def listed(answer: tuple[tuple[Row, ...], int]) -> None:
            self._reads -= 1
            if session.store is store and asked == self.query:
                self.rows, self.n_rows = answer
                self.edition += not more
                self._derived, self._shown_at = set(self._unreadable), monotonic()
                session.tell(Aspect.ROWS)
                self._go_on()

        def failed(fault: Sentence) -> None:
            self._reads -= 1
            session.failed(fault)

        self._reads += 1
        session.desk.ask(question, listed, failed)

    def _rest(self) -> None:
        """Count and derive nothing for a moment, from now on."""
        self._rests += 1
        timer = QTimer(self._session)
        timer.setSingleShot(True)
        timer.timeout.connect(self._rested)
        timer.timeout.connect(timer.deleteLater)
        timer.start(REST_MS)

    def _rested(self) -> None:
        self._rests -= 1
        self._go_on()

    def _go_on(self) -> None:
        """Read what is not here yet, count and derive, where nobody asked for another list."""
        if self._rests or self._reads or self._session.listing is not self:
            return
        if len(self.rows) < min(self.n_rows, PAGE):
            self._read(PAGE, more=True)
        else:
            self._count_stale()

    def _count_stale(self) -> None:
        """Count what is still to be derived again, once the rows are on screen."""
        session, asked = self._session, self.query
        store = session.store
        if store is None or not rests_on_derived(asked):
            self._found_stale(0)
            return

        def counted(n_stale: int) -> None:
            if session.store is store and asked == self.query:
                self._found_stale(n_stale)

        session.desk.ask(lambda: store.count(stale_among(asked)), counted, session.failed)

    def _found_stale(self, n_stale: int) -> None:
        if n_stale != self.n_stale:
            self.n_stale = n_stale
            self._session.tell(Aspect.ROWS)
        self.derive()

    def derive_all(self, n_stale: int) -> None:
        """Derive again what is stale, listed or not, until nothing is."""
        self.n_stale = n_stale
        self.derive()

    def derive(self) -> None:
        """Derive again what the list shows, a few at a time, where it is stale."""
        session = self._session
        store, today = session.store, session.today
        if store is None or store.read_only or today is None or self.deriving:
            return
        stale = [row.specimen for row in self.rows if is_stale(row, today)]
        shown = [one for one in stale if one not in self._derived]
        if not shown and not self.n_stale:
            return
        self._deriving = True
        waiting, unreadable = shown or self._hidden, frozenset(self._unreadable)

        def question() -> tuple[list[str], list[str], Mapping[str, Sentence]]:
            # What is found by derived values must not miss what is not listed yet.
            rest = waiting
            if not rest:
                found = stale_specimens(store, today, READ_AT_ONCE + len(unreadable))
                rest = [one for one in found if one not in unreadable]
            some, rest = rest[:AT_ONCE], rest[AT_ONCE:]
            return some, rest, renew_readable(store, today, some)

        def done(answer: tuple[list[str], list[str], Mapping[str, Sentence]]) -> None:
            some, rest, faults = answer
            self._deriving = False
            if session.store is not store or not some:
                return
            if not shown:
                self._hidden = rest
            self._derived.update(some)
            self.n_stale = max(0, self.n_stale - len(some))
            # What cannot be read stays stale, and is told once.
            for specimen in faults.keys() - self._unreadable:
                session.failed(faults[specimen])
            self._unreadable.update(faults)
            ended = not rest and not self.n_stale
            if ended or monotonic() - self._shown_at > SHOWN_EVERY_S:
                self.refresh()
            else:
                self.derive()

        def failed(sentence: Sentence) -> None:
            self._deriving = False
            session.failed(sentence)

        session.desk.ask(question, done, failed)

    def keep_summary(self, document: Document, revision: int) -> None:
        """Keep what the list shows of the specimen on the bench, stamped with its sources."""
        session = self._session
        store, assessment, today = session.store, session.assessment, session.today
        if store is None or assessment is None or today is None:
            return
        frames = () if session.specimen is None else session.specimen.frames
        shown = dict.fromkeys(one.picture for one in frames)
        pictures = [session.pictures[one] for one in shown if one in session.pictures]
        stamp = today.stamp(revision)
        gist = assessment.answer.gist
        derived = summary_of(document, stamp, assessment, gist, session.steps, pictures)
        session.desk.ask(lambda: store.keep_cache(derived), lambda _: None, session.failed)
