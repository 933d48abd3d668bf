"""A finished line and its corrections: made in the background, one after the other."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from app.background.desk import Desk
from landmarks.geometry import Point
from landmarks.instruments.retrace import thinned
from landmarks.instruments.trace import Traced
from landmarks.sentences import Sentence

if TYPE_CHECKING:
    from landmarks.instruments.edges import Crop


class FollowedLine(QObject):
    """The line that was traced, if it is finished; ``first`` is what was proposed at first.

    Parameters
    ----------
    crop
        Returns what cuts windows out of the picture, or None while it is not there yet.
    desk
        Where the line is changed.

    Signals
    -------
    changed()
        It is no longer what it was, or a change waits.
    failed(Sentence)
        A change could not be made.
    """

    changed = Signal()
    failed = Signal(object)

    def __init__(
        self, crop: Callable[[], Crop | None], desk: Desk, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._crop, self._desk = crop, desk
        self.gone = False
        self.traced: Traced | None = None
        self.first: Traced | None = None
        self._history: list[Traced] = []
        self._waiting: list[tuple[Callable[[Crop, Traced], Traced], bool]] = []
        self._running = False
        self._kept: tuple[Traced | None, tuple[Point, ...]] = None, ()

    @property
    def points(self) -> tuple[Point, ...]:
        """Return the line as it is shown and would be kept: the same tuple while it is so."""
        if self._kept[0] is not self.traced:
            self._kept = self.traced, () if self.traced is None else kept_of(self.traced)
        return self._kept[1]

    @property
    def finished(self) -> bool:
        """Return whether there is a whole line."""
        return self.traced is not None

    @property
    def busy(self) -> bool:
        """Return whether a change is under way or waits."""
        return self._running or bool(self._waiting)

    def change(self, step: Callable[[Crop, Traced], Traced], *, kept: bool = True) -> None:
        """Change the line; ``kept`` changes are a person's and can be taken back."""
        self._waiting.append((step, kept))
        self.run()
        self.changed.emit()

    def step_back(self) -> bool:
        """Take back the last correction; return whether there was one."""
        if not self._history:
            return False
        self._waiting.clear()
        self.traced = self._history.pop()
        return True

    def drop(self) -> None:
        """Let go of the finished line: it is drawn again."""
        self._waiting.clear()
        self.traced = self.first = None

    def run(self) -> None:
        """Begin the next change that waits, where the picture can be looked at."""
        crop, traced = self._crop(), self.traced
        if self._running or self.gone or not self._waiting or crop is None:
            return
        if traced is None:
            self._waiting.clear()
            return
        step, kept = self._waiting.pop(0)
        self._running = True
        if kept and self.first is None:
            self.first = traced

        def question() -> tuple[Traced, tuple[Point, ...]]:
            made = step(crop, traced)
            return made, kept_of(made)

        def done(answer: tuple[Traced, tuple[Point, ...]]) -> None:
            made, self._running = answer[0], False
            if self.gone:
                return
            # What was taken back meanwhile is not wanted any more.
            if self.traced is traced:
                if kept and made is not traced:
                    self._history.append(traced)
                self.traced, self._kept = made, answer
            if not self._waiting and self.first is None:
                self.first = self.traced
            self.run()
            self.changed.emit()

        self._desk.ask(question, done, self._failed)

    def _failed(self, sentence: Sentence) -> None:
        self._running = False
        if not self.gone:
            self.failed.emit(sentence)


def kept_of(traced: Traced) -> tuple[Point, ...]:
    """Return the points that a record keeps of a line."""
    return thinned(traced).points
