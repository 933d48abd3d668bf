"""The bare window: painted at once, before anything that fills it has been loaded.

It shows the rooms of the window in their places and colours; the bench is put into it as its
central widget as soon as it is made.
"""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QByteArray, QEvent, QRect, Qt, QTimer, Signal
from PySide6.QtGui import QCloseEvent, QColor, QGuiApplication, QPainter, QPaintEvent
from PySide6.QtWidgets import QMainWindow

from app.style.tokens import DARK, LAYOUT, LIGHT, Colours

LEAST = (1120, 720)


class Shell(QMainWindow):
    """The frame of the window.

    Signals
    -------
    painted()
        It was painted for the first time.
    closing()
        It is being closed.

    Attributes
    ----------
    may_close
        Asked before it closes; where the answer is no, it stays.
    """

    painted = Signal()
    closing = Signal()

    def __init__(self, scheme: str = "system", geometry: str = "") -> None:
        super().__init__()
        self._colours = _colours(scheme)
        self._told = False
        self.may_close: Callable[[], bool] = lambda: True
        self.setWindowTitle("Hingeline")
        self.setMinimumSize(*LEAST)
        self.resize(1600, 1000)
        if geometry:
            self.restoreGeometry(QByteArray.fromBase64(geometry.encode()))

    @property
    def geometry_words(self) -> str:
        """Return size and place as text, for the settings."""
        return bytes(self.saveGeometry().toBase64().data()).decode()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint the empty rooms where the bench is not there yet."""
        if self.centralWidget() is None:
            self._paint_rooms()
        else:
            super().paintEvent(event)
        if not self._told:
            self._told = True
            QTimer.singleShot(0, self, self.painted.emit)

    def changeEvent(self, event: QEvent) -> None:
        """Paint over everything again where the colours change."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange:
            self.update()

    def closeEvent(self, event: QCloseEvent) -> None:
        """Tell that the window is being closed, where nothing speaks against it."""
        if not self.may_close():
            event.ignore()
            return
        self.closing.emit()
        super().closeEvent(event)

    def _paint_rooms(self) -> None:
        colours, here = self._colours, self.rect()
        top = LAYOUT.menu_bar + LAYOUT.step_map
        left, right = LAYOUT.specimens[1], LAYOUT.side[1]
        below = here.height() - top - LAYOUT.hints
        painter = QPainter(self)
        painter.fillRect(here, QColor(colours.ground))
        painter.fillRect(QRect(0, top, left, below), QColor(colours.sheet))
        painter.fillRect(
            QRect(here.width() - right, top, right, below), QColor(colours.sheet)
        )
        middle = QRect(left, top, here.width() - left - right, below)
        painter.fillRect(
            middle.adjusted(0, LAYOUT.picture_rail, 0, 0), QColor(colours.canvas)
        )
        painter.end()


def _colours(scheme: str) -> Colours:
    if scheme == "system":
        dark = QGuiApplication.styleHints().colorScheme() == Qt.ColorScheme.Dark
        return DARK if dark else LIGHT
    return DARK if scheme == "dark" else LIGHT
