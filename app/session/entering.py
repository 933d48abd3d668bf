"""Labels entered in a long row: the next number, what stays pinned, and what was scanned."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import fields, replace

from PySide6.QtCore import QObject, Signal

from app.session.session import Session
from app.session.values import Aspect
from landmarks import intake
from landmarks.intake.entering import STICKY
from landmarks.sentences import Sentence
from landmarks.specimen import Label
from landmarks.storage import Query, Row

__all__ = ["STICKY", "Entering", "entering"]

_MOST = 50
_ENTRIES = tuple(one.name for one in fields(Label) if one.name != "extra")


class Entering(QObject):
    """Remembers the label that was on the bench before, and what of it is to stay.

    Signals
    -------
    changed()
        What would come along is another.
    """

    changed = Signal()

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self._session = session
        self.pinned: frozenset[str] = frozenset()
        self.last = Label()
        self._id, self._label = "", Label()
        session.changed.connect(self._look)
        self._look(Aspect.SELECTION)

    def pin(self, entry: str, *, on: bool) -> None:
        """Let an entry come along with the next numbers, or no longer."""
        self.pinned = self.pinned | {entry} if on else self.pinned - {entry}
        self.changed.emit()

    def suggestion(self) -> str:
        """Return the number after the last one: of the bench, else of the list; or ``""``."""
        number = self.last.catalogue_number
        if not number:
            rows = self._session.rows
            ids = [row.specimen for row in rows]
            at = ids.index(self._id) if self._id in ids else len(rows)
            before = (row.catalogue_number for row in reversed(rows[:at]))
            number = next((one for one in before if one), "")
        return intake.next_number(number) if number else ""

    def comes_along(self, entry: str) -> str:
        """Return what a pinned entry would hold on a label that has nothing there."""
        return str(getattr(self.last, entry)) if entry in self.pinned else ""

    def filled(self, label: Label) -> Label:
        """Return a label with the pinned entries of the last one, where it has none."""
        given = {
            entry: words
            for entry in self.pinned
            if not getattr(label, entry) and (words := self.comes_along(entry))
        }
        return replace(label, **given)  # type: ignore[arg-type]

    def give_number(self, number: str = "") -> None:
        """Give the specimen on the bench a number, the next one unless told, and the pinned."""
        session, specimen = self._session, self._session.specimen
        number = number or self.suggestion()
        if specimen is None or session.repeat is not None:
            return
        if not number:
            session.notice(Sentence("label.no_number_before"), "passing")
            return
        label = self.filled(replace(specimen.label, catalogue_number=number))
        if label != specimen.label:
            session.do(Sentence("deed.set_label"), replace(specimen, label=label))

    def count_others(self, number: str, then: Callable[[int], None]) -> None:
        """Go on with how many other specimens than the one on the bench have a number."""
        session, store, here = self._session, self._session.store, self._id
        if store is None or not number:
            then(0)
            return
        same = next(_asking_for(number))
        asked = replace(same, limit=_MOST)
        session.desk.ask(
            lambda: sum(one != here for one in store.ids(asked)),
            then,
            lambda fault: session.notice(fault, "error"),
        )

    def scanned(self, code: str) -> None:
        """Go to the specimen of a number, or give the number to the one on the bench."""
        session, store = self._session, self._session.store
        if store is None or session.repeat is not None:
            return
        here = session.specimen

        from landmarks.intake.joining import plain_number

        def found(rows: tuple[Row, ...]) -> None:
            wanted = plain_number(code)
            there = [
                row.specimen for row in rows if plain_number(row.catalogue_number) == wanted
            ]
            if there:
                session.choose(there[0])
            elif session.specimen is None or session.specimen is not here:
                session.notice(
                    Sentence("label.scanned.nobody", {"number": code}), "nowhere"
                )
            elif session.specimen.label.catalogue_number:
                values = {"number": code, "here": session.specimen.label.catalogue_number}
                session.notice(Sentence("label.scanned.taken", values), "nowhere")
            else:
                self.give_number(code)

        def question() -> tuple[Row, ...]:
            for query in _asking_for(code):
                if rows := store.list(query):
                    return rows
            return ()

        session.desk.ask(question, found, lambda fault: session.notice(fault, "error"))

    def _look(self, aspects: Aspect) -> None:
        if aspects & Aspect.COLLECTION:
            self.last, self._label, self._id = Label(), Label(), ""
        if not aspects & (Aspect.SELECTION | Aspect.SPECIMEN):
            return
        specimen = self._session.specimen
        here = "" if specimen is None else specimen.id
        if here != self._id:
            if self._label.catalogue_number or any(
                getattr(self._label, entry) for entry in _ENTRIES
            ):
                self.last = self._label
            self._id = here
        self._label = Label() if specimen is None else specimen.label
        self.changed.emit()


def _asking_for(code: str) -> Iterator[Query]:
    """Return the questions for a number: as it was scanned, then with other strokes."""
    from landmarks.finding import Filter, folded

    word = folded(code)
    yield Query(filters=(Filter("number", "is", (word,)),), limit=1)
    runs = re.findall(r"[^\W_]+", word)
    alike = tuple(Filter("number", "contains", (one,)) for one in runs)
    if alike:
        yield Query(filters=alike, limit=_MOST)


def entering(session: Session) -> Entering:
    """Return the one object that remembers labels for a session."""
    for one in session.children():
        if isinstance(one, Entering):
            return one
    return Entering(session)
