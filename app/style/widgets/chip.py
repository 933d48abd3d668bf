"""A reason in a few words, with its sign: supports, speaks against, neither."""

from typing import Literal

from PySide6.QtCore import QRectF, QSize
from PySide6.QtGui import QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.style import focus
from app.style.fonts import line_height, scaled
from app.style.tokens import LAYOUT
from app.style.widgets.painted import (
    PaintedButton,
    plain_tip,
    rounded,
    smooth,
    text_width,
    write,
)

Sign = Literal["plus", "minus", "neutral"]

_MARK: dict[Sign, str] = {"plus": "+", "minus": "\N{MINUS SIGN}", "neutral": ""}
_SOFT: dict[Sign, str] = {"plus": "plus_soft", "minus": "minus_soft", "neutral": "sunken"}


class Chip(PaintedButton):
    """A rounded label that can be clicked for the whole sentence.

    `spoken` is what a screen reader says; without it, the sign and the text.
    """

    def __init__(
        self,
        text: str,
        sign: Sign = "neutral",
        spoken: str = "",
        parent: QWidget | None = None,
    ) -> None:
        self._words, self._sign = text, sign
        super().__init__(parent)
        self.setSizePolicy(QSizePolicy.Policy.Maximum, QSizePolicy.Policy.Fixed)
        self.set_chip(text, sign, spoken)

    def set_chip(self, text: str, sign: Sign = "neutral", spoken: str = "") -> None:
        """Change text and sign."""
        self._words, self._sign = text, sign
        self.setAccessibleName(spoken or f"{_MARK[sign]} {text}".strip())
        self.restyle()

    def words(self) -> str:
        """Return the text shown, without its sign."""
        return self._words

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Show all words as a tool tip where they have no room."""
        short = self.width() < self.sizeHint().width()
        self.setToolTip(plain_tip(self._words) if short else "")
        super().resizeEvent(event)

    def sizeHint(self) -> QSize:
        """Return the size it would like."""
        mark = _MARK[self._sign]
        width = text_width(self._words, "small") + 2 * _side()
        if mark:
            width += text_width(mark, "small_strong") + 4
        return QSize(round(width + 1), max(LAYOUT.target, line_height("small") + 6))

    def minimumSizeHint(self) -> QSize:
        """Return the least size in which it can be read."""
        return QSize(scaled(48), self.sizeHint().height())

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Paint it in the colours on screen."""
        painter = smooth(self)
        body = QRectF(self.rect()).adjusted(0, 1, 0, -1)
        radius = body.height() / 2
        hovered = self.underMouse() and self.isEnabled()
        rounded(painter, body, radius, _SOFT[self._sign], "accent_line" if hovered else "")
        mark = _MARK[self._sign]
        inner = body.adjusted(_side(), 0, -_side() + 1, 0)
        if mark:
            write(painter, inner, mark, "small_strong", self._sign)
            inner.adjust(text_width(mark, "small_strong") + 4, 0, 0, 0)
        write(painter, inner, self._words, "small")
        if self.hasFocus():
            focus.paint_ring(painter, QRectF(self.rect()), radius)
        painter.end()


def _side() -> int:
    return scaled(8)
