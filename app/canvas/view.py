"""The canvas: a picture with its marks, on which landmarks, scales and frames are set."""

from __future__ import annotations

from collections.abc import Sequence
from math import cos, radians, sin

from PySide6.QtCore import QEvent, QPointF, QSize, Qt, Signal
from PySide6.QtGui import (
    QCursor,
    QDragEnterEvent,
    QDragMoveEvent,
    QDropEvent,
    QFocusEvent,
    QImage,
    QKeyEvent,
    QMouseEvent,
)
from PySide6.QtWidgets import QWidget

from app.canvas import sprites
from app.canvas.door import inside
from app.canvas.dropped import files_of
from app.canvas.lines import FrameItem, LineItem, ZoomedItem
from app.canvas.marked import MarkedView
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
from landmarks.figures import FrameBox
from landmarks.geometry import Point
from landmarks.sentences import Sentence

PAN_STEP_PX = 60

_ARROWS = {
    Qt.Key.Key_Left: (-1, 0),
    Qt.Key.Key_Right: (1, 0),
    Qt.Key.Key_Up: (0, -1),
    Qt.Key.Key_Down: (0, 1),
}


class PictureCanvas(MarkedView):
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
        self._arming: Arming | None = None
        self._tool = SelectTool()
        self._rubber: ZoomedItem | None = None
        self._rubber_kind = ""
        self._pan_from: QPointF | None = None
        self._space_held = False
        self._plain = False
        self._pointer: QPointF | None = None
        self._hover_told = ""
        super().__init__(parent)
        self.setMouseTracking(True)
        self.setAcceptDrops(True)
        self._view_changed()

    # ------------------------------------------------------------------ what is armed

    def begin_picture(self, size: QSize, levels: Sequence[QImage] = ()) -> None:
        """Show another picture, without marks yet; what is armed stays armed."""
        self.arm(self._arming)
        super().begin_picture(size, levels)

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
        if files_of(event):
            event.acceptProposedAction()
        else:
            event.ignore()

    def dragMoveEvent(self, event: QDragMoveEvent) -> None:
        """Welcome files."""
        self.dragEnterEvent(event)  # type: ignore[arg-type]

    def dropEvent(self, event: QDropEvent) -> None:
        """Tell which files were dropped."""
        files = files_of(event)
        if files:
            event.acceptProposedAction()
            self.files_dropped.emit(files)

    # ------------------------------------------------------------------ view and overlays

    def _view_changed(self) -> None:
        if self._rubber is not None:
            self._rubber.set_zoom(self.zoom)
        super()._view_changed()

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
        # Ctrl and an arrow go to the next picture or specimen, whatever is chosen here.
        if modifiers & Qt.KeyboardModifier.AltModifier:
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

    def _aim(self, place: QPointF) -> Pointer:
        point = self.place_at(place)
        own = "" if self._arming is None else self._arming.own
        if self._arming is not None and not own and self._plain:
            # With the key held what is armed comes where a mark lies already.
            return Pointer(point, self.zoom)
        hit = self._layer.hit(point, own, armed=self._arming is not None)
        return Pointer(point, self.zoom, hit)

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

    def _loupe_target(self) -> tuple[QPointF | None, Point | None]:
        """Let the loupe follow the pointer while something is placed or moved."""
        aiming = self._tool.aims or self._tool.dragging
        if self._pan_from is not None or not (aiming or self._loupe_wanted):
            return None, None
        if self._pointer is not None:
            return self._pointer, self.place_at(self._pointer)
        return super()._loupe_target()
