"""A notice in the region it concerns: icon, what happened, what it means, ways on."""

from collections.abc import Sequence

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QPaintEvent
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from app.style.icons import icon_text
from app.style.tokens import ICON, RADIUS
from app.style.widgets.band import KIND_ICON, KIND_INK, BandKind, Way
from app.style.widgets.buttons import button
from app.style.widgets.drawing import Drawing
from app.style.widgets.label import Label
from app.style.widgets.painted import Painted, rounded, smooth

_GROUND: dict[BandKind, tuple[str, str]] = {
    "next": ("raised", "line"),
    "info": ("accent_soft", "accent_line"),
    "caution": ("caution_soft", "caution"),
    "error": ("minus_soft", "minus"),
}


class Notice(Painted):
    """A card on a soft ground; caution, error and information differ by icon and word."""

    def __init__(
        self,
        kind: BandKind,
        title: str,
        sentence: str = "",
        ways: Sequence[Way] = (),
        icon: str = "",
        parent: QWidget | None = None,
    ) -> None:
        self._kind = kind
        super().__init__(parent)
        self.setAccessibleName(title)
        self.setAccessibleDescription(sentence)
        edge = float(ICON.notice)
        ink = "accent" if kind == "next" else KIND_INK[kind]
        mark = Drawing(icon_text(icon or KIND_ICON[kind]), (edge, edge), ink)
        text = QVBoxLayout()
        text.setSpacing(2)
        text.addWidget(Label(title, "strong", wrap=True))
        if sentence:
            text.addWidget(Label(sentence, "small", wrap=True))
        self._buttons = [button(way.words, "link") for way in ways]
        row = QHBoxLayout()
        row.setSpacing(24)
        for way, made in zip(ways, self._buttons, strict=True):
            made.clicked.connect(lambda _=False, take=way.take: take())
            row.addWidget(made)
        row.addStretch(1)
        if ways:
            text.addSpacing(6)
            text.addLayout(row)
        whole = QHBoxLayout(self)
        whole.setContentsMargins(16, 14, 16, 12)
        whole.setSpacing(12)
        whole.addWidget(mark, 0, Qt.AlignmentFlag.AlignTop)
        whole.addLayout(text, 1)

    def buttons(self) -> tuple[QPushButton, ...]:
        """Return the buttons, in their order."""
        return tuple(self._buttons)

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Paint it in the colours on screen."""
        painter = smooth(self)
        fill, edge = _GROUND[self._kind]
        rounded(painter, QRectF(self.rect()), RADIUS.card, fill, edge)
        painter.end()
