"""The field in which the number of a specimen is written, on its card."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QFocusEvent, QKeyEvent
from PySide6.QtWidgets import QLineEdit

from landmarks import intake
from landmarks.sentences import say

if TYPE_CHECKING:
    from app.panels.sorting_sheet import SortingSheet


class NumberField(QLineEdit):
    """Stands on a card while its number is written: Enter keeps it, Tab goes to the next.

    A specimen without a number is offered the one after the last that was given. Esc brings
    back what stood here (and Ctrl+Z what was written); once more, and the field goes.
    """

    def __init__(self, sheet: SortingSheet) -> None:
        super().__init__(sheet.viewport())
        self._sheet = sheet
        self._group, self._offered = -1, ""
        self.setAccessibleName(say("sorting.number"))
        self.hide()

    def write(self, group: int) -> None:
        """Open on the card of a group."""
        self.keep()
        proposal = self._sheet.sorting.now.proposal
        number = self._sheet.sorting.group(group).number
        before = [one.number for one in proposal.groups if one.number and one.id != group]
        usual = intake.next_number(before[-1]) if before and not number else ""
        self._group, self._offered = group, number or usual
        self.setText(self._offered)
        self.setPlaceholderText(say("sorting.number"))
        self.selectAll()
        self.place()
        self.show()
        self.setFocus()

    def place(self) -> None:
        """Stand where the card is now."""
        if self._group < 0:
            return
        sheet = self._sheet
        cards = sheet.places.cards
        card = next((one for one in cards if one.section.group == self._group), None)
        if card is None:
            self.put_away()
            return
        head = card.head.translated(0, -sheet.top)
        self.setGeometry(head.toRect())

    def keep(self) -> None:
        """Keep what was written."""
        group, words = self._group, self.text()
        if group >= 0:
            self.put_away()
            self._sheet.sorting.number(group, words)

    def put_away(self) -> None:
        """Go, and leave the number as it was."""
        self._group = -1
        had_focus = self.hasFocus()
        self.hide()
        if had_focus:
            self._sheet.setFocus()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Keep what a person wrote; what was only offered is not taken by going away."""
        super().focusOutEvent(event)
        if event.reason() != Qt.FocusReason.PopupFocusReason and self._group >= 0:
            if self.text() != self._offered:
                self.keep()
            else:
                self.put_away()

    def event(self, event: QEvent) -> bool:
        """Take Enter, Tab and Esc before the window does."""
        if event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent):
            key = event.key()
            if key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
                self.keep()
                return True
            if key in (Qt.Key.Key_Tab, Qt.Key.Key_Backtab):
                self._go_on(1 if key == Qt.Key.Key_Tab else -1)
                return True
            if key == Qt.Key.Key_Escape:
                self._take_back()
                return True
        return super().event(event)

    def _take_back(self) -> None:
        if self.text() == self._offered:
            self.put_away()
        else:
            # Put in as a person would, so that the field's own undo brings the words back.
            self.selectAll()
            self.insert(self._offered)

    def _go_on(self, by: int) -> None:
        sheet, here = self._sheet, self._group
        self.keep()
        ids = [one.id for one in sheet.sorting.groups]
        at = ids.index(here) + by
        if 0 <= at < len(ids):
            sheet.deeds.write_number(ids[at])
        else:
            sheet.setFocus()
