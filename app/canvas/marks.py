"""The marks of a figure in the scene, kept up to date by difference."""

from __future__ import annotations

from collections.abc import Iterable

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPixmap
from PySide6.QtWidgets import QGraphicsItem, QGraphicsPixmapItem, QGraphicsScene

from app.canvas import names, sprites
from app.canvas.door import to_place, to_point
from app.canvas.hits import handles, hit_at
from app.canvas.lines import FrameItem, LineItem, OutlineItem, ZoomedItem
from app.canvas.names import Aspect, Shown, plate_of, unzoomed
from app.canvas.tools import Hit
from app.canvas.work_marks import QuadItem, TicksItem
from landmarks.figures import (
    Again,
    Dot,
    Figure,
    FrameBox,
    Line,
    Lozenge,
    Mark,
    Outline,
    Quad,
    Ticks,
)
from landmarks.geometry import Point
from landmarks.outputs import plates
from landmarks.sentences import text

Key = tuple[str, str, str, int]

HEAVY_FROM = 3000
"""Points of outlines from which a frame would take longer than the screen gives."""

_Z = {
    "frame": 1.0,
    "outline": 2.0,
    "scale": 3.0,
    "ticks": 3.5,
    "hinge": 4.0,
    "measure": 5.0,
    "corners": 9.0,
}
_Z_MARK, _Z_LIT, _Z_CHOSEN = 10.0, 11.0, 12.0


class MarkLayer:
    """All marks of the picture, with which of them are hovered and which is selected."""

    def __init__(self, scene: QGraphicsScene) -> None:
        self._scene = scene
        self._shown: dict[Key, Shown] = {}
        self._aspect = Aspect()
        self._lit: frozenset[str] = frozenset()
        self._hovered: tuple[str, int] | None = None
        self._selected: tuple[str, int] | None = None
        self._small: frozenset[str] = frozenset()
        self._moving = False

    @property
    def selected(self) -> tuple[str, int] | None:
        """Return the id and the index of the selected mark."""
        return self._selected

    def show(self, figure: Figure | None) -> None:
        """Show the marks of a figure, touching only what differs from the one before."""
        marks = {} if figure is None else _keyed(figure.marks)
        gone = self._shown.keys() - marks.keys()
        for key in gone:
            self._remove(self._shown.pop(key))
        changed = bool(gone)
        for key, mark in marks.items():
            shown = self._shown.get(key)
            if shown is None:
                self._shown[key] = shown = Shown(mark, self._add(mark))
                self._place(shown)
            elif shown.mark is not mark and shown.mark != mark:
                shown.mark = mark
                self._place(shown)
            else:
                continue
            # No name stands beside an outline; one follows the pointer while it is traced.
            changed |= not isinstance(mark, Outline)
        if changed:
            self._arrange()

    def set_aspect(self, aspect: Aspect) -> None:
        """Follow the view; names are arranged anew by :meth:`settle`."""
        ratio_changed = aspect.ratio != self._aspect.ratio
        zoom_changed = aspect.zoom != self._aspect.zoom
        self._aspect = aspect
        for shown in self._shown.values():
            if zoom_changed and isinstance(shown.item, ZoomedItem):
                shown.item.set_zoom(aspect.zoom)
            if ratio_changed:
                self._draw(shown)

    def set_moving(self, *, moving: bool) -> None:
        """Draw outlines lightly while the view moves, where there is much of them."""
        moving = moving and self._n_outline_points() > HEAVY_FROM
        if moving == self._moving:
            return
        self._moving = moving
        for shown in self._shown.values():
            if isinstance(shown.item, OutlineItem):
                shown.item.set_moving(moving=moving)

    def settle(self) -> None:
        """Arrange names for the view as it is now."""
        self._arrange()

    def restyle(self) -> None:
        """Draw every mark anew: type sizes have changed."""
        sprites.forget()
        for shown in self._shown.values():
            shown.drawn = ()
            self._draw(shown)
        self._arrange()

    def light(self, landmarks: Iterable[str]) -> None:
        """Show the marks of these landmarks as hovered."""
        self._change(lit=frozenset(landmarks))

    def hover(self, hit: Hit | None) -> None:
        """Show one mark as hovered."""
        self._change(hovered=None if hit is None else (hit.id, hit.index))

    def select(self, id: str, index: int) -> None:
        """Show one mark as selected; an empty id: none."""
        self._change(selected=(id, index) if id else None)

    def point_of(self, id: str, index: int) -> Point | None:
        """Return where a mark lies."""
        for handle in handles(self._shown.values()):
            if (handle.id, handle.index) == (id, index):
                return handle.point
        return None

    def points(self) -> list[Point]:
        """Return the points of all marks but outlines and frames."""
        return [handle.point for handle in handles(self._shown.values())]

    def plates(self) -> list[tuple[Point, QRectF]]:
        """Return where the names now shown are held, and what each covers around there."""
        plates = (shown.plate for shown in self._shown.values())
        return [
            (to_point(one.pos()), one.boundingRect())
            for one in plates
            if one is not None and one.isVisible()
        ]

    def hit(self, point: Point, own: str = "", *, armed: bool = False) -> Hit | None:
        """Return the mark under a point, as :func:`app.canvas.hits.hit_at` finds it."""
        shown, chosen = self._shown.values(), self._selected
        return hit_at(shown, self._aspect, point, own, armed=armed, chosen=chosen)

    def _change(
        self,
        lit: frozenset[str] | None = None,
        hovered: tuple[str, int] | str | None = "",
        selected: tuple[str, int] | str | None = "",
    ) -> None:
        """Change what is lit, hovered or selected, and draw the marks that this touches."""
        before = self._lit, self._hovered, self._selected
        if lit is not None:
            self._lit = lit
        if not isinstance(hovered, str):
            self._hovered = hovered
        if not isinstance(selected, str):
            self._selected = selected
        if before == (self._lit, self._hovered, self._selected):
            return
        for shown in self._shown.values():
            self._draw(shown)
        self._arrange()

    def _add(self, mark: Mark) -> QGraphicsItem:
        item: QGraphicsItem
        match mark:
            case Dot() | Lozenge() | Again():
                item = unzoomed(_Z_MARK)
            case Line():
                item = LineItem(mark.kind)
                item.setZValue(_Z.get(mark.kind, _Z["measure"]))
            case Outline():
                item = OutlineItem()
                item.setZValue(_Z["outline"])
                item.set_moving(moving=self._moving)
            case FrameBox():
                item = FrameItem()
                item.setZValue(_Z["frame"])
            case Ticks():
                item = TicksItem()
                item.setZValue(_Z["ticks"])
            case Quad():
                item = QuadItem()
                item.setZValue(_Z["corners"])
        if isinstance(item, ZoomedItem):
            item.set_zoom(self._aspect.zoom)
        self._scene.addItem(item)
        return item

    def _remove(self, shown: Shown) -> None:
        self._scene.removeItem(shown.item)
        if shown.plate is not None:
            self._scene.removeItem(shown.plate)

    def _place(self, shown: Shown) -> None:
        """Put a mark where it belongs."""
        mark, item = shown.mark, shown.item
        match mark:
            case Dot() | Lozenge() | Again():
                item.setPos(to_place(mark.point))
                if shown.plate is not None:
                    shown.plate.setPos(to_place(mark.point))
            case Line():
                assert isinstance(item, LineItem)
                item.show_line(mark.start, mark.end)
            case Outline():
                assert isinstance(item, OutlineItem)
                item.show_outline(mark)
            case FrameBox():
                pass
            case Ticks():
                assert isinstance(item, TicksItem)
                item.show_ticks(mark)
            case Quad():
                assert isinstance(item, QuadItem)
                item.show_quad(mark)
        self._draw(shown)

    def _draw(self, shown: Shown) -> None:
        """Give a mark the look of its state."""
        mark, item, ratio = shown.mark, shown.item, self._aspect.ratio
        match mark:
            case Dot() | Lozenge():
                assert isinstance(item, QGraphicsPixmapItem)
                state = self._state(mark)
                small = mark.landmark in self._small
                square = isinstance(mark, Lozenge) and mark.square
                shown_number = "" if isinstance(mark, Dot) or small else mark.written
                drawn = (state, shown_number, ratio, square)
                if drawn == shown.drawn:
                    return
                shown.drawn = drawn
                if isinstance(mark, Dot):
                    pixmap = sprites.dot(state, ratio)
                else:
                    pixmap = sprites.lozenge(shown_number, state, ratio, square=square)
                _centre(item, pixmap)
                item.setZValue(
                    _Z_CHOSEN if "selected" in state else _Z_LIT if state else _Z_MARK
                )
            case Line():
                if mark.label is None and shown.plate is not None:
                    shown.plate.setVisible(False)
                elif shown.plate is not None:
                    shown.plate.setVisible(True)
            case Outline():
                assert isinstance(item, OutlineItem)
                chosen = (mark.id, -1) in (self._hovered, self._selected)
                item.set_lively(lively=chosen or mark.landmark in self._lit)
            case FrameBox():
                assert isinstance(item, FrameItem)
                lit = (mark.id, 0) in (self._hovered, self._selected)
                item.show_frame(mark, lit=lit)
                words = text(mark.name) if mark.current or lit else ""
                number = str(mark.number)
                pixmap = (
                    sprites.plate(words, ratio, number)
                    if words
                    else sprites.plate(number, ratio)
                )
                plate = plate_of(shown, self._scene)
                plate.setPixmap(pixmap)
                plate.setOffset(8, 8)
                plate.setPos(mark.box.x, mark.box.y)
            case Again():
                assert isinstance(item, QGraphicsPixmapItem)
                pixmap = sprites.again(ratio)
                _centre(item, pixmap)
            case Ticks():
                pass
            case Quad():
                assert isinstance(item, QuadItem)
                item.show_states(
                    [self._state_of(mark.id, at) for at in range(len(mark.points))], ratio
                )

    def _state(self, mark: Dot | Lozenge) -> sprites.State:
        return self._state_of(mark.id, mark.index, lit=mark.landmark in self._lit)

    def _state_of(self, id: str, index: int, *, lit: bool = False) -> sprites.State:
        hovered = (id, index) == self._hovered or lit
        if (id, index) == self._selected:
            return "hovered selected" if hovered else "selected"
        return "hovered" if hovered else ""

    def _arrange(self) -> None:
        """Choose which series are drawn small, which names are shown, and where."""
        small = plates.crowded_series(
            (one.mark for one in self._shown.values()), self._aspect.zoom
        )
        if small != self._small:
            changed, self._small = small ^ self._small, small
            for shown in self._shown.values():
                if isinstance(shown.mark, Lozenge) and shown.mark.landmark in changed:
                    self._draw(shown)
        names.arrange(self._shown.values(), self._scene, self._aspect, self._must_name)

    def _n_outline_points(self) -> int:
        marks = (shown.mark for shown in self._shown.values())
        return sum(len(mark.points) for mark in marks if isinstance(mark, Outline))

    def _must_name(self, mark: Dot | Lozenge) -> bool:
        return (mark.id, mark.index) in (self._hovered, self._selected) or (
            isinstance(mark, Dot) and mark.landmark in self._lit
        )


def _centre(item: QGraphicsPixmapItem, pixmap: QPixmap) -> None:
    """Show a pixmap with its middle on the place of an item."""
    item.setPixmap(pixmap)
    size = pixmap.deviceIndependentSize()
    item.setOffset(-size.width() / 2, -size.height() / 2)


def _keyed(marks: Iterable[Mark]) -> dict[Key, Mark]:
    """Return the marks by what they are, so that a moved mark is known again."""
    keyed: dict[Key, Mark] = {}
    for mark in marks:
        match mark:
            case Dot() | Lozenge() | Again():
                key: Key = (type(mark).__name__, mark.id, mark.landmark, mark.index)
            case Line():
                key = ("Line", mark.id, mark.kind, 0)
            case Outline():
                key = ("Outline", mark.id, mark.landmark, 0)
            case FrameBox():
                key = ("FrameBox", mark.id, "", 0)
            case Ticks() | Quad():
                key = (type(mark).__name__, mark.id, "", 0)
        while key in keyed:
            key = (key[0], key[1], key[2], key[3] + 100_000)
        keyed[key] = mark
    return keyed
