"""Where a person put which landmark: when, how, how surely, or why not."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from landmarks.errors import PlacingError
from landmarks.geometry import Point
from landmarks.scale import CLICK_SIGMA_PX
from landmarks.sentences import Sentence

OCCASIONS = ("record", "blind_repeat", "second_observer", "attempt")
WAYS = ("clicked", "nudged", "proposal_accepted", "corrected", "typed")
REASONS = ("worn", "hidden", "broken", "outside_picture")
"""Why a landmark cannot be placed; none of them is a value."""

TRUE_ZEROS = ("closed", "none")
"""Answers that are values: grown shut, or there are none. They mean zero."""


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
        The clicks that a traced line was led through.
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


def check_inside(points: tuple[Point, ...], width: int, height: int) -> None:
    """Raise a sentence where a point lies outside the picture.

    Raises
    ------
    PlacingError
        The first such point is named.
    """
    for point in points:
        if not (0 <= point.x <= width and 0 <= point.y <= height):
            raise PlacingError(
                "placing.outside",
                x=point.x,
                y=point.y,
                width=width,
                height=height,
            )
