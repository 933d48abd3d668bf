"""A picture to move about in: zoom about a place, pan, turn; no marks and no tools yet."""

from __future__ import annotations

from collections.abc import Sequence
from math import atan2, degrees, hypot

from PySide6.QtCore import QEvent, QPointF, QRect, QRectF, QSize, Qt, QTimer, Signal
from PySide6.QtGui import (
    QColor,
    QImage,
    QNativeGestureEvent,
    QPainter,
    QResizeEvent,
    QTransform,
    QWheelEvent,
)
from PySide6.QtWidgets import QFrame, QGraphicsScene, QGraphicsView, QWidget

from app.canvas.door import to_place, to_point, to_rect
from app.canvas.pyramid import PyramidItem
from app.style import fonts, palette
from app.style.follow import follow
from app.style.tokens import MARKS
from landmarks.geometry import Box, Point
from landmarks.sentences import Sentence, text

STEP = 1.25
"""One press of the zoom key."""

MOST_ZOOM = 40.0
LEAST_OF_FIT = 0.4
"""The picture is never shown smaller than this share of what fits."""

RING = 2
"""Width of the focus ring around the picture."""

_MARGIN = 2.5
_SETTLE_MS = 120


class PictureView(QGraphicsView):
    """A picture at full-resolution coordinates, zoomed, turned and moved by our own hand.

    Zoom is in logical screen pixels per picture pixel. Until somebody zooms, the picture
    stays fitted to the window.
    """

    viewed = Signal(float)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        # A view does not keep its scene alive by itself: the parent does.
        self.setScene(QGraphicsScene(self))
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setViewportMargins(RING, RING, RING, RING)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        # Qt's own anchor uses the last real place of the mouse; ours is told.
        self.setTransformationAnchor(QGraphicsView.ViewportAnchor.NoAnchor)
        self.setResizeAnchor(QGraphicsView.ViewportAnchor.NoAnchor)
        self.setRenderHint(QPainter.RenderHint.Antialiasing)
        self.setOptimizationFlag(QGraphicsView.OptimizationFlag.DontAdjustForAntialiasing)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self._picture = PyramidItem()
        self.scene().addItem(self._picture)
        self._size = QSize()
        self._degrees = 0.0
        self._fitted: Box | None = None
        self._words = ""
        self._settled = QTimer(self, singleShot=True, interval=_SETTLE_MS)
        self._settled.timeout.connect(self._come_to_rest)
        follow(self._restyle)

    # ------------------------------------------------------------------ the picture

    def begin_picture(self, size: QSize, levels: Sequence[QImage] = ()) -> None:
        """Show another picture: its upright full size, and the copies at hand, if any.

        Points can be placed from this moment on, whatever copies come later.
        """
        self._size = QSize(size)
        self._words = ""
        self._picture.set_size(size)
        self._picture.set_levels(levels)
        frame = QRectF(0, 0, size.width(), size.height())
        more = _MARGIN * max(size.width(), size.height())
        self.setSceneRect(frame.adjusted(-more, -more, more, more))
        self._degrees = 0.0
        self.fit()

    def set_levels(self, levels: Sequence[QImage]) -> None:
        """Show better copies of the same picture, largest first."""
        self._picture.set_levels(levels)
        self.viewport().update()

    def clear_picture(self, words: Sentence | None = None) -> None:
        """Show no picture, and what can be done about it."""
        self.begin_picture(QSize())
        self._words = "" if words is None else text(words)
        self.viewport().update()

    @property
    def picture_size(self) -> QSize:
        """Return the upright full size; empty without a picture."""
        return QSize(self._size)

    # ------------------------------------------------------------------ the view

    @property
    def zoom(self) -> float:
        """Return the logical screen pixels per picture pixel."""
        transform = self.transform()
        return hypot(transform.m11(), transform.m12())

    @property
    def degrees(self) -> float:
        """Return how far the picture is turned, clockwise, in degrees."""
        return self._degrees

    def fit(self, region: Box | None = None) -> None:
        """Show the whole picture, or a region of it, as large as there is room."""
        self._fitted = region or Box(0, 0, self._size.width(), self._size.height())
        self._fit_again()

    def actual_size(self) -> None:
        """Show one picture pixel on one pixel of the screen."""
        self._zoom_to(1.0 / self.devicePixelRatioF(), self._middle())

    def zoom_in(self) -> None:
        """Come one step nearer."""
        self.zoom_at(self._middle(), STEP)

    def zoom_out(self) -> None:
        """Go one step back."""
        self.zoom_at(self._middle(), 1 / STEP)

    def zoom_at(self, place: QPointF, factor: float) -> None:
        """Zoom so that what lies under a place of the viewport stays there."""
        self._zoom_to(self.zoom * factor, place)

    def turn(self, by_degrees: float) -> None:
        """Turn the picture clockwise about the middle of the view."""
        self._fitted = None
        self._degrees = (self._degrees + by_degrees) % 360
        self._transform(self._middle(), self.zoom)

    def upright(self) -> None:
        """Turn the picture back as it was taken."""
        self.turn(-self._degrees)

    def level(self, a: Point, b: Point, below: Point | None = None) -> None:
        """Turn the picture so that two points lie level, by the shorter way.

        With ``below``, that point comes to lie under their line: hinge level, umbo down.
        """
        if a == b:
            return
        lies = degrees(atan2(b.y - a.y, b.x - a.x))
        wanted = -lies if abs(_folded(lies + self._degrees)) <= 90 else 180 - lies
        if below is not None:
            side = (b.x - a.x) * (below.y - a.y) - (b.y - a.y) * (below.x - a.x)
            wanted = -lies if side >= 0 else 180 - lies
        self.turn(_folded(wanted - self._degrees))

    def pan(self, dx: float, dy: float) -> None:
        """Move the picture by logical pixels; some of it stays in the middle."""
        self._fitted = None
        across, down = self.horizontalScrollBar(), self.verticalScrollBar()
        before = across.value(), down.value()
        across.setValue(before[0] - round(dx))
        down.setValue(before[1] - round(dy))
        if not self.sees_picture():
            across.setValue(before[0])
            down.setValue(before[1])
        self._start_moving()

    def sees_picture(self) -> bool:
        """Return whether the middle of the view is near enough to the picture."""
        half = QPointF(self.viewport().width() * 0.45, self.viewport().height() * 0.45)
        middle = self._middle()
        seen = self.mapToScene(QRectF(middle - half, middle + half).toRect())
        frame = QRectF(0, 0, self._size.width(), self._size.height())
        return seen.boundingRect().intersects(frame)

    def place_at(self, viewport_place: QPointF) -> Point:
        """Return the picture point under a place of the viewport, not rounded to pixels."""
        inverse, possible = self.viewportTransform().inverted()
        return to_point(inverse.map(viewport_place)) if possible else Point(0.0, 0.0)

    def place_of(self, point: Point) -> QPointF:
        """Return the place of the viewport where a picture point lies."""
        return self.viewportTransform().map(to_place(point))

    # ------------------------------------------------------------------ for the heir

    def _come_to_rest(self) -> None:
        """Take notice that the view has stopped moving."""

    def _start_moving(self) -> None:
        """Take notice that the view moves."""
        self._settled.start()

    def _restyle(self) -> None:
        self.setBackgroundBrush(QColor(palette.colours().canvas))
        self.update()

    # ------------------------------------------------------------------ Qt

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Zoom about the pointer; a touch pad's two fingers pan, unless Ctrl is held."""
        pixels = event.pixelDelta()
        by_touch = not pixels.isNull() and event.phase() != Qt.ScrollPhase.NoScrollPhase
        if by_touch and not event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            self.pan(pixels.x(), pixels.y())
        else:
            turned = event.angleDelta().y() or event.angleDelta().x()
            self.zoom_at(event.position(), STEP ** (turned / 120))
        event.accept()

    def viewportEvent(self, event: QEvent) -> bool:
        """Zoom by pinching."""
        if (
            isinstance(event, QNativeGestureEvent)
            and event.gestureType() == Qt.NativeGestureType.ZoomNativeGesture
        ):
            self.zoom_at(event.position(), 1.0 + event.value())
            return True
        return super().viewportEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Keep a fitted picture fitted, another one's middle in the middle."""
        super().resizeEvent(event)
        if self._fitted is not None:
            self._fit_again()

    def drawBackground(self, painter: QPainter, rect: QRectF | QRect) -> None:
        """Draw the grey, and the words where there is no picture."""
        super().drawBackground(painter, rect)
        if self._size.isEmpty() and self._words:
            painter.save()
            painter.resetTransform()
            painter.setFont(fonts.font("body"))
            painter.setPen(QColor(MARKS.light))
            painter.drawText(
                self.viewport().rect(),
                Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap,
                self._words,
            )
            painter.restore()

    def event(self, event: QEvent) -> bool:
        """Draw the focus ring around the viewport, where scrolling does not smear it."""
        done = super().event(event)
        if event.type() == QEvent.Type.Paint:
            painter = QPainter(self)
            colours = palette.colours()
            painter.fillRect(
                self.rect(), QColor(colours.accent if self.hasFocus() else colours.canvas)
            )
            painter.end()
        return done

    # ------------------------------------------------------------------ helpers

    def _middle(self) -> QPointF:
        return QRectF(self.viewport().rect()).center()

    def _least_zoom(self) -> float:
        frame = Box(0, 0, self._size.width(), self._size.height())
        return min(self._zoom_for(frame) * LEAST_OF_FIT, 1.0)

    def _zoom_for(self, region: Box) -> float:
        turned = QTransform().rotate(self._degrees).mapRect(to_rect(region))
        if turned.isEmpty():
            return 1.0
        view = self.viewport().rect()
        room_x, room_y = max(1, view.width()), max(1, view.height())
        return min(room_x / turned.width(), room_y / turned.height(), MOST_ZOOM)

    def _fit_again(self) -> None:
        assert self._fitted is not None
        zoom = self._zoom_for(self._fitted)
        self._set_transform(zoom)
        self.centerOn(to_place(self._fitted.centre))
        self._tell_view()

    def _zoom_to(self, zoom: float, place: QPointF) -> None:
        self._fitted = None
        self._transform(place, min(max(zoom, self._least_zoom()), MOST_ZOOM))

    def _transform(self, place: QPointF, zoom: float) -> None:
        """Zoom and turn, with the picture point under ``place`` staying there."""
        anchor = self.place_at(place)
        self._set_transform(zoom)
        shift = self.place_at(place)
        self.translate(shift.x - anchor.x, shift.y - anchor.y)
        self._tell_view()

    def _set_transform(self, zoom: float) -> None:
        self.setTransform(QTransform().rotate(self._degrees).scale(zoom, zoom))

    def _tell_view(self) -> None:
        self._start_moving()
        self.viewed.emit(self.zoom)


def _folded(angle: float) -> float:
    """Return an angle between -180 and 180 degrees."""
    return (angle + 180) % 360 - 180
