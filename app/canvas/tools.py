"""What a press, a move and a release on the picture mean: one small machine for each tool.

Nothing here knows a window: a tool is told where the pointer is, in picture pixels, and what
mark lies under it, and answers with what happened.

* A press on a mark takes hold of that mark, whatever is armed; it places only with Shift.
  Traced lines and the frame at work let it through while something is armed: landmarks lie
  on the one and under the plate of the other.
* Where many points stand close, as eyes along a mantle, a click beside the middle of a mark
  places as well: only a stroke takes hold of the mark there.
* A point is placed when the button comes up, so that it can be aimed while it is down.
* A line or a box is drawn in one stroke or with two clicks.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from landmarks.geometry import Box, Point, distance

SLACK_PX = 3.0
"""A hand that clicks moves by less than this, in logical screen pixels."""

BESIDE_PX = 5.0
"""A click farther from a mark than this is one beside it, though a stroke takes hold of it."""

_ORIGIN = Point(0.0, 0.0)


@dataclass(frozen=True, slots=True)
class Arming:
    """What the next click or stroke on the picture does.

    Attributes
    ----------
    tool
        ``point`` places a landmark, ``scale`` draws a line of known length, ``frame`` a box
        around a specimen.
    tether
        The point from which a dashed hinge line follows the pointer, or None.
    own
        Only marks whose ids begin so are taken hold of; clicks go through all others.
    dense
        Many points stand close: a click beside the middle of one sets another.
    """

    tool: Literal["point", "scale", "frame"]
    tether: Point | None = None
    own: str = ""
    dense: bool = False


@dataclass(frozen=True, slots=True)
class Hit:
    """A mark under the pointer; ``held`` tells whether it can be dragged."""

    id: str
    index: int
    point: Point
    held: bool = True
    landmark: str = ""


@dataclass(frozen=True, slots=True)
class Pointer:
    """Where the pointer is: picture pixels, logical screen pixels per pixel, mark below."""

    point: Point
    zoom: float
    hit: Hit | None = None


@dataclass(frozen=True, slots=True)
class Picked:
    """A mark was taken hold of; an empty id: none any more."""

    id: str
    index: int


@dataclass(frozen=True, slots=True)
class Clicked:
    """A landmark is placed here."""

    point: Point
    zoom: float


@dataclass(frozen=True, slots=True)
class Dragged:
    """A mark is being moved."""

    id: str
    index: int
    point: Point


@dataclass(frozen=True, slots=True)
class Dropped:
    """A mark was moved and let go."""

    id: str
    index: int
    point: Point
    zoom: float


@dataclass(frozen=True, slots=True)
class Returned:
    """A drag was given up: the mark belongs where it was."""

    id: str
    index: int


@dataclass(frozen=True, slots=True)
class Lined:
    """A line was drawn."""

    start: Point
    end: Point


@dataclass(frozen=True, slots=True)
class Boxed:
    """A box was drawn between two corners."""

    box: Box


@dataclass(frozen=True, slots=True)
class Rubber:
    """Show a provisional line or box between two points; ``kind`` empty: none."""

    kind: str
    start: Point = _ORIGIN
    end: Point = _ORIGIN


@dataclass(frozen=True, slots=True)
class Grabbed:
    """The empty ground was taken hold of: the picture moves with the pointer."""


Outcome = Picked | Clicked | Dragged | Dropped | Returned | Lined | Boxed | Rubber | Grabbed
Outcomes = tuple[Outcome, ...]


def tool_for(arming: Arming | None) -> SelectTool:
    """Return the machine for what is armed; nothing armed: select and move."""
    if arming is None:
        return SelectTool()
    if arming.tool == "point":
        return PointTool(arming.tether, dense=arming.dense)
    return ScaleTool() if arming.tool == "scale" else FrameTool()


def box_between(a: Point, b: Point) -> Box:
    """Return the upright box of two opposite corners."""
    return Box(min(a.x, b.x), min(a.y, b.y), abs(b.x - a.x), abs(b.y - a.y))


class SelectTool:
    """Select a mark, drag a mark, or take hold of the ground; the base of the others."""

    aims = False
    """Whether a click goes to an exact place, so that the loupe helps."""

    def __init__(self) -> None:
        self._hit: Hit | None = None
        self._start = _ORIGIN
        self._moved = False

    @property
    def dragging(self) -> bool:
        """Return whether a mark is being dragged."""
        return self._hit is not None and self._moved

    def press(self, at: Pointer) -> Outcomes:
        """Take the left button going down."""
        self._start, self._moved = at.point, False
        if at.hit is not None and not self._busy():
            self._hit = at.hit
            return (Picked(at.hit.id, at.hit.index),)
        return self._press_ground(at)

    def move(self, at: Pointer, *, down: bool) -> Outcomes:
        """Take a move of the pointer, with the left button down or not."""
        if down and distance(at.point, self._start) * at.zoom > SLACK_PX:
            self._moved = True
        if self._hit is None:
            return self._move_ground(at, down=down)
        if not (self._hit.held and self._moved):
            return ()
        return (Dragged(self._hit.id, self._hit.index, self._carried(at.point)),)

    def release(self, at: Pointer) -> Outcomes:
        """Take the left button coming up."""
        hit, self._hit = self._hit, None
        if hit is None:
            return self._release_ground(at)
        if not (hit.held and self._moved):
            return ()
        shift = Point(at.point.x - self._start.x, at.point.y - self._start.y)
        end = Point(hit.point.x + shift.x, hit.point.y + shift.y)
        return (Dropped(hit.id, hit.index, end, at.zoom),)

    def escape(self) -> Outcomes | None:
        """Give up what is half done; None where nothing was."""
        hit, self._hit = self._hit, None
        if hit is not None and self._moved:
            return (Returned(hit.id, hit.index),)
        return None

    def _carried(self, point: Point) -> Point:
        """Return where the held mark is, so that it does not jump to the pointer."""
        assert self._hit is not None
        held, start = self._hit.point, self._start
        return Point(held.x + point.x - start.x, held.y + point.y - start.y)

    def _busy(self) -> bool:
        return False

    def _press_ground(self, _at: Pointer) -> Outcomes:
        return (Grabbed(),)

    def _move_ground(self, _at: Pointer, *, down: bool) -> Outcomes:
        return ()

    def _release_ground(self, _at: Pointer) -> Outcomes:
        return () if self._moved else (Picked("", -1),)


class PointTool(SelectTool):
    """Place one landmark."""

    aims = True

    def __init__(self, tether: Point | None = None, *, dense: bool = False) -> None:
        super().__init__()
        self._tether, self._dense = tether, dense
        self._pressed = self._beside = False

    def press(self, at: Pointer) -> Outcomes:
        """Take the left button going down; beside a mark it is seen later what that means."""
        hit = at.hit
        if self._dense and hit is not None and hit.held:
            self._beside = distance(at.point, hit.point) * at.zoom > BESIDE_PX
        if not self._beside:
            return super().press(at)
        self._hit, self._start, self._moved = hit, at.point, False
        return ()

    def move(self, at: Pointer, *, down: bool) -> Outcomes:
        """Take a move; a stroke that began beside a mark takes hold of it."""
        carried, hit = super().move(at, down=down), self._hit
        if hit is None or not (self._beside and self._moved):
            return carried
        self._beside = False
        return (Picked(hit.id, hit.index), *carried)

    def release(self, at: Pointer) -> Outcomes:
        """Take the left button coming up; what was no stroke beside a mark is a click there."""
        if not self._beside:
            return super().release(at)
        self._hit, self._beside = None, False
        return (Clicked(at.point, at.zoom),)

    def escape(self) -> Outcomes | None:
        """Give up a press that has not come up yet, or a drag."""
        if self._pressed or self._beside:
            self._hit = None if self._beside else self._hit
            self._pressed = self._beside = False
            return ()
        return super().escape()

    def _press_ground(self, at: Pointer) -> Outcomes:
        self._pressed = True
        return self._move_ground(at, down=True)

    def _move_ground(self, at: Pointer, *, down: bool) -> Outcomes:
        if self._tether is None:
            return ()
        return (Rubber("hinge", self._tether, at.point),)

    def _release_ground(self, at: Pointer) -> Outcomes:
        if not self._pressed:
            return ()
        self._pressed = False
        return (Clicked(at.point, at.zoom),)


class _TwoEnds(SelectTool):
    """Something between two points: one stroke, or two clicks."""

    kind = ""
    aims = True

    def __init__(self) -> None:
        super().__init__()
        self._first: Point | None = None
        self._pressed = False

    def escape(self) -> Outcomes | None:
        """Give up the first end, or a drag."""
        if self._first is not None:
            self._first, self._pressed = None, False
            return (Rubber(""),)
        return super().escape()

    def _busy(self) -> bool:
        # The second end may lie on a mark: it belongs to what is being drawn.
        return self._first is not None

    def _press_ground(self, at: Pointer) -> Outcomes:
        self._pressed = True
        if self._first is None:
            self._first = at.point
        return (Rubber(self.kind, self._first, at.point),)

    def _move_ground(self, at: Pointer, *, down: bool) -> Outcomes:
        return () if self._first is None else (Rubber(self.kind, self._first, at.point),)

    def _release_ground(self, at: Pointer) -> Outcomes:
        if self._first is None or not self._pressed:
            return ()
        self._pressed = False
        if not self._large_enough(self._first, at.point, at.zoom):
            return ()  # The first of two clicks, or a second one on the same place.
        first, self._first = self._first, None
        return (Rubber(""), self._made(first, at.point))

    def _large_enough(self, first: Point, second: Point, zoom: float) -> bool:
        return distance(first, second) * zoom > SLACK_PX

    def _made(self, first: Point, second: Point) -> Outcome:
        raise NotImplementedError


class ScaleTool(_TwoEnds):
    """Draw a line of known length along a ruler."""

    kind = "scale"

    def _made(self, first: Point, second: Point) -> Outcome:
        return Lined(first, second)


class FrameTool(_TwoEnds):
    """Draw a frame around one of several specimens."""

    kind = "frame"
    aims = False

    def _made(self, first: Point, second: Point) -> Outcome:
        return Boxed(box_between(first, second))

    def _large_enough(self, first: Point, second: Point, zoom: float) -> bool:
        box = box_between(first, second)
        return min(box.width, box.height) * zoom > SLACK_PX
