"""Where everything of the sorting table lies: cards of groups, flowing like words.

Plain geometry in logical pixels from the top left of the whole sheet; nothing is painted.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from PySide6.QtCore import QPointF, QRectF

GROUP, AGAIN, LEFT_OUT, WORDS = "group", "again", "left_out", "words"
MARGIN, ABOVE = 12.0, 10.0
"""Beside all cards, and above the first."""


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


class Section(NamedTuple):
    """What becomes a card: pictures of one group, or lines of words.

    This and :class:`Card` are named tuples, for thousands are made between two frames.
    """

    kind: str
    keys: tuple[str, ...] = ()
    group: int = -1
    lines: tuple[str, ...] = ()


class Card(NamedTuple):
    """A section where it lies; its tiles follow one another in lines, ``columns`` in each."""

    section: Section
    left: float
    top: float
    width: float
    height: float
    columns: int
    sizes: Sizes

    @property
    def rect(self) -> QRectF:
        """Return where it lies."""
        return QRectF(self.left, self.top, self.width, self.height)

    @property
    def head(self) -> QRectF:
        """Return the lines above the tiles."""
        pad, wide = self.sizes.pad, self.width - 2 * self.sizes.pad
        return QRectF(self.left + pad, self.top + pad - 2, wide, self.sizes.head)

    def tile(self, at: int) -> QRectF:
        """Return where one of its pictures lies."""
        sizes = self.sizes
        wide, high = sizes.tile
        row, column = divmod(at, self.columns)
        left = self.left + sizes.pad + column * (wide + sizes.gap)
        top = self.top + sizes.pad + sizes.head + row * (high + sizes.gap)
        return QRectF(left, top, wide, high)

    @property
    def tiles(self) -> tuple[QRectF, ...]:
        """Return where its pictures lie, in their order."""
        return tuple(self.tile(at) for at in range(len(self.section.keys)))

    def tiles_in(self, top: float, bottom: float) -> Iterator[tuple[str, QRectF]]:
        """Yield the pictures whose lines a stretch of the sheet touches, and their places."""
        sizes = self.sizes
        high = sizes.tile[1] + sizes.gap
        begin = self.top + sizes.pad + sizes.head
        first = max(0, int((top - begin) // high))
        last = max(0, int((bottom - begin) // high) + 1)
        keys = self.section.keys
        for at in range(first * self.columns, min(last * self.columns, len(keys))):
            yield keys[at], self.tile(at)


@dataclass(frozen=True, slots=True)
class Places:
    """All cards, and what finds things among them."""

    cards: tuple[Card, ...] = ()
    height: float = 0.0
    order: tuple[str, ...] = ()
    sizes: Sizes = Sizes((116.0, 87.0), 34.0, 40.0, 212.0)
    _of: dict[str, int] = field(default_factory=dict)
    _tops: tuple[float, ...] = ()
    _tallest: float = 0.0

    def within(self, top: float, bottom: float) -> Sequence[Card]:
        """Return the cards that a stretch of the sheet shows, in order."""
        first = bisect_left(self._tops, top - self._tallest)
        last = bisect_left(self._tops, bottom)
        return [card for card in self.cards[first:last] if card.top + card.height >= top]

    def tile(self, key: str) -> QRectF | None:
        """Return where a picture lies, or None where it is not on the sheet."""
        card = self.card_of(key)
        return None if card is None else card.tile(card.section.keys.index(key))

    def card_of(self, key: str) -> Card | None:
        """Return the card of a picture."""
        at = self._of.get(key)
        return None if at is None else self.cards[at]

    def card_at(self, point: QPointF) -> Card | None:
        """Return the card at a place, or None beside them all."""
        near = self.within(point.y() - 1, point.y() + 1)
        return next((card for card in near if card.rect.contains(point)), None)

    def key_at(self, point: QPointF) -> str:
        """Return the picture at a place, or ``""``."""
        card = self.card_at(point)
        if card is None:
            return ""
        pairs = card.tiles_in(point.y(), point.y())
        return next((key for key, tile in pairs if tile.contains(point)), "")

    def before_at(self, card: Card, point: QPointF) -> str:
        """Return the picture of a card before which something dropped here would come.

        Behind the last one of a line that is the first one of the next.
        """
        y, next_line = point.y(), card.sizes.tile[1] + card.sizes.gap
        if y < card.tile(0).top():
            return ""
        for key, tile in card.tiles_in(y, y + next_line):
            if y < tile.top() or (y <= tile.bottom() and point.x() < tile.center().x()):
                return key
        return ""

    def after(self, keys: Collection[str]) -> str:
        """Return the picture after the last of some, or the one before them, or ``""``."""
        gone = set(keys)
        at = [i for i, key in enumerate(self.order) if key in gone]
        if not at:
            return ""
        following = (*self.order[at[-1] + 1 :], *reversed(self.order[: at[-1]]))
        return next((key for key in following if key not in gone), "")

    def keys_in(self, area: QRectF) -> tuple[str, ...]:
        """Return the pictures that an area touches, in order."""
        return tuple(
            key
            for card in self.within(area.top(), area.bottom())
            for key, tile in card.tiles_in(area.top(), area.bottom())
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
            for other, tile in card.tiles_in(*ends):
                away = (tile.center().y() - middle.y()) * down
                if away < here.height() / 2:
                    continue
                weight = away * 4 + abs(tile.center().x() - middle.x())
                if weight < best:
                    found, best = other, weight
        return found


def laid_out(sections: Iterable[Section], width: float, sizes: Sizes) -> Places:
    """Return where sections lie on a sheet of a width; cards stand side by side and wrap.

    A group that would fill more than half a line has its pictures in two lines, so that
    another one finds room beside it. All cards of a line are as high as the highest.
    """
    cards: list[Card] = []
    of: dict[str, int] = {}
    order: list[str] = []
    wide, high = sizes.tile
    pad, gap = sizes.pad, sizes.gap
    room = max(width - 2 * MARGIN, sizes.least)
    columns = _columns(room, sizes)
    half = (room - sizes.between) / 2
    few = _columns(half, sizes) if half >= sizes.least else columns
    line: list[tuple[Section, float, float, int]] = []
    x, y, tallest, most = MARGIN, ABOVE, 0.0, 0.0

    def end_line() -> None:
        nonlocal x, y, tallest, most
        cards.extend(
            Card(one, left, y, card_wide, tallest, across, sizes)
            for one, left, card_wide, across in line
        )
        line.clear()
        most = max(most, tallest)
        x, y, tallest = MARGIN, y + tallest + sizes.between, 0.0

    for section in sections:
        keys = section.keys
        n = len(keys)
        alone = section.kind != GROUP
        across = max(1, min(n, columns) if alone or n <= few else min(-(-n // 2), columns))
        inner = across * (wide + gap) - gap if n else 0.0
        card_wide = room if alone else min(max(inner + 2 * pad, sizes.least), room)
        if line and (alone or x + card_wide > MARGIN + room + 0.5):
            end_line()
        rows = -(-n // across)
        words = len(section.lines) * sizes.caption / 2
        tallest = max(tallest, sizes.head + 2 * pad + rows * (high + gap) + words)
        of.update(dict.fromkeys(keys, len(cards) + len(line)))
        order.extend(keys)
        line.append((section, x, card_wide, across))
        x += card_wide + sizes.between
    if line:
        end_line()
    tops = tuple(card.top for card in cards)
    height = y - sizes.between + MARGIN
    return Places(tuple(cards), height, tuple(order), sizes, of, tops, most)


def _columns(room: float, sizes: Sizes) -> int:
    """Return how many pictures stand side by side in a card of a width."""
    inside = room - 2 * sizes.pad + sizes.gap
    return max(1, int(inside // (sizes.tile[0] + sizes.gap)))
