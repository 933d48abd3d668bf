"""What the small plots of the panels share: lines, dots, levels with their words, round steps."""

from __future__ import annotations

from collections.abc import Sequence
from math import floor, log10

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPen

from app.style import palette
from app.style.fonts import line_height
from app.style.widgets.painted import write

GAP = 6.0
"""Between the words of a level and where it begins, in logical pixels."""


def draw_line(
    painter: QPainter,
    start: tuple[float, float],
    end: tuple[float, float],
    ink: str,
    width: float = 1.0,
    dash: Sequence[float] = (),
) -> None:
    """Draw a line in a colour of the tokens; lengths of dashes are in widths of it."""
    pen = QPen(palette.colour(ink), width)
    if dash:
        pen.setDashPattern(list(dash))
    painter.setPen(pen)
    painter.drawLine(QPointF(*start), QPointF(*end))


def draw_dot(
    painter: QPainter, place: QPointF, radius: float, ink: str, hollow: float = 0.0
) -> None:
    """Draw a filled dot, or a ring with a line as wide as ``hollow``."""
    if hollow:
        painter.setPen(QPen(palette.colour(ink), hollow))
        painter.setBrush(Qt.BrushStyle.NoBrush)
    else:
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(palette.colour(ink))
    painter.drawEllipse(place, radius, radius)


def draw_level(
    painter: QPainter, field: QRectF, y: float, words: str, ink: str = "line"
) -> None:
    """Draw a level across a field, with its words at the left of it."""
    draw_line(painter, (field.left(), y), (field.right(), y), ink)
    high = line_height("caption")
    place = QRectF(0, y - high / 2, field.left() - GAP, high)
    write(painter, place, words, "caption", "ink2", Qt.AlignmentFlag.AlignRight)


def round_above(value: float, steps: Sequence[float] = (1, 2, 5, 10)) -> float:
    """Return the least round number that is not below a value above 0.

    >>> round_above(0.013), round_above(230), round_above(230, (1, 2, 2.5, 5, 10))
    (0.02, 500.0, 250.0)
    """
    power = 10.0 ** floor(log10(value))
    found = next(one * power for one in steps if one * power >= value * (1 - 1e-9))
    return float(f"{found:.3g}")
