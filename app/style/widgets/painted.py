"""What painted widgets share: they follow colours and sizes, and draw smoothly."""

from math import ceil

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QFontMetricsF, QPainter
from PySide6.QtWidgets import QAbstractButton, QWidget

from app.style import focus, palette
from app.style.follow import follow
from app.style.fonts import font
from landmarks.sentences.numbers import unbroken

_WRAPPED = Qt.TextFlag.TextWordWrap
_LEAST_WRAPPED = 40


class Painted(QWidget):
    """A widget that paints itself and is no stop for the keyboard."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        follow(self.restyle)

    def restyle(self) -> None:
        """Ask for room and paint again after colours or type sizes changed."""
        self.updateGeometry()
        self.update()


class PaintedButton(QAbstractButton):
    """A button that paints itself, its focus ring included."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        focus.paints_own_ring(self)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAttribute(Qt.WidgetAttribute.WA_Hover)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        follow(self.restyle)

    def restyle(self) -> None:
        """Ask for room and paint again after colours or type sizes changed."""
        self.updateGeometry()
        self.update()


class PaintedChoice(PaintedButton):
    """A painted button whose checked state is told to it, never toggled by a click."""

    def nextCheckState(self) -> None:
        """Leave the checked state to whoever owns the choice."""


def smooth(widget: QWidget) -> QPainter:
    """Return an antialiasing painter on a widget; the caller ends it."""
    painter = QPainter(widget)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    return painter


def rounded(
    painter: QPainter, rect: QRectF, radius: float, fill: str = "", edge: str = ""
) -> None:
    """Draw a rounded rectangle in colours of the tokens, its 1 px edge on whole pixels."""
    painter.setPen(palette.colour(edge) if edge else Qt.PenStyle.NoPen)
    painter.setBrush(palette.colour(fill) if fill else Qt.BrushStyle.NoBrush)
    inner = rect.adjusted(0.5, 0.5, -0.5, -0.5) if edge else rect
    painter.drawRoundedRect(inner, radius, radius)


def write(
    painter: QPainter,
    rect: QRectF,
    text: str,
    role: str,
    ink: str = "ink",
    align: Qt.AlignmentFlag = Qt.AlignmentFlag.AlignLeft,
) -> None:
    """Write one line of plain text into a rectangle, shortened at its end if it must be."""
    chosen = font(role)
    painter.setFont(chosen)
    painter.setPen(palette.colour(ink))
    shown = QFontMetricsF(chosen).elidedText(
        text, Qt.TextElideMode.ElideRight, rect.width() + 0.5
    )
    flags = align | Qt.AlignmentFlag.AlignVCenter | Qt.TextFlag.TextSingleLine
    painter.drawText(rect, flags, shown)


def write_lines(
    painter: QPainter, rect: QRectF, text: str, role: str, ink: str = "ink"
) -> None:
    """Write plain text from the top of a rectangle, on as many lines as it needs."""
    painter.setFont(font(role))
    painter.setPen(palette.colour(ink))
    painter.drawText(rect, _WRAPPED, text)


def lines_high(text: str, role: str, width: float) -> int:
    """Return the height that text needs in a width, on as many lines as it takes."""
    box = QRectF(0, 0, max(width, _LEAST_WRAPPED), 10_000)
    return ceil(QFontMetricsF(font(role)).boundingRect(box, _WRAPPED, text).height())


def lines_of(text: str, role: str, width: float, most: int) -> list[str]:
    """Break text between words into at most so many lines; the last may be too long."""
    lines = [""]
    for word in unbroken(" ".join(text.split())).split(" "):
        longer = f"{lines[-1]} {word}".strip()
        if len(lines) == most or text_width(longer, role) <= width or not lines[-1]:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines


_LONGEST_TIP = 1000


def plain_tip(text: str) -> str:
    """Return text for a tool tip, escaped where Qt would take it for rich text.

    What a stranger wrote may be long enough to cover the screen: its end is left out.
    """
    if len(text) > _LONGEST_TIP:
        text = f"{text[:_LONGEST_TIP]}…"
    if "<" not in text and "&" not in text:
        return text
    safe = text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
    return f"<span>{safe}</span>".replace("\n", "<br>")


def text_width(text: str, role: str) -> float:
    """Return the width of one line of text in a role."""
    return QFontMetricsF(font(role)).horizontalAdvance(text)
