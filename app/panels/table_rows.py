"""The rows of the table of specimens: pages of the store with the columns somebody chose."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QObject, Qt, Signal

from app.background.desk import Desk
from app.panels.fields import later, one_line
from app.panels.specimen_rows import Index, name_of, number_of
from app.panels.table_columns import (
    ORDER,
    TELLING,
    USUAL,
    WRITTEN,
    alignment,
    column_name,
    is_derived,
    offered,
    order_of,
)
from app.session import Session
from landmarks.changes import Document
from landmarks.finding import DATE, Fact, Field, fields
from landmarks.sentences import Number, Sentence, say, text, word
from landmarks.sentences.numbers import percent
from landmarks.storage import Query, Row, Store
from landmarks.summaries import AT_ONCE, Today, is_stale, renew_readable

PAGE = 100
"""So many rows are read at once, with their facts and words."""

MOST_PAGES = 8
"""So many pages are kept; of more, those farthest from what is looked at go."""

FETCH_PAUSE_MS = 20

REST_MS = 250
"""Only while nobody scrolls is derived anew what is stale: a page never waits for it."""

_NO_INDEX = QModelIndex()


@dataclass(frozen=True, slots=True)
class _Page:
    rows: tuple[Row, ...]
    written: Mapping[str, Mapping[str, str]]
    cells: Mapping[tuple[str, str, bool], tuple[str, bool]]


class TableModel(QAbstractTableModel):
    """All specimens that the query of the session finds, with the chosen columns.

    Only what is looked at is read, the page looked at last first; what is stale of it is
    derived anew, a few specimens at a time, and shown as stale till then.

    Signals
    -------
    came()
        Rows have come or changed.
    """

    came = Signal()

    def __init__(self, session: Session, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._session = session
        # A page never waits for a deed over many, or for what is derived anew.
        self._reader = Desk(self)
        self.columns: tuple[str, ...] = USUAL
        self._store: Store | None = None
        self._query = Query()
        self._n = 0
        self._pages: dict[int, _Page] = {}
        self._fresh: set[int] = set()
        self._wanted: list[int] = []
        self._tried: set[tuple[str, int]] = set()
        self._today: Today | None = None
        self._edition = 0
        self._under_way = False
        self._words: dict[tuple[str, str], str] = {}
        self._cells: dict[tuple[str, str, bool], tuple[str, bool]] = {}
        self._written: dict[str, Mapping[str, str]] = {}
        self._seen: tuple[int, tuple[Row, ...]] = (0, ())
        self._pause = later(FETCH_PAUSE_MS, self, self._fetch)
        self._rest = later(REST_MS, self, self._renew_stale)

    def stop(self) -> None:
        """Read no more: the window is being closed."""
        self._reader.close()

    # -- what views ask --------------------------------------------------------------------

    def rowCount(self, parent: Index = _NO_INDEX) -> int:
        """Return how many specimens the query finds."""
        return 0 if parent.isValid() else self._n

    def columnCount(self, parent: Index = _NO_INDEX) -> int:
        """Return how many columns were chosen."""
        return 0 if parent.isValid() else len(self.columns)

    def headerData(
        self,
        section: int,
        orientation: Qt.Orientation,
        role: int = Qt.ItemDataRole.DisplayRole,
    ) -> Any:
        """Return the name of a column, and whether it sorts."""
        if orientation != Qt.Orientation.Horizontal or section >= len(self.columns):
            return None
        key = self.columns[section]
        if role == Qt.ItemDataRole.DisplayRole:
            unit = "" if key in ORDER else fields()[key].unit
            name = column_name(key)
            return f"{name} ({unit})" if unit not in ("", "count", "%", "1") else name
        if role == Qt.ItemDataRole.ToolTipRole:
            sorts = "table.sort" if order_of(key) else "table.not_sorted"
            return say(sorts, column=column_name(key))
        if role == Qt.ItemDataRole.TextAlignmentRole:
            return alignment(key)
        return None

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        """Return a cell: shown, spoken, with its ink and face."""
        if role == Qt.ItemDataRole.TextAlignmentRole:
            return alignment(self.columns[index.column()])
        row = self.row(index.row())
        if row is None or index.column() >= len(self.columns):
            return None
        key = self.columns[index.column()]
        match role:
            case Qt.ItemDataRole.DisplayRole:
                return self.shown(row, key)[0]
            case Qt.ItemDataRole.ToolTipRole:
                stale = is_derived(key) and self.is_stale(row)
                return say("table.stale.tip") if stale else None
            case Qt.ItemDataRole.AccessibleTextRole:
                words = f"{column_name(key)}: {self.cell(row, key)}"
                marked = row.specimen in self._session.chosen
                return say("table.row.chosen", words=words) if marked else words
            case _:
                return None

    # -- what they are made of -------------------------------------------------------------

    def row(self, index: int) -> Row | None:
        """Return a row, or None while it is on its way."""
        if not 0 <= index < self._n:
            return None
        page, place = divmod(index, PAGE)
        if page not in self._fresh and page not in self._wanted:
            self._wanted.append(page)
            self._pause.start()
        found = self._pages.get(page)
        return found.rows[place] if found is not None and place < len(found.rows) else None

    def row_of(self, specimen: str) -> int | None:
        """Return where a specimen stands among the rows that were read, or None."""
        for at, row in enumerate(self._session.rows):
            if row.specimen == specimen:
                return at
        for page, found in self._pages.items():
            for place, row in enumerate(found.rows):
                if row.specimen == specimen:
                    return page * PAGE + place
        return None

    def is_stale(self, row: Row) -> bool:
        """Return whether what was derived of a row is not of today."""
        return self._today is not None and is_stale(row, self._today)

    def shown(self, row: Row, key: str) -> tuple[str, bool]:
        """Return the words of a cell as they are shown, and whether they are pale.

        What is stale says so; what is stale or stands for a name that is lacking is pale.
        """
        asked = row.specimen, key, self._session.names_hidden
        made = self._cells.get(asked)
        if made is None:
            written = self._written.get(row.specimen, {})
            made = self._cells[asked] = self._made(row, key, written)
        return made

    def _made(self, row: Row, key: str, written: Mapping[str, str]) -> tuple[str, bool]:
        if key == "name":
            words, latin = name_of(row, self._session)
            return words, not latin
        words = self._worded(row, key, written)
        stale = bool(words) and is_derived(key) and self.is_stale(row)
        return (say("table.stale", value=words) if stale else words), stale

    def cell(self, row: Row, key: str) -> str:
        """Return the words of a cell; nothing where nothing is known."""
        return self._worded(row, key, self._written.get(row.specimen, {}))

    def _worded(self, row: Row, key: str, written: Mapping[str, str]) -> str:
        if key == "number":
            return number_of(row)
        if key == "name":
            return name_of(row, self._session)[0]
        if key in TELLING and self._session.names_hidden:
            return ""
        if key in WRITTEN:
            return one_line(written.get(key, ""))
        known = [one for one in row.facts if one.field == key]
        field = fields()[key]
        if key == "missing":
            known.sort(key=lambda one: _STEPS.index(one.word) if one.word in _STEPS else 9)
        return ", ".join(self._said(field, one) for one in known)

    def spoken(self, row: Row) -> str:
        """Return what a row is called: number, name, and whether it is chosen."""
        words = f"{number_of(row)}, {name_of(row, self._session)[0]}"
        chosen = row.specimen in self._session.chosen
        return say("table.row.chosen", words=words) if chosen else words

    def renew(self) -> None:
        """Show the rows of the session as they are now."""
        session = self._session
        before = self._store, self._query, self._n
        query = replace(session.query, offset=0, limit=None, columns=())
        self._store, self._query, self._n = session.store, query, session.n_rows
        today, self._today = self._today, session.today
        edition, self._edition = self._edition, session.listing.edition
        same = before == (self._store, self._query, self._n)
        if not _is_same(today, self._today):
            self._cells.clear()
        elif same and edition == self._edition:
            self.came.emit()
            return
        self._fresh.clear()
        self._wanted.clear()
        if same:
            self.came.emit()
            return
        self.beginResetModel()
        self._forget()
        self._tried.clear()
        self.endResetModel()
        # Views stay where they were: that page is read while they are painted without it.
        self._wanted.append(min(self._seen[0], max(self._n - 1, 0) // PAGE))
        self._fetch()

    def use_columns(self, columns: Sequence[str]) -> None:
        """Show these columns, in this order; unknown ones are left out."""
        known = offered()
        made = tuple(one for one in dict.fromkeys(columns) if one in known) or USUAL
        if made != self.columns:
            self.beginResetModel()
            self.columns = made
            self._forget()
            self._fresh.clear()
            self._wanted.clear()
            self.endResetModel()

    def _forget(self) -> None:
        self._pages.clear()
        self._written.clear()
        self._cells.clear()

    def _let_go(self, here: int) -> None:
        """Keep no more pages than are needed: everything kept is looked through for garbage."""
        while len(self._pages) > MOST_PAGES:
            far = max(self._pages, key=lambda page: abs(page - here))
            self._fresh.discard(far)
            for row in self._pages.pop(far).rows:
                self._written.pop(row.specimen, None)
                for key in self.columns:
                    for hidden in (True, False):
                        self._cells.pop((row.specimen, key, hidden), None)

    # -- read ------------------------------------------------------------------------------

    def _fetch(self) -> None:
        store, query, columns = self._store, self._query, self.columns
        if self._under_way or not self._wanted or store is None:
            return
        page = self._wanted.pop()
        # Pages that were only passed by are asked for again when they are looked at.
        self._wanted.clear()
        self._fresh.add(page)
        self._under_way = True
        asked = tuple(one for one in columns if one not in ORDER)
        part = replace(query, offset=page * PAGE, limit=PAGE, columns=asked)
        written = tuple(one for one in columns if one in WRITTEN)

        def question() -> _Page:
            rows = store.list(part)
            as_written = _as_written(store, rows) if written else {}
            hidden = self._session.names_hidden
            # Put into words here, so that the screen thread has only to paint them.
            cells = {
                (row.specimen, key, hidden): self._made(
                    row, key, as_written.get(row.specimen, {})
                )
                for row in rows
                for key in columns
            }
            return _Page(rows, as_written, cells)

        def came(answer: _Page) -> None:
            self._under_way = False
            if (store, query, columns) == (self._store, self._query, self.columns):
                self._pages[page] = answer
                self._written |= answer.written
                self._cells |= answer.cells
                self._let_go(page)
                self.came.emit()
                self._seen = page, answer.rows
                self._rest.start()
            self._fetch()

        def failed(sentence: Sentence) -> None:
            self._under_way = False
            if (store, query, columns) == (self._session.store, self._query, self.columns):
                self._session.notice(sentence, "error")

        self._reader.ask(question, came, failed)

    def _renew_stale(self) -> None:
        """Derive a few stale rows of the page seen last anew, then look at it again."""
        store, today, session = self._store, self._session.today, self._session
        if store is None or today is None or session.repeat is not None:
            return
        if self._under_way or self._wanted:
            return
        page, rows = self._seen
        stale = [
            row
            for row in rows
            if is_stale(row, today) and (row.specimen, row.revision) not in self._tried
        ][:AT_ONCE]
        if not stale:
            return
        self._tried |= {(row.specimen, row.revision) for row in stale}

        def done(_: object) -> None:
            if self._store is store:
                self._fresh.discard(page)
                self.came.emit()

        session.desk.ask(
            lambda: renew_readable(store, today, [row.specimen for row in stale]),
            done,
            lambda _: None,
        )

    def _said(self, field: Field, fact: Fact) -> str:
        if fact.number is not None:
            if field.unit == "%":
                return percent(fact.number)
            return text(Number(fact.number, fact.sigma, "", fact.at_least))
        if field.kind == DATE:
            return fact.word
        key = (field.key, fact.word)
        if key not in self._words:
            self._words[key] = self._spelled(field, fact.word)
        return self._words[key]

    def _spelled(self, field: Field, found: str) -> str:
        guide = self._session.guide
        if guide is not None and field.key in ("region", "leading"):
            rows: Sequence[Any] = guide.tables.regions
            rows = rows if field.key == "region" else guide.tables.taxa
            return next((one.name for one in rows if one.key == found), found)
        return text(word(field.words or field.key, found))


_STEPS = ("picture", "scale", "landmarks", "characters", "name")


def _as_written(store: Store, rows: Sequence[Row]) -> Mapping[str, Mapping[str, str]]:
    """Return label fields as people wrote them, by specimen."""
    documents = (Document("specimen", row.specimen) for row in rows)
    found = store.load(*documents, kinds=("label",))
    made: dict[str, Mapping[str, str]] = {}
    for document, one in found.items():
        label = one.parts.get("label")
        label = label if isinstance(label, dict) else {}
        made[document.id] = {
            key: label[key] for key in WRITTEN if isinstance(label.get(key), str)
        }
    return made


def _is_same(one: Today | None, other: Today | None) -> bool:
    if one is None or other is None:
        return one is other
    return one.guide is other.guide and one.doubts == other.doubts
