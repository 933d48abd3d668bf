"""A reason in a few words, with its sign: supports, speaks against, neither."""

from math import ceil
from typing import Literal

from PySide6.QtCore import QRectF, QSize
from PySide6.QtGui import QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.style import focus
from app.style.fonts import line_height, scaled
from app.style.tokens import LAYOUT
from app.style.widgets.painted import (
    PaintedButton,
    lines_high,
    rounded,
    smooth,
    text_width,
    write,
    write_lines,
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
        policy = QSizePolicy(QSizePolicy.Policy.Maximum, QSizePolicy.Policy.Fixed)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        self.set_chip(text, sign, spoken)

    def set_chip(self, text: str, sign: Sign = "neutral", spoken: str = "") -> None:
        """Change text and sign."""
        self._words, self._sign = text, sign
        self.setAccessibleName(spoken or f"{_MARK[sign]} {text}".strip())
        self.restyle()

    def words(self) -> str:
        """Return the text shown, without its sign."""
        return self._words

    def sizeHint(self) -> QSize:
        """Return the size it would like: all words on one line."""
        width = text_width(self._words, "small") + self._mark_width() + 2 * _side()
        return QSize(round(width + 1), self._high(1))

    def minimumSizeHint(self) -> QSize:
        """Return the least size in which it can be read."""
        return QSize(scaled(48), self._high(1))

    def hasHeightForWidth(self) -> bool:
        """Say that the height follows from the width."""
        return True

    def heightForWidth(self, width: int) -> int:
        """Return the height at a width: where it is narrow, the words take more lines."""
        if width >= self.sizeHint().width():
            return self._high(1)
        room = width - self._mark_width() - 2 * _side() + 1
        return self._high(
            ceil(lines_high(self._words, "small", room) / line_height("small"))
        )

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Paint it in the colours on screen."""
        painter = smooth(self)
        body = QRectF(self.rect()).adjusted(0, 1, 0, -1)
        radius = self._high(1) / 2 - 1
        hovered = self.underMouse() and self.isEnabled()
        rounded(painter, body, radius, _SOFT[self._sign], "accent_line" if hovered else "")
        inner = body.adjusted(_side(), 0, -_side() + 1, 0)
        mark = QRectF(inner.left(), inner.top(), inner.width(), self._high(1) - 2)
        if _MARK[self._sign]:
            write(painter, mark, _MARK[self._sign], "small_strong", self._sign)
        inner.adjust(self._mark_width(), 0, 0, 0)
        if self.width() >= self.sizeHint().width():
            write(painter, inner, self._words, "small")
        else:
            write_lines(painter, inner.adjusted(0, 2, 0, 0), self._words, "small")
        if self.hasFocus():
            focus.paint_ring(painter, QRectF(self.rect()), radius)
        painter.end()

    def _high(self, n_lines: int) -> int:
        return max(LAYOUT.target, n_lines * line_height("small") + 6)

    def _mark_width(self) -> float:
        mark = _MARK[self._sign]
        return text_width(mark, "small_strong") + 4 if mark else 0.0


def _side() -> int:
    return scaled(8)
