"""What a screen reader is told of, though the keyboard is elsewhere."""

from PySide6.QtGui import QAccessible, QAccessibleAnnouncementEvent
from PySide6.QtWidgets import QWidget


def announce(widget: QWidget, words: str, *, at_once: bool = False) -> None:
    """Let a screen reader say words; ``at_once``, whatever it is reading just then."""
    event = QAccessibleAnnouncementEvent(widget, words)
    polite = QAccessible.AnnouncementPoliteness
    event.setPoliteness(polite.Assertive if at_once else polite.Polite)
    QAccessible.updateAccessibility(event)
