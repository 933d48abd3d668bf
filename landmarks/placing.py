"""Where a person put which landmark: when, how, how surely, or why not."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from landmarks.errors import PlacingError
from landmarks.geometry import Point, distance
from landmarks.scale import CLICK_SIGMA_PX
from landmarks.sentences import Sentence

OCCASIONS = ("record", "blind_repeat", "second_observer", "attempt")
WAYS = ("clicked", "nudged", "proposal_accepted", "corrected", "typed")
REASONS = ("worn", "hidden", "broken", "outside_picture")
"""Why a landmark cannot be placed; none of them is a value."""

TRUE_ZEROS = ("closed", "none")
"""Answers that are values: grown shut, or there are none. They mean zero."""

MOST_SCUTES = 1_000
"""Edges of more scutes than any shell has are a stranger's, and are not looked through."""

MIDDLE_PX = 0.01
"""How near to its point the middle of two edges lies: adding up moves it by far less."""

Edges = tuple[Point, Point]
"""Where one scute was clicked: its left and its right edge."""


@dataclass(frozen=True, slots=True)
class Placing:
    """A landmark set by a person on one frame.

    Raises
    ------
    PlacingError
        If *at least* is said of no points: where none is marked there is no number.

    Attributes
    ----------
    id, frame, landmark
        Its own id (uuid4), the frame's id and the landmark's key.
    points
        In pixels of the upright picture; one for a point, many for a series, none where
        ``reason`` says why.
    reason
        One of :data:`REASONS` or :data:`TRUE_ZEROS`, or empty.
    occasion, how
        One of :data:`OCCASIONS`, of :data:`WAYS`.
    zoom
        Screen pixels per picture pixel while placing, or None.
    sigma_px
        The person's own doubt of each coordinate, in pixels, or None for the usual one.
    instrument
        The instrument that proposed it, or empty.
    proposed
        What the instrument proposed, where the person accepted it changed (``how`` is
        ``corrected``); empty where it was accepted as it was.
    anchors
        The clicks that a traced line was led through; of a series, the guide drawn for it.
    clicks
        What was clicked, where the points follow from it: both edges of every scute in turn.
        It counts only where it still fits (:func:`edges_of`).
    at_least
        There are more of them than could be marked; only for series and folds.
    person, at
        Who and when (UTC); ``names_hidden`` tells whether candidates were out of sight.
    """

    id: str
    frame: str
    landmark: str
    points: tuple[Point, ...] = ()
    reason: str = ""
    occasion: str = "record"
    how: str = "clicked"
    zoom: float | None = None
    sigma_px: float | None = None
    instrument: str = ""
    proposed: tuple[Point, ...] = ()
    anchors: tuple[Point, ...] = ()
    clicks: tuple[Point, ...] = ()
    at_least: bool = False
    person: str = ""
    at: str = ""
    names_hidden: bool = False
    extra: Mapping[str, object] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if self.at_least and not self.points:
            raise PlacingError("placing.at_least_none")

    @property
    def doubt_px(self) -> float:
        """Return the doubt of each coordinate, in picture pixels.

        A click is good to about a pixel and a half of the *screen*, so a picture seen at half
        size doubles it; nobody places better than half a picture pixel.
        """
        if self.sigma_px is not None:
            return self.sigma_px
        if not self.zoom or self.how == "nudged":
            return CLICK_SIGMA_PX
        return max(0.5, CLICK_SIGMA_PX / min(self.zoom, 3.0))


def came_about(one: Placing) -> Sentence | None:
    """Say what was accepted of what an instrument had proposed; None where nothing was."""
    if not one.instrument or not one.points:
        return None
    if one.how == "proposal_accepted":
        return Sentence("placing.as_proposed")
    if not one.proposed:
        return None
    if one.anchors:
        return Sentence("placing.line_corrected")
    kept = len(set(one.points) & set(one.proposed))
    return Sentence("placing.corrected", {"kept": kept, "n": len(one.proposed)})


def edges_of(one: Placing) -> tuple[Edges | None, ...]:
    """Return for each point the two edges half way between which it lies; None: not known.

    Edges that lie about no point are passed over: where something else moved the point, they
    are no longer its own.

    >>> edges_of(Placing("s", "f", "scutes", (Point(5, 5),), clicks=(Point(1, 5), Point(9, 5))))
    ((Point(x=1, y=5), Point(x=9, y=5)),)
    """
    left = list(zip(one.clicks[::2], one.clicks[1::2], strict=False))
    if len(left) > MOST_SCUTES:
        left = []
    found: list[Edges | None] = []
    for point in one.points if left else ():
        own = next((pair for pair in left if _lies_between(point, pair)), None)
        if own is not None:
            left.remove(own)
        found.append(own)
    return tuple(found) or (None,) * len(one.points)


def point_moved(
    one: Placing, index: int, to: Point, size: tuple[int, int] | None = None
) -> Placing:
    """Return a placing with one of its points somewhere else.

    The edges between which it lay go with it, unless one would leave the picture of ``size``,
    width and height in pixels: then they are known no longer.
    """
    points, edges = list(one.points), list(edges_of(one))
    start, pair = points[index], edges[index]
    points[index] = to
    if pair is not None:
        left, right = (Point(at.x + to.x - start.x, at.y + to.y - start.y) for at in pair)
        outside = size is not None and not all(
            _is_inside(at, *size) for at in (left, right)
        )
        edges[index] = None if outside else (left, right)
    return replace(one, points=tuple(points), clicks=_in_turn(edges))


def point_taken(one: Placing, index: int) -> Placing:
    """Return a placing of several points without one of them, nor the edges it lay between."""
    points, edges = list(one.points), list(edges_of(one))
    del points[index], edges[index]
    return replace(one, points=tuple(points), clicks=_in_turn(edges))


def check_inside(points: tuple[Point, ...], width: int, height: int) -> None:
    """Raise a sentence where a point lies outside the picture.

    Raises
    ------
    PlacingError
        The first such point is named.
    """
    for point in points:
        if not _is_inside(point, width, height):
            raise PlacingError(
                "placing.outside",
                x=point.x,
                y=point.y,
                width=width,
                height=height,
            )


def _is_inside(point: Point, width: int, height: int) -> bool:
    return 0 <= point.x <= width and 0 <= point.y <= height


def _lies_between(point: Point, pair: Edges) -> bool:
    (a, b), (c, d) = pair
    return distance(point, Point((a + c) / 2, (b + d) / 2)) <= MIDDLE_PX


def _in_turn(edges: Sequence[Edges | None]) -> tuple[Point, ...]:
    return tuple(at for pair in edges if pair is not None for at in pair)
