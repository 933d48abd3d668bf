"""The table of specimens takes the place of the picture, and gives it back."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Qt

from app.session import Aspect

if TYPE_CHECKING:
    from app.panels.specimen_table import SpecimenTable
    from app.window.bench import Bench

BESIDE_TABLE = frozenset(
    {"find", "many", "history", "keys", "start", "export", "check", "backups", "agreement"}
    | {"label", "name"}
)
"""Strips that may stand below the table; every other one is about the picture."""


class Tabling(QObject):
    """Makes the table when it is first wanted, and opens and closes it."""

    def __init__(self, bench: Bench) -> None:
        super().__init__(bench)
        self._bench = bench
        self.table: SpecimenTable | None = None
        bench.session.changed.connect(self._look)
        bench.strips.opened.connect(self._strip_opened)

    @property
    def is_open(self) -> bool:
        """Return whether the table stands in the place of the picture."""
        return self.table is not None and not self.table.isHidden()

    def toggle(self) -> None:
        """Open the table, or close it."""
        if self.is_open:
            self.close()
        else:
            self.open()

    def open(self) -> None:
        """Show the table in the place of the picture."""
        bench = self._bench
        if self.is_open or bench.session.repeat is not None:
            return
        bench.session.hand.take_tool(None)
        bench.session.hand.take_instrument(None)
        table = self.table or self._make()
        bench.canvas.hide()
        bench.rail.hide()
        bench.side.hide()
        bench.band.be_quiet(quiet=True)
        table.show()
        here = bench.session.specimen
        at = None if here is None else table.model.row_of(here.id)
        if at is not None:
            table.show_place(at)
        table.setFocus(Qt.FocusReason.OtherFocusReason)
        bench.hints.set_context("table")
        bench.preferences_changed.emit()

    def close(self) -> None:
        """Give the picture its place again."""
        bench = self._bench
        if self.table is None or not self.is_open:
            return
        self.table.hide()
        bench.side.show()
        bench.band.be_quiet(quiet=False)
        bench.rail.show()
        bench.canvas.show()
        bench.canvas.setFocus()
        bench.preferences_changed.emit()

    def put_away(self) -> None:
        """Read no more: the window is being closed."""
        if self.table is not None:
            self.table.model.stop()

    def _make(self) -> SpecimenTable:
        from app.panels.specimen_table import SpecimenTable

        bench, settings = self._bench, self._bench.settings
        table = self.table = SpecimenTable(bench.session, bench.thumbnails)
        columns = str(settings["table_columns"])
        table.use_columns(tuple(columns.split()) if columns else table.model.columns)
        table.show_as(str(settings["table_as"]))
        table.closed.connect(self.close)
        table.bench_wanted.connect(self._to_bench)
        table.change_wanted.connect(lambda: bench.open_strip("many"))
        table.columns_chosen.connect(
            lambda chosen: settings.set("table_columns", " ".join(chosen))
        )
        table.shown_as.connect(lambda which: settings.set("table_as", which))
        bench.middle.insertWidget(bench.middle.indexOf(bench.canvas), table, 1)
        return table

    def _to_bench(self, specimen: str) -> None:
        self.close()
        self._bench.session.choose(specimen)

    def _strip_opened(self, name: str) -> None:
        if name not in BESIDE_TABLE:
            self.close()

    def _look(self, aspects: Aspect) -> None:
        session = self._bench.session
        armed = session.tool is not None or session.instrument is not None
        if aspects & (Aspect.TOOL | Aspect.WORK) and armed:
            self.close()
        if aspects & Aspect.SELECTION and session.repeat is not None:
            self.close()
