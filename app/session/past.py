"""What happened to a specimen or the collection, told, and brought back as a new step."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from app.session.session import Session
from app.session.values import new_id, now
from landmarks.changes import Document, difference, reverse
from landmarks.errors import HingelineError
from landmarks.sentences import Sentence
from landmarks.specimen import Parts
from landmarks.storage import Past
from landmarks.storage.telling import HistoryRow, history_rows, names_of

PAGE = 200
"""Deeds that are read at once."""

MOST_READ = 200
"""Documents that are read before a deed over them is taken back."""


@dataclass(frozen=True, slots=True)
class Step:
    """One deed of the past: as it was done, and in words."""

    past: Past
    row: HistoryRow


def read_past(
    session: Session,
    document: Document | None,
    then: Callable[[tuple[Step, ...]], None],
    *,
    before: int | None = None,
) -> None:
    """Read a page of the history, newest first: of one document, or of all of them."""
    store, guide = session.store, session.guide
    if store is None:
        return
    names = {} if guide is None else names_of(guide.tables)

    def question() -> tuple[Step, ...]:
        if before is None:
            past = store.history(document, limit=PAGE)
        else:
            past = store.history(document, limit=PAGE, before=before)
        rows = history_rows(past, store.people(), names)
        return tuple(Step(*both) for both in zip(past, rows, strict=True))

    session.desk.ask(question, then, lambda fault: session.notice(fault, "error"))


def bring_back(session: Session, document: Document, step: Step) -> None:
    """Make a document again what it was right after a deed: a new step, erasing nothing."""
    store = session.store
    if store is None:
        return

    def read(then: Parts) -> None:
        def done() -> None:
            changes = difference(document, session.shelf.parts(document), then)
            if not changes:
                session.notice(Sentence("past.as_it_is"), "passing")
                return
            since = f"{step.row.at[:16].replace('T', ' ')} UTC"
            session.do(Sentence("deed.restore", {"since": since}), *changes)

        session.reader.fetch((document,), done)

    session.desk.ask(
        lambda: store.as_of(document, step.past.sequence),
        read,
        lambda fault: session.notice(fault, "error"),
    )


def take_back(session: Session, step: Step) -> None:
    """Take one deed of the past back, applied to what is there now.

    Where a part it touched is another one since, that is said and nothing is done.
    """
    deed = step.past.change_set
    back = reverse(deed, id=new_id(), person=session.person.id, at=now())

    def done() -> None:
        try:
            session.do(back.deed, *back.changes)
        except HingelineError as fault:
            session.notice(fault.sentence, "refused")

    if len(deed.documents) > MOST_READ:
        # A deed over many is not read first: the store refuses what does not fit.
        done()
    else:
        session.reader.fetch(deed.documents, done)
