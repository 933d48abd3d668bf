"""Names and labels on their plates: which are shown, and where they stand."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from math import cos, radians, sin
from typing import NamedTuple

from PySide6.QtWidgets import QGraphicsItem, QGraphicsPixmapItem, QGraphicsScene

from app.canvas import sprites
from app.canvas.door import to_place
from app.style.tokens import MARKS
from landmarks.figures import Dot, Line, Lozenge, Mark
from landmarks.geometry import Point
from landmarks.outputs import plates
from landmarks.sentences import text

PLATE_Z = 20.0
_CUT = 0.5
"""A name that the edge of the view cuts is worse than one on another side, not than none."""


class Aspect(NamedTuple):
    """How the scene is seen: logical pixels per picture pixel, turn, device pixel ratio.

    ``corner`` is where the picture's corner lay in the view when it came to rest, and
    ``room`` the size of the view, both in logical pixels.
    """

    zoom: float = 1.0
    degrees: float = 0.0
    ratio: float = 1.0
    corner: tuple[float, float] = (0.0, 0.0)
    room: tuple[float, float] | None = None

    def seen(self, point: Point) -> tuple[float, float]:
        """Return where a point comes in the view."""
        turn = radians(self.degrees)
        c, s = cos(turn) * self.zoom, sin(turn) * self.zoom
        x, y = self.corner
        return x + c * point.x - s * point.y, y + s * point.x + c * point.y


@dataclass(slots=True)
class Shown:
    """A mark and what shows it; ``side`` is where its name stands."""

    mark: Mark
    item: QGraphicsItem
    plate: QGraphicsPixmapItem | None = None
    side: int = -1
    drawn: tuple[object, ...] = ()


def unzoomed(z: float) -> QGraphicsPixmapItem:
    """Return an item for a small picture that keeps its size on the screen."""
    item = QGraphicsPixmapItem()
    item.setFlag(QGraphicsItem.GraphicsItemFlag.ItemIgnoresTransformations)
    item.setZValue(z)
    return item


def plate_of(shown: Shown, scene: QGraphicsScene) -> QGraphicsPixmapItem:
    """Return the plate of a mark, made when it is first asked for."""
    if shown.plate is None:
        shown.plate = unzoomed(PLATE_Z)
        scene.addItem(shown.plate)
        shown.plate.setPos(shown.item.pos())
    return shown.plate


def arrange(
    marks: Iterable[Shown],
    scene: QGraphicsScene,
    aspect: Aspect,
    must: Callable[[Dot | Lozenge], bool],
) -> None:
    """Put labels of lines, then names of landmarks where they cover nothing.

    Names are those of dots, as long as there are few of them; in a crowd only those at the
    ends of the hinge line, and those that ``must`` be shown. A name without room is hidden.
    """
    shown = list(marks)
    dots = [one for one in shown if isinstance(one.mark, Dot | Lozenge)]
    places = [aspect.seen(mark.point) for mark in map(_pointed, dots)]
    covered = [
        _place_label(one, one.mark, scene, aspect, places)
        for one in shown
        if isinstance(one.mark, Line) and one.mark.label is not None
    ]
    few = sum(isinstance(one.mark, Dot) for one in dots) <= plates.MOST
    ends = _hinge_ends(shown)
    named: list[tuple[Shown, plates.Label]] = []
    for one, place in zip(dots, places, strict=True):
        mark = _pointed(one)
        needed = must(mark)
        wanted = needed or (isinstance(mark, Dot) and (few or mark.point in ends))
        if wanted and len(named) < 2 * plates.MOST:
            lead = mark.letter if isinstance(mark, Dot) else mark.written
            pixmap = sprites.plate(text(mark.name), aspect.ratio, lead)
            plate_of(one, scene).setPixmap(pixmap)
            size = pixmap.deviceIndependentSize()
            label = plates.Label(*place, size.width(), size.height(), needed, one.side)
            named.append((one, label))
        elif one.plate is not None:
            one.plate.setVisible(False)
    lines = [
        (aspect.seen(one.mark.start), aspect.seen(one.mark.end))
        for one in shown
        if isinstance(one.mark, Line)
    ]
    labels = [label for _, label in named]
    spots = plates.arrange(
        labels, places, within=aspect.room, taken=covered, lines=lines, cut=_CUT
    )
    for (one, _), spot in zip(named, spots, strict=True):
        plate = plate_of(one, scene)
        plate.setVisible(spot is not None)
        if spot is not None:
            one.side = spot.side
            plate.setOffset(spot.dx, spot.dy)


def _place_label(
    shown: Shown,
    line: Line,
    scene: QGraphicsScene,
    aspect: Aspect,
    places: list[plates.Place],
) -> plates.Rect:
    """Put the label of a line: a scale's beside it, any other on its middle."""
    plate = plate_of(shown, scene)
    pixmap = sprites.plate(text(line.label), aspect.ratio)
    plate.setPixmap(pixmap)
    size = pixmap.deviceIndependentSize().toTuple()
    start, end = aspect.seen(line.start), aspect.seen(line.end)
    if line.kind == "scale":
        share, rect = plates.beside(start, end, size, places, MARKS.plate_gap, aspect.room)
    else:
        share = 0.5
        x, y = (start[0] + end[0]) / 2, (start[1] + end[1]) / 2
        rect = (x - size[0] / 2, y - size[1] / 2, *size)
    anchor = Point(
        line.start.x + (line.end.x - line.start.x) * share,
        line.start.y + (line.end.y - line.start.y) * share,
    )
    plate.setPos(to_place(anchor))
    x, y = aspect.seen(anchor)
    plate.setOffset(rect[0] - x, rect[1] - y)
    return rect


def _pointed(shown: Shown) -> Dot | Lozenge:
    assert isinstance(shown.mark, Dot | Lozenge)
    return shown.mark


def _hinge_ends(marks: Iterable[Shown]) -> set[Point]:
    ends: set[Point] = set()
    for shown in marks:
        if isinstance(shown.mark, Line) and shown.mark.kind == "hinge":
            ends |= {shown.mark.start, shown.mark.end}
    return ends
