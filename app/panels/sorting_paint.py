"""How the sorting table looks: cards with their reasons, and what the pointer carries."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPen

from app.panels.fields import one_line, titled
from app.panels.sorting_places import GROUP, WORDS, Card, Places
from app.panels.thumbnails import dashed
from app.session.sorting import Sorting
from app.style import palette
from app.style.fonts import line_height, scaled
from app.style.icons import icon_pixmap
from app.style.tokens import ICON, RADIUS
from app.style.widgets.painted import rounded, text_width, write
from landmarks.sentences import Sentence, percent, say, text

DOUBTFUL = 0.5
"""Groups less sure than this are marked: look again."""


class CardPainter:
    """Paints the cards of one sorting, and says the words on them."""

    def __init__(self, sorting: Sorting) -> None:
        self._sorting = sorting
        self._reasons: dict[int, tuple[Sentence, float, str]] = {}

    def title(self, card: Card) -> str:
        """Return what stands above a card."""
        kind, n = card.section.kind, len(card.section.keys)
        if kind == GROUP:
            group = self._sorting.group(card.section.group)
            place = say("sorting.specimen", n=self._sorting.homes.places[group.id] + 1)
            return one_line(group.number) or say("sorting.head", specimen=place)
        return say(f"sorting.{kind}", n=n or len(card.section.lines))

    def why(self, card: Card) -> str:
        """Return why its pictures belong together, and how surely."""
        group = self._sorting.group(card.section.group)
        known = self._reasons.get(group.id)
        if known is not None and known[0] is group.why and known[1] == group.certainty:
            return known[2]
        words = titled(one_line(text(group.why)))
        if group.certainty < 1:
            words = say("sorting.why", why=words, share=percent(group.certainty))
        self._reasons[group.id] = group.why, group.certainty, words
        return words

    def forget(self) -> None:
        """Say everything anew."""
        self._reasons.clear()

    def paint(self, painter: QPainter, card: Card, *, target: bool) -> None:
        """Paint a card without its tiles; the one that would take what is dragged stands out."""
        section, group = card.section, card.section.kind == GROUP
        rounded(painter, card.rect, RADIUS.card, "sheet", "accent" if target else "line")
        if target:
            painter.setPen(QPen(palette.colour("accent"), 2))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            inner = card.rect.adjusted(1, 1, -1, -1)
            painter.drawRoundedRect(inner, RADIUS.card, RADIUS.card)
        head = card.head
        first, second = line_height("small_strong"), line_height("caption")
        top = QRectF(head.left(), head.top(), head.width(), first)
        below = QRectF(head.left(), head.top() + first, head.width(), second)
        n = say("specimens.pictures", n=len(section.keys)) if section.keys else ""
        room = text_width(n, "caption") + 8
        named = group and self._sorting.group(section.group).number
        ink = "ink" if named or not group else "ink2"
        write(painter, top.adjusted(0, 0, -room, 0), self.title(card), "small_strong", ink)
        write(painter, top, n, "caption", "ink2", Qt.AlignmentFlag.AlignRight)
        if group:
            self._paint_why(painter, below, card)
        elif section.kind == WORDS:
            line = QRectF(below)
            for words in section.lines:
                write(painter, line, words, "small")
                line.translate(0, card.sizes.caption / 2)
        else:
            write(painter, below, say(f"sorting.{section.kind}.words"), "caption", "ink2")

    def _paint_why(self, painter: QPainter, where: QRectF, card: Card) -> None:
        doubtful = self._sorting.group(card.section.group).certainty < DOUBTFUL
        if doubtful:
            edge = float(scaled(ICON.inline))
            mark = icon_pixmap(
                "triangle-alert", edge, "caution", painter.device().devicePixelRatioF()
            )
            at = QPointF(where.left(), where.center().y() - edge / 2)
            painter.drawPixmap(at, mark)
            where = where.adjusted(edge + 4, 0, 0, 0)
        write(painter, where, self.why(card), "caption", "caution" if doubtful else "ink2")

    def paint_dragged(
        self,
        painter: QPainter,
        pointer: QPointF,
        n: int,
        target: Card | None,
        places: Places,
    ) -> None:
        """Draw what the pointer carries, and where it would go."""
        if target is None:
            wide, high = places.sizes.tile
            at = pointer
            dashed(painter, QRectF(at.x() - wide / 2, at.y() - high / 2, wide, high))
            words = say("sorting.drop.new")
        elif target.section.kind == GROUP:
            before = places.before_at(target, pointer)
            tile = places.tile(before) if before else None
            if tile is not None:
                painter.setPen(QPen(palette.colour("accent"), 3))
                x = tile.left() - 3
                painter.drawLine(QPointF(x, tile.top()), QPointF(x, tile.bottom()))
            words = say("sorting.drop.into", group=self.title(target))
        else:
            words = say("sorting.drop.out")
        words = say("sorting.drop", n=n, where=words)
        high = line_height("small") + 10
        wide = text_width(words, "small") + 18
        plate = QRectF(pointer.x() + 12, pointer.y() + 12, wide, high)
        plate.moveRight(min(plate.right(), painter.device().width() - 4.0))
        rounded(painter, plate, RADIUS.control, "raised", "accent")
        write(painter, plate.adjusted(9, 0, -6, 0), words, "small")
