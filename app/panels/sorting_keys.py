"""The keys of the sorting table's sheet: go about, and change what is selected."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent

from app.panels.view_choice import VIEW_KEYS

if TYPE_CHECKING:
    from app.panels.sorting_sheet import SortingSheet

_Key, _Held = Qt.Key, Qt.KeyboardModifier

STEPS: Mapping[Qt.Key, tuple[int, int]] = {
    _Key.Key_Left: (-1, 0),
    _Key.Key_Right: (1, 0),
    _Key.Key_Up: (0, -1),
    _Key.Key_Down: (0, 1),
}

DEEDS: Mapping[Qt.Key, Callable[[SortingSheet], object]] = {
    _Key.Key_M: lambda sheet: sheet.deeds.merge(),
    _Key.Key_S: lambda sheet: sheet.deeds.split(),
    _Key.Key_B: lambda sheet: sheet.deeds.split_here(),
    _Key.Key_N: lambda sheet: sheet.deeds.number(),
    _Key.Key_F2: lambda sheet: sheet.deeds.number(),
    _Key.Key_Delete: lambda sheet: sheet.deeds.leave_out(),
    _Key.Key_T: lambda sheet: sheet.deeds.take_along(),
    _Key.Key_BracketLeft: lambda sheet: sheet.deeds.move_by(-1),
    _Key.Key_BracketRight: lambda sheet: sheet.deeds.move_by(1),
    _Key.Key_Plus: lambda sheet: sheet.zoom(1),
    _Key.Key_Minus: lambda sheet: sheet.zoom(-1),
    _Key.Key_Backspace: lambda sheet: sheet.deeds.give_view(""),
    _Key.Key_Z: lambda sheet: sheet.large.turn(),
    _Key.Key_G: lambda sheet: sheet.deeds.select_group(),
    _Key.Key_E: lambda sheet: sheet.deeds.select_everywhere(),
}


def press(sheet: SortingSheet, event: QKeyEvent) -> bool:
    """Do what a key means on the sheet; return whether it means anything."""
    key, held = _Key(event.key()), event.modifiers()
    control = bool(held & _Held.ControlModifier)
    plain = not held & ~(_Held.ShiftModifier | _Held.KeypadModifier)
    places, choice = sheet.places, sheet.choice
    if key in STEPS and not held & _Held.AltModifier:
        choice.step(places.beside(choice.current, *STEPS[key]), held)
    elif key in (_Key.Key_Home, _Key.Key_End) and places.order:
        choice.step(places.order[0 if key == _Key.Key_Home else -1], held)
    elif key == _Key.Key_Space and choice.current:
        choice.select(choice.selected ^ {choice.current})
    elif key == _Key.Key_A and control:
        choice.select(sheet.sorting.inside)
    elif key == _Key.Key_Escape and sheet.large.is_open:
        sheet.large.turn()
    elif key == _Key.Key_Escape and len(choice.selected) > 1:
        choice.select({choice.current} - {""})
    elif plain and event.text().upper() in VIEW_KEYS:
        sheet.deeds.give_view(VIEW_KEYS[event.text().upper()])
    elif key == _Key.Key_N and held == _Held.ShiftModifier:
        sheet.deeds.number_on()
    elif plain and key in DEEDS:
        DEEDS[key](sheet)
    else:
        return False
    return True
