"""The veil over the bench while a repeat goes on, and the marks of one beside the record."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from app.session.repeating import RECORD, Repeat, frame_to_repeat, unveiled, veiled
from app.session.values import Aspect
from landmarks.changes import Change, Document
from landmarks.collection import Picture
from landmarks.sentences import Sentence
from landmarks.specimen import Specimen

if TYPE_CHECKING:
    from app.session.session import Session

_VEILED = (
    Aspect.SELECTION | Aspect.SPECIMEN | Aspect.PICTURE | Aspect.TOOL | Aspect.MARK
) | (Aspect.WORK | Aspect.PAST | Aspect.ROWS)
"""What changes when the veil falls or is lifted."""


class Veil:
    """What the bench may show of a specimen, and how a deed goes back through.

    Attributes
    ----------
    repeat
        The repeat that goes on, or None: nothing is veiled.
    beside
        Occasion and person whose marks are shown beside the record, or None.
    """

    def __init__(self, session: Session) -> None:
        self._session = session
        self.repeat: Repeat | None = None
        self.beside: tuple[str, str] | None = None
        self._asked_beside: tuple[str, tuple[str, str]] | None = None
        self._left = (session.person, "", "")

    # -- a repeat --------------------------------------------------------------------------

    @property
    def occasion(self) -> str:
        """Return what everything that is done now is done for."""
        return RECORD if self.repeat is None else self.repeat.occasion

    def begin(self, repeat: Repeat) -> None:
        """Veil the bench and put the first specimen of a lot on it."""
        session = self._session
        if self.repeat is not None or not repeat.lot:
            return
        specimen = "" if session.specimen is None else session.specimen.id
        left = session.person, specimen, "" if session.frame is None else session.frame.id

        def known() -> None:
            if self.repeat is None:
                self._left, session.person = left, repeat.person
                self._turn_to(repeat)

        session.reader.read([Document("person", repeat.person.id)], known)

    def next(self) -> None:
        """Present the next specimen of the lot; after the last one the repeat is over.

        What was begun and not accepted is asked for before: this one does not come again.
        """
        if self.repeat is None:
            return
        self._session.hand.take_instrument(None)
        begun = self._session.hand.drafts.begun_on_bench()
        following = self.repeat.next()
        if begun is not None:
            values = {"instrument": begun}
            self._session.notice(Sentence("repeats.begun", values), "passing")
        elif following is None:
            self.stop()
        else:
            self._turn_to(following)

    def stop(self) -> None:
        """Lift the veil; what was done is kept, and what was on the bench comes back."""
        if self.repeat is None:
            return
        _, specimen, frame = self._left
        self.lift()
        self._session.clear_bench()
        self._tell(names_hidden=self._session.names_hidden)
        if specimen:
            self._session.choose(specimen, frame)

    def lift(self) -> None:
        """End the repeat and nothing else: whoever was at work before is so again."""
        if self.repeat is not None:
            self.repeat = None
            self._session.person = self._left[0]
            self._session.past.drop_floor()

    def _turn_to(self, repeat: Repeat) -> None:
        session, hidden = self._session, self._session.names_hidden
        session.clear_bench()
        self.repeat = repeat
        # What was done before would tell, and is not taken back by accident.
        session.past.raise_floor()
        self._tell(names_hidden=hidden)
        session.choose(repeat.specimen)

    def _tell(self, *, names_hidden: bool) -> None:
        self._session.tell(_VEILED if names_hidden else _VEILED | Aspect.NAMES)

    # -- through the veil ------------------------------------------------------------------

    def seen(self, specimen_id: str) -> Specimen | None:
        """Return a specimen as the bench may show it."""
        stored = self._session.shelf.specimens.get(specimen_id)
        if stored is None or self.repeat is None:
            return stored
        return veiled(stored, self.repeat)

    def first_frame(self, specimen_id: str) -> str:
        """Return the id of the frame that a repeat shows first; empty: any."""
        if self.repeat is None:
            return ""
        first = frame_to_repeat(self._session.shelf.specimens[specimen_id])
        return "" if first is None else first.id

    def back(
        self, documents: Sequence[Specimen | Picture | Change]
    ) -> tuple[Specimen, ...] | None:
        """Return what documents become that were changed in a repeat; None if not its own."""
        made = []
        for one in documents:
            if self.repeat is None or not isinstance(one, Specimen):
                return None
            stored = self._session.shelf.specimens.get(one.id)
            changed = None if stored is None else unveiled(stored, one, self.repeat)
            if changed is None or one.id != self.repeat.specimen:
                return None
            made.append(changed)
        return tuple(made)

    # -- a repeat beside the record --------------------------------------------------------

    def show_both(
        self, specimen_id: str, frame_id: str, occasion: str, person: str
    ) -> None:
        """Put a specimen on the bench with the marks of a repeat beside those of the record."""
        if self.repeat is None:
            self._asked_beside = specimen_id, (occasion, person)
            self._session.choose(specimen_id, frame_id)

    def show_beside(self, repeat: tuple[str, str] | None) -> None:
        """Show the marks of an occasion and a person beside the record; None: the record."""
        self.beside = repeat
        self._session.tell(Aspect.SPECIMEN)

    def put_beside(self, specimen_id: str) -> None:
        """Show beside a specimen that comes on the bench what was asked for it."""
        asked, self._asked_beside = self._asked_beside, None
        self.beside = asked[1] if asked is not None and asked[0] == specimen_id else None
