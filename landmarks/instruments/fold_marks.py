"""From a person's lines to the two counts of folds, and from the counts to marks.

The counting wants the margin from hinge end to hinge end, as the ends of a shell stand out of
it like folds and are told apart by what lies beyond them; a person traces it from one end of
shell length to the other. And it wants a transect of at most some 1,500 samples, so that of a
large picture only a reduced copy is looked at.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from landmarks.geometry import Point, distance, path_length
from landmarks.instruments.fold_agreement import FoldCount, count_folds
from landmarks.instruments.folds import (
    END,
    MAIN,
    Fold,
    Found,
    folds_of_margin,
    folds_of_transect,
    transect_needed,
)
from landmarks.instruments.pixels import window_of
from landmarks.instruments.refusal import Refused
from landmarks.instruments.series import beside

if TYPE_CHECKING:
    from landmarks.instruments.edges import Crop
    from landmarks.placing import Placing

HINGE = ("hinge_byssal", "hinge_ligament")
_SAMPLES = 1500


@dataclass(frozen=True, slots=True)
class FoldMark:
    """A fold as it is marked on the picture: ``kind`` is ``"main"`` or ``"end"``."""

    point: Point
    kind: str = MAIN


@dataclass(frozen=True, slots=True)
class Counted:
    """What both ways found, or why they would not answer; None where one was not asked."""

    margin: Found | Refused | None = None
    transect: Found | Refused | None = None

    @property
    def count(self) -> FoldCount | None:
        """Return the proposal made of what was found."""
        found = [one if isinstance(one, Found) else None
                 for one in (self.margin, self.transect)]  # fmt: skip
        return count_folds(*found) if any(found) else None

    @property
    def refusals(self) -> tuple[Refused, ...]:
        """Return why a way would not answer."""
        return tuple(
            one for one in (self.margin, self.transect) if isinstance(one, Refused)
        )


def to_hinge_ends(
    margin: Sequence[Point], placed: Mapping[str, Placing]
) -> tuple[Point, ...]:
    """Return a margin led on straight to the ends of the hinge, where both are placed."""
    ends = [placed[key].points[0] for key in HINGE if key in placed and placed[key].points]
    if len(ends) < 2 or len(margin) < 2:
        return tuple(margin)
    if distance(margin[0], ends[0]) > distance(margin[0], ends[1]):
        ends.reverse()
    first = (ends[0],) if distance(ends[0], margin[0]) > 1 else ()
    last = (ends[1],) if distance(ends[1], margin[-1]) > 1 else ()
    return (*first, *margin, *last)


def counted(
    crop: Crop | None, margin: Sequence[Point], transect: Sequence[Point]
) -> Counted:
    """Return both counts; a line of fewer than two points is not asked."""
    by_margin = folds_of_margin(margin) if len(margin) > 1 else None
    by_transect = None
    if crop is not None and len(transect) > 1:
        by_transect = _across(crop, transect)
    return Counted(by_margin, by_transect)


def marks_of(count: FoldCount) -> tuple[FoldMark, ...]:
    """Return the marks that a count proposes.

    Folds that only the transect shows, outside all main folds of the margin, are proposed as
    end folds: a margin traced between the ends of shell length passes them by.
    """
    marks = [FoldMark(one.point, one.kind) for one in count.folds]
    if count.margin is not None and count.transect is not None and len(count.main) > 1:
        marks.extend(FoldMark(one.point, END) for one in count.more if _outside(one, count))
        line = count.margin.line
        marks.sort(key=lambda one: beside(line, one.point).along)
    return tuple(marks)


def _outside(fold: Fold, count: FoldCount) -> bool:
    """Return whether a fold of the transect lies beyond all that the margin shows too."""
    assert count.transect is not None
    shared = [one.place for one in count.transect.folds if one not in count.more]
    return bool(shared) and not min(shared) <= fold.place <= max(shared)


def _across(crop: Crop, path: Sequence[Point]) -> Found | Refused:
    step = 1
    while path_length(path) / step > 2 * _SAMPLES:
        step *= 2
    pixels, origin = crop(transect_needed(path), step)
    window = window_of(pixels)
    window = replace(window, left=round(origin.x / step), top=round(origin.y / step))
    small = [Point(x / step, y / step) for x, y in path]
    found = folds_of_transect(window, small)
    if step == 1 or isinstance(found, Refused):
        return found

    def large(point: Point) -> Point:
        return Point(point.x * step, point.y * step)

    folds = tuple(replace(one, point=large(one.point)) for one in found.folds)
    return replace(found, folds=folds, line=tuple(map(large, found.line)))
