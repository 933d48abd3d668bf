"""Tiles of the sorting table: a picture with its time, file and view, painted once and kept.

Painting a tile from nothing takes a third of a millisecond and a screen holds a hundred, so
a tile is made once, a few in each frame, and shown again until something on it changes.
"""

from __future__ import annotations

from collections import OrderedDict
from typing import NamedTuple

from PySide6.QtCore import QPointF, QRectF, QSize, QSizeF, Qt
from PySide6.QtGui import QPainter, QPen, QPixmap

from app.panels.fields import one_line
from app.panels.sorting_places import Sizes
from app.panels.sorting_thumbs import SortingThumbs
from app.panels.thumbnails import paint_thumbnail
from app.panels.view_choice import VIEW_KEYS
from app.session.sorting import Sorting
from app.style import focus, palette
from app.style.fonts import line_height, scaled
from app.style.icons import icon_pixmap
from app.style.tokens import ICON, RADIUS
from app.style.widgets.keycap import keycap_size, paint_keycap
from app.style.widgets.painted import rounded, write
from landmarks.intake.clock import taken
from landmarks.sentences import say

IN_A_FRAME = 8
"""So many tiles are made in one painting; the rest has the next ones."""

KEPT_PIXELS = 12_000_000
"""Tiles kept, in pixels of 4 bytes: some screens full."""

_KEY_OF_VIEW = {view: key for key, view in VIEW_KEYS.items()}


class _Looks(NamedTuple):
    """What a tile is made of: another one of these, another tile."""

    size: QSize
    thumbnail: int
    view: str


class TilePainter:
    """Paints the tiles of one sorting."""

    def __init__(self, sorting: Sorting, thumbs: SortingThumbs) -> None:
        self._sorting, self._thumbs = sorting, thumbs
        self._times: dict[str, str] = {}
        self._made: OrderedDict[str, tuple[_Looks, QPixmap]] = OrderedDict()
        self._left = IN_A_FRAME

    def begin(self) -> None:
        """Begin another frame."""
        self._left = IN_A_FRAME

    def forget(self) -> None:
        """Make all tiles anew: colours or sizes are others."""
        self._made.clear()

    def paint(
        self, painter: QPainter, key: str, tile: QRectF, sizes: Sizes, *,
        chosen: bool, faint: bool, focused: bool,
    ) -> bool:  # fmt: skip
        """Paint a picture; return whether it is whole, or the next frame must go on."""
        painter.setOpacity(0.35 if faint else 1.0)
        if chosen:
            rounded(painter, tile, RADIUS.row, "accent_soft")
            painter.setPen(QPen(palette.colour("accent"), 2))
            painter.drawRoundedRect(tile.adjusted(1, 1, -1, -1), RADIUS.row, RADIUS.row)
        ratio = painter.device().devicePixelRatioF()
        thumb = QRectF(tile.topLeft() + _INSET, QSizeF(*sizes.thumb))
        made, whole = self._tile(key, tile.size(), ratio, sizes)
        if made is None:
            rounded(painter, thumb, 4, "sunken")
        else:
            painter.drawPixmap(tile.topLeft(), made)
        if chosen:
            self._tick(painter, thumb, ratio)
        if focused:
            focus.paint_ring(painter, tile, RADIUS.row)
        painter.setOpacity(1.0)
        return whole

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

    def _tile(
        self, key: str, size: QSizeF, ratio: float, sizes: Sizes
    ) -> tuple[QPixmap | None, bool]:
        """Return a tile and whether it is what it should be.

        It is made now where there is none and this frame has time for it.
        """
        thumbnail = self._thumbs(key)
        looks = _Looks(
            (size * ratio).toSize(),
            0 if thumbnail is None else thumbnail.cacheKey(),
            self._sorting.now.views.get(key, ""),
        )
        found = self._made.get(key)
        if found is not None and found[0] == looks:
            self._made.move_to_end(key)
            return found[1], True
        if self._left <= 0:
            # What was there is nearer to it than nothing, where it has the same size.
            same = found is not None and found[0].size == looks.size
            return (found[1] if found is not None and same else None), False
        self._left -= 1
        made = QPixmap(looks.size)
        made.setDevicePixelRatio(ratio)
        made.fill(Qt.GlobalColor.transparent)
        inside = QPainter(made)
        inside.setRenderHint(QPainter.RenderHint.Antialiasing)
        self._make(inside, key, size, sizes, thumbnail)
        inside.end()
        self._made[key] = looks, made
        self._made.move_to_end(key)
        kept = max(4 * IN_A_FRAME, KEPT_PIXELS // max(1, made.width() * made.height()))
        while len(self._made) > kept:
            self._made.popitem(last=False)
        return made, True

    def _make(
        self, painter: QPainter, key: str, size: QSizeF, sizes: Sizes, found: QPixmap | None
    ) -> None:
        thumb = QRectF(_INSET, QSizeF(*sizes.thumb))
        paint_thumbnail(painter, thumb, found)
        view = self._sorting.now.views.get(key, "")
        if view:
            cap = _KEY_OF_VIEW[view]
            wide, high = keycap_size(cap)
            at = QRectF(thumb.left() + 4, thumb.bottom() - high - 4, wide, high)
            paint_keycap(painter, at, cap)
        line = line_height("caption")
        words = QRectF(5, thumb.bottom() + 1, size.width() - 10, line)
        write(painter, words, self.time(key), "caption", "ink")
        words.translate(0, line)
        write(painter, words, one_line(self._sorting.shots[key].name), "caption", "ink2")

    def _tick(self, painter: QPainter, thumb: QRectF, ratio: float) -> None:
        edge = float(scaled(ICON.row))
        disc = QRectF(thumb.right() - edge - 6, thumb.top() + 4, edge + 2, edge + 2)
        rounded(painter, disc, disc.width() / 2, "accent")
        mark = icon_pixmap("check", edge - 4, "on_accent", ratio)
        painter.drawPixmap(disc.topLeft() + QPointF(3, 3), mark)


_INSET = QPointF(3, 3)
"""Between the edge of a tile and its thumbnail."""
