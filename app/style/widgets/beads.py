"""Beads: full has it, half has a part of it, a ring lacks it."""

from collections.abc import Sequence
from typing import Literal

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.style import palette
from app.style.fonts import scale
from app.style.widgets.painted import Painted, smooth

Has = Literal["full", "half", "none"]

BEAD_STEP = 3.6  # from bead to bead, in radii


class Beads(Painted):
    """A row of small beads; give it a name that says in words what they show."""

    def __init__(
        self,
        beads: Sequence[Has] = (),
        name: str = "",
        radius: float = 3.0,
        parent: QWidget | None = None,
    ) -> None:
        self._beads, self._radius = tuple(beads), radius
        super().__init__(parent)
        self.setAccessibleName(name)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)

    def set_beads(self, beads: Sequence[Has], name: str) -> None:
        """Show other beads; `name` says the same in words."""
        self._beads = tuple(beads)
        self.setAccessibleName(name)
        self.restyle()

    def set_count(self, full: int, of: int, name: str) -> None:
        """Show `full` beads out of `of`."""
        beads: list[Has] = ["full"] * full
        beads += ["none"] * (of - full)
        self.set_beads(beads, name)

    def sizeHint(self) -> QSize:
        """Return the size it would like."""
        radius = self._radius * scale()
        width = BEAD_STEP * radius * max(0, len(self._beads) - 1) + 2 * radius + 2
        return QSize(round(width + 0.5), round(2 * radius + 2.5))

    def minimumSizeHint(self) -> QSize:
        """Return the least size in which it can be read."""
        return self.sizeHint()

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Paint it in the colours on screen."""
        painter = smooth(self)
        paint_beads(painter, QPointF(0, self.height() / 2), self._beads, self._radius)
        painter.end()


def paint_beads(
    painter: QPainter, left: QPointF, beads: Sequence[Has], radius: float = 3.0
) -> None:
    """Draw a row of beads from the middle of its left edge, scaled with type."""
    radius *= scale()
    for i, has in enumerate(beads):
        centre = left + QPointF(radius + 1 + i * BEAD_STEP * radius, 0)
        paint_bead(painter, centre, radius, has)


def paint_bead(
    painter: QPainter, centre: QPointF, radius: float, has: Has, width: float = 1.3
) -> None:
    """Draw one bead."""
    ring = QRectF(centre.x() - radius, centre.y() - radius, 2 * radius, 2 * radius)
    if has == "full":
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(palette.colour("accent"))
        painter.drawEllipse(ring)
        return
    inner = ring.adjusted(width / 2, width / 2, -width / 2, -width / 2)
    ink = palette.colour("accent" if has == "half" else "edge")
    painter.setPen(QPen(ink, width))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawEllipse(inner)
    if has == "half":
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(ink)
        painter.drawPie(ring, 90 * 16, 180 * 16)
