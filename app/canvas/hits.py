"""What lies under the pointer: handles of marks, plates of frames, traced lines."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator

from PySide6.QtCore import QPointF

from app.canvas.lines import OutlineItem
from app.canvas.names import Aspect, Shown
from app.canvas.tools import Hit
from app.style.tokens import MARKS
from landmarks.figures import Dot, FrameBox, Line, Lozenge, Outline, Quad
from landmarks.geometry import Point, distance

OUTLINE_REACH_PX = 6.0
VERTEX_REACH_PX = 7.0
"""A vertex of a path is taken hold of from this near, in logical screen pixels."""


def hit_at(
    shown: Collection[Shown],
    aspect: Aspect,
    point: Point,
    own: str = "",
    *,
    armed: bool = False,
    chosen: tuple[str, int] | None = None,
) -> Hit | None:
    """Return the mark under a point: the nearest within reach, names of frames, outlines.

    With ``own`` only marks whose ids begin so count. While something is ``armed``, traced
    lines and the frame at work let a click through: the ends of a shell lie on its margin,
    and the plate of its frame may lie over it.
    """
    reach = MARKS.hit_radius / aspect.zoom
    best, best_distance = None, reach
    for handle in handles(shown, frames=not armed):
        if (
            not handle.id.startswith(own)
            or abs(handle.point.x - point.x) > reach
            or abs(handle.point.y - point.y) > reach
        ):
            continue
        away = distance(handle.point, point)
        if (handle.id, handle.index) == chosen:
            away *= 0.5  # Of two marks on one place, the chosen one is drawn above.
        if away <= best_distance:
            best, best_distance = handle, away
    if own:
        return best
    best = best or _frame_hit(shown, aspect, point, own=not armed)
    return best or (None if armed else _outline_hit(shown, aspect, point))


def handles(shown: Iterable[Shown], *, frames: bool = True) -> Iterator[Hit]:
    """Return every place by which a mark can be taken hold of."""
    for one in shown:
        mark = one.mark
        if isinstance(mark, Dot | Lozenge):
            yield Hit(mark.id, mark.index, mark.point, landmark=mark.landmark)
        elif isinstance(mark, Line) and mark.id:
            yield Hit(mark.id, 0, mark.start)
            yield Hit(mark.id, 1, mark.end)
        elif isinstance(mark, Quad) and mark.id:
            for index, point in enumerate(mark.points):
                yield Hit(mark.id, index, point)
        elif isinstance(mark, FrameBox) and mark.current and frames:
            for index, corner in enumerate(mark.box.corners, 1):
                yield Hit(mark.id, index, corner)


def _frame_hit(
    shown: Iterable[Shown], aspect: Aspect, point: Point, *, own: bool
) -> Hit | None:
    here = aspect.seen(point)
    for one in shown:
        if not isinstance(one.mark, FrameBox) or one.plate is None:
            continue
        if one.mark.current and not own:
            continue
        first = one.mark.box.corners[0]
        corner = aspect.seen(first)
        place = QPointF(here[0] - corner[0], here[1] - corner[1])
        if one.plate.boundingRect().contains(place):
            # The plate of the frame at work carries the whole frame.
            return Hit(one.mark.id, 0, first, held=one.mark.current)
    return None


def _outline_hit(shown: Iterable[Shown], aspect: Aspect, point: Point) -> Hit | None:
    reach = OUTLINE_REACH_PX / aspect.zoom
    for one in shown:
        mark = one.mark
        if not isinstance(mark, Outline) or mark.provisional:
            continue
        at = _vertex_at(mark, point, VERTEX_REACH_PX / aspect.zoom)
        if at is not None:
            return Hit(mark.id, at, mark.points[at], landmark=mark.landmark)
        if isinstance(one.item, OutlineItem) and one.item.near(point, reach):
            return Hit(mark.id, -1, point, held=False, landmark=mark.landmark)
    return None


def _vertex_at(outline: Outline, point: Point, reach: float) -> int | None:
    """Return the one vertex of an outline within reach of a point.

    Where several are that near, as on a traced line, none can be meant: None.
    """
    near = [at for at, one in enumerate(outline.points) if distance(one, point) <= reach]
    return near[0] if len(near) == 1 else None
