"""The rows of the list of specimens: read by pages where they are many, and painted."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from PySide6.QtCore import (
    QAbstractListModel,
    QModelIndex,
    QObject,
    QPersistentModelIndex,
    QPointF,
    QRectF,
    QSize,
    Qt,
    Signal,
)
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QStyle, QStyledItemDelegate, QStyleOptionViewItem

from app.panels.fields import later, one_line
from app.panels.thumbnails import Thumbnails, paint_thumbnail
from app.session import Session
from app.style import focus, palette
from app.style.fonts import line_height, scaled
from app.style.icons import icon_pixmap
from app.style.tokens import LAYOUT, RADIUS
from app.style.widgets import Has, paint_name
from app.style.widgets.beads import paint_beads
from app.style.widgets.painted import rounded, text_width, write
from landmarks.progress import STEPS, name_words
from landmarks.sentences import Sentence, say, text
from landmarks.specimen import Determination
from landmarks.storage import Query, Row, Store

PAGE = 400
"""So many rows are read at once."""

MOST_PAGES = 8
"""So many pages are kept; of more, those farthest from what is looked at go."""

FETCH_PAUSE_MS = 25
UNNAMED = ("not_a_giant_clam", "unresolved")

Index = QModelIndex | QPersistentModelIndex
_NO_INDEX = QModelIndex()


class SpecimensModel(QAbstractListModel):
    """All rows that the query of the session finds, fetched when they are looked at.

    The session holds the first rows, or all of them; what lies beyond is read from the store
    by pages. One page is under way at a time and the one looked at last comes first, so that
    scrolling never keeps a deed waiting. `came` tells that rows have come or changed: views
    would lay out everything anew if they were told of each.
    """

    came = Signal()

    def __init__(self, session: Session, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self._store: Store | None = None
        self._query = Query()
        self._n = 0
        self._pages: dict[int, tuple[Row, ...]] = {}
        self._fresh: set[int] = set()
        self._wanted: list[int] = []
        self._under_way = False
        self._pause = later(FETCH_PAUSE_MS, self, self._fetch)

    def rowCount(self, parent: Index = _NO_INDEX) -> int:
        """Return how many specimens the query finds."""
        return 0 if parent.isValid() else self._n

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        """Return the words of a row: shown, typed for, spoken."""
        row = self.row(index.row())
        if row is None:
            return None
        if role == Qt.ItemDataRole.DisplayRole:
            return number_of(row)
        if role == Qt.ItemDataRole.AccessibleTextRole:
            return self._spoken(row)
        return None

    def row(self, index: int) -> Row | None:
        """Return a row, or None while it is on its way."""
        first = self._session.rows
        if 0 <= index < len(first):
            return first[index]
        page, place = divmod(index, PAGE)
        if page not in self._fresh and page not in self._wanted:
            self._wanted.append(page)
            self._pause.start()
        rows = self._pages.get(page, ())
        return rows[place] if place < len(rows) else None

    def row_of(self, specimen: str) -> int | None:
        """Return where a specimen stands among the rows that were read, or None."""
        for at, rows in ((0, self._session.rows), *self._later_pages()):
            for place, row in enumerate(rows):
                if row.specimen == specimen:
                    return at + place
        return None

    def renew(self) -> None:
        """Show the rows of the session as they are now."""
        session = self._session
        before = self._store, self._query, self._n
        query = replace(session.query, offset=0, limit=None)
        self._store, self._query, self._n = session.store, query, session.n_rows
        self._fresh.clear()
        self._wanted.clear()
        if before == (self._store, self._query, self._n):
            # The same list with other contents: nothing moves under the pointer.
            self.came.emit()
            return
        self.beginResetModel()
        self._pages.clear()
        self.endResetModel()

    def _later_pages(self) -> Sequence[tuple[int, tuple[Row, ...]]]:
        return [(page * PAGE, rows) for page, rows in sorted(self._pages.items())]

    def _fetch(self) -> None:
        store, query = self._store, self._session.query
        if self._under_way or not self._wanted or store is None:
            return
        page = self._wanted.pop()
        # Pages that were only passed by are asked for again when they are looked at.
        self._wanted.clear()
        self._fresh.add(page)
        self._under_way = True
        part = replace(query, offset=page * PAGE, limit=PAGE)

        def came(rows: tuple[Row, ...]) -> None:
            self._under_way = False
            if (store, replace(query, offset=0, limit=None)) == (self._store, self._query):
                self._pages[page] = rows
                while len(self._pages) > MOST_PAGES:
                    far = max(self._pages, key=lambda one: abs(one - page))
                    self._fresh.discard(far)
                    del self._pages[far]
                self.came.emit()
            self._fetch()

        def failed(sentence: Sentence) -> None:
            self._under_way = False
            self._session.notice(sentence, "error")

        self._session.desk.ask(lambda: store.list(part), came, failed)

    def _spoken(self, row: Row) -> str:
        steps = steps_of(row)
        words = say(
            "specimens.row.spoken",
            number=number_of(row),
            name=name_of(row, self._session)[0],
            pictures=Sentence("specimens.pictures", {"n": row.n_pictures}),
            steps=steps.count("full"),
            all=len(steps),
        )
        chosen = row.specimen in self._session.chosen
        return say("table.row.chosen", words=words) if chosen else words


class RowPainter(QStyledItemDelegate):
    """Paints a row: thumbnail, number, name, beads, number of pictures."""

    def __init__(
        self, session: Session, thumbnails: Thumbnails | None, parent: QObject
    ) -> None:
        super().__init__(parent)
        self._session, self._thumbnails = session, thumbnails

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:
        """Return the size it would like."""
        return QSize(scaled(LAYOUT.specimens[0]), self.height())

    def height(self) -> int:
        """Return the height of every row."""
        words = line_height("strong") + line_height("name_row") + line_height("caption")
        return max(scaled(LAYOUT.specimen_row), words + 8)

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        """Paint it in the colours on screen."""
        model = index.model()
        row = model.row(index.row()) if isinstance(model, SpecimensModel) else None
        state, whole = option.state, QRectF(option.rect)
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        body = whole.adjusted(6, 1, -6, -1)
        if state & QStyle.StateFlag.State_Selected:
            rounded(painter, body, RADIUS.row, "accent_soft")
            bar = QRectF(body.left(), body.top() + 3, 3, body.height() - 6)
            rounded(painter, bar, 1.5, "accent")
        elif row is not None and row.specimen in self._session.chosen:
            rounded(painter, body, RADIUS.row, "accent_soft")
        elif state & QStyle.StateFlag.State_MouseOver:
            rounded(painter, body, RADIUS.row, "ground")
        thumb = QRectF(16, 0, scaled(58), scaled(44))
        thumb.moveTop(whole.center().y() - thumb.height() / 2)
        lines = whole.adjusted(thumb.right() + 10, 0, -14, 0)
        lines.setLeft(thumb.right() + 10)
        if row is None:
            rounded(painter, thumb, 4, "sunken")
            empty = QRectF(lines.left(), whole.center().y() - 5, lines.width() * 0.6, 10)
            rounded(painter, empty, 4, "sunken")
        else:
            self._paint_row(painter, row, thumb, lines)
        if state & QStyle.StateFlag.State_HasFocus:
            focus.paint_ring(painter, body, RADIUS.row)
        painter.restore()

    def _paint_row(self, painter: QPainter, row: Row, thumb: QRectF, lines: QRectF) -> None:
        small = None
        if self._thumbnails is not None and row.picture:
            small = self._thumbnails(row.picture, row.region)
        paint_thumbnail(painter, thumb, small)
        if row.specimen in self._session.chosen:
            corner = QRectF(thumb.left() - 4, thumb.top() - 4, scaled(16), scaled(16))
            paint_chosen(painter, corner)
        heights = [line_height(role) for role in ("strong", "name_row", "caption")]
        top = lines.center().y() - sum(heights) / 2
        places = []
        for height in heights:
            places.append(QRectF(lines.left(), top, lines.width(), height))
            top += height
        write(painter, places[0], number_of(row), "strong")
        name, latin = name_of(row, self._session)
        if latin:
            paint_name(painter, places[1], name, "name_row")
        else:
            write(painter, places[1], name, "body", "ink2")
        left = QPointF(lines.left(), places[2].center().y())
        beads = self._beads(row)
        paint_beads(painter, left, beads)
        pictures = say("specimens.pictures", n=row.n_pictures)
        if text_width(pictures, "caption") < lines.width() - scaled(64):
            align = Qt.AlignmentFlag.AlignRight
            write(painter, places[2], pictures, "caption", "ink2", align)

    def _beads(self, row: Row) -> list[Has]:
        specimen = self._session.specimen
        if specimen is not None and specimen.id == row.specimen:
            live: list[Has] = [_bead(step.has) for step in self._session.steps]
            return live
        return steps_of(row)


def paint_chosen(painter: QPainter, where: QRectF) -> None:
    """Paint the mark of what is chosen with others: a tick on a filled disc."""
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(palette.colour("accent"))
    painter.drawEllipse(where)
    edge = where.width() * 0.66
    ratio = painter.device().devicePixelRatioF()
    tick = icon_pixmap("check", edge, "on_accent", ratio)
    painter.drawPixmap(where.center() - QPointF(edge / 2, edge / 2), tick)


def number_of(row: Row) -> str:
    """Return the catalogue number of a row, or that there is none yet."""
    return one_line(row.catalogue_number) or say("specimens.no_number")


def name_of(row: Row, session: Session) -> tuple[str, bool]:
    """Return the name of a row, and whether it is a scientific one; never a candidate."""
    if not row.level:
        return say("specimens.not_named"), False
    if session.names_hidden:
        return say("names.hidden"), False
    one = Determination(
        "", row.level, taxa=row.taxa, name=row.name, qualifier=row.qualifier
    )
    return one_line(text(name_words(one, session.names))), row.level not in UNNAMED


def steps_of(row: Row) -> list[Has]:
    """Return the five beads of a row; rings where nothing is known of it."""
    summary = row.summary
    found = summary.get("steps") if isinstance(summary, dict) else None
    if not isinstance(found, (list, tuple)) or len(found) != len(STEPS):
        return ["none"] * len(STEPS)
    return [_bead(one) for one in found]


def _bead(has: object) -> Has:
    if has == "full":
        return "full"
    return "half" if has == "half" else "none"
