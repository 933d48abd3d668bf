"""The sheet of the sorting table: groups as cards with their pictures, changed by hand.

One area that paints itself: only what is in sight is painted, and thumbnails are asked for
in the order in which they are seen. Everything the mouse does has a key.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

from PySide6.QtCore import QEvent, QPointF, QRectF, Qt, QTimer, Signal
from PySide6.QtGui import (
    QAccessible,
    QAccessibleEvent,
    QHelpEvent,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QResizeEvent,
)
from PySide6.QtWidgets import (
    QAbstractScrollArea,
    QApplication,
    QLineEdit,
    QToolTip,
    QWidget,
)

from app.background.pictures import PictureLoader
from app.panels.fields import one_line
from app.panels.sorting_paint import SheetPainter
from app.panels.sorting_places import (
    AGAIN,
    GROUP,
    LEFT_OUT,
    WORDS,
    Places,
    Section,
    Sizes,
    laid_out,
)
from app.panels.sorting_thumbs import SortingThumbs
from app.panels.view_choice import VIEW_KEYS
from app.session.sorting import Sorting
from app.style import palette
from app.style.follow import follow
from app.style.fonts import line_height, scaled
from app.style.widgets.painted import plain_tip
from landmarks import intake
from landmarks.sentences import say, text

ZOOMS = (0.75, 1.0, 1.3, 1.6)
_SCROLL_MS = 30
_Keys = Qt.Key
_Modifier = Qt.KeyboardModifier


class SortingSheet(QAbstractScrollArea):
    """Cards and tiles; what is done here goes to the sorting.

    Signals
    -------
    chosen()
        The selection, or the picture with the keyboard, is another one.
    """

    chosen = Signal()

    def __init__(
        self, sorting: Sorting, loader: PictureLoader, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._sorting = sorting
        self._zoom = 1
        self._told: tuple[tuple[int, int], tuple[str, ...]] = (0, 0), ()
        self.places = Places()
        self.selected: set[str] = set()
        self.current = ""
        self._anchor = ""
        self._pressed: QPointF | None = None
        self._pressed_key = ""
        self._dragging = False
        self._band: QRectF | None = None
        self._kept: frozenset[str] = frozenset()
        self._pointer = QPointF()
        self.thumbs = SortingThumbs(loader, self._in_view_order, self)
        self._painter = SheetPainter(sorting, self.thumbs)
        self.thumbs.arrived.connect(self._thumbnail_came)
        self.field = QLineEdit(self.viewport())
        self.field.setAccessibleName(say("sorting.number"))
        self.field.hide()
        self.field.editingFinished.connect(self._numbered)
        self._numbering = -1
        self._scroller = QTimer(self)
        self._scroller.setInterval(_SCROLL_MS)
        self._scroller.timeout.connect(self._scroll_on)
        self.setAccessibleName(say("sorting.sheet"))
        self.setFrameShape(QAbstractScrollArea.Shape.NoFrame)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.viewport().setMouseTracking(True)
        self.verticalScrollBar().valueChanged.connect(lambda _: self._scrolled())
        sorting.changed.connect(self.renew)
        follow(self.renew)

    # -- laid out --------------------------------------------------------------------------

    def renew(self) -> None:
        """Lay everything out anew, keeping what is seen where it is."""
        sorting = self._sorting
        here = self.places.tile(self.current)
        offset = None if here is None else here.top() - self._top()
        self.places = laid_out(
            tuple(self._sections()), float(self.viewport().width()), self._sizes()
        )
        self.selected &= sorting.shots.keys()
        if self.current not in sorting.shots:
            self.current = ""
        self._fit_bar()
        there = self.places.tile(self.current)
        in_sight = offset is not None and 0 <= offset < self.viewport().height()
        if there is not None and offset is not None and in_sight:
            self.verticalScrollBar().setValue(round(there.top() - offset))
        self._place_field()
        self.viewport().update()
        self.thumbs.go_on()
        self.chosen.emit()

    def _sections(self) -> Iterable[Section]:
        sorting = self._sorting
        for one in sorting.groups:
            yield Section(GROUP, one.shots, one.id)
        apart = sorting.apart
        again = tuple(key for key in apart if key in sorting.again)
        left_out = tuple(key for key in apart if key not in sorting.again)
        if again:
            yield Section(AGAIN, again)
        if left_out:
            yield Section(LEFT_OUT, left_out)
        lines = self.sentences()
        if lines:
            yield Section(WORDS, lines=lines)

    def sentences(self) -> tuple[str, ...]:
        """Return what is to be said of files: those refused, then notes."""
        sorting = self._sorting
        known = len(sorting.found), len(sorting.refused)
        if known != self._told[0]:
            sentences = [one.why for one in sorting.refused]
            sentences += [note for one in sorting.found.values() for note in one.notes]
            self._told = known, tuple(one_line(text(one)) for one in sentences)
        return self._told[1]

    def _sizes(self) -> Sizes:
        zoom = ZOOMS[self._zoom]
        return Sizes(
            (scaled(116 * zoom), scaled(87 * zoom)),
            2 * line_height("caption") + 2,
            line_height("small_strong") + line_height("caption") + 6,
            scaled(212),
        )

    def _fit_bar(self) -> None:
        bar, high = self.verticalScrollBar(), self.viewport().height()
        bar.setRange(0, max(0, round(self.places.height) - high))
        bar.setPageStep(high)
        bar.setSingleStep(scaled(48))

    def zoom(self, by: int) -> None:
        """Show larger or smaller thumbnails."""
        self._zoom = min(max(self._zoom + by, 0), len(ZOOMS) - 1)
        self.renew()

    def _top(self) -> float:
        return float(self.verticalScrollBar().value())

    def _in_view_order(self) -> Iterable[str]:
        """Yield every picture: those in sight, those below, those above."""
        top, high = self._top(), float(self.viewport().height())
        seen = self.places.keys_in(QRectF(0, top, 1e6, high))
        yield from seen
        if not self.places.order:
            return
        first = self.places.order.index(seen[0]) if seen else 0
        yield from self.places.order[first:]
        yield from self.places.order[:first]

    def _scrolled(self) -> None:
        self._place_field()
        if self.places.order:
            seen = self.places.keys_in(
                QRectF(0, self._top() - 2000, 1e6, self.viewport().height() + 4000.0)
            )
            self.thumbs.make_room(seen)
        self.thumbs.go_on()
        self.viewport().update()

    def _thumbnail_came(self, key: str) -> None:
        tile = self.places.tile(key)
        if tile is not None:
            self.viewport().update(tile.translated(0, -self._top()).toAlignedRect())

    # -- chosen ----------------------------------------------------------------------------

    def chosen_keys(self) -> tuple[str, ...]:
        """Return the selected pictures in order, or the one with the keyboard."""
        found = tuple(key for key in self.places.order if key in self.selected)
        return found or ((self.current,) if self.current else ())

    def group_here(self) -> int:
        """Return the group of the picture with the keyboard, or -1."""
        card = self.places.card_of(self.current)
        return card.section.group if card is not None else -1

    def select(self, keys: Iterable[str], current: str = "") -> None:
        """Select pictures."""
        self.selected = set(keys)
        self._go_to(current or self.current)

    def _go_to(self, key: str) -> None:
        self.current = key
        tile = self.places.tile(key)
        if tile is not None and self._pressed is None:
            self._show(tile)
        self._say()
        self.viewport().update()
        self.chosen.emit()

    def _show(self, tile: QRectF) -> None:
        bar, high = self.verticalScrollBar(), self.viewport().height()
        head = self._sizes().head + 14
        above = tile.top() - head
        if above < bar.value():
            bar.setValue(round(above))
        elif tile.bottom() + 8 > bar.value() + high:
            # Where there is no room for both, the head is what must be seen.
            bar.setValue(round(min(tile.bottom() + 8 - high, above)))

    def _say(self) -> None:
        """Tell a screen reader what the keyboard is at."""
        self.setAccessibleDescription(self.spoken(self.current))
        event = QAccessibleEvent(self, QAccessible.Event.DescriptionChanged)
        QAccessible.updateAccessibility(event)

    def spoken(self, key: str) -> str:
        """Return a picture in words: its file, time, view and group."""
        card = self.places.card_of(key)
        if card is None:
            return ""
        at = card.section.keys.index(key) + 1
        view, title = self._sorting.now.views.get(key, ""), self._painter.title(card)
        parts = [
            one_line(self._sorting.shots[key].name),
            self._painter.time(key),
            say(f"view.{view}") if view else "",
            say("sorting.place", n=at, of=len(card.section.keys), group=title),
            say("sorting.selected") if key in self.selected else "",
        ]
        return ", ".join(one for one in parts if one)

    # -- mouse -----------------------------------------------------------------------------

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Begin to select, to drag or to draw a band; a click into a number writes it."""
        if event.button() != Qt.MouseButton.LeftButton:
            return
        self.setFocus(Qt.FocusReason.MouseFocusReason)
        point = self._at(event)
        self._pressed, self._pointer, self._dragging = point, point, False
        card, key = self.places.card_at(point), self.places.key_at(point)
        held = event.modifiers()
        self._kept = frozenset()
        if key:
            self._press_tile(key, held)
        elif (
            card is not None
            and card.section.keys
            and card.head(self._sizes()).contains(point)
        ):
            self._pressed_key = card.section.keys[0]
            more = bool(held & _Modifier.ControlModifier)
            self.select(
                {*card.section.keys, *(self.selected if more else ())}, card.section.keys[0]
            )
        else:
            wider = held & (_Modifier.ControlModifier | _Modifier.ShiftModifier)
            self._kept = frozenset(self.selected) if wider else frozenset()
            self._pressed_key = ""
            self.select(self._kept)
            self._band = QRectF(point, point)

    def _press_tile(self, key: str, held: Qt.KeyboardModifier) -> None:
        self._pressed_key = key
        if held & _Modifier.ShiftModifier and self._anchor in self.places.order:
            self.select(self._between(self._anchor, key), key)
        elif held & _Modifier.ControlModifier:
            self._anchor = key
            self.select(self.selected ^ {key}, key)
        else:
            self._anchor = key
            if key not in self.selected:
                self.select({key}, key)
            else:
                self._go_to(key)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Drag what is selected, or widen the band."""
        self._pointer = self._at(event)
        if self._pressed is None:
            return
        far = (self._pointer - self._pressed).manhattanLength()
        if self._band is not None:
            self._widen()
        elif self._pressed_key and far >= QApplication.startDragDistance():
            self._dragging = bool(self.selected)
        if self._dragging or self._band is not None:
            self._scroller.start()
        self.viewport().update()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """Drop what is dragged; a click on one of several selects it alone."""
        if event.button() != Qt.MouseButton.LeftButton or self._pressed is None:
            return
        self._pointer = self._at(event)
        self._scroller.stop()
        dragged, key = self._dragging, self._pressed_key
        banded = self._band is not None
        self._pressed, self._dragging, self._band = None, False, None
        plain = not event.modifiers() & (
            _Modifier.ControlModifier | _Modifier.ShiftModifier
        )
        if dragged:
            self._drop(self._pointer)
        elif not banded and key and plain and self.places.key_at(self._pointer) == key:
            self.select({key}, key)
        self.viewport().update()

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """Write the number of a group."""
        card = self.places.card_at(self._at(event))
        if card is not None and card.section.kind == GROUP:
            self.write_number(card.section.group)

    def _widen(self) -> None:
        assert self._pressed is not None
        self._band = QRectF(self._pressed, self._pointer).normalized()
        self.selected = {*self._kept, *self.places.keys_in(self._band)}
        self.chosen.emit()

    def _drop(self, point: QPointF) -> None:
        keys = self.chosen_keys()
        card = self.places.card_at(point)
        if card is None:
            self._sorting.split(keys)
        elif card.section.kind == GROUP:
            before = self.places.before_at(card, point)
            self._sorting.move(keys, card.section.group, before)
        elif card.section.kind in (LEFT_OUT, AGAIN):
            self._sorting.leave_out(keys)
        self._show_current()

    def _show_current(self) -> None:
        tile = self.places.tile(self.current)
        if tile is not None:
            self._show(tile)

    def _scroll_on(self) -> None:
        """Scroll while something is dragged to the edge."""
        bar, high = self.verticalScrollBar(), self.viewport().height()
        y = self._pointer.y() - bar.value()
        edge = scaled(36)
        by = -edge / 2 if y < edge else edge / 2 if y > high - edge else 0
        if by and self._pressed is not None:
            before = bar.value()
            bar.setValue(round(before + by))
            self._pointer += QPointF(0, bar.value() - before)
            if self._band is not None:
                self._widen()
            self.viewport().update()
        elif self._pressed is None:
            self._scroller.stop()

    def _at(self, event: QMouseEvent) -> QPointF:
        return event.position() + QPointF(0, self._top())

    def _between(self, first: str, last: str) -> set[str]:
        ends = sorted(self.places.order.index(key) for key in (first, last))
        return set(self.places.order[ends[0] : ends[1] + 1])

    # -- keys ------------------------------------------------------------------------------

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Go about with the arrow keys; letters and figures change what is selected."""
        key, held = _Keys(event.key()), event.modifiers()
        steps = {
            _Keys.Key_Left: (-1, 0),
            _Keys.Key_Right: (1, 0),
            _Keys.Key_Up: (0, -1),
            _Keys.Key_Down: (0, 1),
        }
        plain = not held & ~(_Modifier.ShiftModifier | _Modifier.KeypadModifier)
        if key in steps and not held & _Modifier.AltModifier:
            self._step(self.places.beside(self.current, *steps[key]), held)
        elif key in (_Keys.Key_Home, _Keys.Key_End) and self.places.order:
            self._step(self.places.order[0 if key == _Keys.Key_Home else -1], held)
        elif key in (_Keys.Key_PageUp, _Keys.Key_PageDown):
            super().keyPressEvent(event)
        elif key == _Keys.Key_Space and self.current:
            self.select(self.selected ^ {self.current})
        elif key == _Keys.Key_A and held & _Modifier.ControlModifier:
            self.select(self._sorting.now.proposal.shots)
        elif plain and self._by_key(key, event.text()):
            pass
        else:
            event.ignore()

    def _by_key(self, key: Qt.Key, letter: str) -> bool:
        deeds: dict[Qt.Key, Callable[[], object]] = {
            _Keys.Key_M: self.merge,
            _Keys.Key_S: self.split,
            _Keys.Key_B: self.split_here,
            _Keys.Key_N: self.number,
            _Keys.Key_F2: self.number,
            _Keys.Key_Delete: self.leave_out,
            _Keys.Key_T: self.take_along,
            _Keys.Key_BracketLeft: lambda: self.move_by(-1),
            _Keys.Key_BracketRight: lambda: self.move_by(1),
            _Keys.Key_Plus: lambda: self.zoom(1),
            _Keys.Key_Minus: lambda: self.zoom(-1),
            _Keys.Key_Backspace: lambda: self.give_view(""),
        }
        view = VIEW_KEYS.get(letter.upper()) if letter else None
        if view is not None:
            self.give_view(view)
        elif key in deeds:
            deeds[key]()
        else:
            return False
        return True

    def _step(self, key: str, held: Qt.KeyboardModifier) -> None:
        if not key:
            return
        if held & _Modifier.ShiftModifier:
            anchor = self._anchor if self._anchor in self.places.order else self.current
            self._anchor = anchor or key
            self.select(self._between(self._anchor, key), key)
        elif held & _Modifier.ControlModifier:
            self._go_to(key)
        else:
            self._anchor = key
            self.select({key}, key)

    # -- deeds -----------------------------------------------------------------------------

    def merge(self) -> None:
        """Make one group of all that hold selected pictures; of one alone, with the next."""
        sorting, keys = self._sorting, self.chosen_keys()
        homes = {one for key in keys if (one := sorting.group_of(key)) is not None}
        if len(homes) == 1:
            ids = [one.id for one in sorting.groups]
            following = next(iter(sorting.groups[ids.index(homes.pop()) + 1 :]), None)
            keys = (*keys, *(following.shots if following is not None else ()))
        sorting.merge(keys)

    def split(self) -> None:
        """Give the selected pictures a group of their own."""
        self._sorting.split(self.chosen_keys())
        self._show_current()

    def split_here(self) -> None:
        """Divide the group before the picture with the keyboard."""
        self._sorting.split_before(self.current)

    def move_by(self, by: int) -> None:
        """Give the selected pictures to the group after (1) or before (-1) theirs."""
        ids = [one.id for one in self._sorting.groups]
        here = self.group_here()
        if here in ids and 0 <= ids.index(here) + by < len(ids):
            self._sorting.move(self.chosen_keys(), ids[ids.index(here) + by])
            self._show_current()

    def leave_out(self) -> None:
        """Leave the selected pictures out."""
        self._sorting.leave_out(self.chosen_keys())

    def take_along(self) -> None:
        """Take selected pictures in that were apart."""
        self._sorting.take_along(self.chosen_keys())

    def give_view(self, view: str) -> None:
        """Say which view the selected pictures show."""
        self._sorting.give_view(self.chosen_keys(), view)

    def number(self) -> None:
        """Write the number of the group with the keyboard."""
        if self.group_here() >= 0:
            self.write_number(self.group_here())

    def write_number(self, group: int) -> None:
        """Open the field for the number of a group."""
        self._numbering = group
        first = self.places.tile(self._sorting.now.proposal.group(group).shots[0])
        if first is not None:
            self._show(first)
        proposal = self._sorting.now.proposal
        self.field.setText(proposal.group(group).number)
        before = [one.number for one in proposal.groups if one.number and one.id != group]
        usual = intake.next_number(before[-1]) if before else ""
        self.field.setPlaceholderText(usual or say("sorting.number"))
        self.field.selectAll()
        self._place_field()
        self.field.show()
        self.field.setFocus()

    def _place_field(self) -> None:
        if self._numbering < 0:
            return
        card = next(
            (one for one in self.places.cards if one.section.group == self._numbering), None
        )
        if card is None:
            self._numbering = -1
            self.field.hide()
            return
        head = card.head(self._sizes()).translated(0, -self._top())
        head.setHeight(max(line_height("small_strong") + 8, 26))
        self.field.setGeometry(head.toRect())

    def _numbered(self) -> None:
        group, self._numbering = self._numbering, -1
        if group >= 0:
            words = self.field.text()
            if self.field.hasFocus():
                self.setFocus()
            self.field.hide()
            self._sorting.number(group, words)

    def event(self, event: QEvent) -> bool:
        """Keep Esc and Enter of the number field from the rest of the window."""
        if event.type() == QEvent.Type.KeyPress and self.field.hasFocus():
            assert isinstance(event, QKeyEvent)
            if event.key() == Qt.Key.Key_Escape:
                self._numbering = -1
                self.field.hide()
                self.setFocus()
                return True
            if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
                self.setFocus()
                return True
        return super().event(event)

    def viewportEvent(self, event: QEvent) -> bool:
        """Show as a tool tip what a card or a tile has no room for."""
        if isinstance(event, QHelpEvent):
            point = QPointF(event.pos()) + QPointF(0, self._top())
            key, card = self.places.key_at(point), self.places.card_at(point)
            words = self.spoken(key) if key else ""
            if not key and card is not None and card.section.kind == GROUP:
                words = f"{self._painter.title(card)}\n{self._painter.why(card)}"
            elif not key and card is not None:
                words = "\n".join(card.section.lines)
            QToolTip.showText(event.globalPos(), plain_tip(words), self.viewport())
            return True
        return super().viewportEvent(event)

    # -- painted ---------------------------------------------------------------------------

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Lay out anew where the width changes."""
        super().resizeEvent(event)
        if event.size() != event.oldSize():
            self.renew()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint the cards in sight."""
        painter = QPainter(self.viewport())
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.fillRect(event.rect(), palette.colour("ground"))
        top = self._top()
        painter.translate(0, -top)
        seen = QRectF(event.rect()).translated(0, top)
        sizes = self._sizes()
        target = self.places.card_at(self._pointer) if self._dragging else None
        for card in self.places.within(seen.top(), seen.bottom()):
            if card.rect.intersects(seen):
                self._painter.paint_card(painter, card, sizes, target=card is target)
                for key, tile in zip(card.section.keys, card.tiles, strict=True):
                    if tile.intersects(seen):
                        self._painter.paint_tile(
                            painter,
                            key,
                            tile,
                            sizes,
                            chosen=key in self.selected,
                            faint=self._dragging and key in self.selected,
                            focused=key == self.current and self.hasFocus(),
                        )
        if self._band is not None:
            painter.setPen(palette.colour("accent"))
            soft = palette.colour("accent_soft")
            soft.setAlphaF(0.5)
            painter.setBrush(soft)
            painter.drawRect(self._band)
        if self._dragging:
            self._painter.paint_dragged(
                painter, self._pointer, len(self.chosen_keys()), target, self.places, sizes
            )
        painter.end()
