"""The sorting table at the window: opened by many pictures, closed when they are taken in."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer

from landmarks.sentences import Sentence

if TYPE_CHECKING:
    from app.panels.sorting_table import SortingTable
    from app.window.bench import Bench


class SortingDesk(QObject):
    """Opens one table at a time in place of the picture, and takes its pictures in."""

    def __init__(self, bench: Bench) -> None:
        super().__init__(bench)
        self._bench = bench
        self.table: SortingTable | None = None
        self._put_by: SortingTable | None = None
        self._said_of: SortingTable | None = None
        bench.files.sorting_wanted.connect(self.open)
        bench.files.sorting_open = lambda: self.table is not None
        # Whoever opens a strip or another specimen wants to see the picture; who only looked
        # something up in a strip goes back to sorting.
        self._returns = False
        bench.strips.opened.connect(lambda _: self.step_aside(returns=True))
        bench.strips.closed.connect(self._strip_closed)
        bench.specimens.list.moved.connect(lambda _: self.step_aside())

    def open(self, paths: Sequence[Path]) -> None:
        """Open the table on these files, and begin to read them."""
        bench = self._bench
        if bench.session.repeat is not None:
            bench.session.notice(Sentence("repeats.not_now"), "passing")
            return
        if self.table is not None:
            self.table.sorting.add(paths)
            self.come_back()
            return
        # Most who start the program sort nothing: it is loaded when it is wanted.
        from app.panels.sorting_table import SortingTable
        from app.session.sorting import Sorting

        self._let_go(self._put_by)
        sorting = Sorting(bench.session, bench.files.reader, paths, bench)
        folder = str(bench.settings["last_folder"])
        self.table = SortingTable(bench.session, sorting, bench.loader, folder)
        self.table.take_in_wanted.connect(self._take_in)
        self.table.cancelled.connect(self._cancel)
        sorting.taken.connect(self._taken)
        sorting.ended.connect(self._ended)
        self.come_back()
        # The table is on screen before the first files are looked at.
        bench.files.reader.put_off(sorting.read)

    @property
    def may_come_back(self) -> bool:
        """Return whether there is a table: at work, or cancelled and standing by."""
        return self.table is not None or self._put_by is not None

    def come_back(self) -> None:
        """Show the table again where the picture is before it, or where it was cancelled."""
        self._returns = False
        if self.table is None and self._put_by is not None:
            self.table, self._put_by = self._put_by, None
            self.table.sheet.thumbs.take_up()
        if self.table is not None:
            self._bench.strips.close_strip()
            self._bench.pages.open_page(self.table)
            self._bench.side.hide()
            self._bench.hints.set_home("sorting")

    def _strip_closed(self) -> None:
        if self._returns:
            # The picture takes the keyboard first, as after every strip.
            QTimer.singleShot(0, self, self.come_back)

    def step_aside(self, *, returns: bool = False) -> None:
        """Let the picture be seen where the table is in front of it; it comes back later."""
        in_front = self.table is not None and self._bench.pages.page is self.table
        self._returns = returns and (in_front or self._returns)
        if in_front:
            self._bench.pages.show_picture()
            self._bench.hints.set_home("picture")
            self._bench.side.setVisible(not self._bench.tabling.is_open)

    def may_close(self) -> bool:
        """Return whether no sorting would be lost; what would is said once, above the picture."""
        table = self.table
        if table is None or not table.sorting.may_undo or self._said_of is table:
            return True
        self._said_of = table
        self.step_aside()
        n = len(table.sorting.found)
        self._bench.session.notice(Sentence("sorting.begun", {"n": n}), "passing")
        return False

    def put_away(self) -> None:
        """Stop reading: the window is being closed."""
        for table in (self.table, self._put_by):
            if table is not None:
                table.sorting.stop()
                table.sheet.thumbs.put_away()

    def _ended(self) -> None:
        """Let a single picture take the quick way: there is nothing to sort."""
        table = self.table
        if table is not None and len(table.sorting.found) < 2:
            found, refused = list(table.sorting.found.values()), table.sorting.refused
            self._close()
            self._bench.files.take_found(table.sorting.paths, found, refused)

    def _take_in(self) -> None:
        """Take in; pictures dropped on the worked example begin a collection of their own."""
        if self.table is not None:
            self._bench.files.with_collection(self.table.sorting.take_in)

    def _taken(self, first: str) -> None:
        table = self.table
        if table is None:
            return
        faults = [one.why for one in table.sorting.refused]
        self._close()
        self._bench.files.say_faults(faults)
        if first:
            # The table goes in this turn of the event loop, the bench fills in the next.
            session = self._bench.session
            QTimer.singleShot(0, self, lambda: session.choose(first))

    def _cancel(self) -> None:
        """Take nothing in; ten minutes of sorting are not lost by one click."""
        table = self.table
        if table is None:
            return
        self.step_aside()
        table.sheet.thumbs.put_away()
        self.table, self._put_by = None, table
        self._bench.canvas.setFocus()
        self._bench.session.notice(Sentence("sorting.cancelled"))

    def _close(self) -> None:
        table, self.table = self.table, None
        self._let_go(table)
        self._bench.hints.set_home("picture")
        self._bench.side.setVisible(not self._bench.tabling.is_open)
        self._bench.canvas.setFocus()

    def _let_go(self, table: SortingTable | None) -> None:
        self._put_by = None
        if table is not None:
            table.sorting.stop()
            table.sheet.thumbs.put_away()
            self._bench.pages.close_page(table)
            table.sorting.deleteLater()
