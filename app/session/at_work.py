"""What every instrument at work on the picture has in common.

An instrument lives from the moment it is taken up until it is accepted or put down. What it
shows is provisional: nothing of it is stored before :meth:`Instrument.accept`, which does one
deed. The picture shows its marks and hands it clicks and drags; its strip shows what it found.
What was clicked and not accepted is its *draft*: kept when it is put down, and gone on with when
it is taken up again there (:mod:`app.session.drafts`).
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QObject, Signal

from landmarks.figures import Mark
from landmarks.geometry import Point

if TYPE_CHECKING:
    from app.session.session import Session

MARK = "work"
"""Ids of provisional marks begin with this word, so that no stored one is meant."""


class Instrument(QObject):
    """One instrument at work; each kind overrides what it answers to.

    Signals
    -------
    changed()
        Its marks or what it found are no longer what they were.
    """

    changed = Signal()

    key = ""
    """Its word in records, in the catalogue and among the strips."""

    aims = ""
    """What a press on the picture means: ``"point"`` a click, ``"line"`` a line between two
    points, or nothing: only marks are taken hold of."""

    dense = False
    """Whether its points stand close: a click beside the middle of one sets another."""

    landmark = ""
    """The landmark it answers: armed as long as it is at work, so that its words are shown and
    a reason why it cannot be placed is an answer too."""

    replaces: tuple[str, ...] = ()
    """Landmarks whose stored marks are not shown, since its own stand for them."""

    of_picture = False
    """Whether what it gives belongs to the picture as a whole, not to the frame on the bench."""

    busy = False
    """Whether an answer is being worked out."""

    goes_on = False
    """Whether it goes on with what was left half done; its strip says so."""

    @property
    def stage(self) -> str:
        """Return the word for what can be done with it now: other keys help then."""
        return self.key

    @property
    def marks(self) -> tuple[Mark, ...]:
        """Return the provisional marks; their ids begin with :data:`MARK`."""
        return ()

    @property
    def draft(self) -> object | None:
        """Return what was done with it and is not recorded, as a frozen value; None: nothing.

        It holds all that is needed to go on, what can still be taken back included.
        """
        return None

    def take_up(self, draft: Any) -> None:
        """Go on with what an instrument of its kind left half done, where it began anew."""

    def picture_is_there(self) -> None:
        """Go on once the whole picture can be looked at."""

    def click(self, point: Point, zoom: float, *, plain: bool = False) -> None:
        """Take a click; ``plain`` while the key for plain clicks is held."""

    def draw(self, first: Point, second: Point) -> None:
        """Take a line that was drawn on the picture."""

    def point_at(self, point: Point | None, zoom: float, *, plain: bool = False) -> None:
        """Follow the pointer; None where it has left the picture."""

    def pick(self, mark: str, index: int) -> None:
        """Take a press on one of its own marks; it may become a drag."""

    def drag(self, mark: str, index: int, point: Point) -> None:
        """Follow one of its own marks while it is dragged."""

    def drop(self, mark: str, index: int, point: Point) -> None:
        """Take one of its own marks where it was let go."""

    def delete(self, mark: str, index: int) -> None:
        """Take one of its own marks away."""

    def step_back(self) -> bool:
        """Take the last click back; False where there is none, and it is put down."""
        return False

    def accept(self) -> None:
        """Do the deed, where there is something to accept."""

    def put_down(self) -> None:
        """Stop what is being worked out; called once, when it leaves the picture."""


def take_back(session: Session) -> bool:
    """Take back the last click of the instrument at work; where there is none, put it down.

    False where no instrument is at work.
    """
    at_work = session.instrument
    if at_work is None:
        return False
    if not at_work.step_back():
        done_with(session)
    return True


def done_with(session: Session) -> None:
    """Put down the instrument at work and keep no draft: all is accepted, or taken back."""
    session.hand.drafts.let_go()
    session.hand.take_instrument(None)
