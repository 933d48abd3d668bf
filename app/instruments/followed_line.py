"""A finished line and its corrections: made in the background, one after the other."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from app.background.desk import Desk
from landmarks.geometry import Point
from landmarks.instruments.retrace import thinned
from landmarks.instruments.trace import Traced
from landmarks.sentences import Sentence

if TYPE_CHECKING:
    from landmarks.instruments.edges import Crop

    Change = tuple[Callable[[Crop, Traced], Traced], bool]


@dataclass(frozen=True, slots=True)
class Followed:
    """A finished line as it is left and gone on with.

    Attributes
    ----------
    traced, first
        The line, and what was proposed at first; None where it is not finished.
    history
        The lines before each correction, the latest last.
    waiting
        Changes that were asked for and not made yet, and whether each is a person's.
    """

    traced: Traced | None = None
    first: Traced | None = None
    history: tuple[Traced, ...] = ()
    waiting: tuple[Change, ...] = ()


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
        self._waiting: list[Change] = []
        self._under_way: Change | None = None
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
        self._want_nothing()
        self.traced = self._history.pop()
        return True

    def drop(self) -> None:
        """Let go of the finished line: it is drawn again."""
        self._want_nothing()
        self.traced = self.first = None

    def left(self) -> Followed:
        """Return all that is needed to go on with the line."""
        first = () if self._under_way is None else (self._under_way,)
        history, waiting = tuple(self._history), (*first, *self._waiting)
        return Followed(self.traced, self.first, history, waiting)

    def go_on(self, left: Followed) -> None:
        """Go on with a line as it was left."""
        self.traced, self.first = left.traced, left.first
        self._history, self._waiting = list(left.history), list(left.waiting)
        self.run()

    def run(self) -> None:
        """Begin the next change that waits, where the picture can be looked at."""
        crop, traced = self._crop(), self.traced
        if self._running or self.gone or not self._waiting or crop is None:
            return
        if traced is None:
            self._waiting.clear()
            return
        self._under_way = step, kept = self._waiting.pop(0)
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
            self._under_way = None
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

    def _want_nothing(self) -> None:
        """Want no change any more; the answer to the one under way comes too late."""
        self._waiting.clear()
        self._under_way = None

    def _failed(self, sentence: Sentence) -> None:
        self._running, self._under_way = False, None
        if not self.gone:
            self.failed.emit(sentence)


def kept_of(traced: Traced) -> tuple[Point, ...]:
    """Return the points that a record keeps of a line."""
    return thinned(traced).points
