"""A key, drawn as its cap."""

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.style.fonts import scaled
from app.style.widgets.painted import Painted, rounded, smooth, text_width, write


class KeyCap(Painted):
    """The cap of one key: 18 px high at the usual size of type."""

    def __init__(self, text: str, parent: QWidget | None = None) -> None:
        self._words = text
        super().__init__(parent)
        self.setAccessibleName(text)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:
        """Return the size it would like."""
        width, height = keycap_size(self._words)
        return QSize(round(width), round(height))

    def minimumSizeHint(self) -> QSize:
        """Return the least size in which it can be read."""
        return self.sizeHint()

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Paint it in the colours on screen."""
        painter = smooth(self)
        paint_keycap(painter, QRectF(self.rect()), self._words)
        painter.end()


def keycap_size(text: str) -> tuple[float, float]:
    """Return width and height of a key cap."""
    height = float(scaled(18))
    return max(height, round(text_width(text, "keycap") + scaled(10))), height


def paint_keycap(painter: QPainter, rect: QRectF, text: str) -> None:
    """Draw a key cap that fills a rectangle."""
    rounded(painter, rect, 4, "raised", "edge")
    write(painter, rect, text, "keycap", "ink", Qt.AlignmentFlag.AlignHCenter)
