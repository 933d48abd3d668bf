"""The canvas on the bench: shows the session's picture and marks, and turns gestures to deeds."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

from PySide6.QtCore import QSize, Signal
from PySide6.QtGui import QImage

from app.background.damaged import what_is_left
from app.background.desk import Desk
from app.background.pictures import PictureLoader
from app.canvas.seeing import SeeingCanvas
from app.canvas.tools import Arming
from app.canvas.waiting import WaitingNote
from app.session import Aspect, Instrument, Session, deeds
from app.session.at_work import MARK, take_back
from app.style.tokens import MARKS
from landmarks.collection import Picture
from landmarks.errors import HingelineError
from landmarks.figures import (
    Figure,
    Line,
    Mark,
    Quad,
    Ticks,
    figure_of,
    marks_again,
    measure_line,
)
from landmarks.geometry import Box, Point
from landmarks.measures import MEASURES
from landmarks.picture import hash_file
from landmarks.scheme import VIEWS
from landmarks.sentences import Sentence, say
from landmarks.specimen import Frame

_FIGURE = Aspect.SPECIMEN | Aspect.PICTURE | Aspect.LIVE | Aspect.SELECTION | Aspect.WORK


class BoundCanvas(SeeingCanvas):
    """A picture canvas that reads from a session and does deeds there.

    Lines and boxes that were drawn are handed on, since more is asked before they count.
    ``pictured`` tells that the picture is there, small or whole; ``unread``, that the whole
    one will not come.
    """

    scale_drawn = Signal(object, object)
    frame_drawn = Signal(object)
    pictured = Signal()
    unread = Signal()

    def __init__(self, session: Session, loader: PictureLoader) -> None:
        super().__init__()
        self._session, self._loader = session, loader
        self._checker = Desk(self)
        self._note = WaitingNote(self)
        self._levels: tuple[QImage, ...] = ()
        self._shown: tuple[str, str, str] = ("", "", "")
        self._token = 0
        self._coming = False
        self._lit_line: Line | None = None
        self._reshaped: Box | None = None
        self._pointed: Point | None = None
        self.has_picture = False
        self.setAccessibleName(say("canvas.name"))
        self.setAccessibleDescription(say("canvas.description"))
        loader.previewed.connect(self._previewed)
        loader.levels.connect(self._levelled)
        loader.levels.connect(self._look_ahead)
        loader.waiting.connect(self._wait)
        loader.failed.connect(self._failed)
        session.changed.connect(self._changed)
        session.lit.connect(self._light)
        self.clicked.connect(self._place)
        self.dragged.connect(self._drag)
        self.dropped.connect(self._drop)
        self.returned.connect(lambda _mark, _index: self._take_back())
        self.nudged.connect(self._nudge)
        self.picked.connect(self._pick)
        self.deleted.connect(self._delete)
        self.escaped.connect(self._escape)
        self.taken_back.connect(self._step_back)
        self.hovered.connect(self._hover)
        self.pointed.connect(self._point_at)
        self.lined.connect(self._line)
        self.boxed.connect(self.frame_drawn)

    # -- from the session ------------------------------------------------------------------

    def _changed(self, aspects: Aspect) -> None:
        if aspects & (Aspect.SELECTION | Aspect.COLLECTION):
            self._show_picture()
        if aspects & (Aspect.SEEING | Aspect.SELECTION | Aspect.COLLECTION):
            self.see(self._session.seeing)
        if aspects & _FIGURE:
            self._draw()
        if aspects & (Aspect.TOOL | Aspect.WORK):
            self._arm()
        if aspects & Aspect.MARK:
            self.select(*(self._session.mark or ("", 0)))

    def _show_picture(self) -> None:
        picture, frame = self._session.picture, self._session.frame
        if picture is None or frame is None:
            self._shown = ("", "", "")
            self._token, self._levels = 0, ()
            self._loader.release()
            self.clear_picture(self._why_empty())
            return
        allowed = self._session.places.may_open(picture)
        shown = (frame.id, picture.id, picture.path if allowed else "")
        if self._shown == shown:
            return
        same_picture = self._shown[1:] == shown[1:]
        self._shown = shown
        if not same_picture:
            (self._open if allowed else self._refuse)(picture)
        self.fit(frame.region)

    def begin_picture(self, size: QSize, levels: Sequence[QImage] = ()) -> None:
        """Show another picture: nothing is waited for yet."""
        self._note.hide()
        super().begin_picture(size, levels)

    def _open(self, picture: Picture) -> None:
        path = self._session.places.file_of(picture)
        self.has_picture, self._levels = False, ()
        self.begin_picture(QSize(*picture.size))
        self._coming = True
        self._token = self._loader.load(
            path, self.viewport().size() * self.devicePixelRatio()
        )
        self._check(self._token, path, picture.file.sha256)

    def _refuse(self, picture: Picture) -> None:
        """Show no picture from a place that a stranger may have written."""
        path = self._session.places.file_of(picture)
        sentence = Sentence(
            "picture.outside", {"file": path.name, "folder": str(path.parent)}
        )
        self._token, self._levels, self.has_picture = 0, (), False
        self._loader.release()
        self.clear_picture(sentence)
        self._session.notice(sentence, "caution")

    def _check(self, token: int, path: Path, sha256: str) -> None:
        """Look in the background whether the file is still the picture it was."""

        def other_content() -> bool:
            return token == self._token and hash_file(path)[0] != sha256

        def checked(other: bool) -> None:  # noqa: FBT001 - the answer to the question
            if other and token == self._token:
                # Landmarks of one picture on another would be false: nothing is shown.
                self._token = 0
                self._loader.release()
                sentence = Sentence("picture.other_content", {"file": path.name})
                self.has_picture = False
                self.clear_picture(sentence)
                self.unread.emit()
                self._session.notice(sentence, "error")

        # What hinders the reading is said by the loader.
        self._checker.ask(other_content, checked, lambda _: None)

    def _draw(self) -> None:
        session = self._session
        picture = session.picture
        if picture is None:
            return
        around = [(self._as_held(frame), self._called(one.label.catalogue_number))
                  for one, frame in session.neighbours]  # fmt: skip
        figure = figure_of(picture, session.shown, session.frame, around)
        if session.veil.beside is not None and session.shown is not None and session.frame:
            for mark in marks_again(session.shown, session.frame, *session.veil.beside):
                figure = figure.with_mark(mark)
        if self._lit_line is not None:
            figure = figure.with_mark(self._lit_line)
        if session.instrument is not None:
            figure = _with_work(figure, session.instrument)
        self.show_figure(figure)

    def _as_held(self, frame: Frame) -> Frame:
        """Return a frame as it is while its border is being moved."""
        here = self._session.frame
        if self._reshaped is None or here is None or frame.id != here.id:
            return frame
        return replace(frame, region=self._reshaped)

    def _called(self, number: str) -> Sentence:
        if number:
            return Sentence("plain", {"words": number})
        return Sentence("specimen.no_number")

    def _arm(self) -> None:
        tool, instrument = self._session.tool, self._session.instrument
        if instrument is not None:
            own = f"{MARK}/"
            aims = {"point": Arming("point", own=own), "line": Arming("scale", own=own)}
            wanted = aims.get(instrument.aims)
            if wanted != self.arming:
                self.arm(wanted)
        elif tool is None:
            self.arm(None)
        elif tool.kind == "landmark":
            self.arm(Arming("point", self._tether(tool.landmark)))
        elif tool.kind == "scale":
            # A new line along the same ruler begins where the old one does: it takes no hold.
            self.arm(Arming("scale", own=f"{MARK}/"))
        else:
            self.arm(Arming("frame"))

    def _tether(self, landmark: str) -> Point | None:
        """Return the end of the hinge line that is placed already, for the dashed line."""
        ends = {"hinge_byssal": "hinge_ligament", "hinge_ligament": "hinge_byssal"}
        specimen, frame = self._session.specimen, self._session.frame
        if specimen is None or frame is None or landmark not in ends:
            return None
        other = specimen.placed(frame.id).get(ends[landmark])
        return other.points[0] if other is not None and other.points else None

    def _light(self, landmarks: tuple[str, ...], measure: str) -> None:
        self.light(landmarks)
        specimen, frame = self._session.shown, self._session.frame
        line = None
        if measure in MEASURES and specimen is not None and frame is not None:
            label = Sentence(f"measure.{measure}.name")
            line = measure_line(specimen, frame, MEASURES[measure].needs, label)
        if line != self._lit_line:
            self._lit_line = line
            self._draw()

    def _why_empty(self) -> Sentence:
        if self._session.specimen is None:
            return Sentence("canvas.choose")
        return Sentence("canvas.no_picture")

    # -- from the loader -------------------------------------------------------------------

    def _previewed(self, token: int, image: QImage) -> None:
        self._take_levels(token, [image])

    def _levelled(self, token: int, images: list[QImage]) -> None:
        if token == self._token:
            self._coming = False
        self._take_levels(token, images)

    def _take_levels(self, token: int, images: list[QImage]) -> None:
        if token == self._token:
            self.set_levels(images)
            self.has_picture = True
            picture = self._session.picture
            if picture is not None and images[0].size() == QSize(*picture.size):
                self._levels = tuple(images)
                self._note.hide()
            self.pictured.emit()

    def _wait(self, token: int, sentence: Sentence) -> None:
        """Say why the picture takes long, while it does."""
        if token == self._token:
            self._note.say(sentence)

    def _look_ahead(self, token: int, _images: list[QImage]) -> None:
        """Make the next specimen of the list ready, now that this one is there whole."""
        if token == self._token:
            self._session.reader.ahead(self._prepare)

    def _prepare(self, picture: Picture) -> None:
        if picture is not self._session.picture and self._session.places.may_open(picture):
            room = self.viewport().size() * self.devicePixelRatio()
            self._loader.prepare(self._session.places.file_of(picture), room)

    def _failed(self, token: int, sentence: Sentence) -> None:
        picture = self._session.picture
        if token != self._token or picture is None:
            return
        self._note.hide()
        self._coming = False
        self.unread.emit()
        self._session.notice(sentence, "error")
        path = self._session.places.file_of(picture)

        def left(image: QImage | None) -> None:
            if image is not None and not self.has_picture:
                self._levelled(token, [image])

        self._checker.ask(lambda: what_is_left(path), left, lambda _: None)

    @property
    def levels(self) -> tuple[QImage, ...]:
        """Return the picture as it was read, largest copy first; none until it is whole."""
        return self._levels

    @property
    def is_coming(self) -> bool:
        """Return whether the whole picture is still on its way."""
        return self._coming and self._token != 0

    def put_away(self) -> None:
        """Stop looking into files."""
        self._checker.close()
        self.stop_seeing()

    # -- from the pointer ------------------------------------------------------------------

    def _place(self, point: Point, zoom: float) -> None:
        instrument = self._session.instrument
        if instrument is not None:
            self._try(lambda: instrument.click(point, zoom, plain=self.plain))
            return
        self._try(lambda: deeds.place(self._session, point, zoom))

    def _line(self, first: Point, second: Point) -> None:
        instrument = self._session.instrument
        if instrument is not None:
            self._try(lambda: instrument.draw(first, second))
        else:
            self.scale_drawn.emit(first, second)

    def _at_work(self, mark: str) -> Instrument | None:
        """Return the instrument at work where a mark is one of its own."""
        return self._session.instrument if mark.startswith(MARK) else None

    def _drag(self, mark: str, index: int, point: Point) -> None:
        instrument = self._at_work(mark)
        if instrument is not None:
            instrument.drag(mark, index, point)
            return
        if self._is_frame(mark):
            self._reshaped = deeds.reshaped(self._session, index, point)
            self._draw()
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
        self._reshaped = None
        box = deeds.reshaped(self._session, index, point)
        if box is not None:
            deeds.set_region(self._session, box)

    def _delete(self, mark: str, index: int) -> None:
        instrument = self._at_work(mark)
        if instrument is not None:
            instrument.delete(mark, index)
            # Its other marks may have other numbers now.
            self._session.choose_mark(None)
        elif self._is_frame(mark):
            deeds.remove_frame(self._session)
        else:
            deeds.delete_mark(self._session, mark, index)

    def _take_back(self) -> None:
        self._reshaped = None
        self._session.preview(None)
        self._draw()

    def _nudge(self, mark: str, index: int, dx: float, dy: float) -> None:
        instrument, here = self._at_work(mark), self.place_of_mark(mark, index)
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
                self._session.choose_mark((mark, index))
            return
        neighbours = self._session.neighbours
        frame = next((one for _, one in neighbours if one.id == mark), None)
        if frame is None and not mark:
            frame = self._bordering(self._pointed)
        if frame is not None and not self._is_frame(frame.id):
            self._choose_neighbour(frame.id)
            return
        self._session.choose_mark((mark, index) if mark else None)

    def _bordering(self, point: Point | None) -> Frame | None:
        """Return the frame of another specimen on whose border a point lies."""
        reach = MARKS.hit_radius / self.zoom
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
            self._session.instrument.point_at(point, self.zoom, plain=self.plain)

    def _choose_neighbour(self, frame_id: str) -> None:
        for specimen, frame in self._session.neighbours:
            if frame.id == frame_id:
                self._session.choose(specimen.id, frame_id)

    def _escape(self) -> None:
        instrument = self._session.instrument
        if instrument is not None:
            self._step_back()
        elif self._session.tool is not None:
            self._session.take_tool(None)
        else:
            self._session.choose_mark(None)

    def _step_back(self) -> None:
        if take_back(self._session):
            self._arm()

    def _hover(self, landmark: str) -> None:
        frame = self._session.frame
        known = (frame is not None and frame.view in VIEWS) or landmark.startswith(MARK)
        self._session.light((landmark,) if landmark and known else (), "")

    def _try(self, deed: Callable[[], None]) -> None:
        try:
            deed()
        except HingelineError as fault:
            self._session.notice(fault.sentence, "caution")
            self._draw()


def _stands_for(mark: Mark) -> str:
    """Return the landmark of a mark, or ``scale`` where it shows that of the picture."""
    if isinstance(mark, Ticks | Quad) or (isinstance(mark, Line) and mark.kind == "scale"):
        return "scale"
    return str(getattr(mark, "landmark", ""))


def _with_work(figure: Figure, instrument: Instrument) -> Figure:
    """Return the figure with the marks of an instrument in place of those it stands for."""
    stored = (mark for mark in figure.marks if _stands_for(mark) not in instrument.replaces)
    return replace(figure, marks=(*stored, *instrument.marks))
