"""How several specimens are chosen in a list, a table or a grid: one way for all of them.

Ctrl and a click choose one more or one less, Shift chooses the stretch from the last click,
Ctrl+A everything that is listed; a plain click, or an arrow key alone, chooses one again.
"""

from typing import Protocol

from PySide6.QtCore import QItemSelectionModel, Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent
from PySide6.QtWidgets import QAbstractItemView, QTableView

from app.panels.specimen_rows import Index
from app.panels.view_choice import VIEW_KEYS
from app.session import Session
from landmarks.storage import Row

_SHIFT, _CTRL = Qt.KeyboardModifier.ShiftModifier, Qt.KeyboardModifier.ControlModifier
_Flag = QItemSelectionModel.SelectionFlag


class Rows(Protocol):
    """Specimens by their place in the list."""

    def row(self, index: int) -> Row | None:
        """Return a row, or None while it is on its way."""


class ChoosingView(QTableView):
    """A table view whose current cell moves, while who is chosen stands in the session.

    Signals
    -------
    view_wanted(str)
        A key said which view the frames of the chosen specimens show.
    """

    view_wanted = Signal(str)

    def __init__(self, session: Session, rows: Rows) -> None:
        super().__init__()
        self._chosen, self._rows, self._anchor = session.chosen, rows, -1
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self._chosen.changed.connect(self._chosen_changed)

    def place(self, index: Index) -> int:
        """Return where in the list of specimens a cell stands; -1 where there is none."""
        return index.row() if index.isValid() else -1

    def selectionCommand(self, index: Index, event: object = None) -> _Flag:
        """Let the current cell alone be Qt's selection."""
        return _Flag.ClearAndSelect

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Choose, with Ctrl or Shift several."""
        at = self.place(self.indexAt(event.position().toPoint()))
        before = self.place(self.currentIndex())
        super().mousePressEvent(event)
        if at >= 0 and event.button() == Qt.MouseButton.LeftButton:
            self._choose(at, event.modifiers(), before)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Go on with Shift to choose a stretch, Ctrl+A for all, Esc for one again."""
        key, keys = event.key(), event.modifiers()
        here = self.place(self.currentIndex())
        if key == Qt.Key.Key_A and keys == _CTRL:
            self._chosen.everything()
        elif key == Qt.Key.Key_Space and keys == _CTRL and here >= 0:
            self._choose(here, _CTRL, here)
        elif key == Qt.Key.Key_Escape and len(self._chosen):
            self._chosen.put(())
        elif len(self._chosen) and not keys and event.text().upper() in VIEW_KEYS:
            self.view_wanted.emit(VIEW_KEYS[event.text().upper()])
        else:
            super().keyPressEvent(event)
            now = self.place(self.currentIndex())
            if now != here and now >= 0 and (keys & _SHIFT or not keys & _CTRL):
                self._choose(now, keys & _SHIFT, here)

    def _choose(self, at: int, keys: Qt.KeyboardModifier, before: int) -> None:
        """Choose a place; ``before`` is where the current cell was till now."""
        if keys & _SHIFT:
            first = self._anchor if self._anchor >= 0 else max(before, 0)
            self._anchor = first
            self._chosen.stretch(first, at)
            return
        self._anchor = at
        row, first_row = self._rows.row(at), self._rows.row(before)
        if not keys & _CTRL:
            self._chosen.put(())
        elif row is not None:
            if not len(self._chosen) and first_row is not None and before != at:
                # What was current before is the first of them.
                self._chosen.put((first_row.specimen,))
            self._chosen.toggle(row.specimen)

    def _chosen_changed(self) -> None:
        self.viewport().update()
