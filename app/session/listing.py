"""The list of specimens: which rows a query finds, and what is derived of them for it."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from app.session.values import FIRST_PAGE, PAGE, Aspect
from landmarks.changes import Document
from landmarks.sentences import Sentence
from landmarks.storage import Query, Row
from landmarks.summaries import (
    AT_ONCE,
    is_stale,
    renew_summaries,
    rests_on_derived,
    stale_among,
    stale_specimens,
    summary_of,
)

if TYPE_CHECKING:
    from app.session.session import Session

HIDDEN_AT_ONCE = 4 * AT_ONCE
"""Specimens out of sight that are derived in one turn of the worker."""


class Listing:
    """The rows that the query of the session finds, read on the worker.

    Attributes
    ----------
    rows, n_rows
        The first rows, and how many there are in all.
    query
        What is asked for, and in which order.
    n_stale
        Specimens that are still to be derived again before the query finds all it should.
    """

    def __init__(self, session: Session) -> None:
        self._session = session
        self.rows: tuple[Row, ...] = ()
        self.query = FIRST_PAGE
        self.n_rows = 0
        self.n_stale = 0
        self._deriving = False

    @property
    def deriving(self) -> bool:
        """Return whether summaries are being derived on the worker."""
        return self._deriving

    def refresh(self, query: Query | None = None) -> None:
        """Read the list again, with another query where one is given.

        As many rows as were there are read again; a new filter begins with the first page.
        """
        session = self._session
        if query is not None:
            self.query = replace(query, offset=0, limit=PAGE)
        store, asked = session.store, self.query
        if store is None:
            return

        def question() -> tuple[tuple[Row, ...], int, int]:
            n_stale = store.count(stale_among(asked)) if rests_on_derived(asked) else 0
            return store.list(asked), store.count(asked), n_stale

        def listed(answer: tuple[tuple[Row, ...], int, int]) -> None:
            if session.store is store and asked == self.query:
                self.rows, self.n_rows, self.n_stale = answer
                session.tell(Aspect.ROWS)
                self.derive()

        session.desk.ask(question, listed, session.failed)

    def more(self) -> None:
        """Read the next page, where there is more."""
        if len(self.rows) < self.n_rows and len(self.rows) == self.query.limit:
            self.query = replace(self.query, limit=len(self.rows) + PAGE)
            self.refresh()

    def derive_all(self, n_stale: int) -> None:
        """Derive again what is stale, listed or not, until nothing is."""
        self.n_stale = n_stale
        self.derive()

    def derive(self) -> None:
        """Derive again what the list shows, a few at a time, where it is stale."""
        session = self._session
        store, today = session.store, session.today
        if store is None or today is None or self._deriving:
            return
        stale = [row.specimen for row in self.rows if is_stale(row, today)][:AT_ONCE]
        if not stale and not self.n_stale:
            return
        self._deriving = True

        def question() -> int:
            # What is found by derived values must not miss what is not listed yet.
            some = stale or stale_specimens(store, today, HIDDEN_AT_ONCE)
            renew_summaries(store, today, some)
            return len(some)

        def done(n: int) -> None:
            self._deriving = False
            if session.store is store and n:
                self.refresh()

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
        derived = summary_of(document, stamp, assessment, session.steps, pictures)
        session.desk.ask(lambda: store.keep_cache(derived), lambda _: None, session.failed)
