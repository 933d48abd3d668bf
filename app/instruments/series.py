"""The series instrument at work: one click each, put in order by a guide.

Scutes are clicked at their left edge, their right edge, and the next; eyes and tentacles once
each. The guide is the line that was traced there, or a path that the person clicks first.
"""

from __future__ import annotations

from dataclasses import replace
from math import inf

from app.session import Instrument, Session, deeds
from app.session.at_work import MARK
from landmarks.figures import Lozenge, Mark, Outline
from landmarks.geometry import Point, distance
from landmarks.instruments.series import Scutes, beside, ordered, scutes_of
from landmarks.measures.reckoning import SCUTES_AT
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


class Series(Instrument):
    """Takes the clicks of one series of the frame on the bench."""

    key = KEY
    aims = "point"

    def __init__(self, session: Session, landmark: str) -> None:
        super().__init__()
        self._session = session
        self.landmark = landmark
        self.scuted = landmark == SCUTES
        frame, specimen = session.frame, session.specimen
        placed = specimen.placed(frame.id) if specimen and frame else {}
        self.replaces = (landmark, LEFT, RIGHT) if self.scuted else (landmark,)
        old = placed.get(landmark)
        self.guide: tuple[Point, ...] = ()
        keys = GUIDES.get(landmark, ())
        found = [placed[key].points for key in keys if key in placed and placed[key].points]
        if len(found) == len(keys):
            self.guide = tuple(point for points in found for point in points)
        self.given = bool(self.guide)
        self._old = old.points if old is not None and not self.scuted else ()
        self.clicks: list[Point] = list(self._old)
        self.drawing = False
        self._zoom = 1.0
        self._n_old = len(self.clicks)
        self.at_least = old is not None and old.at_least
        self._turned_at = -1

    # -- what it tells ---------------------------------------------------------------------

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
    def marks(self) -> tuple[Mark, ...]:
        """Return the guide, and every click with its number."""
        made: list[Mark] = []
        if self.guide and not self.given:
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
        """Take one more of the series, or of the guide while that is drawn."""
        self._zoom = zoom
        if self.drawing:
            self.guide = (*self.guide, point)
            self.changed.emit()
        elif point not in self.clicks:
            self.clicks.append(point)
            self._tell()

    def drag(self, mark: str, index: int, point: Point) -> None:
        """Let a click follow the pointer."""
        self._move(mark, index, point)
        self.changed.emit()

    def drop(self, mark: str, index: int, point: Point) -> None:
        """Take a click where it was let go."""
        self._move(mark, index, point)
        self._tell()

    def delete(self, mark: str, index: int) -> None:
        """Take a click away; of a scute both edges, where its number is meant.

        Where one edge of a scute goes, the other waits for it, so that no edges of two scutes
        come together; where one waits already, both go.
        """
        if mark == KNOT:
            self.guide = (*self.guide[:index], *self.guide[index + 1 :])
        elif mark == ONE and self.scuted and (index ^ 1) < len(self.clicks):
            left, waits = self.clicks[index ^ 1], len(self.clicks) % 2
            first = index & ~1
            del self.clicks[first : first + 2]
            self.clicks.extend([] if waits else [left])
        elif mark == ONE and index < len(self.clicks):
            del self.clicks[index]
        elif mark == f"{ONE}/middle" and index < len(self.scutes.scutes):
            one = self.scutes.scutes[index]
            self.clicks = [at for at in self.clicks if at not in (one.left, one.right)]
        self._tell()

    def turn_at_least(self) -> bool:
        """Say that more are hidden or worn than could be marked, or no longer.

        False where none is marked: there is nothing that they could be more than.
        """
        if not self.points:
            return False
        self.at_least, self._turned_at = not self.at_least, len(self.clicks)
        self._tell()
        return True

    def draw_guide(self) -> None:
        """Begin a guide of one's own."""
        self.drawing, self.given, self.guide = True, False, ()
        self._tell()

    def step_back(self) -> bool:
        """Take the last click back."""
        if self.drawing:
            if self.guide:
                self.guide = self.guide[:-1]
            else:
                self.drawing = False
        elif self.clicks and self._turned_at == len(self.clicks):
            self.at_least, self._turned_at = not self.at_least, -1
        elif self.clicks and len(self.clicks) > self._n_old:
            self.clicks.pop()
        else:
            return False
        self._tell()
        return True

    def accept(self) -> None:
        """End the guide; or record the series as one deed, and go on.

        A scute of which only one edge was clicked is asked for: it would be lost.
        """
        if self.drawing:
            self.drawing = False
            self._tell()
            return
        if self.scuted and self.scutes.waiting is not None:
            asked = {"next": len(self.points) + 1}
            self._session.notice(Sentence("series.scutes.one_edge", asked), "passing")
            return
        answers = self._answers()
        if answers and tuple(self.clicks) == self._old:
            deeds.say_at_least(self._session, {self.landmark: self.at_least})
        elif answers:
            self._n_old, self._old = len(self.clicks), tuple(self.clicks)
            name = Sentence(f"landmark.{self.landmark}.name")
            word = "deed.series_at_least" if self.at_least else "deed.series"
            deed = Sentence(word, {"landmark": name, "n": len(self.points)})
            deeds.accept(self._session, deed, KEY, answers, self._zoom)
        deeds.finish_series(self._session)

    # -- inside ----------------------------------------------------------------------------

    def _move(self, mark: str, index: int, point: Point) -> None:
        if mark == KNOT and index < len(self.guide):
            self.guide = (*self.guide[:index], point, *self.guide[index + 1 :])
        elif mark == ONE and index < len(self.clicks):
            self.clicks[index] = point
        elif mark == f"{ONE}/middle" and index < len(self.scutes.scutes):
            one = self.scutes.scutes[index]
            dx, dy = point.x - one.middle.x, point.y - one.middle.y
            self.clicks = [
                Point(at.x + dx, at.y + dy) if at in (one.left, one.right) else at
                for at in self.clicks
            ]

    def _tell(self) -> None:
        """Let the measures follow what is clicked."""
        made = deeds.accepted(self._session, KEY, self._answers(), self._zoom)
        self.changed.emit()
        self._session.preview(made)

    def _answers(self) -> list[deeds.Accepted]:
        points = self.points
        if not points:
            return []
        guide = () if self.given else self.guide
        own = deeds.Accepted(self.landmark, points, anchors=guide, how="clicked")
        answers = [replace(own, at_least=self.at_least)]
        if self.scuted:
            chosen = min(self.scutes.scutes, key=self._off_two_thirds)
            answers.append(deeds.Accepted(LEFT, (chosen.left,), how="clicked"))
            answers.append(deeds.Accepted(RIGHT, (chosen.right,), how="clicked"))
        return answers

    def _off_two_thirds(self, scute: object) -> float:
        """Return how far a scute lies from where their widths are compared."""
        middle = getattr(scute, "middle", None)
        specimen, frame = self._session.specimen, self._session.frame
        if not isinstance(middle, Point) or specimen is None or frame is None:
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
