"""The edge trace at work: from click to click along the edge that can be seen.

While it is drawn, the line follows the edge to the pointer. Finished, it is followed anew in
the background with what it taught; then clicks correct it, until it is accepted.
"""

from __future__ import annotations

from collections.abc import Callable, MutableMapping
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TYPE_CHECKING

from PySide6.QtCore import QTimer

from app.background.desk import Desk
from app.instruments.ahead import Ahead, look_ahead, snap, step_of
from app.instruments.crop import warm_up
from app.session import Instrument, Session, deeds
from app.session.at_work import MARK
from landmarks.figures import Lozenge, Mark, Outline
from landmarks.geometry import Point, distance
from landmarks.instruments.retrace import led_through, moved, taken_up, thinned, without
from landmarks.instruments.trace import Anchor, Traced, again, follow
from landmarks.placing import Placing
from landmarks.scheme import OUTLINE, VIEWS
from landmarks.sentences import Sentence

if TYPE_CHECKING:
    from landmarks.instruments.edges import Crop

KEY = "edge_trace"
LINE, PREVIEW, KNOT = f"{MARK}/line", f"{MARK}/preview", f"{MARK}/knot"

MAGNET_PX = 8.0
"""A click this near to a placed landmark means it exactly, in logical screen pixels."""

_SAME_PX = 2.5
_UPON_PX = 5.0
"""A press farther from the last click than this goes on from it, though it takes hold of it."""

Drafts = MutableMapping[tuple[str, str, str], "Draft"]
"""Lines that were left half done, by frame, landmark and occasion: a repeat is blind."""


@dataclass(frozen=True, slots=True)
class Draft:
    """A line that was begun: its clicks with the legs between them, or the finished line."""

    anchors: tuple[Anchor, ...]
    legs: tuple[tuple[Point, ...], ...]
    traced: Traced | None = None
    first: Traced | None = None


class EdgeTrace(Instrument):
    """Follows one path or outline.

    Parameters
    ----------
    crop
        Returns what cuts windows out of the picture, or None while it is not there yet.
    desk
        A worker of the instruments' own.
    drafts
        Where a line is kept that was left half done, and taken up again.
    """

    key = KEY
    aims = "point"

    def __init__(
        self,
        session: Session,
        landmark: str,
        crop: Callable[[], Crop | None],
        desk: Desk,
        drafts: Drafts,
    ) -> None:
        super().__init__()
        self._session, self._crop, self._desk, self._drafts = session, crop, desk, drafts
        self.landmark = landmark
        self.replaces = (landmark,)
        frame = session.frame
        row = (
            VIEWS[frame.view].landmark(landmark) if frame and frame.view in VIEWS else None
        )
        self.closed = row is not None and row.kind == OUTLINE
        self._frame = "" if frame is None else frame.id
        self._draft = self._frame, landmark, session.occasion
        self._anchors: list[Anchor] = []
        self._legs: list[tuple[Point, ...]] = []
        self._ahead: Ahead | None = None
        self._ready: Ahead | None = None
        self._asked: tuple[Point, int] | None = None
        self._pointer: Point | None = None
        self._plain, self._zoom = False, 1.0
        self._preview: tuple[Point, ...] = ()
        self._traced: Traced | None = None
        self._first: Traced | None = None
        self._history: list[Traced] = []
        self._waiting: list[tuple[Callable[[Crop, Traced], Traced], bool]] = []
        self._running = self._accepting = self._gone = False
        self._origin: Traced | None = None
        self._clicked = False
        self._held: tuple[int, Point] | None = None
        self._shown: tuple[tuple[Point, ...], ...] = ()
        self._joined: tuple[Point, ...] = ()
        desk.ask(warm_up, lambda _: None, lambda _: None)
        self._take_up()

    # -- what it tells ---------------------------------------------------------------------

    @property
    def finished(self) -> bool:
        """Return whether the line is whole: clicks correct it now."""
        return self._traced is not None

    @property
    def n_clicks(self) -> int:
        """Return how many clicks the line is led through."""
        return len(self._traced.anchors if self._traced is not None else self._anchors)

    @property
    def least(self) -> int:
        """Return how many clicks it needs."""
        return 3 if self.closed else 2

    @property
    def waits(self) -> bool:
        """Return whether it is accepted as soon as it has been followed."""
        return self._accepting

    @property
    def marks(self) -> tuple[Mark, ...]:
        """Return the line, its clicks, and the way to the pointer."""
        found: list[Mark] = []
        traced = self._traced
        if traced is not None:
            found.append(Outline(LINE, "", traced.points, self.closed, provisional=True))
            knots = [one.point for one in traced.anchors]
        else:
            joined = self._line()
            if len(joined) > 1:
                found.append(Outline(LINE, "", joined, provisional=True))
            if len(self._preview) > 1:
                found.append(Outline(PREVIEW, "", self._preview, provisional=True))
            knots = [one.point for one in self._anchors]
        if self._held is not None:
            knots[self._held[0]] = self._held[1]
        name = Sentence("edge_trace.knot")
        first = Sentence("edge_trace.first")
        found.extend(
            Lozenge(KNOT, "", point, 0, name if at else first, at, square=True)
            for at, point in enumerate(knots)
        )
        return tuple(found)

    # -- from the picture ------------------------------------------------------------------

    def click(self, point: Point, zoom: float, *, plain: bool = False) -> None:
        """Lead the line on to a click, or through one once it is finished."""
        self._zoom = zoom
        place = self._landmark_at(point)
        if self._traced is not None:
            at = place or point
            self._change(lambda crop, line: led_through(crop, line, at, plain=plain))
            return
        anchor = Anchor(place or point, snap=place is None and not plain, plain=plain)
        self._add(anchor)

    def point_at(self, point: Point | None, zoom: float, *, plain: bool = False) -> None:
        """Let the line follow the pointer."""
        self._pointer, self._zoom, self._plain = point, zoom, plain
        if self._traced is None and self._anchors:
            self._follow_pointer()

    def pick(self, mark: str, index: int) -> None:
        """Finish the line at its first click where it closes, or at its last."""
        if self._traced is not None or mark != KNOT:
            return
        last = len(self._anchors) - 1
        pointer = self._pointer
        away = 0.0
        if pointer is not None and index <= last:
            away = distance(pointer, self._anchors[index].point) * self._zoom
        if index == last and away > _UPON_PX and pointer is not None:
            # A small step along a tight bend, so near that the mark lies under it.
            self.click(pointer, self._zoom, plain=self._plain)
        elif index == (0 if self.closed else last) and last + 1 >= self.least:
            self.finish()

    def drag(self, mark: str, index: int, point: Point) -> None:
        """Show a click where it is dragged."""
        if mark == KNOT:
            self._held = index, point
            self._tell()

    def drop(self, mark: str, index: int, point: Point) -> None:
        """Lead the line through a click where it was let go, exactly."""
        self._held = None
        if mark != KNOT:
            return
        if self._traced is not None:
            self._change(lambda crop, line: moved(crop, line, index, point))
        elif index < len(self._anchors):
            self._anchors[index] = replace(self._anchors[index], point=point, snap=False)
            self._lay_again(index)

    def delete(self, mark: str, index: int) -> None:
        """Take a click out of the line."""
        if mark != KNOT:
            return
        if self._traced is not None:
            if len(self._traced.anchors) > self.least:
                self._change(lambda crop, line: without(crop, line, index))
        elif index == len(self._anchors) - 1:
            self.step_back()
        elif index < len(self._anchors):
            del self._anchors[index]
            del self._legs[max(0, index - 1)]
            self._lay_again(index)

    def step_back(self) -> bool:
        """Take back the last correction, or the last click."""
        self._accepting = False
        if self._history:
            self._waiting.clear()
            self._traced = self._history.pop()
        elif self._traced is not None:
            if not self._anchors:
                return False
            self._waiting.clear()
            self._traced = self._first = None
            self._look_ahead()
        elif self._anchors:
            self._anchors.pop()
            if self._legs:
                self._legs.pop()
            self._ahead, self._preview = None, ()
            self._look_ahead()
            self._follow_pointer()
        else:
            return False
        self._tell()
        return True

    def accept(self) -> None:
        """Finish the line; a finished one is accepted, as one deed."""
        if self._traced is None and not self._anchors:
            deeds.finish_series(self._session)
        elif self._traced is None:
            self.finish()
        elif self.busy:
            self._accepting = True
            self._tell()
        else:
            self._accept(self._traced)

    def finish(self) -> None:
        """End the drawing; the line is followed anew with what it taught."""
        if len(self._anchors) < self.least:
            key = "edge_trace.few.closed" if self.closed else "edge_trace.few"
            self._session.notice(Sentence(key), "caution")
            return
        legs = list(self._legs)
        if self.closed:
            legs.append((self._anchors[-1].point, self._anchors[0].point))
        anchors = tuple(self._anchors)
        self._traced = Traced(tuple(legs), anchors, self.closed)
        self._preview = ()
        self._change(lambda crop, _: follow(crop, anchors, closed=self.closed), kept=False)
        for _ in range(2):
            self._change(again, kept=False)

    def picture_is_there(self) -> None:
        """Go on once the whole picture can be looked at."""
        self._look_ahead()
        self._run()

    def put_down(self) -> None:
        """Keep what is half done, so that it can be taken up again."""
        self._gone = True
        if self._traced is not self._origin or (self._traced is None and self._anchors):
            self._drafts[self._draft] = Draft(
                tuple(self._anchors), tuple(self._legs), self._traced, self._first
            )

    # -- drawing ---------------------------------------------------------------------------

    def _take_up(self) -> None:
        """Go on with what was left half done, else with what is recorded."""
        draft = self._drafts.pop(self._draft, None)
        if draft is not None:
            self._anchors, self._legs = list(draft.anchors), list(draft.legs)
            self._traced, self._first = draft.traced, draft.first
            self._look_ahead()
            return
        placing = self._placing()
        if placing is None or not placing.points:
            return
        if len(placing.points) < self.least:
            self._anchors = [Anchor(one) for one in placing.points]
            self._legs = list(pairwise(placing.points))
            self._look_ahead()
            return
        self._traced = taken_up(placing.points, placing.anchors, closed=self.closed)
        self._first = self._origin = self._traced
        self._clicked = not placing.instrument
        if placing.proposed:
            # What the program proposed at first stays what was proposed.
            self._first = taken_up(placing.proposed, closed=self.closed)

    def _placing(self) -> Placing | None:
        specimen = self._session.specimen
        return specimen.placed(self._frame).get(self.landmark) if specimen else None

    def _landmark_at(self, point: Point) -> Point | None:
        """Return the placed landmark that a click means, where one lies under it."""
        specimen, frame = self._session.specimen, self._session.frame
        if specimen is None or frame is None or frame.view not in VIEWS:
            return None
        placed = specimen.placed(frame.id)
        reach = MAGNET_PX / self._zoom
        near = [
            (distance(placed[row.key].points[0], point), placed[row.key].points[0])
            for row in VIEWS[frame.view].landmarks
            if not row.grows and row.key in placed and placed[row.key].points
        ]
        away, found = min(near, default=(reach + 1, None))
        return found if away <= reach else None

    def _add(self, anchor: Anchor) -> None:
        before = self._anchors[-1] if self._anchors else None
        if before is not None:
            if distance(before.point, anchor.point) * self._zoom < _SAME_PX:
                return
            ahead = self._ahead
            known = ahead is not None and not anchor.plain and ahead.box.holds(anchor.point)
            leg: tuple[Point, ...] = (before.point, anchor.point)
            if known and ahead is not None and ahead.anchor == before.point:
                leg = ahead.to(anchor.point)
            self._legs.append(leg)
        self._anchors.append(anchor)
        self._ready, self._ahead, self._preview = self._ahead, None, ()
        self._settle(len(self._anchors) - 1, anchor)
        self._tell()

    def _settle(self, index: int, anchor: Anchor) -> None:
        """Let a click snap, and lay the leg to it anew, in the background."""
        crop, step = self._crop(), step_of(self._zoom)
        if crop is None or (anchor.plain and not anchor.snap):
            self._look_ahead()
            return
        before = self._anchors[index - 1].point if index else None
        ready = self._ready

        def question() -> tuple[Point, tuple[Point, ...]]:
            at = snap(crop, anchor.point, step) if anchor.snap else anchor.point
            if ready is not None and ready.anchor == before and ready.box.holds(at):
                return at, ready.to(at)
            return at, self._leg_between(crop, before, at, step)

        def settled(answer: tuple[Point, tuple[Point, ...]]) -> None:
            at, leg = answer
            here = index < len(self._anchors) and self._anchors[index] is anchor
            if self._gone or not here or self._traced is not None:
                return
            self._anchors[index] = replace(anchor, point=at)
            if leg and before == self._anchors[index - 1].point:
                self._legs[index - 1] = leg
            if index < len(self._legs):
                self._legs[index] = (at, *self._legs[index][1:])
            if index == len(self._anchors) - 1:
                self._look_ahead()
            self._tell()

        self._desk.ask(question, settled, self._failed)

    def _leg_between(
        self, crop: Crop, before: Point | None, at: Point, step: int
    ) -> tuple[Point, ...]:
        if before is None:
            return ()
        ahead = look_ahead(crop, before, at, step, lambda: not self._gone)
        return ahead.to(at) if ahead is not None else (before, at)

    def _lay_again(self, index: int) -> None:
        """Lay the legs beside a click anew."""
        for k in (index, index + 1):
            if 0 < k < len(self._anchors):
                one, before = self._anchors[k], self._anchors[k - 1]
                self._legs[k - 1] = (before.point, one.point)
                if not one.plain:
                    self._settle(k, one)
        self._ahead = None
        self._look_ahead()
        self._tell()

    def _look_ahead(self) -> None:
        """Ask for the ways from the last click, as far as the pointer."""
        if self._gone or self._traced is not None or not self._anchors:
            return
        crop, anchor, step = self._crop(), self._anchors[-1].point, step_of(self._zoom)
        pointer = self._pointer or anchor
        if crop is None or self._asked is not None:
            return
        asked = self._asked = anchor, step

        def wanted() -> bool:
            return (
                not self._gone and bool(self._anchors) and self._anchors[-1].point == anchor
            )

        def found(ahead: Ahead | None) -> None:
            self._asked = None
            if self._gone or self._traced is not None:
                return
            if wanted() and ahead is not None:
                self._ahead = ahead
                self._follow_pointer()
            else:
                self._look_ahead()

        self._desk.ask(
            lambda: look_ahead(crop, asked[0], pointer, step, wanted), found, self._failed
        )

    def _follow_pointer(self) -> None:
        pointer, ahead = self._pointer, self._ahead
        if pointer is None or not self._anchors:
            preview: tuple[Point, ...] = ()
        elif self._plain or ahead is None or not ahead.box.holds(pointer):
            preview = (self._anchors[-1].point, pointer)
            if not self._plain:
                self._look_ahead()
        else:
            preview = ahead.to(pointer)
        if preview != self._preview:
            self._preview = preview
            self._tell()

    def _line(self) -> tuple[Point, ...]:
        """Return the legs joined; the same tuple as long as they are the same."""
        legs = tuple(self._legs)
        if legs != self._shown:
            self._shown = legs
            self._joined = tuple(point for leg in legs for point in leg)
        return self._joined

    # -- once it is finished ---------------------------------------------------------------

    def _change(self, step: Callable[[Crop, Traced], Traced], *, kept: bool = True) -> None:
        """Change the finished line in the background; changes come one after the other."""
        self._accepting = False
        self._waiting.append((step, kept))
        self._run()
        self._tell()

    def _run(self) -> None:
        crop, traced = self._crop(), self._traced
        if self._running or self._gone or not self._waiting or crop is None:
            return
        if traced is None:
            self._waiting.clear()
            return
        step, kept = self._waiting.pop(0)
        self._running = True
        if kept and self._first is None:
            self._first = traced

        def done(made: Traced) -> None:
            self._running = False
            if self._gone:
                return
            # What was taken back meanwhile is not wanted any more.
            if self._traced is traced:
                if kept and made is not traced:
                    self._history.append(traced)
                self._traced = made
            if not self._waiting and self._first is None:
                self._first = self._traced
            self._run()
            self._tell()
            if self._accepting and not self.busy and self._traced is not None:
                self._accept(self._traced)

        self._desk.ask(lambda: step(crop, traced), done, self._failed)

    def _accept(self, traced: Traced) -> None:
        first = self._first or traced
        size = self._session.picture.size if self._session.picture is not None else None
        proposed: tuple[Point, ...] = ()
        how = ""
        if self._clicked:
            how = "corrected"
        elif first.points != traced.points:
            proposed = _inside(thinned(first).points, size)
        elif all(one.plain for one in traced.anchors[1:]):
            how = "clicked"
        unchanged = traced is self._origin
        self._origin = traced
        if not unchanged:
            name = Sentence(f"landmark.{self.landmark}.name")
            anchors = _inside([one.point for one in traced.anchors], size)
            points = _inside(thinned(traced).points, size)
            answer = deeds.Accepted(
                self.landmark, points, proposed=proposed, anchors=anchors, how=how
            )
            deed = Sentence("deed.trace", {"landmark": name})
            deeds.accept(self._session, deed, KEY, [answer], self._zoom)
        # What the deed changed is shown first.
        QTimer.singleShot(0, self, self._go_on)

    def _go_on(self) -> None:
        if not self._gone:
            deeds.finish_series(self._session)

    def _tell(self) -> None:
        self.busy = self._running or bool(self._waiting)
        self.changed.emit()

    def _failed(self, sentence: Sentence) -> None:
        self._running = False
        self._asked = None
        if not self._gone:
            self._session.notice(sentence, "error")


def _inside(points: object, size: tuple[int, int] | None) -> tuple[Point, ...]:
    """Return points, those beyond the border of the picture on it."""
    assert isinstance(points, tuple | list)
    if size is None:
        return tuple(points)
    width, height = size
    return tuple(Point(min(max(x, 0.0), float(width)), min(max(y, 0.0), float(height)))
                 for x, y in points)  # fmt: skip
