"""What is selected on the sheet of the sorting table, and where the keyboard is."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from PySide6.QtCore import QObject, Qt, Signal

from app.panels.sorting_places import Places

_CONTROL = Qt.KeyboardModifier.ControlModifier
_SHIFT = Qt.KeyboardModifier.ShiftModifier


class Choice(QObject):
    """Selected pictures, the one with the keyboard, and the one a stretch began with.

    Signals
    -------
    changed()
        Other pictures are selected, or the keyboard is at another one.
    """

    changed = Signal()

    def __init__(self, places: Callable[[], Places], parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._places = places
        self.selected: set[str] = set()
        self.current = ""
        self._anchor = ""

    @property
    def keys(self) -> tuple[str, ...]:
        """Return the selected pictures in order, or the one with the keyboard."""
        places, chosen = self._places(), self.selected
        if len(chosen) > 1:
            found = tuple(key for key in places.order if key in chosen)
        else:
            found = tuple(key for key in chosen if places.card_of(key) is not None)
        return found or ((self.current,) if self.current else ())

    def select(self, keys: Iterable[str], current: str = "") -> None:
        """Select pictures; the keyboard goes to one of them, or stays."""
        self.selected = set(keys)
        self.current = current or self.current
        self.changed.emit()

    def go_to(self, key: str) -> None:
        """Bring the keyboard to a picture, and leave the selection as it is."""
        self.current = key
        self.changed.emit()

    def keep_to(self, there: Iterable[str]) -> None:
        """Let go of pictures that are not there any more."""
        known = there if isinstance(there, set) else set(there)
        self.selected &= known
        if self.current not in known:
            self.current = ""

    def click(self, key: str, held: Qt.KeyboardModifier) -> None:
        """Choose a picture as a click does: alone, with Shift up to it, with Ctrl also it."""
        if held & _SHIFT and self._anchored():
            self.select(self._between(key), key)
        elif held & _CONTROL:
            self._anchor = key
            self.select(self.selected ^ {key}, key)
        else:
            self._anchor = key
            if key in self.selected:
                self.go_to(key)
            else:
                self.select({key}, key)

    def click_group(self, keys: tuple[str, ...], held: Qt.KeyboardModifier) -> None:
        """Choose a whole group: alone, with Shift all groups up to it, with Ctrl also it."""
        if held & _SHIFT and self._anchored():
            places = self._places()
            first = places.card_of(self._anchor)
            ends = {*keys, *(first.section.keys if first is not None else ())}
            at = sorted(places.order.index(key) for key in ends)
            self.select(places.order[at[0] : at[-1] + 1], keys[0])
            return
        self._anchor = keys[0]
        self.select({*keys, *(self.selected if held & _CONTROL else ())}, keys[0])

    def step(self, key: str, held: Qt.KeyboardModifier) -> None:
        """Go to a picture as an arrow key does: Shift widens, Ctrl leaves the selection."""
        if not key:
            return
        if held & _SHIFT:
            if not self._anchored():
                self._anchor = self.current or key
            self.select(self._between(key), key)
        elif held & _CONTROL:
            self.go_to(key)
        else:
            self._anchor = key
            self.select({key}, key)

    def _anchored(self) -> bool:
        return self._places().card_of(self._anchor) is not None

    def _between(self, key: str) -> tuple[str, ...]:
        order = self._places().order
        ends = sorted(order.index(one) for one in (self._anchor, key))
        return order[ends[0] : ends[1] + 1]
