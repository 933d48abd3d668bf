"""The mouse on the sheet of the sorting table: chosen, dragged, gathered by a band."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QPointF, QRectF, Qt, QTimer
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QApplication

from app.panels.sorting_places import AGAIN, GROUP, LEFT_OUT, Card
from app.style.fonts import scaled

if TYPE_CHECKING:
    from app.panels.sorting_sheet import SortingSheet

_SCROLL_MS = 30
_CONTROL = Qt.KeyboardModifier.ControlModifier
_SHIFT = Qt.KeyboardModifier.ShiftModifier


class SheetMouse(QObject):
    """Press, move and release on a sheet; what is dropped goes to its sorting."""

    def __init__(self, sheet: SortingSheet) -> None:
        super().__init__(sheet)
        self._sheet = sheet
        self._pressed: QPointF | None = None
        self._key = ""
        self._kept: frozenset[str] = frozenset()
        self.pointer = QPointF()
        self.dragging = False
        self.band: QRectF | None = None
        self._scroller = QTimer(self)
        self._scroller.setInterval(_SCROLL_MS)
        self._scroller.timeout.connect(self._scroll_on)

    @property
    def is_down(self) -> bool:
        """Return whether the button is held."""
        return self._pressed is not None

    @property
    def target(self) -> Card | None:
        """Return the card that what is dragged would go to."""
        return self._sheet.places.card_at(self.pointer) if self.dragging else None

    def press(self, event: QMouseEvent) -> None:
        """Begin to select, to drag or to draw a band."""
        sheet, point, held = self._sheet, self._at(event), event.modifiers()
        self._pressed, self.pointer, self.dragging = point, point, False
        card, self._key = sheet.places.card_at(point), sheet.places.key_at(point)
        self._kept = frozenset()
        if self._key:
            sheet.choice.click(self._key, held)
        elif card is not None and card.section.keys and card.head.contains(point):
            self._key = card.section.keys[0]
            sheet.choice.click_group(card.section.keys, held)
        else:
            if held & (_CONTROL | _SHIFT):
                self._kept = frozenset(sheet.choice.selected)
            sheet.choice.select(self._kept)
            self.band = QRectF(point, point)

    def move(self, event: QMouseEvent) -> None:
        """Drag what is selected, or widen the band."""
        self.pointer = self._at(event)
        if self._pressed is None:
            return
        far = (self.pointer - self._pressed).manhattanLength()
        if self.band is not None:
            self._widen()
        elif self._key and far >= QApplication.startDragDistance():
            self.dragging = bool(self._sheet.choice.selected)
        if self.dragging or self.band is not None:
            self._scroller.start()
            self._sheet.viewport().update()

    def release(self, event: QMouseEvent) -> None:
        """Drop what is dragged; a click on one of several selects it alone."""
        if self._pressed is None:
            return
        sheet = self._sheet
        self.pointer = self._at(event)
        self._scroller.stop()
        dragged, banded = self.dragging, self.band is not None
        self._pressed, self.dragging, self.band = None, False, None
        plain = not event.modifiers() & (_CONTROL | _SHIFT)
        if dragged:
            self._drop(self.pointer)
        elif not banded and plain and self._key and self._on(self._key):
            sheet.choice.select({self._key}, self._key)
        sheet.viewport().update()

    def _on(self, key: str) -> bool:
        return self._sheet.places.key_at(self.pointer) == key

    def _widen(self) -> None:
        assert self._pressed is not None
        self.band = QRectF(self._pressed, self.pointer).normalized()
        self._sheet.choice.select({*self._kept, *self._sheet.places.keys_in(self.band)})

    def _drop(self, point: QPointF) -> None:
        sheet, sorting = self._sheet, self._sheet.sorting
        keys, card = sheet.choice.keys, sheet.places.card_at(point)
        if card is None:
            sorting.split(keys)
        elif card.section.kind == GROUP:
            sorting.move(keys, card.section.group, sheet.places.before_at(card, point))
        elif card.section.kind in (LEFT_OUT, AGAIN):
            sorting.leave_out(keys)
        sheet.show_current()

    def _scroll_on(self) -> None:
        """Scroll while something is dragged to the edge."""
        sheet = self._sheet
        bar, high = sheet.verticalScrollBar(), sheet.viewport().height()
        y = self.pointer.y() - bar.value()
        edge = scaled(36)
        by = -edge / 2 if y < edge else edge / 2 if y > high - edge else 0
        if self._pressed is None:
            self._scroller.stop()
        elif by:
            before = bar.value()
            bar.setValue(round(before + by))
            self.pointer += QPointF(0, bar.value() - before)
            if self.band is not None:
                self._widen()
            sheet.viewport().update()

    def _at(self, event: QMouseEvent) -> QPointF:
        return event.position() + QPointF(0, self._sheet.top)
