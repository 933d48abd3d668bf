"""A label table joined to the specimens of the collection: looked at first, then one deed."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, fields
from itertools import islice
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from app.background.desk import Desk
from app.session.repeating import ask_in_turns
from app.session.session import Session
from landmarks import intake
from landmarks.collection import Picture, picture_of
from landmarks.sentences import Sentence, say
from landmarks.specimen import Label, Specimen, specimen_of
from landmarks.storage import Store
from landmarks.stretches import stretches

if TYPE_CHECKING:
    from landmarks.intake import Joined, LabelTable, Matching
    from landmarks.intake.joining import Shared

AT_ONCE = 200
_NAMED = 5
"""Other lines with a number that are named; how many there are is always said."""
WRITTEN, DIFFER, ROWS_ALONE, SEVERAL, SHARED, SPECIMENS_ALONE = RESULTS = (
    "written", "differ", "rows_alone", "several", "shared", "specimens_alone",
)  # fmt: skip
_ENTRIES = tuple(one.name for one in fields(Label) if one.name != "extra")
_Known = tuple[tuple[Specimen, ...], dict[str, Picture]]


@dataclass(frozen=True, slots=True)
class Told:
    """One line of a result: line of the table, specimen, entry, what is there, what comes."""

    line: int | None = None
    specimen: str = ""
    number: str = ""
    entry: str = ""
    before: str = ""
    after: str = ""


class Labelling(QObject):
    """Reads a table, matches its columns, and says what it would make of the labels.

    Signals
    -------
    changed()
        Another matching, another answer.
    done(n)
        So many labels were written.
    """

    changed = Signal()
    done = Signal(int)

    def __init__(
        self, session: Session, reader: Desk, path: Path, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._session, self._reader, self.path = session, reader, path
        self.table: LabelTable | None = None
        self.matching: Matching | None = None
        self.joined: Joined | None = None
        self.table_wins, self.busy = False, False
        self._known: _Known = ((), {})
        self._asked: object = None

    def read(self, failed: Callable[[Sentence], None]) -> None:
        """Read the table, and the specimens it may be about."""

        def read(table: LabelTable) -> None:
            self.table = table
            self.matching = intake.match_columns(table.header)
            self.changed.emit()
            self._load(self._join)

        self.busy = True
        self._reader.ask(lambda: intake.read_label_table(self.path), read, failed)

    def take(self, column: int, target: str) -> None:
        """Take a column for an entry of the label, for the file, or for nothing."""
        if self.matching is not None:
            self.matching = intake.take_column(self.matching, column, target)
            self._join()

    def keep(self, column: int) -> None:
        """Keep a column with the label under its own name."""
        if self.matching is not None:
            self.matching = intake.keep_column(self.matching, column)
            self._join()

    def let_win(self, *, table: bool) -> None:
        """Say whether the table replaces what labels say differently."""
        self.table_wins = table
        self._join()

    def accept(self) -> None:
        """Write the labels, as one deed, on what is in the collection now."""
        if self.joined is not None and not self.busy:
            self._load(lambda: self._join(self._do))

    def stop(self) -> None:
        """Ask for nothing more."""
        self._asked = None
        self._known = ((), {})

    def counts(self) -> dict[str, int]:
        """Return how many lines each result has."""
        one = self.joined
        if one is None:
            return dict.fromkeys(RESULTS, 0)
        sizes = (
            one.specimens, one.differs, one.rows_alone, one.ambiguous, one.shared,
            one.specimens_alone,
        )  # fmt: skip
        return {key: len(found) for key, found in zip(RESULTS, sizes, strict=True)}

    def told(self, result: str, most: int) -> tuple[Told, ...]:
        """Return the first lines of a result."""
        made: list[Told] = []
        for one in self._lines(result):
            made.append(one)
            if len(made) == most:
                break
        return tuple(made)

    def _lines(self, result: str) -> Iterator[Told]:
        joined, table = self.joined, self.table
        if joined is None or table is None:
            return
        before = {one.id: one for one in self._known[0]}
        row_of = {specimen: row for row, specimen in joined.matched.items()}
        if result == WRITTEN:
            for after in joined.specimens:
                was, line = before[after.id].label, table.lines[row_of[after.id]]
                for entry, old, new in _changed(was, after.label):
                    number = after.label.catalogue_number
                    yield Told(line, after.id, number, entry, old, new)
        elif result == DIFFER:
            for one in joined.differs:
                number = before[one.specimen].label.catalogue_number
                line = table.lines[row_of[one.specimen]]
                yield Told(line, one.specimen, number, one.entry, one.there, one.in_table)
        elif result in (ROWS_ALONE, SEVERAL):
            for row in joined.rows_alone if result == ROWS_ALONE else joined.ambiguous:
                words = ", ".join(cell for cell in table.rows[row] if cell)
                yield Told(table.lines[row], after=words)
        elif result == SHARED:
            column = self.matching.column("catalogue_number") if self.matching else None
            for shared in joined.shared:
                cells = table.rows[shared.row]
                yield Told(
                    table.lines[shared.row],
                    joined.matched.get(shared.row, ""),
                    "" if column is None else cells[column],
                    "catalogue_number",
                    _who_else(shared, table),
                    ", ".join(cell for cell in cells if cell),
                )
        else:
            for one_id in joined.specimens_alone:
                yield Told(None, one_id, before[one_id].label.catalogue_number)

    # -- inside ----------------------------------------------------------------------------

    def _load(self, then: Callable[[], None]) -> None:
        store, asked = self._session.store, object()
        self._asked, self.busy = asked, True
        if store is None:
            return

        def loaded(known: _Known) -> None:
            self._known = known
            then()

        ask_in_turns(
            self._session.desk,
            _pages(store),
            loaded,
            self._failed,
            lambda: self._asked is asked and self._session.store is store,
        )

    def _join(self, then: Callable[[], None] | None = None) -> None:
        table, matching, asked = self.table, self.matching, object()
        if table is None or matching is None:
            return
        self._asked, self.busy = asked, True
        specimens, pictures = self._known
        wins = self.table_wins

        def joined(found: Joined) -> None:
            if asked is self._asked:
                self.joined, self.busy = found, False
                self.changed.emit()
                if then is not None:
                    then()

        self.changed.emit()
        self._reader.ask(
            lambda: intake.join_labels(
                table, matching, specimens, pictures, table_wins=wins
            ),
            joined,
            self._failed,
        )

    def _do(self) -> None:
        if self.joined is not None:
            deed, n = self.joined.deed, len(self.joined.specimens)
            if deed.changes:
                self._session.do(deed.sentence, *deed.changes)
            self.done.emit(n)

    def _failed(self, sentence: Sentence) -> None:
        self.busy = False
        self._session.notice(sentence, "error")
        self.changed.emit()


def _who_else(shared: Shared, table: LabelTable) -> str:
    """Return in words which other rows and specimens have a number."""
    found = []
    if shared.rows:
        others = (row for row in shared.rows if row != shared.row)
        lines = ", ".join(str(table.lines[row]) for row in islice(others, _NAMED))
        found.append(say("labels.shared.lines", n=len(shared.rows) - 1, lines=lines))
    if shared.n_there:
        key = "labels.shared.off_picture" if shared.off_picture else "labels.shared.there"
        found.append(say(key, n=shared.n_there))
    return "; ".join(found)


def _changed(before: Label, after: Label) -> Iterator[tuple[str, str, str]]:
    for entry in _ENTRIES:
        old, new = getattr(before, entry), getattr(after, entry)
        if old != new:
            yield entry, old, new
    for name, value in after.extra.items():
        if before.extra.get(name) != value:
            yield name, str(before.extra.get(name, "")), str(value)


def _pages(store: Store) -> Iterator[_Known | None]:
    """Read every specimen and picture, a stretch at a time."""
    specimens: list[Specimen] = []
    pictures: dict[str, Picture] = {}
    for some in stretches(store.documents("specimen"), AT_ONCE):
        for document, one in store.load(*some).items():
            specimens.append(specimen_of(document.id, one.parts))
        yield None
    for some in stretches(store.documents("picture"), AT_ONCE):
        for document, one in store.load(*some).items():
            pictures[document.id] = picture_of(document.id, one.parts)
        yield None
    yield tuple(specimens), pictures
