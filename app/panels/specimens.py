"""The specimens of the collection: a list that is quick however long it is."""

from functools import cached_property

from PySide6.QtCore import QPoint, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QFrame,
    QHBoxLayout,
    QHeaderView,
    QLineEdit,
    QStackedLayout,
    QVBoxLayout,
    QWidget,
)

from app.panels.choosing import ChoosingView
from app.panels.fields import later, one_line
from app.panels.repeat_card import RepeatCard, shortened, show_words
from app.panels.specimen_rows import Index, RowPainter, SpecimensModel
from app.panels.strip import CONTEXT
from app.panels.thumbnails import Thumbnails, dashed
from app.session import Aspect, Session
from app.session.finding import find, show_all
from app.style.drawings import view_drawing
from app.style.follow import follow
from app.style.fonts import scaled
from app.style.icons import icon
from app.style.tokens import DRAWING, LAYOUT
from app.style.widgets import Drawing, Label, button, icon_button
from app.style.widgets.painted import Painted, smooth
from landmarks.sentences import say
from landmarks.storage import Query

FILTER_PAUSE_MS = 180
"""So long after the last letter the list is filtered."""


class SpecimensPanel(QWidget):
    """Title, counts, filter, and the list; what is chosen here goes to the bench.

    Signals
    -------
    pictures_wanted()
        The person wants to choose pictures to take in.
    repeats_wanted()
        The person wants to repeat what is due.
    find_wanted()
        The person wants to set conditions and order.
    many_wanted()
        The person wants to change everything that is chosen.
    menu_wanted(QPoint)
        The menu of the specimen on the bench is asked for, at a place of the screen.
    """

    pictures_wanted = Signal()
    repeats_wanted = Signal()
    find_wanted = Signal()
    many_wanted = Signal()
    menu_wanted = Signal(QPoint)

    def __init__(
        self,
        session: Session,
        thumbnails: Thumbnails | None = None,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._session = session
        self._awaited: int | None = None
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.setProperty("ground", "sheet")
        self.setProperty(CONTEXT, "specimens")
        self.setAccessibleName(say("specimens.title"))
        self._counts = Label("", "small", "ink2")
        self.filter = QLineEdit()
        self.filter.setPlaceholderText(say("specimens.filter.hint"))
        self.filter.setAccessibleName(say("specimens.filter"))
        self.filter.setClearButtonEnabled(True)
        self.filter.setProperty(CONTEXT, "filter")
        self.filter.addAction(icon("search"), QLineEdit.ActionPosition.LeadingPosition)
        self._pause = later(FILTER_PAUSE_MS, self, self._filter_now)
        self.filter.textChanged.connect(lambda _: self._pause.start())
        self.filter.returnPressed.connect(self._filter_now)
        self.model = SpecimensModel(session, self)
        self.list = _List(session, self.model, RowPainter(session, thumbnails, self))
        self.list.moved.connect(self._chosen)
        self.model.came.connect(self._page_came)
        self.list.customContextMenuRequested.connect(self._ask_for_menu)
        self.nothing = _NothingYet()
        self.nothing.choose.clicked.connect(self.pictures_wanted)
        self._not_found = _NotFound()
        self._not_found.clear.clicked.connect(lambda: show_all(session))
        self.find_button = icon_button("filter", say("finding.title"))
        self.find_button.clicked.connect(self.find_wanted)
        self.asked = button("", "link")
        self.asked.clicked.connect(self.find_wanted)
        self.chosen = button("", "link")
        self.chosen.clicked.connect(self.many_wanted)
        self.list.view_wanted.connect(self._set_view)
        session.chosen.changed.connect(self._show_many)
        self.due = shortened(button("", "plain", "repeat-2"))
        self.due.clicked.connect(self.repeats_wanted)
        self._n_due = 0
        self._lay_out()
        if thumbnails is not None:
            thumbnails.arrived.connect(lambda _: self.list.viewport().update())
        session.changed.connect(self._look)
        self._renew()
        follow(self._restyle)

    @cached_property
    def repeat(self) -> RepeatCard:
        """Return what stands in place of the list while a repeat goes on."""
        made = RepeatCard(self._session)
        self._stack.addWidget(made)
        return made

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Go from the filter to the list and back with the arrow keys; Esc clears it."""
        if self.filter.hasFocus() and event.key() == Qt.Key.Key_Down:
            self.list.setFocus(Qt.FocusReason.TabFocusReason)
        elif self.filter.hasFocus() and event.key() == Qt.Key.Key_Escape:
            self.filter.clear()
        else:
            super().keyPressEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Shorten what stands below the list where there is too little room."""
        super().resizeEvent(event)
        self.show_due(self._n_due)

    def step(self, by: int) -> None:
        """Choose the next specimen of the list (1) or the one before (-1)."""
        row = self.list.currentIndex().row() + by
        if 0 <= row < self.model.rowCount():
            self.list.setCurrentIndex(self.model.index(row))

    def _lay_out(self) -> None:
        head = QVBoxLayout()
        head.setContentsMargins(16, 12, 16, 8)
        head.setSpacing(2)
        head.addWidget(Label(say("specimens.title"), "strong"))
        head.addWidget(self._counts)
        head.addSpacing(6)
        line = QHBoxLayout()
        line.setSpacing(4)
        line.addWidget(self.filter, 1)
        line.addWidget(self.find_button)
        head.addLayout(line)
        head.addWidget(self.asked)
        head.addWidget(self.chosen)
        self._stack = QStackedLayout()
        for page in (self.list, self.nothing, self._not_found):
            self._stack.addWidget(page)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addLayout(head)
        column.addLayout(self._stack, 1)
        below = QVBoxLayout()
        below.setContentsMargins(12, 8, 12, 12)
        below.addWidget(self.due)
        column.addLayout(below)
        self.show_due(0)
        self._show_many()

    def show_due(self, n: int) -> None:
        """Say below the list how many blind repeats are due; nothing where none is."""
        self._n_due = n
        show_words(self.due, say("repeats.card", n=n), self.width() - 24)
        self.due.setVisible(n > 0 and self._session.repeat is None)

    def _set_view(self, view: str) -> None:
        from app.session.many import set_view_of_chosen

        set_view_of_chosen(self._session, view, lambda _: None)

    def _show_many(self) -> None:
        n = len(self._session.chosen)
        self.chosen.setText(say("specimens.chosen", n=n))
        self.chosen.setAccessibleName(self.chosen.text())
        self.chosen.setVisible(n > 0 and self._session.repeat is None)

    def _look(self, aspects: Aspect) -> None:
        if aspects & (Aspect.ROWS | Aspect.COLLECTION):
            self._renew()
        if aspects & (Aspect.SELECTION | Aspect.SPECIMEN):
            self._show_chosen()
        if aspects & (Aspect.NAMES | Aspect.SPECIMEN | Aspect.GUIDE):
            self.list.viewport().update()

    def _renew(self) -> None:
        session = self._session
        bar = self.list.verticalScrollBar()
        where = bar.value()
        self.model.renew()
        if not self.filter.hasFocus() and self.filter.text() != session.query.text:
            self.filter.setText(session.query.text)
            self._pause.stop()
        self._show_chosen()
        bar.setValue(where)
        query = session.query
        found, filtered = session.n_rows, bool(query.text or query.filters)
        self._counts.setText(
            say("specimens.found" if filtered else "specimens.counts", n=found)
        )
        empty = self._not_found if filtered else self.nothing
        repeating = session.repeat is not None
        # A list that is still empty has nothing to filter.
        self.filter.setVisible((bool(found) or filtered) and not repeating)
        self._counts.setVisible(not repeating)
        self.find_button.setVisible(self.filter.isVisibleTo(self))
        self._show_asked(shown=not repeating)
        self._not_found.show_words(query.text, len(query.filters))
        shown = self.list if found else empty
        # The rows would tell which specimen this is, and what was found on it.
        self._stack.setCurrentWidget(self.repeat if repeating else shown)
        self.due.setVisible(self._n_due > 0 and not repeating)
        self._show_many()

    def _show_asked(self, *, shown: bool) -> None:
        """Say below the field which conditions hold, and what the list is sorted by."""
        query, usual = self._session.query, Query()
        words = [say("finding.n_conditions", n=len(query.filters))] if query.filters else []
        if (query.order, query.descending) != (usual.order, usual.descending):
            from app.panels.find_strip import order_name

            words.append(say("finding.sorted", field=order_name(query.order)))
        self.asked.setText(" · ".join(words))
        self.asked.setAccessibleName(self.asked.text())
        self.asked.setVisible(shown and bool(words))

    def _show_chosen(self) -> None:
        specimen = self._session.specimen
        row = None if specimen is None else self.model.row_of(specimen.id)
        self.list.show_row(row)

    def _chosen(self, at: int) -> None:
        row = self.model.row(at)
        on_bench = self._session.specimen
        self._awaited = at if row is None else None
        if row is not None and (on_bench is None or on_bench.id != row.specimen):
            self._session.choose(row.specimen)

    def _page_came(self) -> None:
        """Show what was read, and choose the row that was gone to before it was there."""
        self.list.viewport().update()
        if self._awaited is not None:
            self._chosen(self._awaited)

    def _filter_now(self) -> None:
        self._pause.stop()
        words = self.filter.text().strip()
        if words != self._session.query.text:
            find(self._session, text=words)

    def _ask_for_menu(self, at: QPoint) -> None:
        if self.list.indexAt(at).isValid():
            self.menu_wanted.emit(self.list.viewport().mapToGlobal(at))

    def _restyle(self) -> None:
        least, _, most = LAYOUT.specimens
        self.setMinimumWidth(min(scaled(least), most))
        self.setMaximumWidth(scaled(most))


class _List(ChoosingView):
    """A table of one column: of all views it alone never asks for rows out of sight."""

    moved = Signal(int)

    def __init__(
        self, session: Session, model: SpecimensModel, painter: RowPainter
    ) -> None:
        super().__init__(session, model)
        self._quiet, self._painter = False, painter
        self.setModel(model)
        self.setItemDelegate(painter)
        self.setMouseTracking(True)
        self.setShowGrid(False)
        self.setTabKeyNavigation(False)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setCornerButtonEnabled(False)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setContextMenuPolicy(Qt.ContextMenuPolicy.CustomContextMenu)
        self.setAccessibleName(say("specimens.title"))
        # The painter of the rows draws the chosen one.
        clear = "background: transparent; selection-background-color: transparent;"
        self.setStyleSheet(f"QTableView {{ {clear} border: none; }}")
        self.horizontalHeader().hide()
        self.horizontalHeader().setStretchLastSection(True)
        self.verticalHeader().hide()
        self.verticalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        follow(self._restyle)

    def show_row(self, row: int | None) -> None:
        """Show which row is on the bench, without choosing it anew."""
        model = self.selectionModel()
        if row is None:
            model.clear()
            return
        index = self.model().index(row, 0)
        if index != self.currentIndex():
            self._quiet = True
            model.setCurrentIndex(index, model.SelectionFlag.ClearAndSelect)
            self._quiet = False
            self.scrollTo(index)
            self.viewport().update()

    def _restyle(self) -> None:
        self.verticalHeader().setDefaultSectionSize(self._painter.height())

    def currentChanged(self, current: Index, previous: Index) -> None:
        super().currentChanged(current, previous)
        if current.isValid() and not self._quiet:
            self.moved.emit(current.row())


class _NothingYet(Painted):
    """The dashed card of an empty collection."""

    def __init__(self) -> None:
        super().__init__()
        title, words = say("specimens.none"), say("specimens.none.words")
        self.setAccessibleName(f"{title}. {words}")
        self.choose = button(say("specimens.none.choose"), "primary")
        drawing = Drawing(view_drawing("outside_of_valve"), DRAWING.card, "ink2")
        centre = Qt.AlignmentFlag.AlignHCenter
        column = QVBoxLayout(self)
        column.setContentsMargins(28, 28, 28, 28)
        column.setSpacing(6)
        column.addStretch(1)
        column.addWidget(drawing, 0, centre)
        column.addSpacing(8)
        said = Label(title, "strong", wrap=True), Label(words, "small", "ink2", wrap=True)
        for label in said:
            label.setAlignment(centre)
            column.addWidget(label)
        column.addSpacing(8)
        column.addWidget(self.choose, 0, centre)
        column.addStretch(2)

    def sizeHint(self) -> QSize:
        """Return the size it would like."""
        return QSize(scaled(220), scaled(280))

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Paint the dashed edge."""
        painter = smooth(self)
        dashed(painter, QRectF(self.rect()).adjusted(12, 4, -12, -12))
        painter.end()


class _NotFound(QWidget):
    """What stands in place of the list where a filter finds nothing."""

    def __init__(self) -> None:
        super().__init__()
        self._words = Label("", "body", "ink2", wrap=True)
        self.clear = button(say("specimens.show_all"))
        column = QVBoxLayout(self)
        column.setContentsMargins(16, 12, 16, 12)
        column.setSpacing(8)
        column.addWidget(self._words)
        column.addWidget(self.clear, 0, Qt.AlignmentFlag.AlignLeft)
        column.addStretch(1)

    def show_words(self, words: str, n_conditions: int) -> None:
        key = "specimens.not_found" if words else "finding.nothing_fits"
        self._words.setText(say(key, words=one_line(words), n=n_conditions))
