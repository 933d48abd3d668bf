"""Who gives way to a strip or page where the window is small for the size of its type."""

from __future__ import annotations

from typing import TYPE_CHECKING

from app.style.fonts import scaled

if TYPE_CHECKING:
    from app.window.bench import Bench

_NARROW, _LOW = 900, 620
"""Below this width or height of the window, at the usual size of type, a strip takes room."""

_LISTED = ("find", "many")
"""The strips whose answer is the list of specimens: the side gives way in its stead."""


class Room:
    """Gives an open strip, and the picture above it, or a page the room of what can be spared.

    With type of twice the usual size a window of 1280 x 800 is as one of 640 x 400: list of
    specimens, pictures and what comes next give way to the strip that is worked in.
    """

    def __init__(self, bench: Bench) -> None:
        self._bench = bench
        self._quiet = False
        bench.pages.turned.connect(self.share)

    def share(self) -> None:
        """Hide what can be spared while a strip or a page is open, and show it again."""
        bench = self._bench
        strip, page = bench.strips.current, bench.tabling.is_open or bench.pages.page
        low = bench.height() < scaled(_LOW)
        bench.strips.set_low(low=low)
        low = low and bool(strip)
        needed = bool(strip) or bench.pages.page is not None
        narrow = needed and bench.width() < scaled(_NARROW)
        listed = strip in _LISTED
        bench.specimens.setVisible(not narrow or listed)
        if page:
            # The page has its own arrangement with rail, band and side.
            return
        bench.side.setVisible(not narrow or not listed)
        bench.rail.setVisible(not low)
        if low is not self._quiet:
            self._quiet = low
            bench.band.be_quiet(quiet=low)
