"""The specimens as a table: a row for each, a column for each field somebody chose."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from PySide6.QtCore import QRectF, Qt, Signal
from PySide6.QtGui import (
    QFontMetricsF,
    QKeyEvent,
    QPainter,
    QPaintEvent,
    QResizeEvent,
)
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHeaderView,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
)

from app.panels.choosing import ChoosingView
from app.panels.specimen_rows import Index, paint_chosen
from app.panels.table_columns import GAINING, alignment, shared_out
from app.panels.table_rows import TableModel
from app.session import Session
from app.style import focus, palette
from app.style.follow import follow
from app.style.fonts import font, line_height, scale, scaled
from app.style.widgets import paint_name
from app.style.widgets.painted import rounded
from landmarks.sentences import say
from landmarks.storage import Row

_WIDTHS = {"number": 130, "name": 210, "missing": 250, "region": 130, "locality": 200}


class SpecimensView(ChoosingView):
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
        corner = "QAbstractScrollArea::corner { background: transparent; border: none; }"
        self.setStyleSheet(f"QTableView {{ {clear} border: none; }} {corner}")
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


class Table(SpecimensView):
    """One row for each specimen, one column for each field."""

    def __init__(self, session: Session, rows: TableModel) -> None:
        super().__init__(session, rows)
        self.setModel(rows)
        self._cells = _CellPainter(session, rows, self)
        self.setItemDelegate(self._cells)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        header = self.horizontalHeader()
        header.setSectionsClickable(True)
        header.setHighlightSections(False)
        header.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft)
        header.setSectionResizeMode(QHeaderView.ResizeMode.Interactive)
        header.setSectionsMovable(False)
        header.sectionResized.connect(self._resized)
        self._columns: tuple[str, ...] = ()
        self._drawn: dict[str, float] = {}
        self._sharing = False
        follow(self._restyle)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint the cells that are in sight."""
        self._cells.begin()
        super().paintEvent(event)

    def fit_columns(self, columns: tuple[str, ...]) -> None:
        """Give every column the width that its words usually need, or that was drawn."""
        self._columns = columns
        self._share()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Let the columns have the width there is."""
        super().resizeEvent(event)
        self._share()

    def _share(self) -> None:
        """Give every column what it needs, and what is left to those that gain by it."""
        header = self.horizontalHeader()
        needed = [
            round(self._drawn[key] * scale())
            if key in self._drawn
            else max(
                header.sectionSizeFromContents(at).width() + 8, scaled(_WIDTHS.get(key, 96))
            )
            for at, key in enumerate(self._columns)
        ]
        gaining = [key in GAINING and key not in self._drawn for key in self._columns]
        self._sharing = True
        for at, width in enumerate(shared_out(needed, gaining, self.viewport().width())):
            header.resizeSection(at, width)
        self._sharing = False

    def _resized(self, at: int, _before: int, width: int) -> None:
        """Keep the width that a person has drawn; nothing else moves under the pointer."""
        if not self._sharing and at < len(self._columns):
            self._drawn[self._columns[at]] = width / scale()

    def _restyle(self) -> None:
        self.verticalHeader().setDefaultSectionSize(
            max(scaled(30), line_height("body") + 10)
        )


class _CellPainter(QStyledItemDelegate):
    """Paints a cell; chosen rows and the one on the bench have their mark in front.

    A page of the table is some 250 cells, painted anew with each step of scrolling: what is
    the same for all of them is looked up once, when the view begins to paint.
    """

    def __init__(self, session: Session, rows: TableModel, view: Table) -> None:
        super().__init__(view)
        self._session, self._rows, self._view = session, rows, view
        self.begin()

    def begin(self) -> None:
        """Look up fonts, colours and sides, and which row is current."""
        self._font = font("body")
        self._metrics = QFontMetricsF(self._font)
        self._high = line_height("body")
        self._inks = {True: palette.colour("ink2"), False: palette.colour("ink")}
        self._sides = [
            (alignment(key) | Qt.TextFlag.TextSingleLine).value
            for key in self._rows.columns
        ]
        self._current = self._view.currentIndex().row()

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        """Paint it in the colours on screen."""
        at, column = index.row(), index.column()
        row = self._rows.row(at)
        whole = QRectF(option.rect)
        chosen = row is not None and row.specimen in self._session.chosen
        current = at == self._current
        if chosen or current:
            painter.fillRect(whole, palette.colour("accent_soft" if chosen else "sunken"))
        room = whole.adjusted(8, 0, -8, 0)
        if column == 0:
            room.setLeft(room.left() + scaled(18))
            on_bench = row is not None and is_on_bench(self._session, row)
            if chosen or on_bench:
                _paint_mark(painter, whole, chosen=chosen)
        if row is None:
            middle = QRectF(room.left(), room.center().y() - 4, room.width() * 0.6, 8)
            painter.fillRect(middle, palette.colour("sunken"))
        else:
            self._paint_words(painter, room, row, column)
        if current and option.state & QStyle.StateFlag.State_HasFocus:
            with _smooth(painter):
                focus.paint_ring(painter, whole.adjusted(1, 1, -1, -1), 3)

    def _paint_words(self, painter: QPainter, room: QRectF, row: Row, column: int) -> None:
        # Asked directly: by way of the index every cell would be made three times.
        key = self._rows.columns[column]
        words, pale = self._rows.shown(row, key)
        if not words:
            return
        top = room.top() + (room.height() - self._high) / 2
        line = QRectF(room.left(), top, room.width(), self._high)
        if key == "name" and not pale:
            paint_name(painter, line, words, "name_row")
            return
        fits = self._metrics.elidedText(
            words, Qt.TextElideMode.ElideRight, line.width() + 0.5
        )
        painter.setFont(self._font)
        painter.setPen(self._inks[pale])
        painter.drawText(line, self._sides[column], fits)


@contextmanager
def _smooth(painter: QPainter) -> Iterator[None]:
    """Let edges be smooth, and leave the painter as it was."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    yield
    painter.restore()


def _paint_mark(painter: QPainter, whole: QRectF, *, chosen: bool) -> None:
    """Paint in front of a row that it is chosen, or on the bench."""
    with _smooth(painter):
        if chosen:
            mark = QRectF(whole.left() + 6, 0, scaled(14), scaled(14))
            mark.moveTop(whole.center().y() - mark.height() / 2)
            paint_chosen(painter, mark)
        else:
            bar = QRectF(whole.left() + 2, whole.top() + 4, 3, whole.height() - 8)
            rounded(painter, bar, 1.5, "accent")


def is_on_bench(session: Session, row: Row) -> bool:
    """Return whether a row is that of the specimen on the bench."""
    return session.specimen is not None and session.specimen.id == row.specimen
