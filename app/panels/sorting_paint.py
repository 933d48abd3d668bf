"""How the sorting table looks: cards with their reasons, tiles with time, file and view."""

from __future__ import annotations

from collections import OrderedDict

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPen, QPixmap

from app.panels.fields import one_line, titled
from app.panels.sorting_places import GROUP, WORDS, Card, Places, Sizes
from app.panels.sorting_thumbs import SortingThumbs
from app.panels.thumbnails import dashed, paint_thumbnail
from app.panels.view_choice import VIEW_KEYS
from app.session.sorting import Sorting
from app.style import focus, palette
from app.style.fonts import line_height, scaled
from app.style.icons import icon_pixmap
from app.style.tokens import ICON, RADIUS
from app.style.widgets.keycap import keycap_size, paint_keycap
from app.style.widgets.painted import rounded, text_width, write
from landmarks.intake.clock import taken
from landmarks.sentences import percent, say, text

DOUBTFUL = 0.5
"""Groups less sure than this are marked: look again."""

_READY = 400
"""Thumbnails kept as they are shown: some screens full."""

_KEY_OF_VIEW = {view: key for key, view in VIEW_KEYS.items()}


class SheetPainter:
    """Paints cards and tiles of one sorting, and says the words on them."""

    def __init__(self, sorting: Sorting, thumbs: SortingThumbs) -> None:
        self._sorting, self._thumbs = sorting, thumbs
        self._times: dict[str, str] = {}
        self._ready: OrderedDict[str, QPixmap] = OrderedDict()

    def title(self, card: Card) -> str:
        """Return what stands above a card."""
        kind, n = card.section.kind, len(card.section.keys)
        if kind == GROUP:
            number = one_line(self._sorting.now.proposal.group(card.section.group).number)
            return number or say("specimens.no_number")
        return say(f"sorting.{kind}", n=n or len(card.section.lines))

    def paint_card(
        self, painter: QPainter, card: Card, sizes: Sizes, *, target: bool
    ) -> None:
        """Paint a card without its tiles; the one that would take what is dragged stands out."""
        section, group = card.section, card.section.kind == GROUP
        rounded(painter, card.rect, RADIUS.card, "sheet", "accent" if target else "line")
        if target:
            painter.setPen(QPen(palette.colour("accent"), 2))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            inner = card.rect.adjusted(1, 1, -1, -1)
            painter.drawRoundedRect(inner, RADIUS.card, RADIUS.card)
        head = card.head(sizes)
        first, second = line_height("small_strong"), line_height("caption")
        top = QRectF(head.left(), head.top(), head.width(), first)
        below = QRectF(head.left(), head.top() + first, head.width(), second)
        n = say("specimens.pictures", n=len(section.keys)) if section.keys else ""
        room = text_width(n, "caption") + 8
        named = group and self._sorting.now.proposal.group(section.group).number
        ink = "ink" if named or not group else "ink2"
        write(painter, top.adjusted(0, 0, -room, 0), self.title(card), "small_strong", ink)
        write(painter, top, n, "caption", "ink2", Qt.AlignmentFlag.AlignRight)
        if group:
            self._paint_why(painter, below, card)
        elif section.kind == WORDS:
            line = QRectF(below)
            for words in section.lines:
                write(painter, line, words, "small")
                line.translate(0, sizes.caption / 2)
        else:
            write(painter, below, say(f"sorting.{section.kind}.words"), "caption", "ink2")

    def _paint_why(self, painter: QPainter, where: QRectF, card: Card) -> None:
        group = self._sorting.now.proposal.group(card.section.group)
        doubtful = group.certainty < DOUBTFUL
        if doubtful:
            edge = float(scaled(ICON.inline))
            mark = icon_pixmap(
                "triangle-alert", edge, "caution", painter.device().devicePixelRatioF()
            )
            at = QPointF(where.left(), where.center().y() - edge / 2)
            painter.drawPixmap(at, mark)
            where = where.adjusted(edge + 4, 0, 0, 0)
        write(painter, where, self.why(card), "caption", "caution" if doubtful else "ink2")

    def why(self, card: Card) -> str:
        """Return why its pictures belong together, and how surely."""
        group = self._sorting.now.proposal.group(card.section.group)
        why = titled(one_line(text(group.why)))
        if group.certainty >= 1:
            return why
        return say("sorting.why", why=why, share=percent(group.certainty))

    def paint_tile(
        self,
        painter: QPainter,
        key: str,
        tile: QRectF,
        sizes: Sizes,
        *,
        chosen: bool,
        faint: bool,
        focused: bool,
    ) -> None:
        """Paint a picture with time, file and view."""
        painter.setOpacity(0.35 if faint else 1.0)
        if chosen:
            rounded(painter, tile, RADIUS.row, "accent_soft")
            painter.setPen(QPen(palette.colour("accent"), 2))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(tile.adjusted(1, 1, -1, -1), RADIUS.row, RADIUS.row)
        thumb = QRectF(tile.left() + 3, tile.top() + 3, *sizes.thumb)
        self._paint_thumbnail(painter, key, thumb)
        self._paint_marks(painter, key, thumb, chosen=chosen)
        line = line_height("caption")
        words = QRectF(tile.left() + 5, thumb.bottom() + 1, tile.width() - 10, line)
        write(painter, words, self.time(key), "caption", "ink")
        words.translate(0, line)
        write(painter, words, one_line(self._sorting.shots[key].name), "caption", "ink2")
        if focused:
            focus.paint_ring(painter, tile, RADIUS.row)
        painter.setOpacity(1.0)

    def _paint_thumbnail(self, painter: QPainter, key: str, where: QRectF) -> None:
        """Paint a thumbnail; what is seen again and again is cut to its size only once."""
        found = self._thumbs(key)
        if found is None:
            paint_thumbnail(painter, where, None)
            return
        ratio = painter.device().devicePixelRatioF()
        size = (where.size() * ratio).toSize()
        made = self._ready.get(key)
        if made is None or made.size() != size:
            made = QPixmap(size)
            made.setDevicePixelRatio(ratio)
            made.fill(Qt.GlobalColor.transparent)
            inside = QPainter(made)
            inside.setRenderHint(QPainter.RenderHint.Antialiasing)
            paint_thumbnail(inside, QRectF(0, 0, where.width(), where.height()), found)
            inside.end()
            self._ready[key] = made
            while len(self._ready) > _READY:
                self._ready.popitem(last=False)
        self._ready.move_to_end(key)
        painter.drawPixmap(where.topLeft(), made)

    def _paint_marks(
        self, painter: QPainter, key: str, thumb: QRectF, *, chosen: bool
    ) -> None:
        """Draw the key of its view, and a tick where it is selected."""
        view = self._sorting.now.views.get(key, "")
        if view:
            cap = _KEY_OF_VIEW[view]
            wide, high = keycap_size(cap)
            paint_keycap(
                painter,
                QRectF(thumb.left() + 4, thumb.bottom() - high - 4, wide, high),
                cap,
            )
        if chosen:
            edge = float(scaled(ICON.row))
            disc = QRectF(thumb.right() - edge - 6, thumb.top() + 4, edge + 2, edge + 2)
            rounded(painter, disc, disc.width() / 2, "accent")
            mark = icon_pixmap(
                "check", edge - 4, "on_accent", painter.device().devicePixelRatioF()
            )
            painter.drawPixmap(disc.topLeft() + QPointF(3, 3), mark)

    def paint_dragged(
        self,
        painter: QPainter,
        pointer: QPointF,
        n: int,
        target: Card | None,
        places: Places,
        sizes: Sizes,
    ) -> None:
        """Draw what the pointer carries, and where it would go."""
        if target is None:
            wide, high = sizes.tile
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

    def time(self, key: str) -> str:
        """Return when a picture was taken, by the camera's clock."""
        if key not in self._times:
            when = taken(self._sorting.found[key].file)
            self._times[key] = (
                say("sorting.no_time")
                if when is None
                else when.local.isoformat(sep=" ", timespec="seconds")[5:]
            )
        return self._times[key]
