"""Taking a traced line up again: from what was kept of it, through another click, without one.

A record keeps the points of a line and the clicks it was led through. That is enough to go on
with it: only the legs beside what changes are followed anew, all others stay as they lie.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from landmarks.geometry import Point, distance
from landmarks.instruments.guides import guide
from landmarks.instruments.trace import Anchor, Traced, inserted, leg

if TYPE_CHECKING:
    from landmarks.instruments.edges import Crop

MOST_CLICKED = 60
"""A line of at most so many points without anchors was clicked point by point."""


MOST_KEPT = 1000
"""A record keeps about so many points of a line: on a large picture fewer than it has pixels."""


def taken_up(
    points: Sequence[Point], anchors: Sequence[Point] = (), *, closed: bool = False
) -> Traced:
    """Return a kept line as one that can be led on.

    Parameters
    ----------
    points
        Two at least; of a closed line the first is not repeated.
    anchors
        The clicks it was led through; without any, each point of a short line is one, and
        of a long one its ends.
    """
    if len(anchors) < 2:
        anchors = points
        if len(points) > MOST_CLICKED:
            anchors = (points[0], points[len(points) // 2 if closed else -1])
    at = _places(points, anchors)
    stops = [*at[1:], len(points)] if closed else at[1:]
    whole = [*points, points[0]] if closed else list(points)
    legs = []
    for first, last, a, b in zip(at, stops, anchors, [*anchors[1:], anchors[0]],
                                 strict=False):  # fmt: skip
        legs.append((a, *whole[first + 1 : last], b))
    plain = [False, *(len(one) == 2 for one in legs)]
    return Traced(
        tuple(legs),
        tuple(Anchor(one, plain=flat) for one, flat in zip(anchors, plain, strict=False)),
        closed,
    )


def led_through(crop: Crop, traced: Traced, at: Point, *, plain: bool = False) -> Traced:
    """Return a line led through one more click, taken exactly as it was made.

    A click beside the line joins the leg it is nearest to; beyond an end of an open line it
    carries the line on.
    """
    near = [
        min((distance(point, at), k) for k, point in enumerate(one)) for one in traced.legs
    ]
    index = min(range(len(near)), key=lambda k: near[k][0])
    if not traced.closed and near[index][0] > 0:
        step = near[index][1]
        if index == 0 and step == 0:
            return _begun(crop, traced, Anchor(at, plain=plain))
        if index == len(near) - 1 and step == len(traced.legs[-1]) - 1:
            return _carried_on(crop, traced, Anchor(at, plain=plain))
    return inserted(crop, traced, index, Anchor(at, plain=plain))


def moved(crop: Crop, traced: Traced, index: int, to: Point) -> Traced:
    """Return a line with one of its anchors somewhere else."""
    anchors = list(traced.anchors)
    anchors[index] = Anchor(to, plain=anchors[index].plain)
    legs = list(traced.legs)
    for k in _beside(traced, index):
        legs[k] = _leg(crop, traced, anchors, k)
    return replace(traced, legs=tuple(legs), anchors=tuple(anchors))


def without(crop: Crop, traced: Traced, index: int) -> Traced:
    """Return a line that is no longer led through one of its anchors.

    The last two of a line, or three of a closed one, stay.
    """
    n = len(traced.anchors)
    if n <= (3 if traced.closed else 2):
        return traced
    anchors = (*traced.anchors[:index], *traced.anchors[index + 1 :])
    legs = list(traced.legs)
    if not traced.closed and index in (0, n - 1):
        del legs[0 if index == 0 else -1]
        return replace(traced, legs=tuple(legs), anchors=anchors)
    legs[index - 1] = _leg(crop, traced, anchors, (index - 1) % (n - 1))
    del legs[index]
    # Of the first anchor of a closed line index - 1 is the last leg, which now leads to the
    # second anchor, and that is the first one now.
    return replace(traced, legs=tuple(legs), anchors=anchors)


def thinned(traced: Traced, most: int = MOST_KEPT) -> Traced:
    """Return a line of about ``most`` points; its anchors and every leg's ends stay."""
    n = sum(len(one) for one in traced.legs)
    stride = -(-n // most)
    if stride < 2:
        return traced
    legs = tuple((*one[:-1:stride], one[-1]) for one in traced.legs)
    return replace(traced, legs=legs)


def _leg(
    crop: Crop, traced: Traced, anchors: Sequence[Anchor], index: int
) -> tuple[Point, ...]:
    """Return the leg from anchor number ``index`` to the next one."""
    told = guide([one.point for one in anchors], index, closed=traced.closed)
    plain = anchors[(index + 1) % len(anchors)].plain
    return leg(crop, told, plain=plain, sides=traced.sides)


def _begun(crop: Crop, traced: Traced, anchor: Anchor) -> Traced:
    first = replace(traced.anchors[0], plain=anchor.plain)
    anchors = (Anchor(anchor.point), first, *traced.anchors[1:])
    made = _leg(crop, traced, anchors, 0)
    return replace(traced, legs=(made, *traced.legs), anchors=anchors)


def _carried_on(crop: Crop, traced: Traced, anchor: Anchor) -> Traced:
    anchors = (*traced.anchors, anchor)
    made = _leg(crop, traced, anchors, len(anchors) - 2)
    return replace(traced, legs=(*traced.legs, made), anchors=anchors)


def _beside(traced: Traced, index: int) -> tuple[int, ...]:
    """Return the numbers of the legs that end at an anchor."""
    n = len(traced.legs)
    if traced.closed:
        return (index - 1) % n, index
    return tuple(k for k in (index - 1, index) if 0 <= k < n)


def _places(points: Sequence[Point], anchors: Sequence[Point]) -> list[int]:
    """Return where along the points each anchor lies, in order."""
    places: list[int] = []
    first = 0
    for left, anchor in zip(range(len(anchors), 0, -1), anchors, strict=True):
        # Each anchor still to come needs a point of its own.
        stop = max(first + 1, len(points) - left + 1)
        here = range(first, min(stop, len(points)))
        found = min(
            here, key=lambda k: distance(points[k], anchor), default=len(points) - 1
        )
        places.append(found)
        first = found + 1
    return places
