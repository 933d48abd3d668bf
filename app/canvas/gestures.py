"""What is done with the pointer on the picture, and with its keys: every gesture a deed."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject

from app.session import Instrument, Session, deeds
from app.session.at_work import MARK, take_back
from app.style.tokens import MARKS
from landmarks.errors import HingelineError
from landmarks.geometry import Box, Point
from landmarks.scheme import VIEWS
from landmarks.specimen import Frame

if TYPE_CHECKING:
    from app.canvas.bound import BoundCanvas


class Gestures(QObject):
    """Turns the gestures of a canvas into deeds, or hands them to the instrument at work.

    Attributes
    ----------
    reshaped
        The border of the frame on the bench while it is being moved, or None.
    """

    def __init__(self, session: Session, canvas: BoundCanvas) -> None:
        super().__init__(canvas)
        self._session, self._canvas = session, canvas
        self._pointed: Point | None = None
        self.reshaped: Box | None = None
        canvas.clicked.connect(self._place)
        canvas.dragged.connect(self._drag)
        canvas.dropped.connect(self._drop)
        canvas.returned.connect(lambda _mark, _index: self._take_back())
        canvas.nudged.connect(self._nudge)
        canvas.picked.connect(self._pick)
        canvas.deleted.connect(self._delete)
        canvas.escaped.connect(self._escape)
        canvas.taken_back.connect(self._step_back)
        canvas.hovered.connect(self._hover)
        canvas.pointed.connect(self._point_at)
        canvas.lined.connect(self._line)
        canvas.boxed.connect(canvas.frame_drawn)

    def _place(self, point: Point, zoom: float) -> None:
        instrument = self._session.instrument
        if instrument is not None:
            self._try(lambda: instrument.click(point, zoom, plain=self._canvas.plain))
            return
        self._try(lambda: deeds.place(self._session, point, zoom))

    def _line(self, first: Point, second: Point) -> None:
        instrument = self._session.instrument
        if instrument is not None:
            self._try(lambda: instrument.draw(first, second))
        else:
            self._canvas.scale_drawn.emit(first, second)

    def _at_work(self, mark: str) -> Instrument | None:
        """Return the instrument at work where a mark is one of its own."""
        return self._session.instrument if mark.startswith(MARK) else None

    def _drag(self, mark: str, index: int, point: Point) -> None:
        instrument = self._at_work(mark)
        if instrument is not None:
            instrument.drag(mark, index, point)
            return
        if self._is_frame(mark):
            self.reshaped = deeds.reshaped(self._session, index, point)
            self._canvas.draw_figure()
            return
        specimen = self._session.specimen
        if specimen is not None and any(one.id == mark for one in specimen.placings):
            self._session.preview(deeds.moved(specimen, mark, index, point))

    def _drop(self, mark: str, index: int, point: Point, zoom: float) -> None:
        instrument = self._at_work(mark)
        if instrument is not None:
            self._try(lambda: instrument.drop(mark, index, point))
            return
        if self._is_frame(mark):
            self._reshape(index, point)
            return
        self._session.preview(None)
        self._try(lambda: deeds.move(self._session, mark, index, point, zoom))

    def _is_frame(self, mark: str) -> bool:
        frame = self._session.frame
        return frame is not None and frame.id == mark

    def _reshape(self, index: int, point: Point) -> None:
        self.reshaped = None
        box = deeds.reshaped(self._session, index, point)
        if box is not None:
            deeds.set_region(self._session, box)

    def _delete(self, mark: str, index: int) -> None:
        instrument = self._at_work(mark)
        if instrument is not None:
            instrument.delete(mark, index)
            # Its other marks may have other numbers now.
            self._session.hand.choose_mark(None)
        elif self._is_frame(mark):
            deeds.remove_frame(self._session)
        else:
            deeds.delete_mark(self._session, mark, index)

    def _take_back(self) -> None:
        self.reshaped = None
        self._session.preview(None)
        self._canvas.draw_figure()

    def _nudge(self, mark: str, index: int, dx: float, dy: float) -> None:
        instrument, here = self._at_work(mark), self._canvas.place_of_mark(mark, index)
        if instrument is not None:
            if here is not None:
                instrument.drop(mark, index, Point(here.x + dx, here.y + dy))
            return
        if self._is_frame(mark):
            if here is not None:
                self._reshape(index, Point(here.x + dx, here.y + dy))
            return
        self._try(lambda: deeds.nudge(self._session, mark, index, dx, dy))

    def _pick(self, mark: str, index: int) -> None:
        instrument = self._at_work(mark)
        if instrument is not None:
            instrument.pick(mark, index)
            # It may be done with by now.
            if self._session.instrument is instrument:
                self._session.hand.choose_mark((mark, index))
            return
        neighbours = self._session.neighbours
        frame = next((one for _, one in neighbours if one.id == mark), None)
        if frame is None and not mark:
            frame = self._bordering(self._pointed)
        if frame is not None and not self._is_frame(frame.id):
            self._choose_neighbour(frame.id)
            return
        self._session.hand.choose_mark((mark, index) if mark else None)

    def _bordering(self, point: Point | None) -> Frame | None:
        """Return the frame of another specimen on whose border a point lies."""
        reach = MARKS.hit_radius / self._canvas.zoom
        for _, frame in self._session.neighbours:
            box = frame.region
            if box is None or point is None or frame == self._session.frame:
                continue
            around = Box(box.x - reach, box.y - reach,
                         box.width + 2 * reach, box.height + 2 * reach)  # fmt: skip
            inside = Box(box.x + reach, box.y + reach,
                         box.width - 2 * reach, box.height - 2 * reach)  # fmt: skip
            if around.holds(point) and not inside.holds(point):
                return frame
        return None

    def _point_at(self, point: Point | None) -> None:
        self._pointed = point
        if self._session.instrument is not None:
            self._session.instrument.point_at(
                point, self._canvas.zoom, plain=self._canvas.plain
            )

    def _choose_neighbour(self, frame_id: str) -> None:
        for specimen, frame in self._session.neighbours:
            if frame.id == frame_id:
                self._session.choose(specimen.id, frame_id)

    def _escape(self) -> None:
        instrument = self._session.instrument
        if instrument is not None:
            self._step_back()
        elif self._session.tool is not None:
            self._session.hand.take_tool(None)
        else:
            self._session.hand.choose_mark(None)

    def _step_back(self) -> None:
        if take_back(self._session):
            self._canvas.arm_tool()

    def _hover(self, landmark: str) -> None:
        frame = self._session.frame
        known = (frame is not None and frame.view in VIEWS) or landmark.startswith(MARK)
        self._session.light((landmark,) if landmark and known else (), "")

    def _try(self, deed: Callable[[], None]) -> None:
        try:
            deed()
        except HingelineError as fault:
            self._session.notice(fault.sentence, "refused")
            self._canvas.draw_figure()
