"""The series instrument at work: one click each, put in order by a guide.

Scutes are clicked at their left edge, their right edge, and the next; eyes and tentacles once
each. The guide is the line that was traced there, or a path that the person clicks first.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import inf

from PySide6.QtCore import QTimer

from app.session import Instrument, Session, deeds
from app.session.at_work import MARK
from landmarks.figures import Lozenge, Mark, Outline
from landmarks.geometry import Point, distance
from landmarks.instruments.series import Scute, Scutes, beside, ordered, scutes_of
from landmarks.measures.reckoning import SCUTES_AT
from landmarks.placing import check_inside, edges_of
from landmarks.sentences import Sentence

KEY = "series"
SCUTES, LEFT, RIGHT = "scutes", "scute_left", "scute_right"
GUIDES = {"eyes": ("edge",), "tentacles": ("opening",), SCUTES: ("umbo", "upper_margin")}
"""What guides each series: a traced line, or landmarks one after the other."""

TOLD = {
    SCUTES: ("scute_gap", "scute_count"),
    "eyes": ("eye_density", "eye_regularity"),
    "tentacles": ("tentacle_count",),
}
"""The measures that are told while the series is clicked."""

ONE, GUIDE, KNOT, ACROSS = (f"{MARK}/{word}" for word in ("one", "guide", "knot", "across"))


@dataclass(frozen=True, slots=True)
class Clicked:
    """What was clicked: the series, a guide of one's own, whether that is being drawn.

    Without a guide of one's own (None) the traced one counts, where there is any. ``at_least``
    says that there are more than could be marked.
    """

    clicks: tuple[Point, ...] = ()
    own_guide: tuple[Point, ...] | None = None
    drawing: bool = False
    at_least: bool = False


@dataclass(frozen=True, slots=True)
class Begun:
    """A series as it was left: what is clicked now, and what can be gone back to."""

    now: Clicked
    past: tuple[Clicked, ...]


class Series(Instrument):
    """Takes the clicks of one series of the frame on the bench."""

    key = KEY
    aims = "point"
    dense = True

    def __init__(self, session: Session, landmark: str) -> None:
        super().__init__()
        self._session = session
        self.landmark = landmark
        self.scuted = landmark == SCUTES
        frame, specimen = session.frame, session.specimen
        placed = specimen.placed(frame.id) if specimen and frame else {}
        self.replaces = (landmark, LEFT, RIGHT) if self.scuted else (landmark,)
        keys = GUIDES.get(landmark, ())
        found = [placed[key].points for key in keys if key in placed and placed[key].points]
        self._traced = tuple(point for points in found for point in points)
        if len(found) < len(keys):
            self._traced = ()
        old = placed.get(landmark)
        recorded = Clicked()
        self._n_recorded = 0
        self._zoom = 1.0
        if old is not None:
            clicks = old.points
            if self.scuted:
                known = [pair for pair in edges_of(old) if pair is not None]
                clicks = tuple(edge for pair in known for edge in pair)
            recorded = Clicked(clicks, old.anchors or None, at_least=old.at_least)
            self._n_recorded = len(old.points)
            self._zoom = old.zoom or 1.0
        self._now = self._recorded = recorded
        self._past: list[Clicked] = []
        self._before_drag: Clicked | None = None

    # -- left and taken up -----------------------------------------------------------------

    @property
    def draft(self) -> Begun | None:
        """Return what is clicked, where any of it is neither recorded nor taken back."""
        own, recorded = self._now.own_guide, self._recorded
        nothing = not self._now.clicks and (not own or own == recorded.own_guide)
        if nothing or self._now == recorded:
            return None
        return Begun(self._now, tuple(self._past))

    def take_up(self, draft: Begun) -> None:
        """Go on with these clicks; the measures follow them as soon as it is at work."""
        self._now, self._past = draft.now, list(draft.past)
        QTimer.singleShot(0, self, self._tell)

    # -- what it tells ---------------------------------------------------------------------

    @property
    def clicks(self) -> tuple[Point, ...]:
        """Return the clicks of the series so far."""
        return self._now.clicks

    @property
    def guide(self) -> tuple[Point, ...]:
        """Return the guide that counts: the own one, else the traced one."""
        own = self._now.own_guide
        return self._traced if own is None else own

    @property
    def drawing(self) -> bool:
        """Return whether clicks lead the guide on."""
        return self._now.drawing

    @property
    def at_least(self) -> bool:
        """Return whether there are more than could be marked."""
        return self._now.at_least

    @property
    def scutes(self) -> Scutes:
        """Return the scutes clicked so far, in the order of the guide."""
        return scutes_of(self.clicks, self.guide)

    @property
    def points(self) -> tuple[Point, ...]:
        """Return the points of the series, in the order of the guide."""
        if self.scuted:
            return tuple(one.middle for one in self.scutes.scutes)
        return ordered(self.clicks, self.guide)

    @property
    def n_without_edges(self) -> int:
        """Return how many recorded scutes came without edges and are not clicked anew yet."""
        if not self.scuted:
            return 0
        known = len(self._recorded.clicks) // 2
        return max(0, self._n_recorded - max(known, len(self.points)))

    @property
    def marks(self) -> tuple[Mark, ...]:
        """Return the guide, and every click with its number."""
        made: list[Mark] = []
        if self._now.own_guide:
            made.append(Outline(GUIDE, "", self.guide, provisional=True))
        if self.drawing:
            knot = Sentence("series.guide.knot")
            made.extend(
                Lozenge(KNOT, "", point, 0, knot, at, square=True)
                for at, point in enumerate(self.guide)
            )
        name = Sentence(f"landmark.{self.landmark}.name")
        numbers = {point: at + 1 for at, point in enumerate(self.points)}
        last = len(numbers) if self.at_least else 0
        if not self.scuted:
            made.extend(
                Lozenge(ONE, self.landmark, point, n, name, at, more=n == last)
                for at, (point, n) in enumerate((one, numbers[one]) for one in self.clicks)
            )
            return tuple(made)
        for at, one in enumerate(self.scutes.scutes):
            line = (one.left, one.right)
            made.append(Outline(f"{ACROSS}/{at}", "", line, provisional=True))
            mark, lit, more = f"{ONE}/middle", f"{ONE}/{at}", at + 1 == last
            made.append(Lozenge(mark, lit, one.middle, at + 1, name, at, more=more))
        edge = Sentence("series.edge")
        made.extend(
            Lozenge(ONE, "", point, 0, edge, at, square=True)
            for at, point in enumerate(self.clicks)
        )
        return tuple(made)

    # -- from the picture ------------------------------------------------------------------

    def click(self, point: Point, zoom: float, *, plain: bool = False) -> None:
        """Take one more of the series, or of the guide while that is drawn.

        Raises
        ------
        PlacingError
            If it lies beside the picture.
        """
        self._check(point)
        self._zoom = zoom
        if self.drawing:
            self._change(replace(self._now, own_guide=(*self.guide, point)))
        elif point not in self.clicks:
            self._change(replace(self._now, clicks=(*self.clicks, point)))

    def drag(self, mark: str, index: int, point: Point) -> None:
        """Let a click follow the pointer."""
        self._before_drag = self._before_drag or self._now
        self._now = self._moved(mark, index, point)
        self.changed.emit()

    def drop(self, mark: str, index: int, point: Point) -> None:
        """Take a click where it was let go."""
        self._check(point)
        moved = self._moved(mark, index, point)
        self._now, self._before_drag = self._before_drag or self._now, None
        self._change(moved)

    def delete(self, mark: str, index: int) -> None:
        """Take a click away; of a scute both edges, where its number is meant.

        Where one edge of a scute goes, the other waits for it, so that no edges of two scutes
        come together; where one waits already, both go.
        """
        clicks = list(self.clicks)
        if mark == KNOT:
            guide = (*self.guide[:index], *self.guide[index + 1 :])
            self._change(replace(self._now, own_guide=guide))
            return
        if mark == ONE and self.scuted and (index ^ 1) < len(clicks):
            left, waits = clicks[index ^ 1], len(clicks) % 2
            first = index & ~1
            del clicks[first : first + 2]
            clicks.extend([] if waits else [left])
        elif mark == ONE and index < len(clicks):
            del clicks[index]
        elif mark == f"{ONE}/middle" and index < len(self.scutes.scutes):
            one = self.scutes.scutes[index]
            clicks = [at for at in clicks if at not in (one.left, one.right)]
        self._change(replace(self._now, clicks=tuple(clicks)))

    def turn_at_least(self) -> bool:
        """Say that more are hidden or worn than could be marked, or no longer.

        False where none is marked: there is nothing that they could be more than.
        """
        if not self.points:
            return False
        self._change(replace(self._now, at_least=not self.at_least))
        return True

    def draw_guide(self) -> None:
        """Begin a guide of one's own."""
        self._change(replace(self._now, own_guide=(), drawing=True))

    def step_back(self) -> bool:
        """Take the last click or change back."""
        if not self._past:
            return False
        self._now = self._past.pop()
        self._tell()
        return True

    def accept(self) -> None:
        """End the guide; or record the series as one deed, and go on.

        A scute of which only one edge was clicked is asked for: it would be lost.
        """
        if self.drawing:
            self._change(replace(self._now, drawing=False))
            return
        if self.scuted and self.scutes.waiting is not None:
            asked = {"next": len(self.points) + 1}
            self._session.notice(Sentence("series.scutes.one_edge", asked), "passing")
            return
        answers = self._answers()
        recorded = self._recorded
        if answers:
            self._recorded, self._n_recorded = self._now, len(self.points)
            self._past.clear()
        if answers and self._now == replace(recorded, at_least=self.at_least):
            deeds.say_at_least(self._session, {self.landmark: self.at_least})
        elif answers:
            name = Sentence(f"landmark.{self.landmark}.name")
            word = "deed.series_at_least" if self.at_least else "deed.series"
            deed = Sentence(word, {"landmark": name, "n": len(self.points)})
            deeds.accept(self._session, deed, KEY, answers, self._zoom)
        deeds.finish_series(self._session)

    # -- inside ----------------------------------------------------------------------------

    def _check(self, point: Point) -> None:
        picture = self._session.picture
        if picture is not None:
            check_inside((point,), *picture.size)

    def _change(self, now: Clicked) -> None:
        """Go on from what is clicked now, so that it can be gone back to."""
        if now != self._now:
            self._past.append(self._now)
            self._now = now
        self._tell()

    def _moved(self, mark: str, index: int, point: Point) -> Clicked:
        """Return what is clicked, one mark of it somewhere else."""
        clicks, guide = list(self.clicks), list(self.guide)
        if mark == KNOT and index < len(guide):
            guide[index] = point
            return replace(self._now, own_guide=tuple(guide))
        if mark == ONE and index < len(clicks):
            clicks[index] = point
        elif mark == f"{ONE}/middle" and index < len(self.scutes.scutes):
            one = self.scutes.scutes[index]
            dx, dy = self._as_far_as_the_border(one, point)
            clicks = [
                Point(at.x + dx, at.y + dy) if at in (one.left, one.right) else at
                for at in clicks
            ]
        return replace(self._now, clicks=tuple(clicks))

    def _as_far_as_the_border(self, one: Scute, to: Point) -> tuple[float, float]:
        """Return how far a scute is moved: its edges never leave the picture."""
        dx, dy = to.x - one.middle.x, to.y - one.middle.y
        picture = self._session.picture
        if picture is None:
            return dx, dy
        width, height = picture.size
        (left, right), (top, low) = (
            sorted(along) for along in zip(one.left, one.right, strict=True)
        )
        return min(max(dx, -left), width - right), min(max(dy, -top), height - low)

    def _tell(self) -> None:
        """Let the measures follow what is clicked."""
        made = deeds.accepted(self._session, KEY, self._answers(), self._zoom)
        self.changed.emit()
        self._session.preview(made)

    def _answers(self) -> list[deeds.Accepted]:
        points = self.points
        if not points:
            return []
        guide = self._now.own_guide or ()
        own = deeds.Accepted(self.landmark, points, anchors=guide, how="clicked")
        own = replace(own, at_least=self.at_least)
        if not self.scuted:
            return [own]
        scutes = self.scutes.scutes
        edges = tuple(edge for one in scutes for edge in (one.left, one.right))
        answers = [replace(own, clicks=edges)]
        chosen = min(scutes, key=self._off_two_thirds)
        if not self._is_put_by_hand(chosen):
            answers.append(deeds.Accepted(LEFT, (chosen.left,), how="clicked"))
            answers.append(deeds.Accepted(RIGHT, (chosen.right,), how="clicked"))
        return answers

    def _is_put_by_hand(self, chosen: Scute) -> bool:
        """Return whether the edges of this scute were put elsewhere by hand since.

        They are landmarks of their own, and stay where the person wanted them as long as the
        scute whose edges they are was not changed here.
        """
        before = scutes_of(self._recorded.clicks, self.guide).scutes
        specimen, frame = self._session.specimen, self._session.frame
        if not before or specimen is None or frame is None:
            return False
        placed = specimen.placed(frame.id)
        found = [placed[key].points for key in (LEFT, RIGHT) if key in placed]
        stand = [points[0] for points in found if points]
        as_clicked = [[one.left, one.right] for one in before]
        unchanged = chosen == min(before, key=self._off_two_thirds)
        return unchanged and len(stand) == 2 and stand not in as_clicked

    def _off_two_thirds(self, scute: Scute) -> float:
        """Return how far a scute lies from where their widths are compared."""
        middle, specimen, frame = scute.middle, self._session.specimen, self._session.frame
        if specimen is None or frame is None:
            return inf
        placed = specimen.placed(frame.id)
        ends = [placed[key].points[0] for key in ("umbo", "upper_margin")
                if key in placed and placed[key].points]  # fmt: skip
        if len(ends) == 2:
            return abs(distance(ends[0], middle) - SCUTES_AT * distance(*ends))
        if len(self.guide) > 1:
            whole = beside(self.guide, self.guide[-1]).along
            return abs(beside(self.guide, middle).along - SCUTES_AT * whole)
        return 0.0
