"""Takes up the instruments that give a scale: the ruler for a line, four points for a plane."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject

from app.background.desk import Desk
from app.canvas.bound import BoundCanvas
from app.session import Session
from app.window.strips import Strips
from landmarks.geometry import Point

if TYPE_CHECKING:
    from app.panels.scale_strip import ScaleStrip


class Scaling(QObject):
    """Makes these instruments for the picture on the bench."""

    def __init__(
        self, session: Session, canvas: BoundCanvas, strips: Strips, parent: QObject
    ) -> None:
        super().__init__(parent)
        self._session, self._canvas, self._strips = session, canvas, strips
        self._strip: ScaleStrip | None = None
        self._desk = Desk(self)
        canvas.pictured.connect(self._pictured)
        strips.plane_wanted.connect(self.plane)

    def close(self) -> None:
        """Stop the worker; a scale that was accepted is not lost."""
        self._session.take_instrument(None)
        if self._strip is not None:
            self._strip.finish()
        self._desk.close()

    def rule(self, first: Point, second: Point) -> None:
        """Look for a graduation along a line that was drawn, and ask for its length."""
        from app.instruments.crop import crop_of_levels
        from app.instruments.ruler import RulerAtWork
        from app.panels.scale_strip import ScaleStrip

        self._session.take_tool(None)
        strip = self._strips.open("scale")
        assert isinstance(strip, ScaleStrip)
        self._strip, levels = strip, self._canvas
        ruler = RulerAtWork(
            self._session,
            first,
            second,
            lambda: crop_of_levels(levels.levels) if levels.levels else None,
            self._desk,
        )
        self._session.take_instrument(ruler)
        strip.start(first, second)
        strip.take_ruler(ruler)

    def plane(self) -> None:
        """Ask for four points around the specimen."""
        if self._session.picture is None:
            return
        from app.instruments.plane import PlaneAtWork

        at_work = PlaneAtWork(self._session, lambda: self._canvas.levels, self._desk)
        self._session.take_instrument(at_work)
        self._canvas.setFocus()

    def _pictured(self) -> None:
        at_work = self._session.instrument
        if at_work is None:
            return
        from app.instruments.plane import PlaneAtWork
        from app.instruments.ruler import RulerAtWork

        if isinstance(at_work, RulerAtWork | PlaneAtWork) and self._canvas.levels:
            at_work.picture_is_there()
