"""The specimens as a table or as large thumbnails, in the place of the picture."""

from __future__ import annotations

from PySide6.QtCore import (
    QAbstractTableModel,
    QModelIndex,
    QPointF,
    QRectF,
    QSize,
    Qt,
    Signal,
)
from PySide6.QtGui import QAction, QKeyEvent, QPainter, QResizeEvent, QShowEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHBoxLayout,
    QHeaderView,
    QMenu,
    QStackedLayout,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from app.panels.choosing import ChoosingView
from app.panels.specimen_rows import Index, name_of, number_of, paint_chosen
from app.panels.strip import CONTEXT
from app.panels.table_rows import TableModel, alignment, column_name, offered, order_of
from app.panels.thumbnails import Thumbnails, paint_thumbnail
from app.session import Aspect, Session
from app.session.finding import find
from app.session.many import set_view_of_chosen
from app.style import focus, palette
from app.style.follow import follow
from app.style.fonts import line_height, scaled
from app.style.tokens import RADIUS
from app.style.widgets import Label, button, icon_button, paint_name
from app.style.widgets.painted import rounded, write
from landmarks.sentences import say
from landmarks.storage import Row

TABLE, THUMBNAILS = "table", "thumbnails"
_WIDTHS = {"number": 130, "name": 210, "missing": 210, "region": 130, "locality": 200}
_TILE = (192, 144)
_NO_INDEX = QModelIndex()


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
        self.table = _Table(session, self.model)
        self.grid_model = _GridModel(self.model)
        self.grid = _Grid(session, self.grid_model, thumbnails)
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


class _View(ChoosingView):
    """What table and grid share: Enter and a double click go to the bench."""

    bench = Signal(int)

    def __init__(self, session: Session, rows: TableModel) -> None:
        super().__init__(session, rows)
        self.setShowGrid(False)
        self.setTabKeyNavigation(False)
        self.setCornerButtonEnabled(False)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setMouseTracking(True)
        self.setAccessibleName(say("table.title"))
        # The painters of rows and tiles show what is current and what is chosen.
        clear = "selection-background-color: transparent;"
        self.setStyleSheet(f"QTableView {{ {clear} border: none; }}")
        self.verticalHeader().hide()
        self.verticalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        self.doubleClicked.connect(lambda index: self.bench.emit(self.place(index)))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Put the current specimen on the bench with Enter."""
        at = self.place_now()
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and at >= 0:
            self.bench.emit(at)
        else:
            super().keyPressEvent(event)

    def place_now(self) -> int:
        """Return which place of the list is current, or -1."""
        return self.place(self.currentIndex())

    def show_place(self, at: int) -> None:
        """Make a place of the list current."""
        index = self.model().index(at, 0)
        self.setCurrentIndex(index)
        self.scrollTo(index)


class _Table(_View):
    """One row for each specimen, one column for each field."""

    def __init__(self, session: Session, rows: TableModel) -> None:
        super().__init__(session, rows)
        self.setModel(rows)
        self.setItemDelegate(_CellPainter(session, rows, self))
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        header = self.horizontalHeader()
        header.setSectionsClickable(True)
        header.setHighlightSections(False)
        header.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft)
        header.setSectionResizeMode(QHeaderView.ResizeMode.Interactive)
        header.setSectionsMovable(False)
        follow(self._restyle)

    def fit_columns(self, columns: tuple[str, ...]) -> None:
        """Give every column the width that its words usually need."""
        header = self.horizontalHeader()
        for at, key in enumerate(columns):
            least = header.sectionSizeFromContents(at).width() + 8
            header.resizeSection(at, max(least, scaled(_WIDTHS.get(key, 96))))

    def _restyle(self) -> None:
        self.verticalHeader().setDefaultSectionSize(
            max(scaled(30), line_height("body") + 10)
        )


class _CellPainter(QStyledItemDelegate):
    """Paints a cell; chosen rows and the one on the bench have their mark in front."""

    def __init__(self, session: Session, rows: TableModel, parent: QWidget) -> None:
        super().__init__(parent)
        self._session, self._rows = session, rows

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        """Paint it in the colours on screen."""
        row = self._rows.row(index.row())
        whole = QRectF(option.rect)
        key = self._rows.columns[index.column()]
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        chosen = row is not None and row.specimen in self._session.chosen
        view = self.parent()
        current = isinstance(view, _Table) and view.currentIndex().row() == index.row()
        if chosen or current:
            painter.fillRect(whole, palette.colour("accent_soft" if chosen else "sunken"))
        room = whole.adjusted(8, 0, -8, 0)
        if index.column() == 0:
            room.setLeft(room.left() + scaled(18))
            mark = QRectF(whole.left() + 6, 0, scaled(14), scaled(14))
            mark.moveTop(whole.center().y() - mark.height() / 2)
            if chosen:
                paint_chosen(painter, mark)
            elif row is not None and _is_on_bench(self._session, row):
                bar = QRectF(whole.left() + 2, whole.top() + 4, 3, whole.height() - 8)
                rounded(painter, bar, 1.5, "accent")
        if row is None:
            middle = QRectF(room.left(), room.center().y() - 4, room.width() * 0.6, 8)
            rounded(painter, middle, 4, "sunken")
        else:
            self._paint_words(painter, room, row, key)
        if current and option.state & QStyle.StateFlag.State_HasFocus:
            focus.paint_ring(painter, whole.adjusted(1, 1, -1, -1), 3)
        painter.restore()

    def _paint_words(self, painter: QPainter, room: QRectF, row: Row, key: str) -> None:
        # Asked directly: by way of the index every cell would be made three times.
        words, pale = self._rows.shown(row, key)
        if not words:
            return
        align = alignment(key)
        line = QRectF(room.left(), 0, room.width(), line_height("body"))
        line.moveTop(room.center().y() - line.height() / 2)
        if key == "name" and not pale:
            paint_name(painter, line, words, "name_row")
        else:
            write(painter, line, words, "body", "ink2" if pale else "ink", align)


class _GridModel(QAbstractTableModel):
    """The same specimens, so many beside each other."""

    def __init__(self, rows: TableModel) -> None:
        super().__init__(rows)
        self.rows, self.n_beside = rows, 4
        rows.modelReset.connect(self._anew)

    def beside(self, n: int) -> None:
        """Put so many beside each other."""
        if n != self.n_beside:
            self.beginResetModel()
            self.n_beside = n
            self.endResetModel()

    def rowCount(self, parent: Index = _NO_INDEX) -> int:
        """Return how many lines there are."""
        return 0 if parent.isValid() else -(-self.rows.rowCount() // self.n_beside)

    def columnCount(self, parent: Index = _NO_INDEX) -> int:
        """Return how many stand beside each other."""
        return 0 if parent.isValid() else self.n_beside

    def place(self, index: Index) -> int:
        """Return which specimen of the list a cell shows, or -1."""
        at = index.row() * self.n_beside + index.column()
        return at if index.isValid() and at < self.rows.rowCount() else -1

    def flags(self, index: Index) -> Qt.ItemFlag:
        """Let nobody go to the empty cells of the last line."""
        return super().flags(index) if self.place(index) >= 0 else Qt.ItemFlag.NoItemFlags

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """Return what a cell is called: its number and name."""
        at = self.place(index)
        if at < 0 or role not in (
            Qt.ItemDataRole.DisplayRole,
            Qt.ItemDataRole.AccessibleTextRole,
        ):
            return None
        row = self.rows.row(at)
        return None if row is None else self.rows.spoken(row)

    def _anew(self) -> None:
        self.beginResetModel()
        self.endResetModel()


class _Grid(_View):
    """Large thumbnails, each with number and name."""

    def __init__(
        self, session: Session, model: _GridModel, thumbnails: Thumbnails | None
    ) -> None:
        super().__init__(session, model.rows)
        self._grid = model
        self.setModel(model)
        self.setItemDelegate(_TilePainter(session, model, thumbnails, self))
        self.horizontalHeader().hide()
        self.horizontalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Stretch)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        follow(self._restyle)

    def place(self, index: Index) -> int:
        """Return which specimen of the list a cell shows, or -1."""
        return self._grid.place(index)

    def show_place(self, at: int) -> None:
        """Make a place of the list current."""
        index = self._grid.index(*divmod(at, self._grid.n_beside))
        self.setCurrentIndex(index)
        self.scrollTo(index)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Put as many beside each other as there is room for."""
        at = self.place_now()
        super().resizeEvent(event)
        self._grid.beside(max(1, self.viewport().width() // (scaled(_TILE[0]) + 20)))
        if at >= 0 and self.isVisible():
            self.show_place(at)

    def _restyle(self) -> None:
        words = line_height("strong") + line_height("name_row")
        self.verticalHeader().setDefaultSectionSize(scaled(_TILE[1]) + words + 24)


class _TilePainter(QStyledItemDelegate):
    """Paints a thumbnail with number and name below."""

    def __init__(
        self,
        session: Session,
        model: _GridModel,
        thumbnails: Thumbnails | None,
        parent: QWidget,
    ) -> None:
        super().__init__(parent)
        self._session, self._model, self._thumbnails = session, model, thumbnails

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:
        """Return the size it would like."""
        return QSize(scaled(_TILE[0]) + 20, scaled(_TILE[1]) + 60)

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        """Paint it in the colours on screen."""
        at = self._model.place(index)
        if at < 0:
            return
        row, session = self._model.rows.row(at), self._session
        whole = QRectF(option.rect).adjusted(4, 4, -4, -4)
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        chosen = row is not None and row.specimen in session.chosen
        current = bool(option.state & QStyle.StateFlag.State_Selected)
        if chosen or current:
            rounded(painter, whole, RADIUS.row, "accent_soft" if chosen else "sunken")
        small = QRectF(0, whole.top() + 6, scaled(_TILE[0]), scaled(_TILE[1]))
        small.moveLeft(whole.center().x() - small.width() / 2)
        if row is None:
            rounded(painter, small, 4, "sunken")
        else:
            found = None
            if self._thumbnails is not None and row.picture:
                found = self._thumbnails(row.picture, row.region)
            paint_thumbnail(painter, small, found)
            self._paint_words(painter, row, small)
            if chosen:
                corner = small.topLeft() + QPointF(6, 6)
                paint_chosen(painter, QRectF(corner, QSize(scaled(20), scaled(20))))
            if _is_on_bench(session, row):
                bar = QRectF(whole.left() + 2, whole.top() + 8, 3, whole.height() - 16)
                rounded(painter, bar, 1.5, "accent")
        if option.state & QStyle.StateFlag.State_HasFocus:
            focus.paint_ring(painter, whole, RADIUS.row)
        painter.restore()

    def _paint_words(self, painter: QPainter, row: Row, small: QRectF) -> None:
        high = line_height("strong")
        first = QRectF(small.left(), small.bottom() + 4, small.width(), high)
        write(painter, first, number_of(row), "strong")
        second = QRectF(
            small.left(), first.bottom(), small.width(), line_height("name_row")
        )
        name, latin = name_of(row, self._session)
        if latin:
            paint_name(painter, second, name, "name_row")
        else:
            write(painter, second, name, "body", "ink2")


def _is_on_bench(session: Session, row: Row) -> bool:
    return session.specimen is not None and session.specimen.id == row.specimen


def _switch(words: str) -> QToolButton:
    made = QToolButton()
    made.setText(words)
    made.setAccessibleName(words)
    made.setCheckable(True)
    return made
