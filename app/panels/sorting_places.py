"""Where everything of the sorting table lies: cards of groups, flowing like words.

Plain geometry in logical pixels from the top left of the whole sheet; nothing is painted.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass, field

from PySide6.QtCore import QPointF, QRectF

GROUP, AGAIN, LEFT_OUT, WORDS = "group", "again", "left_out", "words"


@dataclass(frozen=True, slots=True)
class Sizes:
    """Sizes that follow the type: of a thumbnail, a tile, and the lines above tiles."""

    thumb: tuple[float, float]
    caption: float
    head: float
    least: float
    pad: float = 8.0
    gap: float = 6.0
    between: float = 10.0

    @property
    def tile(self) -> tuple[float, float]:
        """Return width and height of a tile, its caption included."""
        return self.thumb[0] + 6, self.thumb[1] + 6 + self.caption


@dataclass(frozen=True, slots=True)
class Section:
    """What becomes a card: pictures of one group, or lines of words."""

    kind: str
    keys: tuple[str, ...] = ()
    group: int = -1
    lines: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Card:
    """A section where it lies; ``tiles`` in the order of its pictures."""

    section: Section
    rect: QRectF
    tiles: tuple[QRectF, ...]

    def head(self, sizes: Sizes) -> QRectF:
        """Return the lines above the tiles."""
        left, top = self.rect.left() + sizes.pad, self.rect.top() + sizes.pad - 2
        return QRectF(left, top, self.rect.width() - 2 * sizes.pad, sizes.head)


@dataclass(frozen=True, slots=True)
class Places:
    """All cards, and what finds things among them."""

    cards: tuple[Card, ...] = ()
    height: float = 0.0
    order: tuple[str, ...] = ()
    _of: dict[str, tuple[int, int]] = field(default_factory=dict)
    _tops: tuple[float, ...] = ()
    _tallest: float = 0.0

    def within(self, top: float, bottom: float) -> Sequence[Card]:
        """Return the cards that a stretch of the sheet shows, in order."""
        first = bisect_left(self._tops, top - self._tallest)
        last = bisect_left(self._tops, bottom)
        return [card for card in self.cards[first:last] if card.rect.bottom() >= top]

    def tile(self, key: str) -> QRectF | None:
        """Return where a picture lies, or None where it is not on the sheet."""
        at = self._of.get(key)
        return None if at is None else self.cards[at[0]].tiles[at[1]]

    def card_of(self, key: str) -> Card | None:
        """Return the card of a picture."""
        at = self._of.get(key)
        return None if at is None else self.cards[at[0]]

    def card_at(self, point: QPointF) -> Card | None:
        """Return the card at a place, or None beside them all."""
        near = self.within(point.y() - 1, point.y() + 1)
        return next((card for card in near if card.rect.contains(point)), None)

    def key_at(self, point: QPointF) -> str:
        """Return the picture at a place, or ``""``."""
        card = self.card_at(point)
        if card is None:
            return ""
        pairs = zip(card.section.keys, card.tiles, strict=True)
        return next((key for key, tile in pairs if tile.contains(point)), "")

    def before_at(self, card: Card, point: QPointF) -> str:
        """Return the picture of a card before which something dropped here would come."""
        for key, tile in zip(card.section.keys, card.tiles, strict=True):
            same_line = tile.top() <= point.y() <= tile.bottom()
            if same_line and point.x() < tile.center().x():
                return key
        return ""

    def keys_in(self, area: QRectF) -> tuple[str, ...]:
        """Return the pictures that an area touches, in order."""
        return tuple(
            key
            for card in self.within(area.top(), area.bottom())
            for key, tile in zip(card.section.keys, card.tiles, strict=True)
            if tile.intersects(area)
        )

    def beside(self, key: str, across: int, down: int) -> str:
        """Return the picture next to another one, in reading order or a line up or down."""
        if not self.order:
            return ""
        if key not in self._of:
            return self.order[0]
        if across:
            at = self.order.index(key) + across
            return self.order[min(max(at, 0), len(self.order) - 1)]
        here = self.tile(key)
        assert here is not None
        found, best = key, float("inf")
        reach = 3 * (self._tallest + here.height())
        middle = here.center()
        ends = sorted((middle.y(), middle.y() + down * reach))
        for card in self.within(*ends):
            for other, tile in zip(card.section.keys, card.tiles, strict=True):
                away = (tile.center().y() - middle.y()) * down
                if away < here.height() / 2:
                    continue
                weight = away * 4 + abs(tile.center().x() - middle.x())
                if weight < best:
                    found, best = other, weight
        return found


def laid_out(sections: Sequence[Section], width: float, sizes: Sizes) -> Places:
    """Return where sections lie on a sheet of a width; cards stand side by side and wrap."""
    cards: list[Card] = []
    of: dict[str, tuple[int, int]] = {}
    order: list[str] = []
    margin, x, y, tallest, most = 12.0, 12.0, 10.0, 0.0, 0.0
    room = max(width - 2 * margin, sizes.least)
    wide, high = sizes.tile
    columns = max(1, int((room - 2 * sizes.pad + sizes.gap) // (wide + sizes.gap)))
    line: list[int] = []
    for section in sections:
        n = len(section.keys)
        across = min(n, columns)
        alone = section.kind != GROUP
        inner = across * (wide + sizes.gap) - sizes.gap if n else 0.0
        card_wide = room if alone else min(max(inner + 2 * sizes.pad, sizes.least), room)
        rows = -(-n // columns) if n else 0
        words = len(section.lines) * sizes.caption / 2
        card_high = sizes.head + 2 * sizes.pad + rows * (high + sizes.gap) + words
        if x > margin and (alone or x + card_wide > margin + room + 0.5):
            _level(cards, line, tallest)
            x, y, tallest, line = margin, y + tallest + sizes.between, 0.0, []
        rect = QRectF(x, y, card_wide, card_high)
        top = y + sizes.pad + sizes.head
        tiles = tuple(
            QRectF(
                x + sizes.pad + i % columns * (wide + sizes.gap),
                top + i // columns * (high + sizes.gap),
                wide,
                high,
            )
            for i in range(n)
        )
        for i, key in enumerate(section.keys):
            of[key] = len(cards), i
        order.extend(section.keys)
        line.append(len(cards))
        cards.append(Card(section, rect, tiles))
        x += card_wide + sizes.between
        tallest = max(tallest, card_high)
        most = max(most, tallest)
    _level(cards, line, tallest)
    height = y + tallest + margin
    tops = tuple(card.rect.top() for card in cards)
    return Places(tuple(cards), height, tuple(order), of, tops, most)


def _level(cards: list[Card], line: Sequence[int], height: float) -> None:
    """Make all cards of a line as high as the highest."""
    for at in line:
        rect = QRectF(cards[at].rect)
        rect.setHeight(height)
        cards[at] = Card(cards[at].section, rect, cards[at].tiles)
