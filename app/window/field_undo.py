"""Undo and redo while a field has the keyboard: the field's own first, then the window's.

Qt's fields keep these keys to themselves even where they have nothing to take back, so that
a deed that was just done from a field could not be undone by its key.
"""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject
from PySide6.QtGui import QKeyEvent, QKeySequence
from PySide6.QtWidgets import (
    QApplication,
    QComboBox,
    QLineEdit,
    QPlainTextEdit,
    QWidget,
)
from shiboken6 import isValid

_Standard = QKeySequence.StandardKey


class FieldUndo(QObject):
    """Watches the field that has the keyboard, and no other widget."""

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self._watched: QWidget | None = None
        application = QApplication.instance()
        if isinstance(application, QApplication):
            application.focusChanged.connect(self._moved)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Leave a key to the window where the field has nothing that it would change."""
        if event.type() != QEvent.Type.ShortcutOverride or not isinstance(event, QKeyEvent):
            return False
        field = _field_of(watched)
        if field is None:
            return False
        back, again = _has_own(field)
        others = (event.matches(_Standard.Undo) and not back) or (
            event.matches(_Standard.Redo) and not again
        )
        if others:
            event.ignore()
        return others

    def _moved(self, _old: QWidget | None, new: QWidget | None) -> None:
        if self._watched is not None and isValid(self._watched):
            self._watched.removeEventFilter(self)
        self._watched = new if _field_of(new) is not None else None
        if self._watched is not None:
            self._watched.installEventFilter(self)


def _field_of(widget: QObject | None) -> QLineEdit | QPlainTextEdit | None:
    """Return the field that a widget is, or in which it lets words be typed."""
    if isinstance(widget, QComboBox):
        return widget.lineEdit()
    return widget if isinstance(widget, QLineEdit | QPlainTextEdit) else None


def _has_own(field: QLineEdit | QPlainTextEdit) -> tuple[bool, bool]:
    """Return whether a field could take writing back, and do it again."""
    if isinstance(field, QLineEdit):
        return field.isUndoAvailable(), field.isRedoAvailable()
    past = field.document()
    return past.isUndoAvailable(), past.isRedoAvailable()
