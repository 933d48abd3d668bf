"""How the sorting table looks: cards with their reasons, and what the pointer carries."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPen, QPixmap

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

if TYPE_CHECKING:
    from landmarks.intake import Group

DOUBTFUL = 0.5
"""Groups less sure than this are marked: look again."""

IN_A_FRAME, KEPT_HEADS = 16, 400
"""So many heads of cards are made in one painting, and kept."""


class CardPainter:
    """Paints the cards of one sorting, and says the words on them."""

    def __init__(self, sorting: Sorting) -> None:
        self._sorting = sorting
        self._reasons: dict[int, tuple[Sentence, float, str]] = {}
        self._heads: dict[int, tuple[Group, tuple[float, ...], QPixmap]] = {}
        self._left = IN_A_FRAME

    def title(self, card: Card) -> str:
        """Return what stands above a card."""
        kind, n = card.section.kind, len(card.section.keys)
        if kind == GROUP:
            group = self._sorting.group(card.section.group)
            place = say("sorting.specimen", n=self._sorting.homes.places[group.id] + 1)
            return one_line(group.number) or place
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

    def begin(self) -> None:
        """Begin another frame."""
        self._left = IN_A_FRAME

    def forget(self) -> None:
        """Say and paint everything anew: colours or sizes are others."""
        self._reasons.clear()
        self._heads.clear()

    def paint(self, painter: QPainter, card: Card, *, target: bool) -> bool:
        """Paint a card without its tiles; return whether it is whole, or the next frame must.

        The one that would take what is dragged stands out.
        """
        rounded(painter, card.rect, RADIUS.card, "sheet", "accent" if target else "line")
        if target:
            painter.setPen(QPen(palette.colour("accent"), 2))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            inner = card.rect.adjusted(1, 1, -1, -1)
            painter.drawRoundedRect(inner, RADIUS.card, RADIUS.card)
        head = card.head
        if card.section.kind != GROUP:
            self._paint_words(painter, head, card)
            return True
        made = self._head(card, head, painter.device().devicePixelRatioF())
        if made is not None:
            painter.drawPixmap(head.topLeft(), made)
        return made is not None

    def _head(self, card: Card, head: QRectF, ratio: float) -> QPixmap | None:
        """Return the head of a group, made now where there is none and there is time."""
        group = self._sorting.group(card.section.group)
        place = self._sorting.homes.places[group.id]
        looks: tuple[float, ...] = place, head.width(), head.height(), ratio
        found = self._heads.get(group.id)
        if found is not None and found[0] is group and found[1] == looks:
            return found[2]
        if self._left <= 0:
            return None
        self._left -= 1
        made = QPixmap((head.size() * ratio).toSize())
        made.setDevicePixelRatio(ratio)
        made.fill(Qt.GlobalColor.transparent)
        inside = QPainter(made)
        inside.setRenderHint(QPainter.RenderHint.Antialiasing)
        self._paint_group(inside, QRectF(0, 0, head.width(), head.height()), card, group)
        inside.end()
        self._heads.pop(group.id, None)
        self._heads[group.id] = group, looks, made
        while len(self._heads) > KEPT_HEADS:
            del self._heads[next(iter(self._heads))]
        return made

    def _paint_group(
        self, painter: QPainter, head: QRectF, card: Card, group: Group
    ) -> None:
        first, second = line_height("small_strong"), line_height("caption")
        top = QRectF(head.left(), head.top(), head.width(), first)
        below = QRectF(head.left(), head.top() + first, head.width(), second)
        n = say("specimens.pictures", n=len(card.section.keys))
        room = text_width(n, "caption") + 8
        ink = "ink" if group.number else "ink2"
        write(painter, top.adjusted(0, 0, -room, 0), self.title(card), "small_strong", ink)
        write(painter, top, n, "caption", "ink2", Qt.AlignmentFlag.AlignRight)
        self._paint_why(painter, below, card)

    def _paint_words(self, painter: QPainter, head: QRectF, card: Card) -> None:
        section, first = card.section, line_height("small_strong")
        top = QRectF(head.left(), head.top(), head.width(), first)
        write(painter, top, self.title(card), "small_strong")
        line = QRectF(head.left(), head.top() + first, head.width(), line_height("caption"))
        if section.kind == WORDS:
            for words in section.lines:
                write(painter, line, words, "small")
                line.translate(0, card.sizes.caption / 2)
        else:
            write(painter, line, say(f"sorting.{section.kind}.words"), "caption", "ink2")

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
