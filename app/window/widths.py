"""How wide specimens, picture and side are, and where the header stands above them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QByteArray

from app.style.tokens import LAYOUT

if TYPE_CHECKING:
    from app.window.bench import Bench

NARROW = 1440
"""Below this width of the window, in logical pixels, the sides take less room."""

_LEFT_WHEN_NARROW = 212


class Widths:
    """The widths of the look, until somebody moves a border; those are remembered."""

    def __init__(self, bench: Bench) -> None:
        self._bench, self._splitter = bench, bench.splitter
        state = str(bench.settings["splitter"])
        self._by_hand = bool(state)
        if state:
            self._splitter.restoreState(QByteArray.fromBase64(state.encode()))
        self._splitter.splitterMoved.connect(lambda *_: self._moved())

    def fit(self) -> None:
        """Give specimens and side the widths of the look for a window as wide as this."""
        if self._by_hand:
            return
        width = self._bench.width()
        left = _LEFT_WHEN_NARROW if width < NARROW else LAYOUT.specimens[1]
        right = self._bench.side.sizeHint().width()
        self._splitter.setSizes([left, width - left - right, right])
        self.align_header()

    def align_header(self) -> None:
        """Let the step map stand over the picture, between label and buttons."""
        bench = self._bench
        left, _, right = self._splitter.sizes()
        # While a strip or a page takes its room as well, a panel has none.
        left = left or bench.specimens.width()
        right = right or bench.side.sizeHint().width()
        # With large type the steps need more than the picture has: the buttons give way.
        row = bench.header.layout()
        needed = row.minimumSize().width() if row is not None else 0
        left_over = bench.width() - left - bench.steps.minimumSizeHint().width()
        bench.header.label.setFixedWidth(left)
        # With type larger still, so does the label: the title of the window says the same.
        bench.header.label.setVisible(left_over >= needed)
        bench.header.setFixedWidth(min(right, max(needed, left_over)))

    def remember(self) -> None:
        """Keep the widths that somebody chose for the next start."""
        if self._by_hand:
            state = bytes(self._splitter.saveState().toBase64().data()).decode()
            self._bench.settings.set("splitter", state)

    def _moved(self) -> None:
        self._by_hand = True
        self.align_header()
