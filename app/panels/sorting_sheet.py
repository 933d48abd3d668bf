"""The sheet of the sorting table: groups as cards with their pictures, changed by hand.

One area that paints itself: only what is in sight is painted, and thumbnails are asked for
in the order in which they are seen. Everything the mouse does (:mod:`sorting_mouse`) has a
key (:mod:`sorting_keys`).
"""

from __future__ import annotations

from collections.abc import Collection, Iterable

from PySide6.QtCore import QEvent, QPointF, QRectF, Qt, Signal
from PySide6.QtGui import (
    QAccessible,
    QAccessibleEvent,
    QFocusEvent,
    QHelpEvent,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QResizeEvent,
)
from PySide6.QtWidgets import QAbstractScrollArea, QToolTip, QWidget

from app.background.pictures import PictureLoader
from app.panels.fields import one_line
from app.panels.sorting_choice import Choice
from app.panels.sorting_deeds import SheetDeeds
from app.panels.sorting_keys import press
from app.panels.sorting_large import LargePicture
from app.panels.sorting_mouse import SheetMouse
from app.panels.sorting_number import NumberField
from app.panels.sorting_paint import CardPainter
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
from app.panels.sorting_tiles import TilePainter
from app.session.sorting import Sorting
from app.style import palette
from app.style.follow import follow
from app.style.fonts import line_height, scaled
from app.style.widgets.painted import plain_tip
from landmarks.sentences import say, text

ZOOMS = (0.75, 1.0, 1.3, 1.6)
MANY_TILES = 40
"""More than these are painted sooner all together."""


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
        self.sorting = sorting
        self._zoom = 1
        self._told: tuple[tuple[int, int], tuple[str, ...]] = (0, 0), ()
        self._laid: tuple[object, ...] = ()
        self._seen: set[str] = set()
        self._focused = ""
        self.places = Places()
        self.choice = Choice(lambda: self.places, self)
        self.mouse = SheetMouse(self)
        self.deeds: SheetDeeds = SheetDeeds(self)
        self.thumbs = SortingThumbs(loader, self._in_view_order, self)
        self._cards, self._tiles = CardPainter(sorting), TilePainter(sorting, self.thumbs)
        self.field = NumberField(self)
        self.large: LargePicture = LargePicture(self, loader)
        self.setAccessibleName(say("sorting.sheet"))
        self.setFrameShape(QAbstractScrollArea.Shape.NoFrame)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.viewport().setMouseTracking(True)
        self.verticalScrollBar().valueChanged.connect(lambda _: self._scrolled())
        self.thumbs.arrived.connect(self._thumbnail_came)
        self.choice.changed.connect(self._chosen)
        sorting.changed.connect(self.renew)
        follow(self._restyle)

    @property
    def selected(self) -> set[str]:
        """Return the selected pictures."""
        return self.choice.selected

    @property
    def current(self) -> str:
        """Return the picture with the keyboard, or ``""``."""
        return self.choice.current

    @property
    def top(self) -> float:
        """Return how far down the sheet is scrolled."""
        return float(self.verticalScrollBar().value())

    def select(self, keys: Iterable[str], current: str = "") -> None:
        """Select pictures."""
        self.choice.select(keys, current)

    # -- laid out --------------------------------------------------------------------------

    def renew(self) -> None:
        """Lay out anew what changed, keeping what is seen where it is."""
        sorting, sizes = self.sorting, self._sizes()
        lines, width = self.sentences(), self.viewport().width()
        shown = sorting.now.proposal, len(sorting.shots), sorting.again
        laid = *shown, lines, width, sizes
        if not _same(laid, self._laid):
            self._laid = laid
            self._lay_out(width, sizes)
        self.choice.keep_to(sorting.shots.keys())
        if not sorting.reading:
            self._begin_here()
        self.field.place()
        self.viewport().update()
        self.thumbs.go_on()
        self.chosen.emit()

    def _lay_out(self, width: int, sizes: Sizes) -> None:
        here = self.places.tile(self.current)
        offset = None if here is None else here.top() - self.top
        self.places = laid_out(self._sections(), float(width), sizes)
        bar, high = self.verticalScrollBar(), self.viewport().height()
        self._fit_bar()
        there = self.places.tile(self.current)
        in_sight = offset is not None and 0 <= offset < high
        if there is not None and offset is not None and in_sight:
            bar.setValue(round(there.top() - offset))

    def _sections(self) -> Iterable[Section]:
        sorting = self.sorting
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
        sorting = self.sorting
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

    def _restyle(self) -> None:
        self._cards.forget()
        self._tiles.forget()
        self.renew()

    def _in_view_order(self) -> Iterable[str]:
        """Yield every picture: those in sight, those below, those above."""
        top, high = self.top, float(self.viewport().height())
        seen = self.places.keys_in(QRectF(0, top, 1e6, high))
        yield from seen
        if not self.places.order:
            return
        first = self.places.order.index(seen[0]) if seen else 0
        yield from self.places.order[first:]
        yield from self.places.order[:first]

    def _scrolled(self) -> None:
        self.field.place()
        if self.places.order:
            seen = self.places.keys_in(
                QRectF(0, self.top - 2000, 1e6, self.viewport().height() + 4000.0)
            )
            self.thumbs.make_room(seen)
        self.thumbs.go_on()
        self.viewport().update()

    def _thumbnail_came(self, key: str) -> None:
        self._update_tiles((key,))

    # -- chosen ----------------------------------------------------------------------------

    def _begin_here(self) -> None:
        """Bring the keyboard, where it is on the sheet, to the first picture if to none."""
        if self.hasFocus() and not self.current and self.places.order:
            self.choice.go_to(self.places.order[0])

    def show_current(self) -> None:
        """Scroll to the picture with the keyboard, its head above it."""
        tile = self.places.tile(self.current)
        if tile is not None:
            self.show_tile(tile)

    def _chosen(self) -> None:
        was, self._seen = self._seen, {*self.selected, self.current}
        if not self.mouse.is_down:
            self.show_current()
        self._say()
        # A tile that was at the keyboard looks otherwise also where it stays selected.
        self._update_tiles((was ^ self._seen) | {self.current, self._focused})
        self._focused = self.current
        self.chosen.emit()

    def _update_tiles(self, keys: Collection[str]) -> None:
        """Paint tiles again; all that is in sight where they are many."""
        if len(keys) > MANY_TILES:
            self.viewport().update()
            return
        for tile in (self.places.tile(key) for key in keys):
            if tile is not None:
                self.viewport().update(tile.translated(0, -self.top).toAlignedRect())

    def show_tile(self, tile: QRectF) -> None:
        """Scroll to where a tile is seen, with the head of its card where there is room."""
        bar, high = self.verticalScrollBar(), self.viewport().height()
        above = tile.top() - self.places.sizes.head - 14
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
        """Return a picture in words: its file, time, view, group, and why it is not seen."""
        card = self.places.card_of(key)
        if card is None:
            return ""
        at = card.section.keys.index(key) + 1
        view, title = self.sorting.now.views.get(key, ""), self._cards.title(card)
        parts = [
            one_line(self.sorting.shots[key].name),
            self._tiles.time(key),
            say(f"view.{view}") if view else "",
            say("sorting.place", n=at, of=len(card.section.keys), group=title),
            say("sorting.selected") if key in self.selected else "",
            one_line(text(self.thumbs.faults[key])) if key in self.thumbs.faults else "",
        ]
        return ", ".join(one for one in parts if one)

    # -- events ----------------------------------------------------------------------------

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Begin to select, to drag or to draw a band."""
        if event.button() == Qt.MouseButton.LeftButton:
            self.setFocus(Qt.FocusReason.MouseFocusReason)
            self.mouse.press(event)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Drag what is selected, or widen the band."""
        self.mouse.move(event)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """Drop what is dragged; a click on one of several selects it alone."""
        if event.button() == Qt.MouseButton.LeftButton:
            self.mouse.release(event)

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """See a picture large; on the head of a card, write its number."""
        point = event.position() + QPointF(0, self.top)
        card = self.places.card_at(point)
        if self.places.key_at(point):
            self.large.turn()
        elif card is not None and card.section.kind == GROUP:
            self.deeds.write_number(card.section.group)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Go about with the arrow keys; letters and figures change what is selected."""
        if event.key() in (Qt.Key.Key_PageUp, Qt.Key.Key_PageDown):
            super().keyPressEvent(event)
        elif not press(self, event):
            event.ignore()

    def focusInEvent(self, event: QFocusEvent) -> None:
        """Show where the keyboard is; at first, at the first picture."""
        super().focusInEvent(event)
        self._begin_here()
        self.viewport().update()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Show that the keyboard is elsewhere."""
        super().focusOutEvent(event)
        self.viewport().update()

    def viewportEvent(self, event: QEvent) -> bool:
        """Show as a tool tip what a card or a tile has no room for."""
        if isinstance(event, QHelpEvent):
            point = QPointF(event.pos()) + QPointF(0, self.top)
            key, card = self.places.key_at(point), self.places.card_at(point)
            words = self.spoken(key) if key else ""
            if not key and card is not None and card.section.kind == GROUP:
                words = f"{self._cards.title(card)}\n{self._cards.why(card)}"
            elif not key and card is not None:
                words = "\n".join(card.section.lines)
            QToolTip.showText(event.globalPos(), plain_tip(words), self.viewport())
            return True
        return super().viewportEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Lay out anew where the width changes."""
        super().resizeEvent(event)
        if event.size() != event.oldSize():
            self._fit_bar()
            self.renew()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint the cards in sight; what this frame has no time for waits for the next."""
        painter = QPainter(self.viewport())
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.fillRect(event.rect(), palette.colour("ground"))
        painter.translate(0, -self.top)
        seen = QRectF(event.rect()).translated(0, self.top)
        mouse, target = self.mouse, self.mouse.target
        unfinished = QRectF()
        self._cards.begin()
        self._tiles.begin()
        for card in self.places.within(seen.top(), seen.bottom()):
            if card.rect.intersects(seen):
                if not self._cards.paint(painter, card, target=card is target):
                    unfinished = unfinished.united(card.head)
                for key, tile in card.tiles_in(seen.top(), seen.bottom()):
                    if tile.intersects(seen) and not self._paint_tile(painter, key, tile):
                        unfinished = unfinished.united(tile)
        if mouse.band is not None:
            painter.setPen(palette.colour("accent"))
            painter.setBrush(palette.faint(palette.colour("accent_soft"), 0.5))
            painter.drawRect(mouse.band)
        if mouse.dragging:
            n = len(self.choice.keys)
            self._cards.paint_dragged(painter, mouse.pointer, n, target, self.places)
        painter.end()
        if not unfinished.isEmpty():
            self.viewport().update(unfinished.translated(0, -self.top).toAlignedRect())

    def _paint_tile(self, painter: QPainter, key: str, tile: QRectF) -> bool:
        chosen = key in self.choice.selected
        return self._tiles.paint(
            painter,
            key,
            tile,
            self.places.sizes,
            chosen=chosen,
            faint=self.mouse.dragging and chosen,
            focused=key == self.choice.current and self.hasFocus(),
        )


def _same(some: tuple[object, ...], others: tuple[object, ...]) -> bool:
    """Return whether two sheets would be laid out alike, without comparing every group."""
    return len(some) == len(others) and all(
        one is other or (not hasattr(one, "groups") and one == other)
        for one, other in zip(some, others, strict=True)
    )
