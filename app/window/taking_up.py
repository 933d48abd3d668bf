"""Takes instruments up: by key, by button, or because what is armed is placed with one.

Each instrument is loaded when it is first taken up, so that the window opens sooner.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject

from app.background.desk import Desk
from app.canvas.bound import BoundCanvas
from app.session import Aspect, Instrument, Session, Tool
from landmarks.scheme import OUTLINE, PATH, SERIES, VIEWS, Landmark
from landmarks.sentences import Sentence

if TYPE_CHECKING:
    from landmarks.instruments.edges import Crop


class TakingUp(QObject):
    """Makes instruments for the picture on the bench.

    A path or an outline that is armed is traced, and eyes and tentacles are clicked along
    their guide; whoever wants to click point by point puts the instrument down for that
    landmark, and has it back with the same key.
    """

    def __init__(self, session: Session, canvas: BoundCanvas, parent: QObject) -> None:
        super().__init__(parent)
        self._session, self._canvas = session, canvas
        self._desk = Desk(self)
        self._by_click: tuple[str, str] | None = None
        session.changed.connect(self._changed)
        canvas.pictured.connect(self._pictured)

    @property
    def busy(self) -> bool:
        """Return whether anything is being worked out."""
        return self._desk.busy

    def close(self) -> None:
        """Stop the worker."""
        self._session.hand.take_instrument(None)
        self._desk.close()

    def crop(self) -> Crop | None:
        """Return what cuts windows out of the picture; None while it is not there yet."""
        from app.instruments.crop import crop_of_levels

        levels = self._canvas.levels
        return crop_of_levels(levels) if levels else None

    def trace(self) -> None:
        """Trace the armed line, or the next one without an answer; put down what traces."""
        from app.instruments.edge_trace import EdgeTrace

        session = self._session
        at_work, row = session.instrument, self._armed()
        if isinstance(at_work, EdgeTrace):
            self._click_by_click(at_work.landmark)
            return
        line = row if row is not None and row.kind in (PATH, OUTLINE) else self._next_line()
        if line is None:
            self._session.notice(Sentence("edge_trace.not_here"), "passing")
        else:
            self._by_click = None
            self._take_trace(line.key)

    def count_folds(self) -> None:
        """Count the folds of the frame; again: put the instrument down."""
        from app.instruments.folds import KINDS, Folds

        if isinstance(self._session.instrument, Folds):
            self._session.hand.take_instrument(None)
        elif any(row.key in KINDS.values() for row in self._scheme()):
            self._take(Folds(self._session, self.crop, self._desk))
        else:
            self._session.notice(Sentence("folds.not_here"), "passing")

    def click_series(self) -> None:
        """Click a series along its guide: the armed one, or the first of the view."""
        from app.instruments.series import GUIDES, SCUTES, Series

        if isinstance(self._session.instrument, Series):
            self._click_by_click(self._session.instrument.landmark)
            return
        keys = [row.key for row in self._scheme() if row.key in GUIDES]
        armed = self._armed()
        key = "" if armed is None else armed.key
        key = SCUTES if key.startswith("scute") else key
        if not keys:
            self._session.notice(Sentence("series.not_here"), "passing")
        else:
            self._by_click = None
            self._take(Series(self._session, key if key in keys else keys[0]))

    def compare_margins(self) -> None:
        """Show how the two margins of a pair compare; again: put it down."""
        from app.instruments.margins import Margins, stand

        if isinstance(self._session.instrument, Margins):
            self._session.hand.take_instrument(None)
        elif stand(self._session):
            self._take(Margins(self._session, self._desk))
        else:
            self._session.notice(Sentence("margins.not_here"), "passing")

    def _take(self, instrument: Instrument) -> None:
        self._session.hand.take_instrument(instrument)
        self._canvas.setFocus()

    def _click_by_click(self, landmark: str) -> None:
        frame = self._session.frame
        self._by_click = ("" if frame is None else frame.id, landmark)
        self._session.hand.take_instrument(None)
        self._session.hand.take_tool(Tool("landmark", landmark))

    def _take_trace(self, landmark: str) -> None:
        from app.instruments.edge_trace import EdgeTrace

        self._take(EdgeTrace(self._session, landmark, self.crop, self._desk))

    def _take_series(self, landmark: str) -> None:
        from app.instruments.series import GUIDES, SCUTES, Series

        # Of scutes two edges each are more than the one click that they need.
        if landmark in GUIDES and landmark != SCUTES and self._placed(GUIDES[landmark]):
            self._take(Series(self._session, landmark))

    def _changed(self, aspects: Aspect) -> None:
        if not aspects & Aspect.TOOL or self._session.instrument is not None:
            return
        row, frame = self._armed(), self._session.frame
        if row is None or frame is None:
            return
        if self._by_click is not None and self._by_click != (frame.id, row.key):
            self._by_click = None
        if self._by_click is not None:
            return
        if row.kind in (PATH, OUTLINE):
            self._take_trace(row.key)
        elif row.kind == SERIES:
            self._take_series(row.key)

    def _pictured(self) -> None:
        at_work = self._session.instrument
        if at_work is not None and self._canvas.levels:
            at_work.picture_is_there()

    def _scheme(self) -> tuple[Landmark, ...]:
        frame = self._session.frame
        return VIEWS[frame.view].landmarks if frame and frame.view in VIEWS else ()

    def _armed(self) -> Landmark | None:
        tool = self._session.tool
        if tool is None or tool.kind != "landmark":
            return None
        return next((row for row in self._scheme() if row.key == tool.landmark), None)

    def _placed(self, landmarks: Sequence[str]) -> bool:
        specimen, frame = self._session.specimen, self._session.frame
        if specimen is None or frame is None:
            return False
        placed = specimen.placed(frame.id)
        return all(key in placed and placed[key].points for key in landmarks)

    def _next_line(self) -> Landmark | None:
        """Return the first line of the scheme without an answer, else the first of all."""
        specimen, frame = self._session.specimen, self._session.frame
        if specimen is None or frame is None:
            return None
        placed = specimen.placed(frame.id)
        lines = [row for row in self._scheme() if row.kind in (PATH, OUTLINE)]
        open_ = (row for row in lines if row.key not in placed)
        return next(open_, lines[0] if lines else None)
