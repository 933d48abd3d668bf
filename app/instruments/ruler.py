"""The ruler at work: the line that was dragged, the graduation found along it, the choice.

As soon as line and length are there the graduation is looked for in the background; moving an
end looks again. What was found counts unless the person prefers the two clicks. Where the whole
picture is still on its way, the graduation is looked for once it is there.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import hypot
from typing import TYPE_CHECKING

from PySide6.QtCore import QTimer

from app.background.desk import Desk
from app.session import Instrument, Session
from app.session.at_work import MARK
from landmarks.figures import Line, Mark, Ticks
from landmarks.geometry import Point, distance
from landmarks.scale import Scale, two_points
from landmarks.sentences import Sentence

if TYPE_CHECKING:
    from landmarks.instruments.edges import Crop
    from landmarks.instruments.refusal import Refused
    from landmarks.instruments.ruler import RulerFit

KEY = "scale"
LINE, TICKS = f"{MARK}/scale", f"{MARK}/ticks"

AFTER_MS = 150
"""So long after the last key of a length the graduation is looked for."""


@dataclass(frozen=True, slots=True)
class Ruled:
    """A line along a ruler as it was left, the length typed for it, and what was preferred."""

    line: tuple[Point, Point]
    length_mm: float | None
    by_clicks: bool


class RulerAtWork(Instrument):
    """Fits the graduation along one line.

    Attributes
    ----------
    line
        Both ends, in pixels; they can be dragged.
    fit, refused
        What was found, or why there is nothing; at most one of the two.
    by_clicks
        Whether the person prefers the two clicks to what was found.
    waits
        Whether the whole picture is waited for; it is ``busy`` then, too.

    Parameters
    ----------
    crop
        Returns what cuts windows out of the picture, or None while it is not there yet.
    desk
        A worker of the instruments' own.
    is_coming
        Returns whether the picture that is not there yet will come.
    """

    key = KEY
    of_picture = True
    replaces = ("scale",)

    def __init__(
        self,
        session: Session,
        first: Point,
        second: Point,
        crop: Callable[[], Crop | None],
        desk: Desk,
        is_coming: Callable[[], bool] = lambda: False,
    ) -> None:
        super().__init__()
        self._crop, self._desk, self._is_coming = crop, desk, is_coming
        self._size = session.picture.size if session.picture is not None else (0, 0)
        self.line = first, second
        self.length_mm: float | None = None
        self.fit: RulerFit | None = None
        self.refused: Sentence | None = None
        self.by_clicks = self.waits = False
        self._asked = 0
        self._gone = False
        self._then: Callable[[], None] | None = None
        self._timer = QTimer(self, singleShot=True, interval=AFTER_MS)
        self._timer.timeout.connect(self._look)

    # -- what it shows ---------------------------------------------------------------------

    @property
    def marks(self) -> tuple[Mark, ...]:
        """Return the line and the ticks that were found along it."""
        line = Line("scale", *self.line, id=LINE)
        if self.fit is None:
            return (line,)
        return ticks_of(self.fit), line

    @property
    def draft(self) -> Ruled:
        """Return the line, which was drawn to be accepted, and its length."""
        return Ruled(self.line, self.length_mm, self.by_clicks)

    def take_up(self, draft: Ruled) -> None:
        """Go on with this line and its length."""
        self.line, self.by_clicks = draft.line, draft.by_clicks
        self.measure(draft.length_mm)

    @property
    def counts_fit(self) -> bool:
        """Return whether what was found is what would be accepted."""
        return self.fit is not None and not self.by_clicks

    # -- what it is told -------------------------------------------------------------------

    def measure(self, length_mm: float | None) -> None:
        """Look for the graduation now that so much is covered; None: nothing usable typed."""
        if length_mm != self.length_mm:
            self.length_mm = length_mm
            self._again()

    def prefer_clicks(self, by_clicks: bool) -> None:  # noqa: FBT001 - the choice itself
        """Let the two clicks count, or the graduation again."""
        if by_clicks != self.by_clicks:
            self.by_clicks = by_clicks
            self.changed.emit()

    def picture_is_there(self) -> None:
        """Look now that the whole picture can be looked at."""
        if self.waits:
            self.waits = False
            self._look()
            if not self._gone:
                self.changed.emit()

    def give_up(self) -> None:
        """Wait no longer for a picture that cannot be read, or has left the bench."""
        if self.waits:
            self.waits = False
            self._take(None, Sentence("scaling.unread"))

    def drag(self, mark: str, index: int, point: Point) -> None:
        """Follow an end; what was found stands for the line as it was."""
        if mark == LINE:
            first, second = self.line
            self.line = (point, second) if index == 0 else (first, point)
            self._forget()
            self.changed.emit()

    def drop(self, mark: str, index: int, point: Point) -> None:
        """Look along the line as it lies now."""
        if mark == LINE:
            self.drag(mark, index, point)
            self._again()

    def finish(self, then: Callable[[], None]) -> None:
        """Go on looking though it is put down, and call once there is an answer."""
        self._then = then
        if self._timer.isActive():
            self._timer.stop()
            self._look()

    def put_down(self) -> None:
        """Want no answer any more, unless it is to finish."""
        self._gone = True
        self._timer.stop()
        if self._then is None:
            self._asked += 1
            self.waits = False

    # -- what it would give ----------------------------------------------------------------

    def scale(self, sigma_mm: float | None = None, lens: str = "none") -> Scale:
        """Return the scale that would be accepted; what was not wanted is kept beside it.

        Parameters
        ----------
        sigma_mm
            Doubt of the length that was typed; a usual ruler's where it is not told.

        Raises
        ------
        ScaleError
            If line and length give no millimetres.
        """
        from landmarks.instruments.ruler import LENSES, scale_of, told_of

        length = self.length_mm if self.length_mm is not None else 0.0
        clicks = two_points(*self.line, length, size=self._size, sigma_mm=sigma_mm)
        fit = self.fit
        if fit is not None and not self.by_clicks:
            own = None if sigma_mm is None else sigma_mm * fit.length_mm / length
            made = scale_of(fit, sigma_mm=own, lens=lens)
            kept = dict(made.extra["ruler"], typed_mm=length)  # type: ignore[call-overload]
            return replace(made, extra={"ruler": kept})
        extra: dict[str, object] = {}
        if lens != "none":
            extra["lens"] = lens
        if fit is not None:
            extra["proposed"] = told_of(fit)
        elif self.refused is not None:
            extra["proposed"] = {"method": "ruler", "refused": self.refused.key}
        sigma = hypot(clicks.sigma_mm, LENSES[lens] * length)
        return replace(clicks, sigma_mm=sigma, extra=extra)

    # -- inside ----------------------------------------------------------------------------

    def _forget(self) -> None:
        self._asked += 1
        self.busy = self.waits = False
        self.fit = self.refused = None

    def _again(self) -> None:
        self._forget()
        self._timer.stop()
        if self.length_mm is not None and self.length_mm > 0 and self._sound():
            self.busy = True
            self._timer.start()
        self.changed.emit()

    def _sound(self) -> bool:
        width, height = self._size
        within = all(0 <= p.x <= width and 0 <= p.y <= height for p in self.line)
        return within and distance(*self.line) >= 1

    def _look(self) -> None:
        crop = self._crop()
        if crop is None and self._is_coming():
            self.waits = True
            self.changed.emit()
            return
        if crop is None:
            self._take(None, Sentence("scaling.unread"))
            return
        asked, line, length = self._asked, self.line, self.length_mm
        assert length is not None

        def question() -> RulerFit | Refused | None:
            return _fitted(crop, *line, length) if asked == self._asked else None

        def answered(found: RulerFit | Refused | None) -> None:
            from landmarks.instruments.ruler import RulerFit

            if found is None or asked != self._asked:
                return
            if isinstance(found, RulerFit):
                self._take(found, None)
            else:
                self._take(None, found.sentence)

        def failed(sentence: Sentence) -> None:
            if asked == self._asked:
                self._take(None, sentence)

        self._desk.ask(question, answered, failed)

    def _take(self, fit: RulerFit | None, refused: Sentence | None) -> None:
        self.busy, self.fit, self.refused = False, fit, refused
        then, self._then = self._then, None
        if then is not None:
            then()
        elif not self._gone:
            self.changed.emit()


def ticks_of(fit: RulerFit) -> Ticks:
    """Return the marks of a fit, those used apart from those left out."""
    along = _direction(fit.first, fit.second)
    used = tuple(tick.point for tick in fit.ticks if tick.used)
    left_out = tuple(tick.point for tick in fit.ticks if not tick.used)
    return Ticks(TICKS, used, left_out, along)


def _direction(first: Point, second: Point) -> Point:
    far = distance(first, second) or 1.0
    return Point((second.x - first.x) / far, (second.y - first.y) / far)


def _fitted(
    crop: Crop, first: Point, second: Point, length_mm: float
) -> RulerFit | Refused:
    """Fit the graduation; work for the background."""
    from landmarks.instruments.pixels import Window, window_of
    from landmarks.instruments.ruler import fit_ruler, window_needed

    pixels, corner = crop(window_needed(first, second), 1)
    light = window_of(pixels).light
    return fit_ruler(Window(light, int(corner.x), int(corner.y)), first, second, length_mm)
