"""What the edge trace works out before the pointer gets there: the ways from the last click.

A window around the click, its edge map and the cheapest ways over it are work for the
background; following them to the pointer is then so cheap that it keeps pace with the hand.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from time import sleep
from typing import TYPE_CHECKING

from landmarks.geometry import Box, Point
from landmarks.instruments.edges import WINDOW_PX, EdgeMap
from landmarks.instruments.trace import approaching, edges_in, live, snapped

if TYPE_CHECKING:
    from landmarks.instruments.edges import Crop
    from landmarks.instruments.reach import Reach

BREATH_S = 0.001
"""Pause between sweeps, for the window."""

_LEAST_PX = 140.0
"""A window reaches so far around its click at least, in pixels of its map."""

_ROOM = 1.35
_SNAP_ROOM = 24


@dataclass(frozen=True, slots=True)
class Ahead:
    """The ways from an anchor to all places of a window around it."""

    anchor: Point
    box: Box
    edges: EdgeMap
    reach: Reach

    def to(self, point: Point) -> tuple[Point, ...]:
        """Return the line from the anchor to a point, both exactly as they are."""
        way = live(self.edges, self.reach, point)
        return self.anchor, *way[1:-1], point


def step_of(zoom: float) -> int:
    """Return the whole step of pixels at which one map pixel is about one screen pixel."""
    step = 1
    while step * 2 * zoom <= 1:
        step *= 2
    return step


def snap(crop: Crop, point: Point, step: int) -> Point:
    """Return the edge that was meant by a click made at this step of pixels."""
    room = _SNAP_ROOM * step
    box = Box(point.x - room, point.y - room, 2 * room, 2 * room)
    return snapped(edges_in(crop, box, step), point)


def look_ahead(
    crop: Crop, anchor: Point, pointer: Point, step: int, wanted: Callable[[], bool]
) -> Ahead | None:
    """Return the ways from an anchor as far as the pointer and beyond.

    None where ``wanted`` says that nobody waits any more; it is asked between sweeps.
    """
    far = max(abs(pointer.x - anchor.x), abs(pointer.y - anchor.y))
    half = max(_LEAST_PX * step, _ROOM * far + _SNAP_ROOM)
    while 2 * half / step > WINDOW_PX:
        step *= 2
    box = Box(anchor.x - half, anchor.y - half, 2 * half, 2 * half)
    edges = edges_in(crop, box, step)
    ways = None
    for better in approaching(edges, anchor):
        ways = better
        sleep(BREATH_S)
        if not wanted():
            return None
    return None if ways is None else Ahead(anchor, box, edges, ways)
