"""A barcode scanner of the keyboard kind: what it types is a number, wherever the focus is.

Keys are held back for a moment, too short to be noticed, because the letters of a code would
otherwise be keys of the picture. Nothing is held back where somebody writes.
"""

from __future__ import annotations

from time import perf_counter
from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QKeyEvent, QKeySequence
from PySide6.QtWidgets import (
    QAbstractSpinBox,
    QApplication,
    QComboBox,
    QLineEdit,
    QPlainTextEdit,
    QWidget,
)
from shiboken6 import isValid

from app.panels.fields import later
from app.session.entering import entering
from landmarks.intake import Listening
from landmarks.intake.entering import ENDS, FASTEST_HAND_MS

if TYPE_CHECKING:
    from app.window.bench import Bench

HOLD_MS = round(2 * FASTEST_HAND_MS)
_WRITING = (QLineEdit, QPlainTextEdit, QAbstractSpinBox)
_LATER = (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Tab, Qt.Key.Key_Space)
_BARE = Qt.KeyboardModifier.ShiftModifier | Qt.KeyboardModifier.KeypadModifier


class Scanner(QObject):
    """Listens to the keys of the whole window while it is on."""

    def __init__(self, bench: Bench) -> None:
        super().__init__(bench)
        self._bench = bench
        self._entering = entering(bench.session)
        self._heard = Listening()
        self._held: list[tuple[QWidget, QKeyEvent]] = []
        self._replaying = False
        self._patience = later(HOLD_MS, self, self._let_go)
        self.on = False
        if bench.settings["scanner"] == "yes":
            self.turn(on=True)

    def turn(self, *, on: bool) -> None:
        """Listen, or no longer."""
        application = QApplication.instance()
        if application is None or on == self.on:
            return
        self.on = on
        self._bench.settings.set("scanner", "yes" if on else "")
        if on:
            application.installEventFilter(self)
        else:
            application.removeEventFilter(self)
            self._let_go()
        self._bench.preferences_changed.emit()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Hold keys back, and take those of a code."""
        kind = event.type()
        keys = (QEvent.Type.ShortcutOverride, QEvent.Type.KeyPress)
        if self._replaying or kind not in keys or not isinstance(event, QKeyEvent):
            return False
        if not isinstance(watched, QWidget) or watched.window() is not self._bench.window():
            return False
        if not self._is_code_key(watched, event):
            return False
        if kind == QEvent.Type.ShortcutOverride:
            # Accepted, it comes as a key that is pressed rather than as a shortcut.
            event.accept()
            return True
        sign = (
            "\r" if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) else event.text()
        )
        self._heard, code = self._heard.hear(sign, perf_counter() * 1000)
        self._held.append((watched, _copied(event)))
        if code is not None:
            self._patience.stop()
            self._held.clear()
            self._entering.scanned(code)
        elif sign in ENDS:
            self._let_go()
        else:
            self._patience.start()
        return True

    def _is_code_key(self, watched: QWidget, event: QKeyEvent) -> bool:
        """Return whether a key may belong to a code: a sign, or what ends one."""
        editable = isinstance(watched, QComboBox) and watched.isEditable()
        if isinstance(watched, _WRITING) or editable or event.isAutoRepeat():
            return False
        if event.modifiers() & ~_BARE:
            return False
        if event.key() in _LATER:
            # These have work of their own, unless a code is on its way.
            return bool(self._held)
        return len(event.text()) == 1 and event.text().isprintable()

    def _let_go(self) -> None:
        """Let keys act that were a person's after all."""
        held, self._held, self._heard = self._held, [], Listening()
        self._replaying = True
        try:
            for widget, event in held:
                if isValid(widget):
                    _press(widget, event)
        finally:
            self._replaying = False


def _press(widget: QWidget, event: QKeyEvent) -> None:
    """Press a key: a shortcut of the widget where there is one, else the key itself."""
    wanted = QKeySequence(event.keyCombination())
    for action in widget.actions():
        if action.isEnabled() and wanted in action.shortcuts():
            action.trigger()
            return
    QApplication.sendEvent(widget, event)


def _copied(event: QKeyEvent) -> QKeyEvent:
    return QKeyEvent(event.type(), event.key(), event.modifiers(), event.text())
