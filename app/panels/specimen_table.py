"""The specimens as a table or as large thumbnails, in the place of the picture."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QAction, QKeyEvent, QShowEvent
from PySide6.QtWidgets import (
    QHBoxLayout,
    QMenu,
    QStackedLayout,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from app.panels.strip import CONTEXT
from app.panels.table_columns import column_name, offered, order_of
from app.panels.table_rows import TableModel
from app.panels.table_view import Table
from app.panels.thumbnails import Thumbnails
from app.panels.tile_view import Grid, GridModel
from app.session import Aspect, Session
from app.session.finding import find
from app.session.many import set_view_of_chosen
from app.style.follow import follow
from app.style.widgets import Label, button, icon_button
from landmarks.sentences import say

TABLE, THUMBNAILS = "table", "thumbnails"


class SpecimenTable(QWidget):
    """Head with counts and buttons, and one of two views of the same rows.

    Signals
    -------
    closed()
        The person wants the picture back.
    bench_wanted(str)
        A specimen shall go to the bench: its id.
    change_wanted()
        The person wants to change what is chosen.
    columns_chosen(tuple of keys), shown_as(str)
        What to remember: columns; ``table`` or ``thumbnails``.
    """

    closed = Signal()
    bench_wanted = Signal(str)
    change_wanted = Signal()
    columns_chosen = Signal(object)
    shown_as = Signal(str)

    def __init__(
        self,
        session: Session,
        thumbnails: Thumbnails | None = None,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._session = session
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.setProperty("ground", "sheet")
        self.setProperty(CONTEXT, "table")
        self.setAccessibleName(say("table.title"))
        self.model = TableModel(session, self)
        self.table = Table(session, self.model)
        self.grid_model = GridModel(self.model)
        self.grid = Grid(session, self.grid_model, thumbnails)
        self._counts = Label("", "small", "ink2")
        self.change = button(say("table.change"), "plain", "pencil")
        self.choose_all = button(say("table.choose_all"))
        self.as_table = _switch(say("table.as_table"))
        self.as_thumbnails = _switch(say("table.as_thumbnails"))
        self.columns = QToolButton()
        self.columns.setText(say("table.columns"))
        self.columns.setAccessibleName(say("table.columns"))
        self.columns.setPopupMode(QToolButton.ToolButtonPopupMode.InstantPopup)
        self.columns.setMenu(self._menu())
        self.away = icon_button("x", say("table.close"))
        self._lay_out()
        self._connect(thumbnails)
        self.show_as(TABLE)
        self._renew()
        follow(self._restyle)

    def show_as(self, which: str) -> None:
        """Show the table, or the thumbnails."""
        grid = which == THUMBNAILS
        at = (self.table if grid else self.grid).place_now()
        self._stack.setCurrentWidget(self.grid if grid else self.table)
        self.as_table.setChecked(not grid)
        self.as_thumbnails.setChecked(grid)
        self.columns.setEnabled(not grid)
        self.setFocusProxy(self.grid if grid else self.table)
        if at >= 0:
            (self.grid if grid else self.table).show_place(at)

    def show_place(self, at: int) -> None:
        """Make a place of the list current, in whichever view is shown."""
        view = self.grid if self.as_thumbnails.isChecked() else self.table
        view.show_place(at)

    def use_columns(self, columns: tuple[str, ...]) -> None:
        """Show these columns."""
        self.model.use_columns(columns)
        self.table.fit_columns(self.model.columns)
        self._show_order()
        for action in self.columns.menu().actions():
            action.setChecked(action.data() in self.model.columns)

    def showEvent(self, event: QShowEvent) -> None:
        """Show the rows as they are now."""
        super().showEvent(event)
        self._renew()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Go back to the picture with Esc."""
        if event.key() == Qt.Key.Key_Escape:
            self.closed.emit()
        else:
            super().keyPressEvent(event)

    # -- laid out --------------------------------------------------------------------------

    def _lay_out(self) -> None:
        head = QHBoxLayout()
        head.setContentsMargins(16, 8, 10, 8)
        head.setSpacing(8)
        head.addWidget(Label(say("table.title"), "strong"))
        head.addWidget(self._counts, 1)
        for one in (self.choose_all, self.change):
            head.addWidget(one)
        head.addSpacing(8)
        for tool in (self.as_table, self.as_thumbnails, self.columns, self.away):
            head.addWidget(tool)
        holder = QWidget()
        self._stack = QStackedLayout(holder)
        self._stack.setContentsMargins(0, 0, 0, 0)
        for view in (self.table, self.grid):
            self._stack.addWidget(view)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addLayout(head)
        column.addWidget(holder, 1)

    def _connect(self, thumbnails: Thumbnails | None) -> None:
        session = self._session
        self.as_table.clicked.connect(lambda: self._choose_view(TABLE))
        self.as_thumbnails.clicked.connect(lambda: self._choose_view(THUMBNAILS))
        self.away.clicked.connect(self.closed)
        self.change.clicked.connect(self.change_wanted)
        self.choose_all.clicked.connect(session.chosen.everything)
        for view in (self.table, self.grid):
            view.bench.connect(self._to_bench)
            view.view_wanted.connect(
                lambda one: set_view_of_chosen(session, one, lambda _: None)
            )
        self.table.horizontalHeader().sectionClicked.connect(self._sort)
        self.table.horizontalHeader().setContextMenuPolicy(
            Qt.ContextMenuPolicy.CustomContextMenu
        )
        self.table.horizontalHeader().customContextMenuRequested.connect(
            lambda at: self.columns.menu().popup(
                self.table.horizontalHeader().mapToGlobal(at)
            )
        )
        self.model.came.connect(self.table.viewport().update)
        self.model.came.connect(self.grid.viewport().update)
        if thumbnails is not None:
            thumbnails.arrived.connect(lambda _: self.grid.viewport().update())
        session.changed.connect(self._look)
        session.chosen.changed.connect(self._show_counts)

    def _menu(self) -> QMenu:
        menu = QMenu(self)
        menu.setAccessibleName(say("table.columns"))
        for key in offered():
            action = QAction(column_name(key).replace("&", "&&"), menu)
            action.setCheckable(True)
            action.setData(key)
            action.setChecked(key in self.model.columns)
            action.triggered.connect(lambda on, it=key: self._toggle(it, shown=bool(on)))
            menu.addAction(action)
        return menu

    # -- shown -----------------------------------------------------------------------------

    def _look(self, aspects: Aspect) -> None:
        if not self.isVisible():
            # It is made true when it is opened.
            return
        if aspects & (Aspect.ROWS | Aspect.COLLECTION):
            self._renew()
        elif aspects & Aspect.GUIDE:
            self.model.renew()
        elif aspects & (Aspect.NAMES | Aspect.SELECTION):
            self.table.viewport().update()
            self.grid.viewport().update()

    def _renew(self) -> None:
        self.model.renew()
        self._show_counts()
        self._show_order()

    def _show_counts(self) -> None:
        session = self._session
        n = len(session.chosen)
        words = say("table.found", n=session.n_rows)
        self._counts.setText(f"{words} · {say('table.chosen', n=n)}" if n else words)
        self.change.setEnabled(n > 0)
        self.choose_all.setEnabled(session.n_rows > 0)

    def _show_order(self) -> None:
        query, header = self._session.query, self.table.horizontalHeader()
        at = next(
            (i for i, one in enumerate(self.model.columns) if order_of(one) == query.order),
            -1,
        )
        header.setSortIndicatorShown(at >= 0)
        if at >= 0:
            down = Qt.SortOrder.DescendingOrder if query.descending else None
            header.setSortIndicator(at, down or Qt.SortOrder.AscendingOrder)

    # -- done ------------------------------------------------------------------------------

    def _sort(self, section: int) -> None:
        order, query = order_of(self.model.columns[section]), self._session.query
        if order:
            find(
                self._session,
                order=order,
                descending=query.order == order and not query.descending,
            )
        else:
            self._show_order()

    def _toggle(self, key: str, *, shown: bool) -> None:
        kept = [one for one in self.model.columns if one != key]
        self.use_columns(tuple([*kept, key] if shown else kept))
        self.columns_chosen.emit(self.model.columns)

    def _choose_view(self, which: str) -> None:
        self.show_as(which)
        self.shown_as.emit(which)
        self.setFocus(Qt.FocusReason.OtherFocusReason)

    def _to_bench(self, at: int) -> None:
        row = self.model.row(at)
        if row is not None:
            self.bench_wanted.emit(row.specimen)

    def _restyle(self) -> None:
        self.table.fit_columns(self.model.columns)


def _switch(words: str) -> QToolButton:
    made = QToolButton()
    made.setText(words)
    made.setAccessibleName(words)
    made.setCheckable(True)
    return made
