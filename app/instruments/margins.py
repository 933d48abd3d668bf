"""Two margins in one picture, looked at together: where they fit, and where they gape.

Nothing is placed here; the strip and the picture point at the same station of both lines.
"""

from __future__ import annotations

from app.background.desk import Desk
from app.session import Instrument, Session
from landmarks.figures import Line, Mark, is_plane
from landmarks.geometry import Point
from landmarks.instruments.margins import ENDS, LINES, Compared, compare
from landmarks.sentences import Sentence

KEY = "margins"


class Margins(Instrument):
    """Shows how the two margins of a pair seen from above compare."""

    key = KEY

    def __init__(self, session: Session, desk: Desk) -> None:
        super().__init__()
        self._session, self._desk = session, desk
        self.compared: Compared | None = None
        self.station: int | None = None
        self._gone = False
        self._look()

    @property
    def marks(self) -> tuple[Mark, ...]:
        """Return the line across both margins at the station pointed at."""
        ends = self._ends()
        if ends is None or self.station is None:
            return ()
        return (Line("measure", *ends),)

    def point_at(self, point: Point | None, zoom: float, *, plain: bool = False) -> None:
        """Point at the station beside the pointer."""
        profile = None if self.compared is None else self.compared.profile
        axis = self._axis()
        if point is None or profile is None or axis is None:
            self.point_at_station(None)
            return
        start, (x, y) = axis
        along = (point.x - start.x) * x + (point.y - start.y) * y
        first, last = float(profile.along[0]), float(profile.along[-1])
        self.point_at_share((along - first) / (last - first))

    @property
    def flipped(self) -> tuple[bool, bool]:
        """Return whether a plot must be turned over, across and up, to lie as the picture."""
        axis = self._axis()
        rightwards = axis is None or axis[1][0] >= 0
        return not rightwards, rightwards and axis is not None

    def point_at_share(self, share: float) -> None:
        """Point at a share of the way from the byssal end; beyond both ends at nothing."""
        profile = None if self.compared is None else self.compared.profile
        if profile is None or not 0 <= share <= 1:
            self.point_at_station(None)
        else:
            self.point_at_station(round(share * (len(profile.along) - 1)))

    def point_at_station(self, station: int | None) -> None:
        """Point at one station of the profile."""
        if station != self.station:
            self.station = station
            self.changed.emit()

    def accept(self) -> None:
        """Put it down: there is nothing to record."""
        self._session.hand.take_instrument(None)

    def put_down(self) -> None:
        """Wait for nothing any more."""
        self._gone = True

    def _look(self) -> None:
        session = self._session
        specimen, frame, picture = session.specimen, session.frame, session.picture
        if specimen is None or frame is None or picture is None:
            return
        placings = tuple(specimen.placed(frame.id).values())
        setting, frame_id = picture.setting, frame.id
        self.busy = True

        def found(compared: Compared) -> None:
            self.busy = False
            if not self._gone:
                self.compared = compared
                self.changed.emit()

        def failed(sentence: Sentence) -> None:
            self.busy = False
            if not self._gone:
                session.notice(sentence, "error")

        self._desk.ask(lambda: compare(setting, placings, frame_id), found, failed)

    def _axis(self) -> tuple[Point, tuple[float, float]] | None:
        """Return the byssal end and the direction to the other end, in the picture.

        None where the plane was put straight: its stations are not those of the picture.
        """
        session = self._session
        specimen, frame, picture = session.specimen, session.frame, session.picture
        if specimen is None or frame is None or picture is None:
            return None
        if picture.scale is not None and is_plane(picture.scale):
            return None
        placed = specimen.placed(frame.id)
        ends = [
            placed[key].points[0] for key in ENDS if key in placed and placed[key].points
        ]
        if len(ends) < 2 or ends[0] == ends[1]:
            return None
        dx, dy = ends[1].x - ends[0].x, ends[1].y - ends[0].y
        length = (dx * dx + dy * dy) ** 0.5
        return ends[0], (dx / length, dy / length)

    def _ends(self) -> tuple[Point, Point] | None:
        axis, compared, at = self._axis(), self.compared, self.station
        if axis is None or compared is None or compared.profile is None or at is None:
            return None
        start, (x, y) = axis
        along = float(compared.profile.along[at])
        left, right = float(compared.profile.left[at]), float(compared.profile.right[at])
        return (
            Point(start.x + along * x - left * y, start.y + along * y + left * x),
            Point(start.x + along * x - right * y, start.y + along * y + right * x),
        )


def stand(session: Session) -> bool:
    """Return whether both margins of the frame on the bench are placed."""
    specimen, frame = session.specimen, session.frame
    if specimen is None or frame is None:
        return False
    placed = specimen.placed(frame.id)
    return all(key in placed and len(placed[key].points) > 1 for key in LINES)
