"""A whole traced line with how sure it is: for scripts, where nobody looks at it.

A line is followed twice: plainly, and anew with what its own two sides taught. How far the
second lies from the first is a part of its doubt; where the two sides taught nothing, being
alike, there is no edge to follow and the line is refused. A line that strays alike both times
is told by its clicks: each is left out in turn and the edge followed past it. Where edges are
faint or two run side by side, the line misses the click it was not shown. Still a line nobody
has looked at is never called sure.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot
from typing import TYPE_CHECKING

from landmarks.geometry import Point, distance, path_length
from landmarks.instruments.edges import window
from landmarks.instruments.guides import guide
from landmarks.instruments.likeness import parted
from landmarks.instruments.refusal import Refused
from landmarks.instruments.trace import Anchor, Traced, follow, leg, retraced
from landmarks.sentences import Number, Sentence

if TYPE_CHECKING:
    from landmarks.instruments.edges import Crop

SETTLED_PX = 2.0
"""A line whose own doubt is larger is not settled (ours, from rendered shells;
``tests/benchmarks/trace.md`` tells how often that is right)."""

SETTLED_PARTED, LEAST_PARTED = 0.97, 0.5
"""Share of a line that parts what it has learned to part: to be settled, to be a line."""

SETTLED_MISSED_PX = 3.0
"""No click of a settled line is missed by more when the line is followed without it."""

LEAST_MISSED = 2
"""So many clicks must have been left out before a line is settled."""

LINE_SIGMA_PX = 1.0
"""Doubt of a line that did not move at all (ours, from rendered shells)."""


@dataclass(frozen=True, slots=True)
class TraceProposal:
    """A traced line, a proposal like every other.

    Attributes
    ----------
    moved_px
        Root mean square distance between the line followed plainly and followed anew.
    parted
        Share of the line along which its two sides are what all of it taught.
    missed_px
        How far the edge passes each click when it is followed without it.
    """

    traced: Traced
    moved_px: float
    parted: float
    missed_px: tuple[float, ...] = ()

    @property
    def points(self) -> tuple[Point, ...]:
        """Return the line; a closed one does not repeat its first point."""
        return self.traced.points

    @property
    def sigma_px(self) -> float:
        """Return the standard uncertainty of the line square to itself, in pixels."""
        n = max(1, len(self.missed_px))
        # A leg past a click is twice as long as those that were kept: half of it is theirs.
        missed = 0.5 * hypot(*self.missed_px) / n**0.5
        return hypot(LINE_SIGMA_PX, self.moved_px, missed)

    @property
    def settled(self) -> bool:
        """Return whether its doubt is small, it parts two sides and would find each click."""
        return (
            self.sigma_px <= SETTLED_PX
            and self.parted >= SETTLED_PARTED
            and len(self.missed_px) >= LEAST_MISSED
            and max(self.missed_px) <= SETTLED_MISSED_PX
        )

    @property
    def sure(self) -> bool:
        """Return False: only a person who looks at a line is sure of it."""
        return False

    def sentence(self) -> Sentence:
        """Say how long the line is and how far it may be off."""
        line = self.points
        closing = distance(line[-1], line[0]) if self.traced.closed else 0.0
        values = {
            "px": Number(round(path_length(line) + closing), unit="px"),
            "off": Number(round(self.sigma_px, 1), unit="px"),
        }
        return Sentence("trace.settled" if self.settled else "trace.unsettled", values)


def propose_trace(
    crop: Crop, points: Sequence[Point], *, closed: bool = False
) -> TraceProposal | Refused:
    """Return the edge from point to point with how sure it is, or why there is none.

    Parameters
    ----------
    crop
        Cuts windows out of the picture: :class:`landmarks.instruments.crops.Crops` of a file,
        :func:`landmarks.instruments.edges.crop_of` of pixels.
    points
        Clicks in order, in pixels of the picture; each goes to the edge nearby.
    """
    least = 3 if closed else 2
    apart = [
        one for k, one in enumerate(points) if not k or distance(one, points[k - 1]) >= 3
    ]
    if len(apart) < least:
        return Refused(Sentence("trace.few", {"n": len(apart), "least": least}))
    plain = follow(crop, [Anchor(one, snap=True) for one in apart], closed=closed)
    found = retraced(crop, plain)
    share = parted(found.sides, found.points, closed=closed) if found.sides else 0.0
    if share < LEAST_PARTED:
        return Refused(Sentence("trace.no_edge"))
    return TraceProposal(found, _moved(plain, found), share, missed(crop, found, apart))


def missed(crop: Crop, traced: Traced, clicks: Sequence[Point]) -> tuple[float, ...]:
    """Return how far a line passes each of its clicks when it is followed without it.

    The ends of an open line cannot be left out, nor can any click of fewer than four, nor one
    so far aside that it is beyond the window that the others span.
    """
    anchors = [one.point for one in traced.anchors]
    n = len(anchors)
    if n < 4:
        return ()
    found = []
    for k in range(n) if traced.closed else range(1, n - 1):
        others = [*anchors[:k], *anchors[k + 1 :]]
        if not window(anchors[k - 1], anchors[(k + 1) % n])[0].holds(clicks[k]):
            continue
        told = guide(others, (k - 1) % (n - 1), closed=traced.closed)
        line = leg(crop, told, sides=traced.sides)
        found.append(min(distance(one, clicks[k]) for one in line))
    return tuple(found)


def _moved(plain: Traced, found: Traced) -> float:
    """Return the root mean square distance of two lines, taken both ways."""
    import numpy as np
    from shapely import LineString, points
    from shapely import distance as apart_of

    lines = []
    for one in (plain, found):
        at = [*one.points, one.points[0]] if one.closed else [*one.points]
        lines.append(np.array(at, float))
    squares = []
    for here, there in (lines, lines[::-1]):
        squares.append(float(np.mean(apart_of(points(here), LineString(there)) ** 2)))
    return float((sum(squares) / 2) ** 0.5)
