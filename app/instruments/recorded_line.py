"""What is recorded of a traced line: its points, what was proposed, the clicks it led through."""

from __future__ import annotations

from app.instruments.followed_line import kept_of
from app.session import deeds
from landmarks.geometry import Point
from landmarks.instruments.trace import Traced


def recorded(
    landmark: str,
    traced: Traced,
    points: tuple[Point, ...],
    *,
    first: Traced | None,
    clicked: bool,
    size: tuple[int, int] | None,
) -> deeds.Accepted:
    """Return what is accepted of a finished line.

    Parameters
    ----------
    points
        The line as it is shown.
    first
        What was proposed at first, kept where it was corrected.
    clicked
        Whether it corrects a line that was clicked point by point: then nothing was proposed.
    size
        Width and height of the picture, in pixels; a record never leaves it.
    """
    proposed: tuple[Point, ...] = ()
    if not clicked and first is not None and first is not traced:
        proposed = kept_of(first)
    if proposed == points:
        proposed = ()
    how = "corrected" if clicked else ""
    if not how and not proposed and all(one.plain for one in traced.anchors[1:]):
        how = "clicked"
    return deeds.Accepted(
        landmark,
        _inside(points, size),
        proposed=_inside(proposed, size),
        anchors=_inside(tuple(one.point for one in traced.anchors), size),
        how=how,
    )


def _inside(points: tuple[Point, ...], size: tuple[int, int] | None) -> tuple[Point, ...]:
    """Return points, those beyond the border of the picture on it."""
    if size is None or not points:
        return points
    width, height = size
    across, down = [x for x, _ in points], [y for _, y in points]
    if min(across) >= 0 <= min(down) and max(across) <= width and max(down) <= height:
        return points
    return tuple(
        Point(min(max(x, 0.0), float(width)), min(max(y, 0.0), float(height)))
        for x, y in points
    )
