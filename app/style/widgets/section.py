"""A section of a side panel: a header that folds what is below it.

A folded section still says its result at the right of its header.
"""

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QPaintEvent, QResizeEvent, QShowEvent
from PySide6.QtWidgets import QSizePolicy, QVBoxLayout, QWidget

from app.style import focus
from app.style.fonts import line_height, scaled
from app.style.icons import icon_pixmap
from app.style.tokens import ICON, RADIUS
from app.style.widgets.painted import (
    PaintedButton,
    lines_high,
    rounded,
    smooth,
    text_width,
    write,
    write_lines,
)


class Section(QWidget):
    """A titled section that folds; `folded` tells when a person folded or opened it."""

    folded = Signal(bool)

    def __init__(
        self,
        title: str,
        summary: str = "",
        *,
        foldable: bool = True,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setAccessibleName(title)
        self._body: QWidget | None = None
        self._header = _Header(title, foldable=foldable, parent=self)
        self._header.set_summary(summary)
        self._header.clicked.connect(self._toggle)
        self._header.arrow.connect(self._arrow)
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(2)
        self._column.addWidget(self._header)

    def set_body(self, body: QWidget) -> None:
        """Put a widget below the header, in place of what was there."""
        if self._body is not None:
            self._column.removeWidget(self._body)
            self._body.deleteLater()
        self._body = body
        self._column.addWidget(body)
        body.setVisible(not self.is_folded())

    def body(self) -> QWidget | None:
        """Return the widget below the header."""
        return self._body

    def title(self) -> str:
        """Return the title."""
        return self._header.title

    def summary(self) -> str:
        """Return what the header says at its right."""
        return self._header.summary

    def set_summary(self, summary: str, *, ink: str = "ink2") -> None:
        """Say the result of the section in its header."""
        self._header.set_summary(summary, ink)

    def is_folded(self) -> bool:
        """Tell whether only the header is shown."""
        return not self._header.isChecked()

    def set_folded(self, folded: bool) -> None:  # noqa: FBT001 - mirrors the signal
        """Fold or open the section without the signal."""
        self._header.setChecked(not folded)
        if self._body is not None:
            self._body.setVisible(not folded)

    def header(self) -> QWidget:
        """Return the header, a button: for focus order and tests."""
        return self._header

    def _toggle(self) -> None:
        # The click itself has turned the button already.
        folded = self.is_folded()
        self.set_folded(folded)
        self.folded.emit(folded)

    def _arrow(self, towards: int) -> None:
        fold = towards < 0
        if self.is_folded() is not fold:
            self.set_folded(fold)
            self.folded.emit(fold)


_HEADER_SIDES = 52  # margins and gaps beside title and summary
_SIDEWAYS: dict[int, int] = {Qt.Key.Key_Left: -1, Qt.Key.Key_Right: 1}


class _Header(PaintedButton):
    arrow = Signal(int)  # -1 to fold, 1 to open

    def __init__(self, title: str, *, foldable: bool, parent: QWidget) -> None:
        self.title, self.summary, self._ink, self._foldable = title, "", "ink2", foldable
        self._below = 0
        super().__init__(parent)
        self.setCheckable(True)
        self.setChecked(True)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        if not foldable:
            self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
            self.setEnabled(False)
            self.unsetCursor()

    def set_summary(self, summary: str, ink: str = "ink2") -> None:
        self.summary, self._ink = summary, ink
        self.setAccessibleName(f"{self.title}, {summary}" if summary else self.title)
        self._fit()
        self.update()

    def restyle(self) -> None:
        self._fit()
        super().restyle()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        """Give the summary lines of its own where it has no room beside the title."""
        below = 0
        room = self.width() - _HEADER_SIDES - scaled(ICON.row)
        taken = text_width(self.title, "strong") + text_width(self.summary, "small")
        if self.summary and self.isVisible() and taken > room:
            below = lines_high(self.summary, "small", self.width() - self._left() - 16)
        if below != self._below:
            self._below = below
            self.updateGeometry()

    def _left(self) -> float:
        return 12.0 + scaled(ICON.row) + 8 if self._foldable else 12.0

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self._fit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        towards = _SIDEWAYS.get(event.key())
        if towards is not None:
            self.arrow.emit(towards)
        elif event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.click()
        else:
            super().keyPressEvent(event)

    def sizeHint(self) -> QSize:
        return QSize(scaled(200), max(24, line_height("strong") + 12) + self._below)

    def minimumSizeHint(self) -> QSize:
        return QSize(scaled(120), self.sizeHint().height())

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = smooth(self)
        whole = QRectF(self.rect())
        if self._foldable and self.underMouse():
            rounded(painter, whole.adjusted(4, 1, -4, -1), RADIUS.row, fill="accent_soft")
        edge, left = scaled(ICON.row), self._left()
        first = whole.adjusted(0, 0, 0, -self._below)
        if self._foldable:
            name = "chevron-down" if self.isChecked() else "chevron-right"
            ratio = self.devicePixelRatioF()
            mark = icon_pixmap(name, edge, "ink2", ratio)
            painter.drawPixmap(12, int((first.height() - edge) / 2), mark)
        inner = first.adjusted(left, 0, -16, 0)
        write(painter, inner, self.title, "strong")
        if self._below:
            rest = whole.adjusted(left, first.height() - 5, -16, 0)
            write_lines(painter, rest, self.summary, "small", self._ink)
        else:
            right = Qt.AlignmentFlag.AlignRight
            write(painter, inner, self.summary, "small", self._ink, right)
        if self.hasFocus():
            focus.paint_ring(painter, whole.adjusted(4, 1, -4, -1), RADIUS.row)
        painter.end()
