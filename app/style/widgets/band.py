"""The band above the picture: the one place that says what comes next."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import (
    QBoxLayout,
    QHBoxLayout,
    QPushButton,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from app.style.follow import follow
from app.style.fonts import scale
from app.style.icons import icon_text
from app.style.tokens import DRAWING, ICON, LAYOUT
from app.style.widgets.buttons import Kind, button
from app.style.widgets.drawing import Drawing
from app.style.widgets.label import Label
from app.style.widgets.painted import plain_tip

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
    """A way on: what its button says and what it does, and the key that does the same."""

    words: str
    take: Callable[[], object]
    kind: Kind = "plain"
    key: str = ""


_WIDE_FROM, _WIDE_FOR_TROUBLE = 620, 480
"""From this width on, at the usual size of type, there is room for a note; how many notices
wait is said in less."""
_LEAST_WORDS = 200
"""Where buttons would leave the words less than this, at the usual type, they go below."""
_LEAST_ROW = 440
"""What stands in rows below each other to be compared asks for more."""
_LEAST_SENTENCE = 240
"""In a band narrower than this, at the usual type, what comes next is said by its title."""


class Band(QWidget):
    """A picture or icon, a title, one sentence, a note at the right, one or two buttons."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.setProperty("ground", "raised")
        # A row gives a widget of fixed height no more than it would like at its best width.
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Minimum)
        self._landmark = False
        self._kind: BandKind = "next"
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
        self._row = QHBoxLayout()
        self._row.setSpacing(12)
        self._row.addWidget(self._mark)
        self._row.addLayout(text, 1)
        self._row.addWidget(self._note)
        self._beside, self._below = QHBoxLayout(), QHBoxLayout()
        self._upright, self._stacked = QVBoxLayout(), QVBoxLayout()
        for ways, gap in (
            (self._beside, 12), (self._below, 12), (self._upright, 6), (self._stacked, 6),
        ):  # fmt: skip
            ways.setSpacing(gap)
        self._below.addStretch(1)
        self._row.addLayout(self._beside)
        self._row.addLayout(self._upright)
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(16, 6, 16, 6)
        self._column.setSpacing(0)
        self._column.addLayout(self._row)
        self._column.addLayout(self._below)
        self._column.addLayout(self._stacked)
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
        self._landmark, self._kind = bool(drawing), kind
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
        self.setAccessibleDescription(f"{sentence} {note}".strip())
        self._restyle()

    def buttons(self) -> tuple[QPushButton, ...]:
        """Return the buttons now shown, in their order."""
        return tuple(self._buttons)

    def title(self) -> str:
        """Return the title now shown."""
        return self._title.text()

    def _set_ways(self, ways: Sequence[Way]) -> None:
        for old in self._buttons:
            old.hide()
            old.deleteLater()
        self._buttons = []
        for way in ways:
            made = button(way.words, way.kind, parent=self)
            if way.key:
                made.setToolTip(plain_tip(f"{way.words} ({way.key})"))
            made.clicked.connect(lambda _=False, take=way.take: take())
            self._beside.addWidget(made)
            self._buttons.append(made)

    def minimumSizeHint(self) -> QSize:
        """Return the least size: buttons that stand in a row now can stand in a column."""
        least = super().minimumSizeHint()
        widest = max((made.minimumWidth() for made in self._buttons), default=0)
        mark = self._mark.sizeHint().width() + self._row.spacing()
        return QSize(min(least.width(), max(widest, mark) + 2 * 16), least.height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Give words and buttons the room; where it is narrow the note gives way."""
        super().resizeEvent(event)
        if event.size().width() != event.oldSize().width():
            self._restyle()

    def _restyle(self) -> None:
        usual = LAYOUT.band_landmark if self._landmark else LAYOUT.band_notice
        wide_from = _WIDE_FROM if self._kind == "next" else _WIDE_FOR_TROUBLE
        wide = self.width() >= round(wide_from * scale())
        self._note.setVisible(wide and bool(self._note.text()))
        for made in self._buttons:
            made.setMinimumWidth(made.sizeHint().width())
        self._place_buttons()
        # Trouble is always said in full.
        narrow = self._kind == "next" and self.width() < round(_LEAST_SENTENCE * scale())
        self._sentence.setVisible(bool(self._sentence.text()) and not narrow)
        # What went wrong is said by its title, so there its sign gives way to the words.
        told = self._kind != "next" and not self._landmark
        self._mark.setVisible(not told or self.width() >= round(_LEAST_SENTENCE * scale()))
        self.setToolTip(plain_tip(self._sentence.text()) if narrow else "")
        self.setMinimumHeight(round(usual * scale()))
        self.updateGeometry()

    def _place_buttons(self) -> None:
        """Put the buttons beside the words, one above the other, or below the words so.

        Beside a drawing there is height for two, so that a second button does not move the
        picture below.
        """
        widths = [made.minimumWidth() + 12 for made in self._buttons]
        room = self.width() - self._mark.sizeHint().width() - 2 * 16 - 12
        rows = "\n" in self._sentence.text()
        least = round((_LEAST_ROW if rows else _LEAST_WORDS) * scale())
        wanted: QBoxLayout = self._beside
        if widths and room - sum(widths) < least:
            upright = self._landmark and room - max(widths) >= least
            wanted = self._upright if upright else self._below
        if wanted is self._below and sum(widths) - 12 > self.width() - 2 * 16:
            wanted = self._stacked
        self._column.setSpacing(6 if wanted in (self._below, self._stacked) else 0)
        if all(wanted.indexOf(made) >= 0 for made in self._buttons):
            return
        for made in self._buttons:
            for place in (self._beside, self._upright, self._below, self._stacked):
                place.removeWidget(made)
            wanted.addWidget(made)
