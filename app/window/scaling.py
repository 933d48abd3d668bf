"""Takes up the instruments that give a scale: the ruler for a line, four points for a plane."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer

from app.background.desk import Desk
from app.canvas.bound import BoundCanvas
from app.session import Aspect, Session
from app.window.strips import Strips
from landmarks.geometry import Point

if TYPE_CHECKING:
    from app.instruments.ruler import Ruled, RulerAtWork
    from app.panels.scale_strip import ScaleStrip
    from landmarks.instruments.edges import Crop


class Scaling(QObject):
    """Makes these instruments for the picture on the bench."""

    def __init__(
        self, session: Session, canvas: BoundCanvas, strips: Strips, parent: QObject
    ) -> None:
        super().__init__(parent)
        self._session, self._canvas, self._strips = session, canvas, strips
        self._strip: ScaleStrip | None = None
        self._desk = Desk(self)
        self._rulers: dict[RulerAtWork, str] = {}
        canvas.pictured.connect(self._pictured)
        canvas.unread.connect(self._give_up)
        session.changed.connect(self._changed)
        strips.plane_wanted.connect(self.plane)

    def close(self) -> None:
        """Stop the worker; a scale that was accepted is not lost."""
        self._session.hand.take_instrument(None)
        if self._strip is not None:
            self._strip.finish()
        self._desk.close()

    def rule(self, first: Point, second: Point, left: Ruled | None = None) -> None:
        """Look for a graduation along a line that was drawn, and ask for its length.

        ``left`` is what was left half done, where the line is that of it.
        """
        from app.instruments.ruler import RulerAtWork
        from app.panels.scale_strip import ScaleStrip

        picture = self._session.picture
        if picture is None:
            return
        self._session.hand.take_tool(None)
        strip = self._strips.open("scale")
        assert isinstance(strip, ScaleStrip)
        self._strip = strip
        ruler = RulerAtWork(
            self._session,
            first,
            second,
            self._crop_of(picture.id),
            self._desk,
            lambda: self._canvas.is_coming,
        )
        # One that was accepted before the picture is there still waits for it.
        self._rulers = {one: of for one, of in self._rulers.items() if one.waits}
        self._rulers[ruler] = picture.id
        self._session.hand.take_instrument(ruler)
        strip.start(first, second)
        if left is not None:
            ruler.take_up(left)
            ruler.goes_on = True
        strip.take_ruler(ruler)

    def go_on(self) -> bool:
        """Go on with a line that was left on this picture; False where there is none."""
        from app.instruments.ruler import KEY, Ruled

        left = self._session.hand.drafts.of_picture(KEY)
        if not isinstance(left, Ruled):
            return False
        self.rule(*left.line, left)
        return True

    def plane(self) -> None:
        """Ask for four points around the specimen."""
        if self._session.picture is None:
            return
        from app.instruments.plane import PlaneAtWork

        at_work = PlaneAtWork(self._session, lambda: self._canvas.levels, self._desk)
        self._session.hand.take_instrument(at_work)
        self._canvas.setFocus()

    def _crop_of(self, picture_id: str) -> Callable[[], Crop | None]:
        """Return what cuts windows out of this picture alone, once it is there whole."""
        from app.instruments.crop import crop_of_levels

        def crop() -> Crop | None:
            here, levels = self._session.picture, self._canvas.levels
            if here is None or here.id != picture_id or not levels:
                return None
            return crop_of_levels(levels)

        return crop

    def _pictured(self) -> None:
        # One that is put down may still wait for the whole picture.
        for ruler in self._rulers if self._canvas.levels else ():
            ruler.picture_is_there()

    def _changed(self, aspects: Aspect) -> None:
        if aspects & (Aspect.SELECTION | Aspect.COLLECTION) and self._rulers:
            # What a ruler then does is a deed, which waits for the end of this change.
            QTimer.singleShot(0, self, self._give_up_others)

    def _give_up_others(self) -> None:
        here = self._session.picture
        for ruler, picture in list(self._rulers.items()):
            if here is None or picture != here.id:
                ruler.give_up()

    def _give_up(self) -> None:
        for ruler in list(self._rulers):
            ruler.give_up()
