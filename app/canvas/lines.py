"""Lines, outlines and frames: items that zoom with the picture while their pens do not."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from itertools import pairwise
from math import hypot

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen, QPolygonF
from PySide6.QtWidgets import QGraphicsItem, QStyleOptionGraphicsItem, QWidget

from app.canvas import sprites
from app.canvas.door import to_place, to_rect
from app.style.tokens import MARKS
from landmarks.figures import FrameBox, Outline
from landmarks.geometry import Point

PIECE = 64
"""Points drawn at a time: a whole antialiased outline is dearer than the photograph."""

LEAST_STEP_PX = 2.5
"""Points of an outline nearer than this on the screen are passed over."""

_REACH_PX = 14.0
"""How far anything is drawn beyond its points, in logical screen pixels."""

_ROUND, _FLAT = Qt.PenCapStyle.RoundCap, Qt.PenCapStyle.FlatCap


class ZoomedItem(QGraphicsItem):
    """An item whose pens keep their width on the screen, so its bounds follow the zoom."""

    def __init__(self) -> None:
        super().__init__()
        self._zoom = 1.0
        self._core = QRectF()
        self.setFlag(QGraphicsItem.GraphicsItemFlag.ItemUsesExtendedStyleOption)

    def set_zoom(self, zoom: float) -> None:
        """Take the logical screen pixels per picture pixel."""
        self.prepareGeometryChange()
        self._zoom = zoom

    def boundingRect(self) -> QRectF:
        """Return the frame of the points, widened by what pens and ticks need."""
        reach = _REACH_PX / self._zoom
        return self._core.adjusted(-reach, -reach, reach, reach)

    def _set_core(self, core: QRectF) -> None:
        if core != self._core:
            self.prepareGeometryChange()
            self._core = core


class LineItem(ZoomedItem):
    """A hinge line, a scale line or the line of a hovered measure.

    A hinge line is dashed while its second end is ``following`` the pointer.
    """

    def __init__(self, kind: str, *, following: bool = False) -> None:
        super().__init__()
        self._kind = f"{kind} following" if following and kind == "hinge" else kind
        self._ticks = kind == "scale"
        self._line = QLineF()

    def show_line(self, start: Point, end: Point) -> None:
        """Lie between two points."""
        line = QLineF(to_place(start), to_place(end))
        self._set_core(QRectF(line.p1(), line.p2()).normalized())
        self._line = line
        self.update()

    def paint(
        self,
        painter: QPainter,
        _option: QStyleOptionGraphicsItem,
        _widget: QWidget | None = None,
    ) -> None:
        """Draw the line from its dark case to its light core."""
        lines = [self._line, *self._tick_lines()]
        for pen in _pens(self._kind, _ratio(painter)):
            painter.setPen(pen)
            painter.drawLines(lines)

    def _tick_lines(self) -> list[QLineF]:
        length = self._line.length()
        if not self._ticks or length == 0:
            return []
        half = MARKS.scale_tick / 2 / self._zoom
        across = QPointF(-self._line.dy() * half / length, self._line.dx() * half / length)
        ends = (self._line.p1(), self._line.p2())
        return [QLineF(end - across, end + across) for end in ends]


class OutlineItem(ZoomedItem):
    """A path or an outline, kept in pieces so that little is drawn and little is rebuilt."""

    def __init__(self) -> None:
        super().__init__()
        self._points: tuple[Point, ...] = ()
        self._closed = False
        self._provisional = False
        self._places: list[QPointF] = []
        self._bounds: list[QRectF] = []
        self._drawn: dict[tuple[int, int], QPolygonF] = {}
        self.lively = False
        self.moving = False

    def show_outline(self, outline: Outline) -> None:
        """Lie along these points; only pieces that changed are rebuilt."""
        points, closed = outline.points, outline.closed
        self._provisional = outline.provisional
        if len(points) != len(self._points) or closed != self._closed:
            self._points, self._closed = points, closed
            self._places = list(map(to_place, points))
            self._drawn.clear()
            self._bounds = [
                _bounds(self._piece(first))
                for first in range(0, max(1, len(points)), PIECE)
            ]
        else:
            self._replace_points(points)
        core = QRectF()
        for bounds in self._bounds:
            core = core.united(bounds)
        self._set_core(core)

    def set_lively(self, *, lively: bool) -> None:
        """Show the vertices of a path while it is hovered or at work."""
        if lively != self.lively:
            self.lively = lively
            self.update()

    def set_moving(self, *, moving: bool) -> None:
        """Draw thinner lines, ten times as fast, while the whole view moves."""
        if moving != self.moving:
            self.moving = moving
            self.update()

    def near(self, point: Point, reach: float) -> bool:
        """Return whether the line passes within ``reach`` picture pixels of a point."""
        here = to_place(point)
        for at, bounds in enumerate(self._bounds):
            if bounds.adjusted(-reach, -reach, reach, reach).contains(here):
                piece = self._piece(at * PIECE)
                pairs = pairwise(piece)
                if any(_span_to(here, a, b) <= reach for a, b in pairs):
                    return True
        return False

    def paint(
        self,
        painter: QPainter,
        option: QStyleOptionGraphicsItem,
        _widget: QWidget | None = None,
    ) -> None:
        """Draw the exposed pieces, first their case, then their colour."""
        reach = 4.0 / self._zoom
        seen = option.exposedRect.adjusted(-reach, -reach, reach, reach)
        stride = self._stride()
        pieces = [
            self._polygon(at * PIECE, stride)
            for at, bounds in enumerate(self._bounds)
            if _meet(bounds, seen)
        ]
        if self.moving:
            _draw_fast(painter, pieces)
            return
        kind = "outline" if self._closed else "path"
        kind = "provisional" if self._provisional else kind
        for pen in _pens(kind, _ratio(painter)):
            painter.setPen(pen)
            for piece in pieces:
                painter.drawPolyline(piece)
        if self.lively and not self._closed:
            self._draw_vertices(painter, seen)

    def _replace_points(self, points: tuple[Point, ...]) -> None:
        if points is self._points:
            return
        before, self._points = self._points, points
        last = len(self._bounds) - 1
        for at in range(len(self._bounds)):
            first = at * PIECE
            stop = first + PIECE + 1
            same = before[first:stop] == points[first:stop]
            if same and not (at == last and self._closed and before[0] != points[0]):
                continue
            self._places[first:stop] = list(map(to_place, points[first:stop]))
            for key in [key for key in self._drawn if key[0] == first]:
                del self._drawn[key]
            dirty = self._bounds[at]
            self._bounds[at] = _bounds(self._piece(first))
            reach = _REACH_PX / self._zoom
            self.update(
                dirty.united(self._bounds[at]).adjusted(-reach, -reach, reach, reach)
            )

    def _piece(self, first: int) -> list[QPointF]:
        piece = self._places[first : first + PIECE + 1]
        if self._closed and first + PIECE >= len(self._places) and self._places:
            piece = [*piece, self._places[0]]
        return piece

    def _stride(self) -> int:
        """Return how many points to go on at a time: a power of two, so kept pieces serve."""
        count = max(1, len(self._places) - 1)
        length = 2 * (self._core.width() + self._core.height())
        step = length * self._zoom / count
        stride = 1
        while step * stride * 2 <= LEAST_STEP_PX * 2 and stride < 16:
            stride *= 2
        return stride

    def _polygon(self, first: int, stride: int) -> QPolygonF:
        key = (first, stride)
        if key not in self._drawn:
            piece = self._piece(first)
            chosen = piece[::stride]
            if piece and (len(piece) - 1) % stride:
                chosen.append(piece[-1])
            self._drawn[key] = QPolygonF(chosen)
        return self._drawn[key]

    def _draw_vertices(self, painter: QPainter, seen: QRectF) -> None:
        half = MARKS.vertex / 2 / self._zoom
        painter.setPen(_pen(MARKS.dark, 1.4, _ratio(painter)))
        painter.setBrush(QColor(MARKS.light))
        for place in self._places:
            if seen.contains(place):
                painter.drawRect(
                    QRectF(place.x() - half, place.y() - half, 2 * half, 2 * half)
                )


class FrameItem(ZoomedItem):
    """The border of a frame: a light line in a dark case; the current one has strong corners."""

    def __init__(self) -> None:
        super().__init__()
        self._rect = QRectF()
        self._current = False
        self._lit = False

    def show_frame(self, frame: FrameBox, *, lit: bool) -> None:
        """Lie along the border of a frame."""
        self._rect = to_rect(frame.box)
        self._current, self._lit = frame.current, lit
        self._set_core(self._rect)
        self.update()

    def paint(
        self,
        painter: QPainter,
        _option: QStyleOptionGraphicsItem,
        _widget: QWidget | None = None,
    ) -> None:
        """Draw the border, and the corners of the current frame."""
        painter.setBrush(Qt.BrushStyle.NoBrush)
        strong = self._current or self._lit
        ratio = _ratio(painter)
        for pen in _pens("frame strong" if strong else "frame", ratio):
            painter.setPen(pen)
            painter.drawRect(self._rect)
        if self._current:
            for pen in _pens("corner", ratio):
                painter.setPen(pen)
                for corner in self._corners():
                    painter.drawPolyline(corner)

    def _corners(self) -> list[QPolygonF]:
        rect = self._rect
        arm = min(18 / self._zoom, rect.width() / 3, rect.height() / 3)
        return [
            QPolygonF([QPointF(x + sx * arm, y), QPointF(x, y), QPointF(x, y + sy * arm)])
            for x, y, sx, sy in (
                (rect.left(), rect.top(), 1, 1),
                (rect.right(), rect.top(), -1, 1),
                (rect.left(), rect.bottom(), 1, -1),
                (rect.right(), rect.bottom(), -1, -1),
            )
        ]


def _ratio(painter: QPainter) -> float:
    return float(painter.device().devicePixelRatio())


def _pen(
    colour: QColor | str,
    width: float,
    ratio: float,
    cap: Qt.PenCapStyle = _ROUND,
    dash: tuple[float, float] | None = None,
) -> QPen:
    """Return a pen that does not zoom; width and dashes in logical pixels."""
    # Qt takes the width of such pens for device pixels, whatever the ratio.
    pen = QPen(QColor(colour), width * ratio)
    pen.setCosmetic(True)
    pen.setCapStyle(cap)
    pen.setJoinStyle(Qt.PenJoinStyle.BevelJoin)
    if dash is not None:
        pen.setDashPattern([length / width for length in dash])
    return pen


_Stroke = tuple[QColor | str, float, Qt.PenCapStyle, tuple[float, float] | None]
_DARK = sprites.case()
_STROKES: dict[str, tuple[_Stroke, ...]] = {
    "scale": (
        (_DARK, MARKS.scale_case, _ROUND, None),
        (MARKS.scale, MARKS.scale_line, _FLAT, None),
    ),
    "hinge": (
        (_DARK, MARKS.hinge_case, _ROUND, None),
        (MARKS.light, MARKS.hinge_light, _ROUND, None),
        (MARKS.hinge, MARKS.hinge_line, _ROUND, None),
    ),
    "hinge following": (
        (_DARK, MARKS.hinge_case, _ROUND, None),
        (MARKS.light, MARKS.hinge_light, _ROUND, None),
        (MARKS.hinge, MARKS.hinge_line, _FLAT, (8.0, 5.0)),
    ),
    "measure": (
        (_DARK, MARKS.measure_case, _ROUND, None),
        (MARKS.light, MARKS.measure_line, _FLAT, MARKS.measure_dash),
    ),
    "outline": (
        (_DARK, MARKS.outline_case, _FLAT, None),
        (MARKS.outline, MARKS.outline_line, _FLAT, None),
    ),
    "path": (
        (_DARK, MARKS.path_case, _FLAT, None),
        (MARKS.outline, MARKS.path_line, _FLAT, None),
    ),
    "provisional": (
        (_DARK, MARKS.hinge_case, _FLAT, None),
        (MARKS.light, MARKS.hinge_light - 1.2, _FLAT, None),
        (MARKS.outline, MARKS.hinge_light - 1.2, _FLAT, (7.0, 5.0)),
    ),
    "frame": ((_DARK, 3.2, _FLAT, None), (MARKS.light, 1.0, _FLAT, None)),
    "frame strong": ((_DARK, 4.6, _FLAT, None), (MARKS.light, 2.0, _FLAT, None)),
    "corner": ((MARKS.dark, 7.0, _FLAT, None), (MARKS.light, 4.0, _FLAT, None)),
}
_SQUARE_CORNERS = ("frame", "frame strong", "corner")


@lru_cache(maxsize=64)
def _pens(kind: str, ratio: float) -> tuple[QPen, ...]:
    """Return the pens of a line, from its dark case to its core."""
    strokes = _STROKES.get(kind, _STROKES["measure"])
    pens = [_pen(colour, width, ratio, cap, dash) for colour, width, cap, dash in strokes]
    if kind in _SQUARE_CORNERS:
        for pen in pens:
            pen.setJoinStyle(Qt.PenJoinStyle.MiterJoin)
    return tuple(pens)


def _draw_fast(painter: QPainter, pieces: Sequence[QPolygonF]) -> None:
    """Draw with pens of one pixel, for which Qt has a way ten times as fast."""
    zoom = painter.worldTransform().m11() or 1.0
    for pen, shift in ((_FAST_DARK, 0.9), (_FAST_DARK, -0.9), (_FAST_HUE, 0.0)):
        painter.save()
        painter.setPen(pen)
        painter.translate(shift / zoom, shift / zoom)
        for piece in pieces:
            painter.drawPolyline(piece)
        painter.restore()


def _bounds(places: Sequence[QPointF]) -> QRectF:
    return QPolygonF(list(places)).boundingRect()


def _meet(bounds: QRectF, seen: QRectF) -> bool:
    """Return whether two rectangles touch; unlike Qt's own, flat ones count."""
    return (
        bounds.left() <= seen.right()
        and bounds.right() >= seen.left()
        and bounds.top() <= seen.bottom()
        and bounds.bottom() >= seen.top()
    )


def _span_to(here: QPointF, a: QPointF, b: QPointF) -> float:
    """Return the distance of a place from the stretch between two others."""
    dx, dy = b.x() - a.x(), b.y() - a.y()
    square = dx * dx + dy * dy
    share = 0.0
    if square:
        share = ((here.x() - a.x()) * dx + (here.y() - a.y()) * dy) / square
        share = min(1.0, max(0.0, share))
    return hypot(here.x() - a.x() - share * dx, here.y() - a.y() - share * dy)


_FAST_DARK = _pen(MARKS.dark, 1.0, 1.0, _FLAT)
_FAST_HUE = _pen(MARKS.outline, 1.0, 1.0, _FLAT)
