"""What the person holds: the tool for the next click, an instrument at work, a chosen mark."""

from __future__ import annotations

from typing import TYPE_CHECKING

from app.session.at_work import MARK, Instrument
from app.session.drafts import Drafts
from app.session.values import Aspect, Tool

if TYPE_CHECKING:
    from app.session.session import Session


class Hand:
    """What the next press on the picture means.

    Attributes
    ----------
    tool
        What the next click sets, or None.
    instrument
        The instrument at work, or None; what it leaves half done goes to the ``drafts``.
    mark
        The chosen mark: id of the placing (or of the picture, for its scale), and index.
    """

    def __init__(self, session: Session) -> None:
        self._session = session
        self.drafts = Drafts(session)
        self.tool: Tool | None = None
        self.instrument: Instrument | None = None
        self.mark: tuple[str, int] | None = None

    def choose_mark(self, mark: tuple[str, int] | None) -> None:
        """Select a mark, or none."""
        if mark != self.mark:
            self.mark = mark
            self._session.tell(Aspect.MARK)

    def take_tool(self, tool: Tool | None) -> None:
        """Arm a tool for the next click, or disarm."""
        at_work = self.instrument
        ends = tool is not None or (at_work is not None and at_work.landmark)
        if at_work is not None and tool != self.tool and ends:
            # What answers the landmark that was armed ends with it.
            self.take_instrument(None)
        if tool != self.tool:
            self.tool = tool
            self._session.tell(Aspect.TOOL)

    def take_instrument(self, instrument: Instrument | None) -> None:
        """Take up an instrument, putting down the one at work; None only puts it down."""
        if instrument is self.instrument:
            return
        self.let_go()
        self.instrument = instrument
        if instrument is not None:
            if instrument.landmark:
                self.tool = Tool("landmark", instrument.landmark)
            self.drafts.begin(instrument)
            instrument.changed.connect(self._worked)
        session = self._session
        previewed, session.live = session.live is not None, None
        aspects = Aspect.WORK | Aspect.TOOL | Aspect.MARK
        session.tell(aspects | Aspect.LIVE if previewed else aspects)

    def let_go(self) -> None:
        """Hold nothing any more; what is on screen is told by the caller."""
        at_work, self.instrument = self.instrument, None
        self.tool, self.mark = None, None
        if at_work is not None:
            at_work.changed.disconnect(self._worked)
            self.drafts.end(at_work)
            at_work.put_down()
            at_work.deleteLater()

    def look_again(self) -> None:
        """Choose no mark where a deed took the chosen one away."""
        if self.mark is not None and not self._is_there(self.mark):
            self.mark = None

    def _is_there(self, mark: tuple[str, int]) -> bool:
        session = self._session
        if session.specimen is None:
            return False
        if self.instrument is not None and mark[0].startswith(MARK):
            return True
        return (
            mark[0] in session.pictures
            or session.specimen.frame(mark[0]) is not None
            or any(
                one.id == mark[0] and mark[1] < len(one.points)
                for one in session.specimen.placings
            )
        )

    def _worked(self) -> None:
        self._session.tell(Aspect.WORK)
