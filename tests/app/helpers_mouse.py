"""Real mouse events on a canvas: sent to its viewport, as the window system does."""

from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QMouseEvent, QWheelEvent
from PySide6.QtWidgets import QApplication

LEFT, MIDDLE, NO_BUTTON = (
    Qt.MouseButton.LeftButton,
    Qt.MouseButton.MiddleButton,
    Qt.MouseButton.NoButton,
)
NO_KEY = Qt.KeyboardModifier.NoModifier
Kind = QEvent.Type


def send(view, kind, place, button=NO_BUTTON, buttons=NO_BUTTON, keys=NO_KEY):
    """Send one mouse event at a place of the viewport."""
    viewport = view.viewport()
    place = QPointF(place)
    event = QMouseEvent(
        kind, place, QPointF(viewport.mapToGlobal(place)), button, buttons, keys
    )
    QApplication.sendEvent(viewport, event)


def move(view, place, buttons=NO_BUTTON):
    """Move the pointer."""
    send(view, Kind.MouseMove, place, NO_BUTTON, buttons)


def press(view, place, button=LEFT):
    """Put a button down."""
    send(view, Kind.MouseButtonPress, place, button, button)


def release(view, place, button=LEFT):
    """Let a button up."""
    send(view, Kind.MouseButtonRelease, place, button, NO_BUTTON)


def click(view, place, button=LEFT):
    """Come to a place, press and let go."""
    move(view, place)
    press(view, place, button)
    release(view, place, button)


def drag(view, start, end, steps=8, button=LEFT):
    """Press, move in steps, let go."""
    start, end = QPointF(start), QPointF(end)
    move(view, start)
    press(view, start, button)
    for step in range(1, steps + 1):
        move(view, start + (end - start) * step / steps, button)
    release(view, end, button)


def wheel(view, place, delta=120, keys=NO_KEY):
    """Turn the wheel by eighths of a degree: 120 is one notch away from the person."""
    viewport, place = view.viewport(), QPointF(place)
    event = QWheelEvent(
        place,
        QPointF(viewport.mapToGlobal(place)),
        QPoint(),
        QPoint(0, delta),
        NO_BUTTON,
        keys,
        Qt.ScrollPhase.NoScrollPhase,
        False,
    )
    QApplication.sendEvent(viewport, event)
