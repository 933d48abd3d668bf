"""One signal for everybody who draws: colours or type sizes have changed."""

from collections.abc import Callable
from functools import cache

from PySide6.QtCore import QObject, Signal


class _News(QObject):
    restyled = Signal()


@cache
def news() -> _News:
    """Return the one object whose signal `restyled` tells of new colours or sizes."""
    return _News()


def follow(refresh: Callable[[], None]) -> None:
    """Call a method of a widget now, and again whenever colours or type sizes change.

    The connection ends with the widget, because the method is bound to it.
    """
    refresh()
    news().restyled.connect(refresh)
