"""The band above the picture: the one place that says what comes next."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

from PySide6.QtCore import Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QSizePolicy, QVBoxLayout, QWidget

from app.style.follow import follow
from app.style.fonts import scale
from app.style.icons import icon_text
from app.style.tokens import DRAWING, ICON, LAYOUT
from app.style.widgets.buttons import Kind, button
from app.style.widgets.drawing import Drawing
from app.style.widgets.label import Label

BandKind = Literal["next", "info", "caution", "error"]

KIND_ICON: dict[BandKind, str] = {
    "next": "crosshair",
    "info": "info",
    "caution": "triangle-alert",
    "error": "circle-alert",
}
KIND_INK: dict[BandKind, str] = {
    "next": "ink",
    "info": "accent",
    "caution": "caution",
    "error": "minus",
}


@dataclass(frozen=True, slots=True)
class Way:
    """A way on: what its button says and what it does."""

    words: str
    take: Callable[[], object]
    kind: Kind = "plain"


_WIDE_FROM = 620
"""From this width on, at the usual size of type, there is room for a note."""


class Band(QWidget):
    """A picture or icon, a title, one sentence, a note at the right, one or two buttons."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.setProperty("ground", "raised")
        # A row gives a widget of fixed height no more than it would like at its best width.
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Minimum)
        self._landmark = False
        self._mark = Drawing(size=(ICON.band, ICON.band))
        self._title = Label(role="strong", wrap=True)
        self._sentence = Label(role="small", ink="ink2", wrap=True)
        self._note = Label(role="small", ink="ink2")
        self._buttons: list[QPushButton] = []
        text = QVBoxLayout()
        text.setSpacing(1)
        text.addStretch(1)
        text.addWidget(self._title)
        text.addWidget(self._sentence)
        text.addStretch(1)
        self._row = QHBoxLayout(self)
        self._row.setContentsMargins(16, 6, 16, 6)
        self._row.setSpacing(12)
        self._row.addWidget(self._mark)
        self._row.addLayout(text, 1)
        self._row.addWidget(self._note)
        follow(self._restyle)

    def show_band(
        self,
        kind: BandKind,
        title: str,
        sentence: str = "",
        *,
        note: str = "",
        ways: Sequence[Way] = (),
        drawing: str = "",
        icon: str = "",
    ) -> None:
        """Say it with a drawing (SVG text), an icon by name or the icon of the kind."""
        self._landmark = bool(drawing)
        if drawing:
            self._mark.set_drawing(drawing, "ink", DRAWING.band)
        else:
            edge = float(ICON.band)
            text = icon_text(icon or KIND_ICON[kind])
            self._mark.set_drawing(text, KIND_INK[kind], (edge, edge))
        for label, words in (
            (self._title, title),
            (self._sentence, sentence),
            (self._note, note),
        ):
            label.setText(words)
            label.setVisible(bool(words))
        self._set_ways(ways)
        self.setAccessibleName(title)
        self.setAccessibleDescription(sentence)
        self._restyle()

    def buttons(self) -> tuple[QPushButton, ...]:
        """Return the buttons now shown, in their order."""
        return tuple(self._buttons)

    def title(self) -> str:
        """Return the title now shown."""
        return self._title.text()

    def _set_ways(self, ways: Sequence[Way]) -> None:
        for old in self._buttons:
            self._row.removeWidget(old)
            old.hide()
            old.deleteLater()
        self._buttons = []
        for way in ways:
            made = button(way.words, way.kind, parent=self)
            made.clicked.connect(lambda _=False, take=way.take: take())
            self._row.addWidget(made)
            self._buttons.append(made)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Give words and buttons the room; where it is narrow the note gives way."""
        super().resizeEvent(event)
        if event.size().width() != event.oldSize().width():
            self._restyle()

    def _restyle(self) -> None:
        usual = LAYOUT.band_landmark if self._landmark else LAYOUT.band_notice
        wide = self.width() >= round(_WIDE_FROM * scale())
        self._note.setVisible(wide and bool(self._note.text()))
        for made in self._buttons:
            made.setMinimumWidth(made.sizeHint().width())
        self.setMinimumHeight(round(usual * scale()))
        self.updateGeometry()
