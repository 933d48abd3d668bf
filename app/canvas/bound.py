"""The canvas on the bench: shows the session's picture and marks, and turns gestures to deeds."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import Signal

from app.background.pictures import PictureLoader
from app.canvas.gestures import Gestures
from app.canvas.loaded import LoadedCanvas
from app.canvas.tools import Arming
from app.session import Aspect, Instrument, Session, deeds
from app.session.at_work import MARK
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
from landmarks.geometry import Point
from landmarks.measures import MEASURES
from landmarks.sentences import Sentence, say
from landmarks.specimen import Frame

_FIGURE = Aspect.SPECIMEN | Aspect.PICTURE | Aspect.LIVE | Aspect.SELECTION | Aspect.WORK


class BoundCanvas(LoadedCanvas):
    """A picture canvas that reads from a session and does deeds there.

    Lines and boxes that were drawn are handed on, since more is asked before they count.
    """

    scale_drawn = Signal(object, object)
    frame_drawn = Signal(object)

    def __init__(self, session: Session, loader: PictureLoader) -> None:
        super().__init__(session, loader)
        self._lit_line: Line | None = None
        self.setAccessibleName(say("canvas.name"))
        self.setAccessibleDescription(say("canvas.description"))
        session.changed.connect(self._changed)
        session.lit.connect(self._light)
        self._gestures = Gestures(session, self)

    def draw_figure(self) -> None:
        """Draw what stands on the picture, as the session has it now."""
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

    def arm_tool(self) -> None:
        """Let the pointer be that of the tool or instrument that is taken up."""
        tool, instrument = self._session.tool, self._session.instrument
        if instrument is not None:
            own = f"{MARK}/"
            point = Arming("point", own=own, dense=instrument.dense)
            aims = {"point": point, "line": Arming("scale", own=own)}
            wanted = aims.get(instrument.aims)
            if wanted != self.arming:
                self.arm(wanted)
        elif tool is None:
            self.arm(None)
        elif tool.kind == "landmark":
            dense = deeds.is_series(self._session, tool.landmark)
            self.arm(Arming("point", self._tether(tool.landmark), dense=dense))
        elif tool.kind == "scale":
            # A new line along the same ruler begins where the old one does: it takes no hold.
            self.arm(Arming("scale", own=f"{MARK}/"))
        else:
            self.arm(Arming("frame"))

    def level_hinge(self) -> None:
        """Turn the view until the hinge is level and the umbo down."""
        specimen, frame = self._session.specimen, self._session.frame
        if specimen is None or frame is None:
            return
        placed = specimen.placed(frame.id)
        pairs = (("hinge_ligament", "hinge_byssal"), ("ligament_end", "byssal_end"))
        for first, second in pairs:
            if all(key in placed and placed[key].points for key in (first, second)):
                umbo = placed["umbo"].points[0] if "umbo" in placed else None
                self.level(placed[first].points[0], placed[second].points[0], umbo)
                return

    # -- from the session ------------------------------------------------------------------

    def _changed(self, aspects: Aspect) -> None:
        if aspects & (Aspect.SELECTION | Aspect.COLLECTION | Aspect.PICTURE):
            # A picture whose file is known to be elsewhere now is another to be opened.
            self.show_picture()
        if aspects & (Aspect.SEEING | Aspect.SELECTION | Aspect.COLLECTION):
            self.see(self._session.seeing)
        if aspects & _FIGURE:
            self.draw_figure()
        if aspects & (Aspect.TOOL | Aspect.WORK):
            self.arm_tool()
        if aspects & Aspect.MARK:
            self.select(*(self._session.mark or ("", 0)))

    def _as_held(self, frame: Frame) -> Frame:
        """Return a frame as it is while its border is being moved."""
        here = self._session.frame
        if self._gestures.reshaped is None or here is None or frame.id != here.id:
            return frame
        return replace(frame, region=self._gestures.reshaped)

    def _called(self, number: str) -> Sentence:
        if number:
            return Sentence("plain", {"words": number})
        return Sentence("specimen.no_number")

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
            self.draw_figure()


def _stands_for(mark: Mark) -> str:
    """Return the landmark of a mark, or ``scale`` where it shows that of the picture."""
    if isinstance(mark, Ticks | Quad) or (isinstance(mark, Line) and mark.kind == "scale"):
        return "scale"
    return str(getattr(mark, "landmark", ""))


def _with_work(figure: Figure, instrument: Instrument) -> Figure:
    """Return the figure with the marks of an instrument in place of those it stands for."""
    stored = (mark for mark in figure.marks if _stands_for(mark) not in instrument.replaces)
    return replace(figure, marks=(*stored, *instrument.marks))
