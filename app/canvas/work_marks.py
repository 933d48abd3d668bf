"""What instruments draw over the picture: ticks of a graduation, corners of a plane."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from PySide6.QtCore import QLineF, QPointF, Qt
from PySide6.QtGui import QColor, QPainter, QPen, QPolygonF
from PySide6.QtWidgets import (
    QGraphicsItem,
    QGraphicsPixmapItem,
    QStyleOptionGraphicsItem,
    QWidget,
)

from app.canvas import sprites
from app.canvas.door import to_place
from app.canvas.lines import ZoomedItem
from app.style import palette
from app.style.tokens import MARKS
from landmarks.figures import Quad, Ticks
from landmarks.geometry import usual_step

LEAST_STEP_PX = 4.0
"""Ticks nearer to each other than this on the screen are passed over, evenly."""

_Stroke = tuple[QColor | str, float]
_CASE = sprites.case()
_FOUND: tuple[_Stroke, ...] = ((_CASE, MARKS.tick_case), (MARKS.scale, MARKS.tick_line))
_FAINT: tuple[_Stroke, ...] = (
    (palette.faint(MARKS.dark, 0.35), MARKS.tick_case),
    (palette.faint(MARKS.scale, 0.6), MARKS.tick_line),
)
_SIDES: tuple[_Stroke, ...] = ((_CASE, MARKS.scale_case), (MARKS.scale, MARKS.scale_line))


class TicksItem(ZoomedItem):
    """The ticks that were found: strokes where the fit uses them, rings where it does not."""

    def __init__(self) -> None:
        super().__init__()
        self._used: list[QPointF] = []
        self._left_out: list[QPointF] = []
        self._across = QPointF(0, 1)
        self._step = 0.0
        self._faint = False

    def show_ticks(self, ticks: Ticks) -> None:
        """Stand at these places."""
        self._used = list(map(to_place, ticks.used))
        self._left_out = list(map(to_place, ticks.left_out))
        self._across = QPointF(-ticks.along.y, ticks.along.x)
        self._faint = ticks.faint
        self._step = usual_step(ticks.used)
        self._set_core(QPolygonF([*self._used, *self._left_out]).boundingRect())
        self.update()

    def paint(
        self,
        painter: QPainter,
        option: QStyleOptionGraphicsItem,
        _widget: QWidget | None = None,
    ) -> None:
        """Draw what is exposed, at a step that the screen can show."""
        zoom, ratio = self._zoom, float(painter.device().devicePixelRatio())
        reach = MARKS.tick_half / zoom
        seen = option.exposedRect.adjusted(-reach, -reach, reach, reach)
        half = self._across * reach
        stride = stride_of(self._step, zoom)
        lines = [
            QLineF(place - half, place + half)
            for place in self._used[::stride]
            if seen.contains(place)
        ]
        painter.setBrush(Qt.BrushStyle.NoBrush)
        radius = MARKS.tick_ring / zoom
        for pen in _pens("faint" if self._faint else "found", ratio):
            painter.setPen(pen)
            painter.drawLines(lines)
            for place in self._left_out:
                if seen.contains(place):
                    painter.drawEllipse(place, radius, radius)


class QuadItem(ZoomedItem):
    """Corners around the specimen: numbered squares, joined in order."""

    def __init__(self) -> None:
        super().__init__()
        self._sides: list[QLineF] = []
        self._corners: list[QGraphicsPixmapItem] = []

    def show_quad(self, quad: Quad) -> None:
        """Stand at these corners; four of them are closed."""
        places = list(map(to_place, quad.points))
        ends = [*places[1:], places[0]] if len(places) == 4 else places[1:]
        self._sides = [QLineF(a, b) for a, b in zip(places, ends, strict=len(places) == 4)]
        while len(self._corners) > len(places):
            gone = self._corners.pop()
            gone.setParentItem(None)  # type: ignore[arg-type]
            if gone.scene() is not None:
                gone.scene().removeItem(gone)
        while len(self._corners) < len(places):
            made = QGraphicsPixmapItem(self)
            made.setFlag(QGraphicsItem.GraphicsItemFlag.ItemIgnoresTransformations)
            self._corners.append(made)
        for corner, place in zip(self._corners, places, strict=True):
            corner.setPos(place)
        self._set_core(QPolygonF(places).boundingRect())
        self.update()

    def show_states(self, states: Sequence[sprites.State], ratio: float) -> None:
        """Give every corner the look of its state."""
        pairs = zip(self._corners, states, strict=True)
        for number, (corner, state) in enumerate(pairs, 1):
            pixmap = sprites.corner(number, state, ratio)
            corner.setPixmap(pixmap)
            size = pixmap.deviceIndependentSize()
            corner.setOffset(-size.width() / 2, -size.height() / 2)

    def paint(
        self,
        painter: QPainter,
        _option: QStyleOptionGraphicsItem,
        _widget: QWidget | None = None,
    ) -> None:
        """Draw the sides; the corners draw themselves."""
        for pen in _pens("sides", float(painter.device().devicePixelRatio())):
            painter.setPen(pen)
            painter.drawLines(self._sides)


def stride_of(step: float, zoom: float) -> int:
    """Return every how-manieth tick is drawn: 1, 2, 5, 10 … as on a ruler.

    >>> stride_of(3.0, 2.0), stride_of(3.0, 1.0), stride_of(3.0, 0.25), stride_of(0.0, 1.0)
    (1, 2, 10, 1)
    """
    if step <= 0:
        return 1
    power = 1
    while True:
        for factor in (1, 2, 5):
            if step * zoom * factor * power >= LEAST_STEP_PX:
                return factor * power
        power *= 10


@lru_cache(maxsize=16)
def _pens(kind: str, ratio: float) -> tuple[QPen, ...]:
    """Return pens that do not zoom, from the dark case to the core."""
    strokes = {"found": _FOUND, "faint": _FAINT, "sides": _SIDES}[kind]
    pens = []
    for colour, width in strokes:
        pen = QPen(QColor(colour), width * ratio)
        pen.setCosmetic(True)
        pen.setCapStyle(Qt.PenCapStyle.FlatCap)
        pens.append(pen)
    return tuple(pens)
