"""How far each mark of a graduation lies off the fit, as a small plot along the ruler."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.panels.plotting import draw_dot, draw_level, round_above
from app.style import palette
from app.style.fonts import line_height, scaled
from app.style.widgets.painted import Painted, plain_tip, smooth, text_width, write
from landmarks.sentences import Number, number, say

_DOT = 2.0


@dataclass(frozen=True, slots=True)
class Residual:
    """One mark: where along the ruler, how far off, in mm; whether the fit uses it."""

    along_mm: float
    off_mm: float
    used: bool


class ResidualPlot(Painted):
    """Dots for marks used, open rings for those left out, a band as wide as their scatter."""

    def __init__(self, parent: QWidget | None = None) -> None:
        self._marks: tuple[Residual, ...] = ()
        self._sigma = 0.0
        super().__init__(parent)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def show_marks(self, marks: Sequence[Residual], sigma_mm: float) -> None:
        """Show these marks, and their scatter."""
        self._marks, self._sigma = tuple(marks), sigma_mm
        most = max((abs(one.off_mm) for one in marks if one.used), default=0.0)
        n_used = sum(one.used for one in marks)
        values = {
            "used": n_used,
            "left_out": len(marks) - n_used,
            "most": Number(float(f"{most:.2g}"), unit="mm"),
        }
        self.setAccessibleName(say("scaling.plot", **values))
        self.setToolTip(plain_tip(self.accessibleName()))
        self.update()

    def sizeHint(self) -> QSize:
        """Return the size it would like."""
        return QSize(scaled(360), scaled(96))

    def minimumSizeHint(self) -> QSize:
        """Return the least size in which it can be read."""
        return QSize(scaled(220), scaled(96))

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Paint it in the colours on screen."""
        if not self._marks:
            return
        most = limit_of(self._marks, self._sigma)
        rows = [number(Number(value)) for value in (most, 0.0, -most)]
        rows[0] = f"+{rows[0]}"
        left = max(text_width(words, "caption") for words in rows) + 8
        low = line_height("caption") + 4
        area = QRectF(left, 6, self.width() - left - 8, self.height() - low - 10)
        ends = self._marks[0].along_mm, self._marks[-1].along_mm
        painter = smooth(self)
        band = min(1.0, 2 * self._sigma / most)
        middle, half = area.center().y(), area.height() / 2
        painter.fillRect(
            QRectF(area.left(), middle - band * half, area.width(), 2 * band * half),
            palette.colour("accent_soft"),
        )
        for share, words in zip((-1.0, 0.0, 1.0), rows, strict=True):
            y = middle + share * half
            draw_level(painter, area, y, words, "edge" if share == 0 else "line")
        for one in self._marks:
            place = place_in(area, one, ends, most)
            beyond = abs(one.off_mm) > most
            if one.used and not beyond:
                draw_dot(painter, place, _DOT, "accent")
            else:
                draw_dot(painter, place, _DOT + 1.4, "minus", hollow=1.4)
        feet = QRectF(area.left(), self.height() - low, area.width(), low)
        long = Number(float(f"{ends[1] - ends[0]:.4g}"), unit="mm")
        write(painter, feet, number(Number(0.0)), "caption", "ink2")
        write(painter, feet, number(long), "caption", "ink2", Qt.AlignmentFlag.AlignRight)
        left_out = sum(not one.used for one in self._marks)
        if left_out:
            words = f"○ {say('scaling.plot.left_out', n=left_out)}"
            write(painter, feet, words, "caption", "minus", Qt.AlignmentFlag.AlignHCenter)
        painter.end()


def limit_of(marks: Sequence[Residual], sigma_mm: float) -> float:
    """Return the round height of the plot, in mm: three times the scatter and all marks used.

    >>> limit_of([Residual(0, 0.013, True), Residual(1, 0.4, False)], 0.004)
    0.02
    """
    most = max((abs(one.off_mm) for one in marks if one.used), default=0.0)
    return round_above(max(most, 3 * sigma_mm, 1e-4))


def place_in(
    area: QRectF, mark: Residual, ends: tuple[float, float], most: float
) -> QPointF:
    """Return where a mark stands in the plot; one beyond its height stands at the rim."""
    share = (mark.along_mm - ends[0]) / ((ends[1] - ends[0]) or 1.0)
    up = max(-1.0, min(1.0, mark.off_mm / most))
    return QPointF(
        area.left() + share * area.width(), area.center().y() - up * area.height() / 2
    )
