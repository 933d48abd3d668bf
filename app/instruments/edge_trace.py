"""The edge trace at work: from click to click along the edge that can be seen.

While it is drawn, the line follows the edge to the pointer. Finished, it is followed anew in
the background with what it taught; then clicks correct it, until it is accepted.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from PySide6.QtCore import QTimer

from app.background.desk import Desk
from app.instruments.crop import warm_up
from app.instruments.drawn_line import DrawnLine
from app.instruments.followed_line import Followed, FollowedLine
from app.instruments.recorded_line import recorded
from app.session import Instrument, Session, deeds
from app.session.at_work import MARK
from landmarks.figures import Lozenge, Mark, Outline
from landmarks.geometry import Point, distance
from landmarks.instruments.retrace import led_through, moved, taken_up, without
from landmarks.instruments.trace import Anchor, Traced, again, follow
from landmarks.placing import Placing
from landmarks.scheme import OUTLINE, VIEWS
from landmarks.sentences import Sentence

if TYPE_CHECKING:
    from landmarks.instruments.edges import Crop

KEY, WHOLE = "edge_trace", "traced_line"
LINE, PREVIEW, KNOT = f"{MARK}/line", f"{MARK}/preview", f"{MARK}/knot"

MAGNET_PX = 8.0
"""A click this near to a placed landmark means it exactly, in logical screen pixels."""

PAINTED_MS = 20
"""So long after the deed the next landmark is armed, in a turn of its own."""

CLOSES_PX = 12.0
"""A click this near to the first one closes an outline, in logical screen pixels."""


@dataclass(frozen=True, slots=True)
class Begun:
    """A line that was left half done.

    Attributes
    ----------
    anchors, legs
        Its clicks with the legs between them, while it is drawn.
    followed
        The finished line with its corrections.
    origin, clicked
        The recorded line it began with, and whether that was clicked point by point.
    """

    anchors: tuple[Anchor, ...]
    legs: tuple[tuple[Point, ...], ...]
    followed: Followed
    origin: Traced | None
    clicked: bool


class EdgeTrace(Instrument):
    """Follows one path or outline.

    Parameters
    ----------
    crop
        Returns what cuts windows out of the picture, or None while it is not there yet.
    desk
        A worker of the instruments' own.
    """

    key = KEY
    aims = "point"
    dense = True

    def __init__(
        self,
        session: Session,
        landmark: str,
        crop: Callable[[], Crop | None],
        desk: Desk,
    ) -> None:
        super().__init__()
        self._session = session
        self.landmark = landmark
        self.replaces = (landmark,)
        frame = session.frame
        row = (
            VIEWS[frame.view].landmark(landmark) if frame and frame.view in VIEWS else None
        )
        self.closed = row is not None and row.kind == OUTLINE
        self._frame = "" if frame is None else frame.id
        self._accepting = self._gone = False
        self._followed = FollowedLine(crop, desk, self)
        self._drawn = DrawnLine(crop, desk, self._followed, self)
        self._followed.changed.connect(self._line_changed)
        self._drawn.changed.connect(self._tell)
        for line in (self._followed, self._drawn):
            line.failed.connect(self._failed)
        self._origin: Traced | None = None
        self._recorded: tuple[Anchor, ...] = ()
        self._clicked = False
        self._held: tuple[int, Point] | None = None
        desk.ask(warm_up, lambda _: None, lambda _: None)
        self._begin_with_record()

    # -- what it tells ---------------------------------------------------------------------

    @property
    def finished(self) -> bool:
        """Return whether the line is whole: clicks correct it now."""
        return self._followed.finished

    @property
    def stage(self) -> str:
        """Return whether the line is drawn or corrected."""
        return WHOLE if self.finished else KEY

    @property
    def n_clicks(self) -> int:
        """Return how many clicks the line is led through."""
        traced = self._followed.traced
        return len(self._drawn.anchors if traced is None else traced.anchors)

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
        traced = self._followed.traced
        if traced is not None:
            points = self._followed.points
            found.append(Outline(LINE, "", points, self.closed, provisional=True))
            knots = [one.point for one in traced.anchors]
        else:
            joined = self._drawn.points()
            if len(joined) > 1:
                found.append(Outline(LINE, "", joined, provisional=True))
            if len(self._drawn.preview) > 1:
                found.append(Outline(PREVIEW, "", self._drawn.preview, provisional=True))
            knots = [one.point for one in self._drawn.anchors]
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
        self._drawn.zoom = zoom
        place = self._landmark_at(point)
        if self.finished:
            at = place or point
            self._change(lambda crop, line: led_through(crop, line, at, plain=plain))
            return
        if not plain and self._closes(point):
            self.finish()
            return
        anchor = Anchor(place or point, snap=place is None and not plain, plain=plain)
        self._drawn.add(anchor)

    def point_at(self, point: Point | None, zoom: float, *, plain: bool = False) -> None:
        """Let the line follow the pointer."""
        drawn = self._drawn
        drawn.pointer, drawn.zoom, drawn.plain = point, zoom, plain
        if not self.finished and drawn.anchors:
            drawn.follow_pointer()

    def pick(self, mark: str, index: int) -> None:
        """Finish the line at its first click where it closes, or at its last."""
        if self.finished or mark != KNOT:
            return
        last = len(self._drawn.anchors) - 1
        if index == (0 if self.closed else last) and last + 1 >= self.least:
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
        if self.finished:
            self._change(lambda crop, line: moved(crop, line, index, point))
        elif index < len(self._drawn.anchors):
            self._drawn.move(index, point)

    def delete(self, mark: str, index: int) -> None:
        """Take a click out of the line."""
        if mark != KNOT:
            return
        if self._followed.traced is not None:
            if len(self._followed.traced.anchors) > self.least:
                self._change(lambda crop, line: without(crop, line, index))
        elif index == len(self._drawn.anchors) - 1:
            self.step_back()
        elif index < len(self._drawn.anchors):
            self._drawn.delete(index)

    def step_back(self) -> bool:
        """Take back the last correction, or the last click."""
        self._accepting = False
        if not self._followed.step_back():
            if self.finished:
                if not self._drawn.anchors:
                    return False
                self._followed.drop()
                self._drawn.look_ahead()
            elif not self._drawn.step_back():
                return False
        self._tell()
        return True

    def accept(self) -> None:
        """Finish the line; a finished one is accepted, as one deed."""
        traced = self._followed.traced
        if traced is not None and self.busy:
            self._accepting = True
            self._tell()
        elif traced is not None:
            self._accept(traced)
        elif self._drawn.anchors:
            self.finish()
        else:
            deeds.finish_series(self._session)

    def finish(self) -> None:
        """End the drawing; the line is followed anew with what it taught."""
        anchors, legs = tuple(self._drawn.anchors), list(self._drawn.legs)
        if len(anchors) < self.least:
            key = "edge_trace.few.closed" if self.closed else "edge_trace.few"
            self._session.notice(Sentence(key), "passing")
            return
        if self.closed:
            legs.append((anchors[-1].point, anchors[0].point))
        self._followed.traced = Traced(tuple(legs), anchors, self.closed)
        self._drawn.preview = ()
        self._change(lambda crop, _: follow(crop, anchors, closed=self.closed), kept=False)
        for _ in range(2):
            self._change(again, kept=False)

    def picture_is_there(self) -> None:
        """Go on once the whole picture can be looked at."""
        self._drawn.look_ahead()
        self._followed.run()

    def put_down(self) -> None:
        """Wait for nothing any more; what was to be accepted and is not yet, is said."""
        if self._accepting and self.draft is not None:
            self._session.notice(Sentence("edge_trace.left"), "caution")
        self._gone = self._drawn.gone = self._followed.gone = True

    # -- taken up -------------------------------------------------------------------------

    @property
    def draft(self) -> Begun | None:
        """Return the line as it is, with its corrections, unless it is the recorded one."""
        anchors, followed = tuple(self._drawn.anchors), self._followed.left()
        if followed.traced is None:
            begun = anchors not in ((), self._recorded)
        else:
            begun = followed.traced is not self._origin or bool(followed.waiting)
        if not begun:
            return None
        legs = tuple(self._drawn.legs)
        return Begun(anchors, legs, followed, self._origin, self._clicked)

    def take_up(self, draft: Begun) -> None:
        """Go on with a line that was left half done, in place of the recorded one."""
        self._drawn.anchors, self._drawn.legs = list(draft.anchors), list(draft.legs)
        self._clicked = draft.clicked
        if draft.origin == self._origin:
            # Where all is taken back, it is known as the recorded one.
            self._origin = draft.origin
        self._followed.go_on(draft.followed)
        self.busy = self._followed.busy
        self._drawn.look_ahead()

    def _begin_with_record(self) -> None:
        placing = self._placing()
        if placing is None or not placing.points:
            return
        if len(placing.points) < self.least:
            self._recorded = tuple(Anchor(one) for one in placing.points)
            self._drawn.anchors = list(self._recorded)
            self._drawn.legs = list(pairwise(placing.points))
            self._drawn.look_ahead()
            return
        line = taken_up(placing.points, placing.anchors, closed=self.closed)
        self._followed.traced = self._followed.first = self._origin = line
        self._clicked = not placing.instrument
        if placing.proposed:
            # What the program proposed at first stays what was proposed.
            self._followed.first = taken_up(placing.proposed, closed=self.closed)

    def _placing(self) -> Placing | None:
        specimen = self._session.specimen
        return specimen.placed(self._frame).get(self.landmark) if specimen else None

    def _landmark_at(self, point: Point) -> Point | None:
        """Return the placed landmark that a click means, where one lies under it."""
        specimen, frame = self._session.specimen, self._session.frame
        if specimen is None or frame is None or frame.view not in VIEWS:
            return None
        placed = specimen.placed(frame.id)
        reach = MAGNET_PX / self._drawn.zoom
        near = [
            (distance(placed[row.key].points[0], point), placed[row.key].points[0])
            for row in VIEWS[frame.view].landmarks
            if not row.grows and row.key in placed and placed[row.key].points
        ]
        away, found = min(near, default=(reach + 1, None))
        return found if away <= reach else None

    def _closes(self, point: Point) -> bool:
        """Return whether a click comes back to the first one of an outline."""
        anchors, reach = self._drawn.anchors, CLOSES_PX / self._drawn.zoom
        enough = self.closed and len(anchors) >= self.least
        return enough and distance(anchors[0].point, point) <= reach

    # -- once it is finished ---------------------------------------------------------------

    def _change(self, step: Callable[[Crop, Traced], Traced], *, kept: bool = True) -> None:
        """Change the finished line in the background; changes come one after the other."""
        self._accepting = False
        self._followed.change(step, kept=kept)

    def _line_changed(self) -> None:
        self._tell()
        if self._accepting and not self.busy and self._followed.traced is not None:
            self._accept(self._followed.traced)

    def _accept(self, traced: Traced) -> None:
        unchanged = traced is self._origin
        self._origin = traced
        if not unchanged:
            picture = self._session.picture
            answer = recorded(
                self.landmark,
                traced,
                self._followed.points,
                first=self._followed.first,
                clicked=self._clicked,
                size=None if picture is None else picture.size,
            )
            name = Sentence(f"landmark.{self.landmark}.name")
            deed = Sentence("deed.trace", {"landmark": name})
            deeds.accept(self._session, deed, KEY, [answer], self._drawn.zoom)
        # What the deed changed is painted first: what is posted comes before every timer.
        QTimer.singleShot(PAINTED_MS, self, self._go_on)

    def _go_on(self) -> None:
        if not self._gone:
            deeds.finish_series(self._session)

    def _tell(self) -> None:
        self.busy = self._followed.busy
        self.changed.emit()

    def _failed(self, sentence: Sentence) -> None:
        self._session.notice(sentence, "error")
