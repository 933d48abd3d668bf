"""Tiles in one row where each is wide enough, else in two; flat where height is short."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QGridLayout, QWidget

from app.style.fonts import scaled
from app.style.widgets import Tile

_IN_A_ROW = 5
_LEAST = 140
"""Width that each of more than five tiles needs to stay in one row."""

_MOST = 208
_LOW = 138
"""Height of tiles that stand in two rows."""

_ANY_WIDTH = 16_777_215


class TileGrid(QWidget):
    """The tiles of one question."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._tiles: tuple[Tile, ...] = ()
        self._flat = False
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setSpacing(4)

    def set_tiles(self, tiles: Sequence[Tile]) -> None:
        """Show these tiles in place of those before."""
        for tile in self._tiles:
            self._grid.removeWidget(tile)
            tile.hide()
            tile.deleteLater()
        self._tiles = tuple(tiles)
        self._arrange()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Choose one row or two by the width."""
        super().resizeEvent(event)
        if event.size().width() != event.oldSize().width():
            self._arrange()

    def lie_flat(self, *, flat: bool) -> None:
        """Lay the tiles flat, the drawing beside the name, or let them stand."""
        if flat is not self._flat:
            self._flat = flat
            self._arrange()

    @property
    def is_flat(self) -> bool:
        """Return whether the tiles lie flat, the drawing beside the name."""
        return self._flat

    def _arrange(self) -> None:
        n = len(self._tiles)
        if not n:
            return
        for tile in self._tiles:
            tile.set_flat(self._flat)
        least = self._tiles[0].minimumSizeHint().width() + self._grid.spacing()
        if n > _IN_A_ROW and not self._flat:
            least = max(least, scaled(_LEAST))
        one_row = max(self.width(), 1) // n >= least
        in_a_row = n if one_row else (n + 1) // 2
        if self._flat:
            in_a_row = max(1, min(n, self.width() // least))
        for column in range(self._grid.columnCount()):
            self._grid.setColumnStretch(column, 0)
        for index, tile in enumerate(self._tiles):
            limited = one_row and not self._flat
            tile.setMaximumWidth(scaled(_MOST) if limited else _ANY_WIDTH)
            tile.setMinimumHeight(0 if one_row or self._flat else scaled(_LOW))
            self._grid.addWidget(tile, index // in_a_row, index % in_a_row)
            self._grid.setColumnStretch(index % in_a_row, 1)
        self.updateGeometry()
