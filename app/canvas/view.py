"""The canvas: a picture with its marks, on which landmarks, scales and frames are set."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import cos, radians, sin
from pathlib import Path

from PySide6.QtCore import QEvent, QPointF, QRect, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QCursor,
    QDragEnterEvent,
    QDragMoveEvent,
    QDropEvent,
    QFocusEvent,
    QImage,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QResizeEvent,
)
from PySide6.QtWidgets import QWidget

from app.canvas import sprites
from app.canvas.door import inside
from app.canvas.lines import FrameItem, LineItem, ZoomedItem
from app.canvas.loupe import Loupe
from app.canvas.marks import MarkLayer
from app.canvas.names import Aspect
from app.canvas.navigation import PictureView
from app.canvas.scalebar import ScaleBarOverlay
from app.canvas.tools import (
    Arming,
    Boxed,
    Clicked,
    Dragged,
    Dropped,
    Grabbed,
    Lined,
    Outcomes,
    Picked,
    Pointer,
    Returned,
    Rubber,
    SelectTool,
    box_between,
    tool_for,
)
from landmarks.figures import Figure, FrameBox
from landmarks.geometry import Point
from landmarks.sentences import Sentence

PAN_STEP_PX = 60

_ARROWS = {
    Qt.Key.Key_Left: (-1, 0),
    Qt.Key.Key_Right: (1, 0),
    Qt.Key.Key_Up: (0, -1),
    Qt.Key.Key_Down: (0, 1),
}


class PictureCanvas(PictureView):
    """The picture in the middle of the window.

    It shows a :class:`~landmarks.figures.Figure` and tells what a person did, in picture
    pixels; it never changes the figure itself. Signals:

    * ``clicked(Point, zoom)``: a landmark is placed here, while armed for one;
    * ``dragged(id, index, Point)`` while a mark moves, ``dropped(id, index, Point, zoom)``
      once at the end, ``returned(id, index)`` where Esc gave the move up;
    * ``nudged(id, index, dx, dy)``, ``deleted(id, index)`` by keys;
    * ``picked(id, index)``: a mark is selected, ``("", -1)``: none any more;
    * ``hovered(landmark)``: the landmark under the pointer, or an empty text;
    * ``lined(Point, Point)``, ``boxed(Box)``: a scale line or a frame was drawn;
    * ``pointed(Point | None)``: where the pointer is; ``viewed(zoom)``; ``escaped()``;
    * ``taken_back()``: the last click is not wanted (Backspace, no mark being selected);
    * ``files_dropped(list[Path])``.
    """

    clicked = Signal(object, float)
    dragged = Signal(str, int, object)
    dropped = Signal(str, int, object, float)
    returned = Signal(str, int)
    nudged = Signal(str, int, float, float)
    picked = Signal(str, int)
    deleted = Signal(str, int)
    hovered = Signal(str)
    lined = Signal(object, object)
    boxed = Signal(object)
    pointed = Signal(object)
    escaped = Signal()
    taken_back = Signal()
    files_dropped = Signal(list)

    def __init__(self, parent: QWidget | None = None) -> None:
        self._bar = ScaleBarOverlay()
        self._loupe = Loupe()
        self._loupe_wanted = False
        self._arming: Arming | None = None
        self._tool = SelectTool()
        self._figure: Figure | None = None
        self._rubber: ZoomedItem | None = None
        self._rubber_kind = ""
        self._pan_from: QPointF | None = None
        self._space_held = False
        self._plain = False
        self._pointer: QPointF | None = None
        self._hover_told = ""
        self._marks: MarkLayer | None = None
        super().__init__(parent)
        self._marks = MarkLayer(self.scene())
        self.setMouseTracking(True)
        self.setAcceptDrops(True)
        self._view_changed()

    # ------------------------------------------------------------------ what is shown

    def begin_picture(self, size: QSize, levels: Sequence[QImage] = ()) -> None:
        """Show another picture, without marks yet; what is armed stays armed."""
        self.arm(self._arming)
        self.show_figure(None)
        self.select("", -1)
        self.light(())
        super().begin_picture(size, levels)

    def show_figure(self, figure: Figure | None) -> None:
        """Show these marks; only what differs from the figure before is touched."""
        before, self._figure = self._figure, figure
        self._layer.show(figure)
        ratio = None if figure is None else figure.mm_per_px
        if before is None or figure is None or ratio != before.mm_per_px:
            self._fit_bar()
        if self._loupe.shown:
            self._update_loupe()

    def select(self, id: str, index: int = 0) -> None:
        """Show a mark as selected; an empty id: none. Tells nobody."""
        self._layer.select(id, index)
        self._update_loupe()

    def light(self, landmarks: Iterable[str]) -> None:
        """Show the marks of these landmarks as hovered, as when their measure is hovered."""
        self._layer.light(landmarks)

    def arm(self, arming: Arming | None) -> None:
        """Set what the next click or stroke does; None: select and move."""
        self._arming = arming
        self._tool = tool_for(arming)
        self._show_rubber(Rubber(""))
        if self._pointer is not None and arming is not None and arming.tether is not None:
            self._do(self._tool.move(self._aim(self._pointer), down=False))
        self._choose_pointer()
        self._update_loupe()

    @property
    def arming(self) -> Arming | None:
        """Return what the next click does."""
        return self._arming

    @property
    def plain(self) -> bool:
        """Return whether the key for plain clicks (Shift) was held at the last move or press."""
        return self._plain

    @property
    def selection(self) -> tuple[str, int] | None:
        """Return the id and the index of the selected mark."""
        return self._layer.selected

    def place_of_mark(self, mark: str, index: int) -> Point | None:
        """Return where a mark lies, or None where there is none."""
        return self._layer.point_of(mark, index)

    def set_loupe(self, on: bool) -> None:  # noqa: FBT001
        """Keep the loupe on, or show it only while something is placed or moved."""
        self._loupe_wanted = on
        self._update_loupe()

    @property
    def loupe_on(self) -> bool:
        """Return whether the loupe is kept on."""
        return self._loupe_wanted

    # ------------------------------------------------------------------ mouse

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Take hold of a mark, begin what is armed, or take hold of the picture."""
        place = event.position()
        self._pointer = place
        self._plain = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
        left = event.button() == Qt.MouseButton.LeftButton
        if event.button() == Qt.MouseButton.MiddleButton or (left and self._space_held):
            self._start_pan(place)
        elif left and not self._size.isEmpty():
            self._do(self._tool.press(self._aim(place)))
            self._update_loupe()
        event.accept()

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """Take a quick second press as any other."""
        self.mousePressEvent(event)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Follow the pointer with what is under way, the loupe and the hint line."""
        place = self._pointer = event.position()
        self._plain = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
        if self._pan_from is not None:
            # Whole pixels, the rest kept for the next move: the picture stays at the pointer.
            by = (place - self._pan_from).toPoint()
            self.pan(by.x(), by.y())
            self._pan_from += QPointF(by)
            return
        down = bool(event.buttons() & Qt.MouseButton.LeftButton)
        aim = self._aim(place)
        self._do(self._tool.move(aim, down=down))
        if not down:
            self._follow_hover(aim)
        self._update_loupe()
        size = self._size
        within = 0 <= aim.point.x <= size.width() and 0 <= aim.point.y <= size.height()
        self.pointed.emit(aim.point if within and not size.isEmpty() else None)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """Finish what was under way."""
        if self._pan_from is not None:
            self._pan_from = None
            self._do(self._tool.release(self._aim(event.position())))
            self._choose_pointer()
        elif event.button() == Qt.MouseButton.LeftButton and not self._size.isEmpty():
            self._do(self._tool.release(self._aim(event.position())))
            self._update_loupe()
        event.accept()

    def leaveEvent(self, event: QEvent) -> None:
        """Forget the pointer."""
        self._pointer = None
        self._layer.hover(None)
        self._tell_hovered("")
        self._update_loupe()
        self.pointed.emit(None)
        super().leaveEvent(event)

    # ------------------------------------------------------------------ keys

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Nudge, delete, give up, or hold the picture with the space bar."""
        key = Qt.Key(event.key())
        if key in _ARROWS:
            self._arrow(_ARROWS[key], event.modifiers())
        elif key in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace) and self.selection:
            self.deleted.emit(*self.selection)
        elif key == Qt.Key.Key_Backspace:
            self.taken_back.emit()
        elif key == Qt.Key.Key_Escape:
            self._give_up()
        elif key == Qt.Key.Key_Space:
            self._space_held = True
            self._choose_pointer()
        else:
            event.ignore()

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        """Let go of the picture."""
        if event.key() == Qt.Key.Key_Space and not event.isAutoRepeat():
            self._space_held = False
            self._choose_pointer()
        else:
            event.ignore()

    def focusInEvent(self, event: QFocusEvent) -> None:
        """Show the ring."""
        super().focusInEvent(event)
        self.update()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Take the ring away, and forget a held space bar."""
        self._space_held = False
        self._choose_pointer()
        super().focusOutEvent(event)
        self.update()

    # ------------------------------------------------------------------ files

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        """Welcome files."""
        if _files(event):
            event.acceptProposedAction()
        else:
            event.ignore()

    def dragMoveEvent(self, event: QDragMoveEvent) -> None:
        """Welcome files."""
        self.dragEnterEvent(event)  # type: ignore[arg-type]

    def dropEvent(self, event: QDropEvent) -> None:
        """Tell which files were dropped."""
        files = _files(event)
        if files:
            event.acceptProposedAction()
            self.files_dropped.emit(files)

    # ------------------------------------------------------------------ view and overlays

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Keep the scale bar in its corner."""
        super().resizeEvent(event)
        self._fit_bar()

    def scrollContentsBy(self, dx: int, dy: int) -> None:
        """Scroll; what lies over the picture is drawn anew where it is and where it went."""
        super().scrollContentsBy(dx, dy)
        for rect in (self._bar.rect(), self._loupe.rect()):
            if not rect.isEmpty():
                self.viewport().update(rect)
                self.viewport().update(rect.translated(dx, dy))

    def drawForeground(self, painter: QPainter, rect: QRectF | QRect) -> None:
        """Draw the scale bar and the loupe, in logical pixels of the viewport."""
        if self._size.isEmpty():
            return
        exposed = self.mapFromScene(rect).boundingRect()
        over = [one for one in (self._bar, self._loupe) if one.rect().intersects(exposed)]
        if not over:
            return
        painter.save()
        painter.resetTransform()
        if self._bar in over:
            self._bar.paint(painter)
        if self._loupe in over:
            self._loupe.paint(painter, self._picture.largest, self._size)
        painter.restore()

    def _tell_view(self) -> None:
        self._view_changed()
        super()._tell_view()

    def _start_moving(self) -> None:
        self._layer.set_moving(moving=True)
        super()._start_moving()

    def _come_to_rest(self) -> None:
        self._layer.set_moving(moving=False)
        self._layer.settle()
        self._settle_bar()

    def _restyle(self) -> None:
        super()._restyle()
        if self._marks is not None:
            self._marks.restyle()
            self._fit_bar()

    def _view_changed(self) -> None:
        """Follow a new zoom, turn or device pixel ratio."""
        self._layer.set_aspect(Aspect(self.zoom, self.degrees, self.devicePixelRatioF()))
        if self._rubber is not None:
            self._rubber.set_zoom(self.zoom)
        self._fit_bar()
        self._update_loupe()

    def _fit_bar(self) -> None:
        before = self._bar.rect()
        ratio = None if self._figure is None else self._figure.mm_per_px
        self._bar.fit(ratio, self.zoom, self.viewport().size())
        self._bar.avoid(self._mark_places())
        for rect in (before, self._bar.rect()):
            self.viewport().update(rect)

    def _settle_bar(self) -> None:
        before = self._bar.rect()
        self._bar.avoid(self._mark_places())
        if before != self._bar.rect():
            self.viewport().update(before)
            self.viewport().update(self._bar.rect())

    def _mark_places(self) -> list[tuple[float, float]]:
        places = map(self.place_of, self._layer.points())
        return [(place.x(), place.y()) for place in places]

    # ------------------------------------------------------------------ what happened

    def _do(self, outcomes: Outcomes) -> None:
        """Show and tell what a tool made of the pointer."""
        for one in outcomes:
            match one:
                case Clicked():
                    self.clicked.emit(one.point, one.zoom)
                case Picked():
                    if (one.id, one.index) != (self.selection or ("", -1)):
                        self.select(one.id, one.index)
                    self.picked.emit(one.id, one.index)
                case Dragged():
                    self.dragged.emit(one.id, one.index, self._inside(one.point))
                case Dropped():
                    point = self._inside(one.point)
                    self.dropped.emit(one.id, one.index, point, one.zoom)
                case Returned():
                    self.returned.emit(one.id, one.index)
                case Lined():
                    self.lined.emit(self._inside(one.start), self._inside(one.end))
                case Boxed():
                    box = one.box
                    corner = Point(box.x + box.width, box.y + box.height)
                    cut = box_between(
                        self._inside(Point(box.x, box.y)), self._inside(corner)
                    )
                    if cut.width > 0 and cut.height > 0:
                        self.boxed.emit(cut)
                case Rubber():
                    self._show_rubber(one)
                case Grabbed():
                    if self._pointer is not None:
                        self._start_pan(self._pointer)

    def _give_up(self) -> None:
        given_up = self._tool.escape()
        if given_up is not None:
            self._do(given_up)
        else:
            self.arm(None)
            self.escaped.emit()
        self._update_loupe()

    def _arrow(self, way: tuple[int, int], modifiers: Qt.KeyboardModifier) -> None:
        if self.selection is None or self.selection[1] < 0:
            self.pan(-way[0] * PAN_STEP_PX, -way[1] * PAN_STEP_PX)
            return
        step = 1.0
        if modifiers & Qt.KeyboardModifier.ControlModifier:
            step = 0.1
        elif modifiers & Qt.KeyboardModifier.ShiftModifier:
            step = 10.0
        # The mark goes where the arrow points on the screen, however the picture is turned.
        turn = radians(-self.degrees)
        dx = step * (cos(turn) * way[0] - sin(turn) * way[1])
        dy = step * (sin(turn) * way[0] + cos(turn) * way[1])
        self.nudged.emit(*self.selection, round(dx, 9) + 0.0, round(dy, 9) + 0.0)

    def _follow_hover(self, aim: Pointer) -> None:
        self._layer.hover(aim.hit)
        self._tell_hovered("" if aim.hit is None else aim.hit.landmark)
        self._choose_pointer(over_mark=aim.hit is not None)

    def _tell_hovered(self, landmark: str) -> None:
        if landmark != self._hover_told:
            self._hover_told = landmark
            self.hovered.emit(landmark)

    # ------------------------------------------------------------------ helpers

    @property
    def _layer(self) -> MarkLayer:
        assert self._marks is not None
        return self._marks

    def _aim(self, place: QPointF) -> Pointer:
        point = self.place_at(place)
        own = "" if self._arming is None else self._arming.own
        return Pointer(point, self.zoom, self._layer.hit(point, own))

    def _inside(self, point: Point) -> Point:
        return inside(point, self._size.width(), self._size.height())

    def _start_pan(self, place: QPointF) -> None:
        self._pan_from = place
        self._choose_pointer()

    def _choose_pointer(self, *, over_mark: bool = False) -> None:
        """Give the pointer the look of what a press would do."""
        if self._pan_from is not None:
            wanted = QCursor(Qt.CursorShape.ClosedHandCursor)
        elif self._space_held:
            wanted = QCursor(Qt.CursorShape.OpenHandCursor)
        elif over_mark:
            wanted = QCursor(Qt.CursorShape.PointingHandCursor)
        elif self._arming is not None and self._arming.tool == "frame":
            wanted = QCursor(Qt.CursorShape.CrossCursor)
        elif self._arming is not None:
            wanted = sprites.target_cursor(self.devicePixelRatioF())
        else:
            wanted = QCursor(Qt.CursorShape.ArrowCursor)
        self.viewport().setCursor(wanted)

    def _show_rubber(self, rubber: Rubber) -> None:
        if rubber.kind != self._rubber_kind:
            if self._rubber is not None:
                self.scene().removeItem(self._rubber)
            self._rubber, self._rubber_kind = None, rubber.kind
        if not rubber.kind:
            return
        if self._rubber is None:
            is_frame = rubber.kind == "frame"
            self._rubber = (
                FrameItem() if is_frame else LineItem(rubber.kind, following=True)
            )
            self._rubber.setZValue(15)
            self._rubber.set_zoom(self.zoom)
            self.scene().addItem(self._rubber)
        if isinstance(self._rubber, FrameItem):
            box = box_between(self._inside(rubber.start), self._inside(rubber.end))
            frame = FrameBox("", box, 0, Sentence(""), current=False)
            self._rubber.show_frame(frame, lit=True)
        elif isinstance(self._rubber, LineItem):
            self._rubber.show_line(rubber.start, rubber.end)

    def _update_loupe(self) -> None:
        """Put the loupe beside the pointer, or beside the selected mark, or away."""
        before = self._loupe.rect()
        place, point = self._loupe_target()
        if place is None or point is None or self._size.isEmpty():
            self._loupe.hide()
        else:
            view = self.viewport().size()
            self._loupe.put(place, point, view, self.zoom, self.degrees)
        for rect in (before, self._loupe.rect()):
            if not rect.isEmpty():
                self.viewport().update(rect)

    def _loupe_target(self) -> tuple[QPointF | None, Point | None]:
        aiming = self._tool.aims or self._tool.dragging
        if self._pan_from is not None or not (aiming or self._loupe_wanted):
            return None, None
        if self._pointer is not None:
            return self._pointer, self.place_at(self._pointer)
        if self._loupe_wanted and self.selection is not None:
            point = self._layer.point_of(*self.selection)
            if point is not None:
                return self.place_of(point), point
        return None, None


def _files(event: QDropEvent) -> list[Path]:
    return [Path(url.toLocalFile()) for url in event.mimeData().urls() if url.isLocalFile()]
