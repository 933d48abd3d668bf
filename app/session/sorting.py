"""Sorting before taking in: files read, proposed as animals, taken in.

Nothing of it is in the collection before it is taken in, and then it is one deed. Reading,
proposing and recognising are the worker's; what a person does meanwhile is in
:mod:`app.session.sorted`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer, Signal

from app.background.desk import Desk
from app.session.session import Session
from app.session.sorted import Sorted, SortedByHand, joined
from app.session.values import Aspect, new_id
from landmarks import intake
from landmarks.sentences import Sentence

if TYPE_CHECKING:
    from landmarks.intake import (
        Found,
        Intake,
        LabelTable,
        Proposal,
        Recognised,
        Refused,
        Shot,
    )

TIME, NAME, LABELS, ALONE = "time", "name", "csv", "none"

AT_ONCE = 32
"""Files that are read before the table is shown anew, at first; later a share of them all,
so that a table of thousands is not laid out a hundred times."""

_SHARE = 6
_QUICK = 200
"""So many are sorted anew within a frame of the screen; more go to the worker."""


@dataclass(frozen=True, slots=True)
class _How:
    """How pictures are sorted without a person: the method and what it goes by."""

    method: str
    numbers: Mapping[str, str]
    gap_s: float | None

    def propose(self, shots: Sequence[Shot]) -> Proposal:
        if self.method == NAME:
            return intake.by_name(shots)
        if self.method == LABELS:
            return intake.by_labels(shots, self.numbers)
        if self.method == ALONE:
            return intake.each_alone(shots)
        return intake.by_time(shots, self.gap_s)


@dataclass(frozen=True, slots=True)
class _Came:
    """Files that were read, and what they make of the sorting."""

    found: Sequence[Found]
    refused: Sequence[Refused]
    shots: tuple[Shot, ...]
    how: _How
    proposal: Proposal


class Sorting(SortedByHand):
    """The files of one drop, sorted into specimens.

    Signals
    -------
    ended()
        All files are read.
    taken(specimen id)
        They are in the collection; the id is that of the first specimen.
    """

    ended = Signal()
    taken = Signal(str)

    def __init__(
        self,
        session: Session,
        reader: Desk,
        paths: Sequence[Path],
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._session = session
        self.paths = tuple(paths)
        self._reader = reader
        self._asked, self._stopped = 0, False
        self._wanted: object = None
        self.found: dict[str, Found] = {}
        self.refused: list[Refused] = []
        self.recognised: Recognised | None = None
        self.again: dict[str, Sentence] = {}
        self.method: str = ""
        self.gap_s: float | None = None
        self.table: LabelTable | None = None
        self._numbers: dict[str, str] = {}
        self.taking = False
        session.changed.connect(self._look)

    # -- reading ---------------------------------------------------------------------------

    @property
    def reading(self) -> bool:
        """Return whether files are still being read."""
        return self.n_read < len(self.paths) and not self._stopped

    @property
    def n_read(self) -> int:
        """Return how many files are read or refused."""
        return len(self.found) + len(self.refused)

    def read(self) -> None:
        """Begin to read, a few files at a time."""
        n = max(AT_ONCE, self._asked // _SHARE)
        some = self.paths[self._asked : self._asked + n]
        self._asked += len(some)
        if self._stopped:
            return
        if not some:
            self._recognise(self.ended.emit)
            return
        how, by_hand = self._how(), self.by_hand
        before = () if by_hand else self._shots()

        def question() -> _Came:
            found, refused = intake.read_all(some)
            shots = intake.shots_of(found)
            known = how if how.method else replace(how, method=_first_method(shots))
            return _Came(found, refused, shots, known, known.propose((*before, *shots)))

        def came(answer: _Came) -> None:
            self._add(answer, by_hand=by_hand)
            self.read()

        self._reader.ask(question, came, self._failed)

    def add(self, paths: Sequence[Path]) -> None:
        """Read more files, and sort them together with those that are here."""
        here, was_reading = set(self.paths), self.reading
        more = tuple(one for one in paths if one not in here)
        if not more or self._stopped or self.taking:
            return
        self.paths += more
        self.changed.emit()
        if not was_reading:
            self._reader.put_off(self.read)

    def stop(self) -> None:
        """Read no further."""
        self._stopped = True

    def _add(self, came: _Came, *, by_hand: bool) -> None:
        if self._stopped:
            return
        self.found |= {str(one.path): one for one in came.found}
        self.refused.extend(came.refused)
        self.shots |= {one.key: one for one in came.shots}
        if not self.method and came.shots:
            self.method = came.how.method
        how = self._how()
        if by_hand:
            self._replace(joined(self.now.proposal, came.proposal.groups))
        elif self.by_hand or came.how != (how if how.method else came.how):
            # Somebody has sorted meanwhile: what came stands behind it.
            self._replace(joined(self.now.proposal, how.propose(came.shots).groups))
        else:
            self._replace(came.proposal)
        self.changed.emit()

    def _recognise(self, then: Callable[[], None]) -> None:
        """Set apart what the collection has, or what stands twice among the files."""
        session, found = self._session, tuple(self.found.values())
        contents = [one.file.sha256 for one in found]

        def known() -> None:
            # Files are looked for by the worker: a folder may lie on a slow drive.
            pictures = () if session.example else tuple(session.pictures.values())

            def question() -> Recognised:
                return intake.recognise(found, pictures, exists=session.places.is_there)

            if not self._stopped:
                self._reader.ask(question, recognised, self._failed)

        def recognised(answer: Recognised) -> None:
            if not self._stopped:
                self._set_apart(answer, then)

        if session.store is None or session.example or not contents:
            known()
        else:
            session.reader.pictures_with(contents, known)

    def _set_apart(self, recognised: Recognised, then: Callable[[], None]) -> None:
        before, self.recognised = self.again, recognised
        self.again = {str(one.found.path): one.sentence for one in recognised.again}
        gone = self.again.keys() - before.keys()
        if gone:
            self._let_go(gone)

        def take(found: Proposal) -> None:
            if not self.by_hand:
                self._replace(found)
            self.changed.emit()

        if gone and not self.by_hand:
            # What is left may be sorted otherwise without them.
            self._sort_anew(take, then)
        else:
            self.changed.emit()
            then()

    # -- proposals -------------------------------------------------------------------------

    def propose(self, method: str, gap_s: float | None = None) -> None:
        """Sort anew, by gaps of time (a gap in seconds, or found), names, labels, or not."""
        self.method, self.gap_s = method, gap_s

        def take(found: Proposal) -> None:
            self._keep(Sorted(found, self.now.views))
            self.by_hand = False

        self._sort_anew(take, lambda: None)

    def sort_by_labels(
        self, path: Path, then: Callable[[], None], failed: Callable[[Sentence], None]
    ) -> None:
        """Read a label table and sort by it."""

        def read(table: LabelTable) -> None:
            matching = intake.match_columns(table.header)
            self.table = table
            self._numbers = intake.numbers_of_files(table, matching)
            self.propose(LABELS)
            then()

        self._reader.ask(lambda: intake.read_label_table(path), read, failed)

    def proposed(self, shots: Sequence[Shot]) -> Proposal:
        """Return how pictures are sorted by the method that is chosen."""
        return self._how().propose(shots)

    def _how(self) -> _How:
        return _How(self.method, self._numbers, self.gap_s)

    def _sort_anew(
        self, take: Callable[[Proposal], None], then: Callable[[], None]
    ) -> None:
        """Propose groups of everything, by the worker where it is much; the last wish wins."""
        shots, how = self._shots(), self._how()
        asked = self._wanted = object()

        def proposed(found: Proposal) -> None:
            if asked is self._wanted and not self._stopped:
                take(found)
            then()

        if len(shots) <= _QUICK:
            proposed(how.propose(shots))
        else:
            self._reader.ask(lambda: how.propose(shots), proposed, self._failed)

    def _shots(self) -> tuple[Shot, ...]:
        """Return what is to be sorted: all, but for what is there already and left there."""
        inside = self.inside
        return tuple(
            one for key, one in self.shots.items() if key not in self.again or key in inside
        )

    # -- taken in --------------------------------------------------------------------------

    def take_in(self) -> None:
        """Take everything that is in a group into the open collection, as one deed."""
        session = self._session
        if self.taking or self.reading or session.store is None:
            return
        self.taking = True
        for folder in {one.path.parent for one in self.found.values()}:
            session.places.agree(folder.resolve())
        self._recognise(self._make)

    def _make(self) -> None:
        session, recognised, now = self._session, self.recognised, self.now
        home = None if session.path is None else session.path.resolve().parent
        if recognised is None:
            self.taking = False
            return
        known = recognised

        def made(found: Intake) -> None:
            session.do(found.deed.sentence, *found.deed.changes)
            first = found.specimens[0].id if found.specimens else ""
            # The deed had its turn of the event loop; the bench has the next one.
            QTimer.singleShot(0, self, lambda: self.taken.emit(first))

        self._reader.ask(lambda: _intake_of(known, now, home), made, self._failed)

    def _failed(self, sentence: Sentence) -> None:
        self.taking = False
        self._session.notice(sentence, "error")

    def _look(self, aspects: Aspect) -> None:
        if aspects & Aspect.COLLECTION and not self._stopped and not self.reading:
            self._recognise(lambda: None)


def _intake_of(known: Recognised, now: Sorted, home: Path | None) -> Intake:
    """Return what a sorting makes of its files, named from the folder of the collection."""

    def name(path: Path) -> str:
        return str(path.resolve()) if home is None else intake.path_within(path, home)

    moved = tuple(
        (before, replace(after, path=name(Path(after.path))))
        for before, after in known.moved
    )
    return intake.take_in(
        replace(known, moved=moved),
        now.proposal,
        new_id=new_id,
        path_of=name,
        views=now.views,
        again=True,
    )


def _first_method(shots: Sequence[Shot]) -> str:
    timed = any(one.seconds is not None for one in shots)
    return TIME if timed or not shots else NAME
