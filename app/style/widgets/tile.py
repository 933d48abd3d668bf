"""A tile for one state of a character: key, drawing, name, what it means."""

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPen, QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.style import focus, palette
from app.style.drawings import drawing_pixmap
from app.style.fonts import line_height, scaled
from app.style.icons import icon_pixmap
from app.style.tokens import DRAWING, RADIUS
from app.style.widgets.keycap import keycap_size, paint_keycap
from app.style.widgets.painted import (
    PaintedChoice,
    lines_high,
    lines_of,
    plain_tip,
    rounded,
    smooth,
    text_width,
    write,
    write_lines,
)

_MARGIN = 4  # room for the focus ring, 2 px outside the card
_FLAT = 44
_TWO_LINES = 172
"""From this height on, at the usual size of type, an explanation may take two lines."""


class Tile(PaintedChoice):
    """A state to choose; chosen it has an accent edge, a soft ground and a tick.

    Too low for the explanation (under 150 px), the explanation is only the tool tip.
    """

    def __init__(
        self,
        key: str,
        drawing: str,
        name: str,
        explanation: str = "",
        *,
        icon_like: bool = False,
        parent: QWidget | None = None,
    ) -> None:
        self._key, self._drawing, self._name = key, drawing, name
        self._explanation, self._icon_like = explanation, icon_like
        self._flat = False
        super().__init__(parent)
        self.setCheckable(True)
        self.setAccessibleName(name)
        self.setAccessibleDescription(explanation)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)

    def set_chosen(self, chosen: bool) -> None:  # noqa: FBT001 - as Qt's setChecked
        """Show the tile as the chosen one or not."""
        self.setChecked(chosen)

    def set_flat(self, flat: bool) -> None:  # noqa: FBT001 - as Qt's setters
        """Stand with the drawing beside the name, where there is no height for both."""
        if flat is not self._flat:
            self._flat = flat
            self._set_tip()
            self.updateGeometry()
            self.update()

    def sizeHint(self) -> QSize:
        """Return the size it would like."""
        if self._flat:
            return self.minimumSizeHint()
        return QSize(scaled(174) + 2 * _MARGIN, scaled(190) + 2 * _MARGIN)

    def minimumSizeHint(self) -> QSize:
        """Return the least size in which it can be read."""
        if self._flat:
            high = max(scaled(_FLAT), 2 * line_height("strong") + 8)
            return QSize(scaled(130) + 2 * _MARGIN, high + 2 * _MARGIN)
        return QSize(scaled(112) + 2 * _MARGIN, scaled(122) + 2 * _MARGIN)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Move the explanation to the tool tip where it has no room."""
        self._set_tip()
        super().resizeEvent(event)

    def restyle(self) -> None:
        """Follow new sizes of type, the tool tip included."""
        self._set_tip()
        super().restyle()

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Paint it in the colours on screen."""
        painter = smooth(self)
        whole = QRectF(self.rect())
        card = whole.adjusted(_MARGIN, _MARGIN, -_MARGIN, -_MARGIN)
        chosen = self.isChecked()
        hovered = self.underMouse() and self.isEnabled()
        rounded(
            painter,
            card,
            RADIUS.card,
            "accent_soft" if chosen else "raised",
            "accent_line" if hovered else "line",
        )
        if chosen:
            painter.setPen(QPen(palette.colour("accent"), 2))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(card.adjusted(1, 1, -1, -1), RADIUS.card, RADIUS.card)
        width, height = keycap_size(self._key)
        if self._flat:
            self._paint_flat(painter, card, 12.0 + width)
        else:
            bottom = self._paint_words(painter, card, chosen=chosen)
            room = QRectF(card.left() + 8, card.top() + 8, card.width() - 16, 0)
            room.setBottom(bottom - 4)
            self._paint_drawing(painter, room, chosen=chosen)
        if self._key:
            top = (card.height() - height) / 2 if self._flat else 8
            where = QRectF(card.left() + 8, card.top() + top, width, height)
            paint_keycap(painter, where, self._key)
        if chosen and not self._flat:
            self._paint_tick(painter, card)
        if self.hasFocus():
            focus.paint_ring(painter, whole, RADIUS.card + _MARGIN)
        painter.end()

    def _set_tip(self) -> None:
        lines = self._explained() if self._roomy() else []
        room = self.width() - 2 * _MARGIN - 16
        shown = lines and all(text_width(line, "small") <= room + 0.5 for line in lines)
        self.setToolTip("" if shown else plain_tip(self._explanation))

    def _explained(self) -> list[str]:
        """Return the lines of the explanation: two where there is height for them."""
        most = 2 if self.height() - 2 * _MARGIN >= scaled(_TWO_LINES) else 1
        room = self.width() - 2 * _MARGIN - 16
        return lines_of(self._explanation, "small", room, most)

    def _roomy(self) -> bool:
        return (
            bool(self._explanation)
            and not self._flat
            and self.height() - 2 * _MARGIN >= scaled(150)
        )

    def _paint_words(self, painter: QPainter, card: QRectF, *, chosen: bool) -> float:
        centre = Qt.AlignmentFlag.AlignHCenter
        bottom = card.bottom() - (scaled(12) if self._roomy() else scaled(8))
        side = card.adjusted(8, 0, -8, 0)
        if self._roomy():
            for words in reversed(self._explained()):
                bottom -= line_height("small")
                line = QRectF(side.left(), bottom, side.width(), line_height("small"))
                write(painter, line, words, "small", "ink2", centre)
            bottom -= 1
        bottom -= line_height("strong")
        line = QRectF(side.left(), bottom, side.width(), line_height("strong"))
        write(painter, line, self._name, "strong", "accent" if chosen else "ink", centre)
        return bottom

    def _paint_flat(self, painter: QPainter, card: QRectF, left: float) -> None:
        """Paint the drawing beside the name, which takes as many lines as it needs."""
        high = card.height() - 8
        wide = min(high * DRAWING.tile[0] / DRAWING.tile[1], card.width() * 0.34)
        room = QRectF(card.left() + left, card.top() + 4, wide, high)
        self._paint_drawing(painter, room, chosen=self.isChecked())
        words = card.adjusted(left + wide + 8, 0, -6, 0)
        need = lines_high(self._name, "strong", words.width())
        words.adjust(0, max(0.0, (card.height() - need) / 2), 0, 0)
        ink = "accent" if self.isChecked() else "ink"
        write_lines(painter, words, self._name, "strong", ink)

    def _paint_drawing(self, painter: QPainter, room: QRectF, *, chosen: bool) -> None:
        if not self._drawing:
            return
        if self._icon_like:
            width = height = min(float(scaled(44)), room.height())
        else:
            most_wide, most_high = (scaled(edge) for edge in DRAWING.tile)
            width = min(most_wide, room.width(), room.height() * most_wide / most_high)
            height = width * most_high / most_wide
        if width < 8:
            return
        ratio = self.devicePixelRatioF()
        ink = "accent" if chosen else ("ink2" if self._icon_like else "ink")
        drawn = drawing_pixmap(self._drawing, width, height, ink, ratio)
        where = QRectF(0, 0, drawn.width() / ratio, drawn.height() / ratio)
        where.moveCenter(room.center())
        painter.drawPixmap(where.topLeft(), drawn)

    def _paint_tick(self, painter: QPainter, card: QRectF) -> None:
        edge = scaled(18)
        disc = QRectF(card.right() - 8 - edge, card.top() + 8, edge, edge)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(palette.colour("accent"))
        painter.drawEllipse(disc)
        inner = scaled(12)
        tick = icon_pixmap("check", inner, "on_accent", self.devicePixelRatioF())
        corner = disc.center()
        half = inner / 2
        painter.drawPixmap(round(corner.x() - half), round(corner.y() - half), tick)
