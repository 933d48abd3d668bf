"""The specimens as large thumbnails, so many beside each other as there is room for."""

from __future__ import annotations

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QResizeEvent
from PySide6.QtWidgets import (
    QHeaderView,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QWidget,
)

from app.panels.specimen_rows import Index, name_of, number_of, paint_chosen
from app.panels.table_rows import TableModel
from app.panels.table_view import SpecimensView, is_on_bench
from app.panels.thumbnails import Thumbnails, paint_thumbnail
from app.session import Session
from app.style import focus
from app.style.follow import follow
from app.style.fonts import line_height, scaled
from app.style.tokens import RADIUS
from app.style.widgets import paint_name
from app.style.widgets.painted import rounded, write
from landmarks.storage import Row

_TILE = (192, 144)
_NO_INDEX = QModelIndex()


class GridModel(QAbstractTableModel):
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


class Grid(SpecimensView):
    """Large thumbnails, each with number and name."""

    def __init__(
        self, session: Session, model: GridModel, thumbnails: Thumbnails | None
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
        model: GridModel,
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
            if is_on_bench(session, row):
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
