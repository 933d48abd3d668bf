"""What was begun with instruments and not accepted: kept until the person goes on with it.

Whatever is clicked with an instrument stays its own until it is accepted. When the picture is
left, or the instrument is put down, the session keeps it here, and hands it to the next
instrument that is taken up for the same thing. Nothing of it is written to the collection: it
goes with the window, which asks before (:meth:`app.session.opening.Opening.may_close`).
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import PurePath
from typing import TYPE_CHECKING

from app.session.at_work import Instrument
from landmarks.sentences import Sentence

if TYPE_CHECKING:
    from app.session.session import Session


@dataclass(frozen=True, slots=True)
class Place:
    """What a draft is a draft of: another's, and in a blind repeat the record's, is not seen.

    Attributes
    ----------
    collection
        Id of the collection; empty for the worked example, of which nothing is kept.
    picture, frame
        Their ids; the frame is empty for what belongs to the picture as a whole.
    instrument, landmark
        The key of the instrument, and of the landmark it answers.
    occasion, person
        What it was done for, and the id of who did it.
    """

    collection: str
    picture: str
    frame: str
    instrument: str
    landmark: str
    occasion: str
    person: str


class Drafts:
    """Keeps what the instruments of one window left half done."""

    def __init__(self, session: Session) -> None:
        self._session = session
        self._left: dict[Place, object] = {}
        self._files: dict[str, str] = {}
        self._at: Place | None = None
        self._said = False

    def begin(self, instrument: Instrument) -> None:
        """Let an instrument that is taken up go on where it was left.

        One that has something already, as a ruler along a new line, takes its place.
        """
        self._said = False
        of_picture = instrument.of_picture
        self._at = self._place(instrument.key, instrument.landmark, of_picture=of_picture)
        draft = self._left.pop(self._at, None)
        if draft is not None and instrument.draft is None:
            instrument.take_up(draft)
            instrument.goes_on = True

    def end(self, instrument: Instrument) -> None:
        """Keep what was begun with an instrument that is put down."""
        at, self._at = self._at, None
        draft = instrument.draft if at is not None else None
        if at is not None and draft is not None:
            self._left[at] = draft

    def let_go(self) -> None:
        """Keep nothing of the instrument at work: it is accepted, or all was taken back."""
        self._at = None

    def begun_on_bench(self) -> Sentence | None:
        """Return with what something was begun here now, on any frame of the specimen."""
        session = self._session
        who = session.veil.occasion, session.person.id
        frames = session.specimen.frames if session.specimen is not None else ()
        here = {one.id for one in frames}
        for at in self._left:
            if at.frame in here and (at.occasion, at.person) == who:
                return _called(at)
        return None

    def of_picture(self, instrument: str) -> object | None:
        """Return what was left half done of the picture on the bench, or None."""
        return self._left.get(self._place(instrument, "", of_picture=True))

    def forget_example(self) -> None:
        """Forget what was begun on the worked example: it is left."""
        self._left = {at: one for at, one in self._left.items() if at.collection}

    def say_once(self) -> Sentence | None:
        """Return what would go with the window; None where that is nothing, or was said.

        It is said anew once an instrument was taken up since.
        """
        places = [at for at in self._left if at.collection]
        if self._said or not places:
            return None
        self._said = True
        n, last = len({at.picture for at in places}), places[-1]
        values = {"n": n, "instrument": _called(last)}
        if self._session.repeat is not None:
            # The name of a file could tell which specimen is repeated.
            return Sentence("drafts.begun.veiled", values)
        return Sentence("drafts.begun", {**values, "picture": self._files[last.picture]})

    def _place(self, instrument: str, landmark: str, *, of_picture: bool) -> Place:
        session = self._session
        picture, frame = session.picture, session.frame
        here = "" if picture is None else picture.id
        if picture is not None:
            self._files[here] = PurePath(picture.path).name
        return Place(
            collection="" if session.example else session.about.id,
            picture=here,
            frame="" if frame is None or of_picture else frame.id,
            instrument=instrument,
            landmark=landmark,
            occasion=session.veil.occasion,
            person=session.person.id,
        )


def _called(place: Place) -> Sentence:
    return Sentence(f"{place.instrument}.title")
