"""A note over the picture: why it takes long until it is there, and about how long."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPalette
from PySide6.QtWidgets import QLabel, QWidget

from app.style import fonts
from app.style.tokens import MARKS
from app.style.widgets.plate import paint_ground
from landmarks.sentences import Sentence, text

WIDEST = 520
PADDING = 10
"""Logical pixels: of the note, and of the room around its words."""


class WaitingNote(QLabel):
    """A plate at the foot of the canvas; the picture can be worked on around and under it."""

    def __init__(self, canvas: QWidget) -> None:
        super().__init__(canvas)
        self._canvas = canvas
        self.setTextFormat(Qt.TextFormat.PlainText)  # A file's name is a stranger's.
        self.setWordWrap(True)
        self.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.setContentsMargins(PADDING, PADDING, PADDING, PADDING)
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        canvas.installEventFilter(self)
        self.hide()

    def say(self, sentence: Sentence) -> None:
        """Show what there is to wait for."""
        words = text(sentence)
        self.setFont(fonts.font("plate"))
        colours = self.palette()
        colours.setColor(QPalette.ColorRole.WindowText, QColor(MARKS.plate_ink))
        self.setPalette(colours)
        self.setText(words)
        self.setAccessibleName(words)
        self._place()
        self.show()
        self.raise_()

    def eventFilter(self, canvas: QObject, event: QEvent) -> bool:
        """Keep to the foot of the canvas."""
        if event.type() == QEvent.Type.Resize and self.isVisible():
            self._place()
        return super().eventFilter(canvas, event)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw the plate, and the words on it."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        paint_ground(painter, QRectF(self.rect()))
        painter.end()
        super().paintEvent(event)

    def _place(self) -> None:
        room = self._canvas.size()
        width = max(1, min(WIDEST, room.width() - 4 * PADDING))
        height = self.heightForWidth(width)
        self.setGeometry(
            (room.width() - width) // 2, room.height() - height - 4 * PADDING, width, height
        )
