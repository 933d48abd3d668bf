"""SVG text drawn into pixmaps in a colour of the palette, each only once."""

from functools import lru_cache

from PySide6.QtCore import QByteArray, QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPixmap


def paint(painter: QPainter, text: str, rect: QRectF, colour: str) -> None:
    """Draw SVG text into a rectangle, its currentColor being the colour given."""
    # QtSvg is not needed before the first icon; importing it takes 1 to 2 ms.
    from PySide6.QtSvg import QSvgRenderer

    QSvgRenderer(QByteArray(text.replace("currentColor", colour).encode())).render(
        painter, rect
    )


@lru_cache(maxsize=512)
def pixmap(text: str, width: float, height: float, colour: str, ratio: float) -> QPixmap:
    """Return SVG text as a pixmap of a logical size for a screen of a pixel ratio."""
    made = QPixmap(QSize(max(1, round(width * ratio)), max(1, round(height * ratio))))
    made.fill(Qt.GlobalColor.transparent)
    painter = QPainter(made)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    paint(painter, text, QRectF(made.rect()), colour)
    painter.end()
    made.setDevicePixelRatio(ratio)
    return made
