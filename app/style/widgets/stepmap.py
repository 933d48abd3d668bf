"""The five steps, drawn as the folds of a shell margin: a map, not a wizard."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import pi, sin

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QPainter, QPainterPath, QPaintEvent, QPen, QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QWidget

from app.style import focus, palette
from app.style.fonts import line_height, scaled
from app.style.tokens import LAYOUT, RADIUS, STEP_MAP
from app.style.widgets.beads import Has, paint_bead
from app.style.widgets.painted import (
    PaintedChoice,
    lines_of,
    plain_tip,
    rounded,
    smooth,
    text_width,
    write,
)

_SIDEWAYS: dict[int, int] = {Qt.Key.Key_Left: -1, Qt.Key.Key_Right: 1}
_SIDES = 6.0
_FROM = {1: 176, 2: 92, 3: 0}
"""From which width on, at the usual size of type, a step says its words on so many lines."""


@dataclass(frozen=True, slots=True)
class Step:
    """One step: its name, what it has or lacks in words, and the same as a bead.

    ``whole`` says in full what the words leave out for want of room; ``short`` is said in
    place of words that are too long for their lines.
    """

    name: str
    words: str
    has: Has = "none"
    whole: str = ""
    short: str = ""


class StepMap(QWidget):
    """The steps in a row; `stepped` carries the index of the step a person chose."""

    stepped = Signal(int)

    def __init__(self, name: str = "", parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(name)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self._folds: list[_Fold] = []
        self._row = QHBoxLayout(self)
        self._row.setContentsMargins(0, 0, 0, 0)
        self._row.setSpacing(0)

    def set_steps(self, steps: Sequence[Step], current: int) -> None:
        """Show the steps; the one at index `current` stands higher."""
        while len(self._folds) > len(steps):
            fold = self._folds.pop()
            self._row.removeWidget(fold)
            fold.deleteLater()
        while len(self._folds) < len(steps):
            fold = _Fold(len(self._folds), self)
            fold.chosen.connect(self.stepped)
            fold.turned.connect(self._turn)
            self._folds.append(fold)
            self._row.addWidget(fold, 1)
        for i, (fold, step) in enumerate(zip(self._folds, steps, strict=True)):
            fold.show_step(step, current=i == current)

    def button(self, index: int) -> QWidget:
        """Return the button of a step: for focus order and tests."""
        return self._folds[index]

    def _turn(self, index: int) -> None:
        if 0 <= index < len(self._folds):
            self._folds[index].setFocus(Qt.FocusReason.OtherFocusReason)


class _Fold(PaintedChoice):
    chosen = Signal(int)
    turned = Signal(int)

    def __init__(self, index: int, parent: QWidget) -> None:
        self._index, self._step, self._n_lines = index, Step("", ""), 1
        super().__init__(parent)
        self.setCheckable(True)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.clicked.connect(lambda: self.chosen.emit(self._index))

    def show_step(self, step: Step, *, current: bool) -> None:
        if step == self._step and current is self.isChecked():
            return
        self._step = step
        self.setChecked(current)
        self.setAccessibleName(f"{step.name}, {step.whole or step.words}")
        self._set_tip()
        self.update()

    def restyle(self) -> None:
        self._set_tip()
        super().restyle()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        # By the width alone: words that come and go must not move the picture below.
        width = event.size().width() or scaled(_FROM[1])
        n_lines = next(n for n, least in _FROM.items() if width >= scaled(least))
        if n_lines != self._n_lines:
            self._n_lines = n_lines
            self.updateGeometry()
        self._set_tip()

    def _set_tip(self) -> None:
        lines, whole = self._lines(), self._step.whole
        left_out = whole or lines != self._lines_of(self._step.words)
        tip = left_out or self._cut(lines) or self._cut([self._step.name], "step")
        words = f"{self._step.name}: {whole or self._step.words}"
        self.setToolTip(plain_tip(words if tip else ""))

    def _lines(self) -> list[str]:
        """Return the lines of the words, or of what is said in short where they are cut."""
        lines = self._lines_of(self._step.words)
        return (
            self._lines_of(self._step.short or self._step.words)
            if self._cut(lines)
            else lines
        )

    def _lines_of(self, words: str) -> list[str]:
        return lines_of(words, "small", self.width() - 2 * _SIDES, self._n_lines)

    def _cut(self, lines: Sequence[str], role: str = "small") -> bool:
        room = self.width() - 2 * _SIDES
        return any(text_width(line, role) > room + 0.5 for line in lines)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        turn = _SIDEWAYS.get(event.key())
        if turn is not None:
            self.turned.emit(self._index + turn)
        elif event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.click()
        else:
            super().keyPressEvent(event)

    def sizeHint(self) -> QSize:
        text = line_height("step") + self._n_lines * line_height("small")
        return QSize(scaled(150), LAYOUT.step_map - 39 + max(39, text))

    def minimumSizeHint(self) -> QSize:
        return QSize(scaled(96), self.sizeHint().height())

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = smooth(self)
        whole = QRectF(self.rect())
        if self.underMouse() and not self.isChecked():
            hover = whole.adjusted(4, 2, -4, -20)
            rounded(painter, hover, RADIUS.row, "sheet")
        room = whole.width() - 2 * _SIDES
        name = QRectF(_SIDES, 6, room, line_height("step"))
        ink, middle = (
            ("accent" if self.isChecked() else "ink"),
            Qt.AlignmentFlag.AlignHCenter,
        )
        write(painter, name, self._step.name, "step", ink, middle)
        below = QRectF(_SIDES, name.bottom() - 1, room, line_height("small"))
        for line in self._lines():
            write(painter, below, line, "small", "ink2", middle)
            below.translate(0, below.height())
        self._paint_fold(painter)
        if self.hasFocus():
            focus.paint_ring(painter, whole.adjusted(4, 2, -4, -20), RADIUS.row)
        painter.end()

    def _paint_fold(self, painter: QPainter) -> None:
        hump = STEP_MAP.hump_current if self.isChecked() else STEP_MAP.hump
        base, left, right = self.height() - 3.0, 3.0, self.width() - 3.0
        lacking = self._step.has == "none"
        width = STEP_MAP.line_current if self.isChecked() else STEP_MAP.line
        pen = QPen(palette.colour("edge" if lacking else "accent"), width)
        pen.setCapStyle(Qt.PenCapStyle.RoundCap)
        if lacking:
            pen.setDashPattern(list(STEP_MAP.dash_lacking))
        painter.setPen(pen)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawPath(fold_line(left, right, base, hump))
        # The line stops short of the bead, whatever lies under the map.
        top = QPointF((left + right) / 2, base - hump)
        bead = STEP_MAP.bead
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(palette.colour("ground"))
        painter.drawEllipse(top, bead + 2, bead + 2)
        paint_bead(painter, top, bead, self._step.has, 1.6)


def fold_line(left: float, right: float, base: float, hump: float) -> QPainterPath:
    """Return one fold of the margin: y = base - hump * sin(pi q) ** 0.8."""
    path = QPainterPath(QPointF(left, base))
    n = 32
    for i in range(1, n + 1):
        q = i / n
        rise = hump * max(0.0, sin(pi * q)) ** STEP_MAP.exponent
        path.lineTo(left + q * (right - left), base - rise)
    return path
