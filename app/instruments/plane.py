"""Four points around the specimen at work: corners clicked in order, sides typed, a preview.

The preview shows the four points as seen square from above; it is for the eye only, nothing
is measured on it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from math import acos, degrees
from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QImage, QPainter, QPolygonF, QTransform

from app.background.desk import Desk
from app.session import Instrument, Session, deeds
from app.session.at_work import MARK
from landmarks.errors import ScaleError
from landmarks.figures import Mark, Quad
from landmarks.geometry import Point
from landmarks.scale import Scale, Setting, camera_distance_px
from landmarks.sentences import Sentence

if TYPE_CHECKING:
    from landmarks.instruments.refusal import Refused

KEY = "plane"
CORNERS = f"{MARK}/plane"

MOST_LEAN = 50.0
"""A camera that leans by more than this, in degrees, is taken for a mistyped side (ours)."""

Levels = Sequence[QImage]


@dataclass(frozen=True, slots=True)
class Laid:
    """Corners in order around the specimen, and their sides in mm where both are known."""

    corners: tuple[Point, ...] = ()
    sides_mm: tuple[float, float] | None = None


class PlaneAtWork(Instrument):
    """Collects four corners and their sides.

    Attributes
    ----------
    corners
        Clicked so far, in order around the specimen.
    sides_mm
        From corner 1 to 2 and from 2 to 3; None where nothing usable is typed.

    Parameters
    ----------
    levels
        Returns the picture's copies, largest first; none until it is read.
    desk
        A worker of the instruments' own.
    """

    key = KEY
    of_picture = True
    replaces = ("scale",)

    def __init__(self, session: Session, levels: Callable[[], Levels], desk: Desk) -> None:
        super().__init__()
        self._session, self._levels, self._desk = session, levels, desk
        self.corners: tuple[Point, ...] = ()
        self.sides_mm: tuple[float, float] | None = None
        self.preview: QImage | None = None
        self.room = QSize(160, 112)
        self._asked = 0
        self._gone = False
        picture = session.picture
        scale = picture.scale if picture is not None else None
        sides = None if scale is None else deeds.sides_of(scale)
        self._recorded = Laid()
        if scale is not None and sides is not None and not scale.origin:
            self._recorded = Laid(scale.points, sides)
            self.take_up(self._recorded)

    @property
    def aims(self) -> str:  # type: ignore[override]
        """Return what a press means: a corner as long as there are fewer than four."""
        return "point" if len(self.corners) < 4 else ""

    @property
    def marks(self) -> tuple[Mark, ...]:
        """Return the corners so far."""
        return (Quad(CORNERS, self.corners),) if self.corners else ()

    @property
    def draft(self) -> Laid | None:
        """Return corners and sides, where there are any other than those recorded."""
        now = Laid(self.corners, self.sides_mm)
        return now if now.corners and now != self._recorded else None

    def take_up(self, draft: Laid) -> None:
        """Go on with these corners and sides."""
        self.corners, self.sides_mm = draft.corners, draft.sides_mm
        self._straighten()

    # -- what it is told -------------------------------------------------------------------

    def click(self, point: Point, zoom: float, *, plain: bool = False) -> None:
        """Take the next corner."""
        if len(self.corners) < 4:
            self._take((*self.corners, point))

    def drag(self, mark: str, index: int, point: Point) -> None:
        """Follow a corner."""
        if mark == CORNERS and 0 <= index < len(self.corners):
            corners = list(self.corners)
            corners[index] = point
            self.corners = tuple(corners)
            self.changed.emit()

    def drop(self, mark: str, index: int, point: Point) -> None:
        """Take a corner where it was let go."""
        self.drag(mark, index, point)
        self._take(self.corners)

    def delete(self, mark: str, index: int) -> None:
        """Take a corner away."""
        if mark == CORNERS and 0 <= index < len(self.corners):
            self._take((*self.corners[:index], *self.corners[index + 1 :]))

    def step_back(self) -> bool:
        """Take the last corner back."""
        if not self.corners:
            return False
        self._take(self.corners[:-1])
        return True

    def begin_again(self) -> None:
        """Take all corners back."""
        self._take(())

    def measure(self, first_mm: float | None, second_mm: float | None) -> None:
        """Take both sides."""
        sides = None
        if first_mm is not None and second_mm is not None:
            sides = first_mm, second_mm
        if sides != self.sides_mm:
            self.sides_mm = sides
            self._take(self.corners)

    def picture_is_there(self) -> None:
        """Straighten, now that there is something to see."""
        self._straighten()

    def accept(self) -> None:
        """Give the picture the scale of the four points.

        Raises
        ------
        ScaleError
            If they make no rectangle.
        """
        if len(self.corners) == 4 and self.sides_mm is not None:
            deeds.set_plane(self._session, self.corners, *self.sides_mm)
            self._recorded = Laid(self.corners, self.sides_mm)

    def put_down(self) -> None:
        """Want no preview any more."""
        self._gone = True
        self._asked += 1

    # -- what it found ---------------------------------------------------------------------

    def scale(self) -> Scale | None:
        """Return the scale that would be accepted; None while something is missing.

        Raises
        ------
        ScaleError
            If the corners make no rectangle.
        """
        from landmarks.instruments.plane import corners_refused

        if len(self.corners) < 4:
            return None
        refused = corners_refused(self.corners)
        if refused is not None:
            raise ScaleError(refused.sentence.key, **refused.sentence.values)
        if self.sides_mm is None:
            return None
        return deeds.plane_scale(self.corners, *self.sides_mm)

    def lean(self) -> float | None:
        """Return by how many degrees the camera leans over the plane, as these sides say."""
        scale, picture = self._scale_or_none(), self._session.picture
        if scale is None or picture is None:
            return None
        return lean_of(scale, replace(picture.setting, scale=scale))

    def caution(self) -> Sentence | None:
        """Say what lies outside the four points, of the landmarks placed on this picture."""
        from landmarks.instruments.plane import plane_from
        from landmarks.instruments.refusal import Refused

        scale, specimen, frame = (
            self._scale_or_none(),
            self._session.specimen,
            self._session.frame,
        )
        plane = None if scale is None else plane_from(scale)
        if plane is None or specimen is None or frame is None:
            return None
        points = [p for one in specimen.placed(frame.id).values() for p in one.points]
        said: Refused | Sentence | None = plane.caution(points) if points else None
        return said.sentence if isinstance(said, Refused) else said

    # -- inside ----------------------------------------------------------------------------

    def _scale_or_none(self) -> Scale | None:
        try:
            return self.scale()
        except ScaleError:
            return None

    def _take(self, corners: tuple[Point, ...]) -> None:
        self.corners = corners
        self._straighten()
        self.changed.emit()

    def _straighten(self) -> None:
        self._asked += 1
        asked, levels, scale = self._asked, self._levels(), self._scale_or_none()
        if scale is None or not levels:
            self.preview = None
            return
        corners, sides, room = self.corners, self.sides_mm, self.room
        assert sides is not None

        def question() -> QImage | None:
            if asked != self._asked:
                return None
            return straightened(levels, corners, sides, room)

        def answered(image: QImage | None) -> None:
            if image is not None and asked == self._asked and not self._gone:
                self.preview = image
                self.changed.emit()

        self._desk.ask(question, answered, lambda _: None)


def lean_of(scale: Scale, setting: Setting) -> float | None:
    """Return by how many degrees the camera leans over the plane of a scale."""
    from landmarks.straightening import straightening_of

    straight = straightening_of(scale)
    if straight is None:
        return None
    centre = Point(setting.width / 2, setting.height / 2)
    # The distance in pixels of the plane is the focal length in pixels of the picture.
    focal = camera_distance_px(
        Setting("", setting.width, setting.height, focal_35mm=setting.focal_35mm)
    ).value
    camera = straight.camera(focal, centre)
    seen = straight.lay([centre]).points[0]
    across = ((seen[0] - camera.foot.x) ** 2 + (seen[1] - camera.foot.y) ** 2) ** 0.5
    return degrees(acos(camera.height / (camera.height**2 + across**2) ** 0.5))


def straightened(
    levels: Levels, corners: Sequence[Point], sides_mm: tuple[float, float], room: QSize
) -> QImage:
    """Return the four points as seen square from above, as large as there is room.

    Drawn from the smallest copy that is large enough; in any thread.
    """
    first, second = sides_mm
    share = min(room.width() / first, room.height() / second)
    size = QSize(max(1, round(first * share)), max(1, round(second * share)))
    width = levels[0].width()
    longest = max(
        QPointF(a.x - b.x, a.y - b.y).manhattanLength()
        for a, b in zip(corners, (*corners[1:], corners[0]), strict=True)
    )
    image = levels[0]
    for smaller in levels[1:]:
        if longest * smaller.width() / width >= max(size.width(), size.height()):
            image = smaller
    k = image.width() / width
    source = QPolygonF([QPointF(p.x * k, p.y * k) for p in corners])
    target = QPolygonF(
        [
            QPointF(0, 0),
            QPointF(size.width(), 0),
            QPointF(size.width(), size.height()),
            QPointF(0, size.height()),
        ]
    )
    made = QImage(size, QImage.Format.Format_RGB32)
    made.fill(Qt.GlobalColor.black)
    transform = QTransform()
    if not QTransform.quadToQuad(source, target, transform):
        return made
    # Only what is seen is drawn: a whole picture under such a transform takes long.
    around = source.boundingRect().adjusted(-2, -2, 2, 2) & QRectF(image.rect())
    box = around.toAlignedRect() & image.rect()
    painter = QPainter(made)
    painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
    painter.setTransform(transform)
    painter.drawImage(QPointF(box.topLeft()), image, QRectF(box))
    painter.end()
    return made
