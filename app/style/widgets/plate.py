"""The dark plate on which words stand over a picture."""

from PySide6.QtCore import QRectF, QSizeF, Qt
from PySide6.QtGui import QColor, QPainter

from app.style import palette
from app.style.fonts import font, scaled
from app.style.tokens import MARKS, RADIUS
from app.style.widgets.painted import text_width


def plate_size(text: str) -> QSizeF:
    """Return the size of the plate of a text, in logical pixels."""
    return QSizeF(round(text_width(text, "plate")) + 14, scaled(MARKS.plate_height))


def paint_plate(painter: QPainter, rect: QRectF, text: str) -> None:
    """Draw a plate that fills a rectangle, with its text; not dependent on the scheme."""
    paint_ground(painter, rect)
    painter.setPen(QColor(MARKS.plate_ink))
    painter.setFont(font("plate"))
    flags = Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextSingleLine
    painter.drawText(rect, flags, text)


def paint_ground(painter: QPainter, rect: QRectF) -> None:
    """Draw the dark ground of a plate, without its text."""
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(palette.faint(MARKS.plate, MARKS.plate_alpha))
    painter.drawRoundedRect(rect, RADIUS.plate, RADIUS.plate)
