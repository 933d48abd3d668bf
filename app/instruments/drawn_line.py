"""A line while it is drawn: its clicks, the legs between them, the way to the pointer.

The legs follow the edge that can be seen. What is asked of the picture is answered in the
background; an answer that comes too late changes nothing.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from app.background.desk import Desk
from app.instruments.ahead import Ahead, look_ahead, snap, step_of
from app.instruments.followed_line import FollowedLine
from landmarks.geometry import Point, distance
from landmarks.instruments.trace import Anchor
from landmarks.sentences import Sentence

if TYPE_CHECKING:
    from landmarks.instruments.edges import Crop

_SAME_PX = 2.5


class DrawnLine(QObject):
    """Clicks with the legs between them, led on from the last one.

    Parameters
    ----------
    crop
        Returns what cuts windows out of the picture, or None while it is not there yet.
    desk
        Where questions to the picture are answered.
    followed
        The same line once it is finished: while it is, nothing is led on.

    Signals
    -------
    changed()
        It is no longer what it was.
    failed(Sentence)
        A question could not be answered.
    """

    changed = Signal()
    failed = Signal(object)

    def __init__(
        self,
        crop: Callable[[], Crop | None],
        desk: Desk,
        followed: FollowedLine,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._crop, self._desk, self._followed = crop, desk, followed
        self.gone = False
        self.anchors: list[Anchor] = []
        self.legs: list[tuple[Point, ...]] = []
        self.preview: tuple[Point, ...] = ()
        self.pointer: Point | None = None
        self.plain, self.zoom = False, 1.0
        self._ahead: Ahead | None = None
        self._ready: Ahead | None = None
        self._asked: tuple[Point, int] | None = None
        self._shown: tuple[tuple[Point, ...], ...] = ()
        self._joined: tuple[Point, ...] = ()

    def points(self) -> tuple[Point, ...]:
        """Return the legs joined; the same tuple as long as they are the same."""
        legs = tuple(self.legs)
        if legs != self._shown:
            self._shown = legs
            self._joined = tuple(point for leg in legs for point in leg)
        return self._joined

    def add(self, anchor: Anchor) -> None:
        """Lead the line on to a click; one upon the last is none."""
        before = self.anchors[-1] if self.anchors else None
        if before is not None:
            if distance(before.point, anchor.point) * self.zoom < _SAME_PX:
                return
            ahead = self._ahead
            known = ahead is not None and not anchor.plain and ahead.box.holds(anchor.point)
            leg: tuple[Point, ...] = (before.point, anchor.point)
            if known and ahead is not None and ahead.anchor == before.point:
                leg = ahead.to(anchor.point)
            self.legs.append(leg)
        self.anchors.append(anchor)
        self._ready, self._ahead, self.preview = self._ahead, None, ()
        self._settle(len(self.anchors) - 1, anchor)
        self.changed.emit()

    def move(self, index: int, point: Point) -> None:
        """Put a click exactly here."""
        self.anchors[index] = replace(self.anchors[index], point=point, snap=False)
        self._lay_again(index)

    def delete(self, index: int) -> None:
        """Take a click out that is not the last."""
        del self.anchors[index]
        del self.legs[max(0, index - 1)]
        self._lay_again(index)

    def step_back(self) -> bool:
        """Take back the last click; return whether there was one."""
        if not self.anchors:
            return False
        self.anchors.pop()
        if self.legs:
            self.legs.pop()
        self._ahead, self.preview = None, ()
        self.look_ahead()
        self.follow_pointer()
        return True

    def look_ahead(self) -> None:
        """Ask for the ways from the last click, as far as the pointer."""
        if self.gone or self._followed.finished or not self.anchors:
            return
        crop, anchor, step = self._crop(), self.anchors[-1].point, step_of(self.zoom)
        pointer = self.pointer or anchor
        if crop is None or self._asked is not None:
            return
        asked = self._asked = anchor, step

        def wanted() -> bool:
            return not self.gone and bool(self.anchors) and self.anchors[-1].point == anchor

        def found(ahead: Ahead | None) -> None:
            self._asked = None
            if self.gone or self._followed.finished:
                return
            if wanted() and ahead is not None:
                self._ahead = ahead
                self.follow_pointer()
            else:
                self.look_ahead()

        self._desk.ask(
            lambda: look_ahead(crop, asked[0], pointer, step, wanted), found, self._failed
        )

    def follow_pointer(self) -> None:
        """Let the line go on to the pointer, along the edge where it is known."""
        pointer, ahead = self.pointer, self._ahead
        if pointer is None or not self.anchors:
            preview: tuple[Point, ...] = ()
        elif self.plain or ahead is None or not ahead.box.holds(pointer):
            preview = (self.anchors[-1].point, pointer)
            if not self.plain:
                self.look_ahead()
        else:
            preview = ahead.to(pointer)
        if preview != self.preview:
            self.preview = preview
            self.changed.emit()

    def _settle(self, index: int, anchor: Anchor) -> None:
        """Let a click snap, and lay the leg to it anew, in the background."""
        crop, step = self._crop(), step_of(self.zoom)
        if crop is None or (anchor.plain and not anchor.snap):
            self.look_ahead()
            return
        before = self.anchors[index - 1].point if index else None
        ready = self._ready

        def question() -> tuple[Point, tuple[Point, ...]]:
            at = snap(crop, anchor.point, step) if anchor.snap else anchor.point
            if ready is not None and ready.anchor == before and ready.box.holds(at):
                return at, ready.to(at)
            return at, self._leg_between(crop, before, at, step)

        def settled(answer: tuple[Point, tuple[Point, ...]]) -> None:
            at, leg = answer
            here = index < len(self.anchors) and self.anchors[index] is anchor
            if self.gone or not here or self._followed.finished:
                return
            self.anchors[index] = replace(anchor, point=at)
            if leg and before == self.anchors[index - 1].point:
                self.legs[index - 1] = leg
            if index < len(self.legs):
                self.legs[index] = (at, *self.legs[index][1:])
            if index == len(self.anchors) - 1:
                self.look_ahead()
            self.changed.emit()

        self._desk.ask(question, settled, self._failed)

    def _leg_between(
        self, crop: Crop, before: Point | None, at: Point, step: int
    ) -> tuple[Point, ...]:
        if before is None:
            return ()
        ahead = look_ahead(crop, before, at, step, lambda: not self.gone)
        return ahead.to(at) if ahead is not None else (before, at)

    def _lay_again(self, index: int) -> None:
        """Lay the legs beside a click anew."""
        for k in (index, index + 1):
            if 0 < k < len(self.anchors):
                one, before = self.anchors[k], self.anchors[k - 1]
                self.legs[k - 1] = (before.point, one.point)
                if not one.plain:
                    self._settle(k, one)
        self._ahead = None
        self.look_ahead()
        self.changed.emit()

    def _failed(self, sentence: Sentence) -> None:
        self._asked = None
        if not self.gone:
            self.failed.emit(sentence)
