"""Sorting before taking in: files read, proposed as animals, changed by hand, taken in.

Nothing of it is in the collection before it is taken in, and then it is one deed. Until
then every change can be taken back here, apart from the past of the collection.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from app.background.desk import Desk
from app.session.session import Session
from app.session.values import Aspect, new_id
from landmarks import intake
from landmarks.sentences import Sentence

if TYPE_CHECKING:
    from landmarks.intake import (
        Found,
        Group,
        Intake,
        LabelTable,
        Proposal,
        Recognised,
        Refused,
        Shot,
    )

TIME, NAME, LABELS, ALONE = "time", "name", "csv", "none"
AT_ONCE = 32
"""Files that are read before the table is shown anew."""

_QUICK = 200
"""So many are sorted anew within a frame of the screen; more go to the worker."""


@dataclass(frozen=True, slots=True)
class Sorted:
    """The sorting at one moment: groups, and the view of each picture that has one."""

    proposal: Proposal
    views: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class _Came:
    """Files that were read, and what they make of the sorting."""

    found: Sequence[Found]
    refused: Sequence[Refused]
    shots: tuple[Shot, ...]
    method: str
    proposal: Proposal


class Sorting(QObject):
    """The files of one drop, sorted into specimens.

    Signals
    -------
    changed()
        Groups, views, or what is known of the files.
    ended()
        All files are read.
    taken(specimen id)
        They are in the collection; the id is that of the first specimen.
    """

    changed = Signal()
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
        self._homes: tuple[Proposal | None, dict[str, int]] = None, {}
        self.found: dict[str, Found] = {}
        self.shots: dict[str, Shot] = {}
        self.refused: list[Refused] = []
        self.recognised: Recognised | None = None
        self.again: dict[str, Sentence] = {}
        self.method: str = ""
        self.gap_s: float | None = None
        self.table: LabelTable | None = None
        self._numbers: dict[str, str] = {}
        self.now = Sorted(intake.each_alone(()), {})
        self._before: list[Sorted] = []
        self._after: list[Sorted] = []
        self.by_hand, self.taking = False, False
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
        some = self.paths[self._asked : self._asked + AT_ONCE]
        self._asked += len(some)
        if self._stopped:
            return
        if not some:
            self._recognise(self.ended.emit)
            return

        method, by_hand = self.method, self.by_hand
        numbers, gap_s = self._numbers, self.gap_s
        before = () if by_hand else tuple(self.shots.values())

        def question() -> _Came:
            found, refused = intake.read_all(some)
            shots = intake.shots_of(found)
            chosen = method or _first_method(shots)
            sorted_now = _proposed((*before, *shots), chosen, numbers, gap_s)
            return _Came(found, refused, shots, chosen, sorted_now)

        def came(answer: _Came) -> None:
            self._add(answer, gap_s, by_hand=by_hand)
            self.read()

        self._reader.ask(question, came, self._failed)

    def stop(self) -> None:
        """Read no further."""
        self._stopped = True

    def _add(self, came: _Came, gap_s: float | None, *, by_hand: bool) -> None:
        if self._stopped:
            return
        self.found |= {str(one.path): one for one in came.found}
        self.refused.extend(came.refused)
        self.shots |= {one.key: one for one in came.shots}
        if not self.method and came.shots:
            self.method = came.method
        if by_hand:
            self._replace(_joined(self.now.proposal, came.proposal.groups))
        elif self.by_hand or (came.method, gap_s) != (
            self.method or came.method,
            self.gap_s,
        ):
            # Somebody has sorted meanwhile: what came stands behind it.
            self._replace(_joined(self.now.proposal, self._proposed(came.shots).groups))
        else:
            self._replace(came.proposal)
        self.changed.emit()

    def _recognise(self, then: Callable[[], None]) -> None:
        """Set apart what the collection has, or what stands twice among the files."""
        contents = [one.file.sha256 for one in self.found.values()]

        def known() -> None:
            if self._stopped:
                return
            session = self._session
            pictures = () if session.example else tuple(session.pictures.values())
            found = intake.recognise(
                self.found.values(),
                pictures,
                exists=session.places.is_there,
            )
            before, self.recognised = self.again, found
            self.again = {str(one.found.path): one.sentence for one in found.again}
            gone = self.again.keys() - before.keys()
            if gone:
                self._replace(_without(self.now.proposal, gone))
                self._before = [_left(one, gone) for one in self._before]
            if not self.by_hand and self.again:
                self._replace(self._proposed(self._shots()))
            self.changed.emit()
            then()

        if self._session.store is None or self._session.example or not contents:
            known()
        else:
            self._session.reader.pictures_with(contents, known)

    # -- proposals -------------------------------------------------------------------------

    def propose(self, method: str, gap_s: float | None = None) -> None:
        """Sort anew, by gaps of time (a gap in seconds, or found), names, labels, or not."""
        self.method, self.gap_s = method, gap_s
        shots, numbers = self._shots(), self._numbers
        asked = self._wanted = object()

        def proposed(found: Proposal) -> None:
            if asked is self._wanted and not self._stopped:
                self._keep(Sorted(found, self.now.views))
                self.by_hand = False

        if len(shots) <= _QUICK:
            proposed(self._proposed(shots))
        else:
            self._reader.ask(
                lambda: _proposed(shots, method, numbers, gap_s), proposed, self._failed
            )

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

    def _shots(self) -> tuple[Shot, ...]:
        """Return what is to be sorted: all, but for what is there already and left there."""
        inside = set(self.now.proposal.shots)
        return tuple(
            one for key, one in self.shots.items() if key not in self.again or key in inside
        )

    def _proposed(self, shots: Sequence[Shot]) -> Proposal:
        return _proposed(shots, self.method, self._numbers, self.gap_s)

    # -- by hand ---------------------------------------------------------------------------

    @property
    def groups(self) -> tuple[Group, ...]:
        """Return the groups as they are now."""
        return self.now.proposal.groups

    def group_of(self, key: str) -> int | None:
        """Return the id of the group of a picture, or None where it is apart."""
        if self._homes[0] is not self.now.proposal:
            homes = {shot: one.id for one in self.groups for shot in one.shots}
            self._homes = self.now.proposal, homes
        return self._homes[1].get(key)

    @property
    def apart(self) -> tuple[str, ...]:
        """Return the files that are not to be taken in, there already or left out."""
        inside = set(self.now.proposal.shots)
        return tuple(key for key in self.shots if key not in inside)

    def merge(self, keys: Collection[str]) -> None:
        """Make one group of all groups that hold one of these pictures."""
        wanted = set(keys)
        chosen = [one.id for one in self.groups if not wanted.isdisjoint(one.shots)]
        self._hand(intake.merge(self.now.proposal, *chosen))

    def split(self, keys: Collection[str]) -> None:
        """Give these pictures a group of their own."""
        whole = {one.shots for one in self.groups}
        if not any(set(keys) == set(shots) for shots in whole):
            self._hand(intake.split(self._with(keys), keys))

    def split_before(self, key: str) -> None:
        """Divide the group of a picture before it."""
        self._hand(intake.split_before(self.now.proposal, key))

    def move(self, keys: Collection[str], group_id: int, before: str = "") -> None:
        """Give these pictures to another group, at its end or before one of its pictures."""
        if before in keys:
            before = ""
        self._hand(intake.move(self._with(keys), keys, group_id, before))

    def number(self, group_id: int, number: str) -> None:
        """Give a group a catalogue number."""
        self._hand(intake.number_group(self.now.proposal, group_id, number))

    def number_on(self, group_id: int) -> int:
        """Count on from the number of a group through those after it that have none.

        Returns how many were numbered.
        """
        proposal, made = self.now.proposal, 0
        ids = [one.id for one in proposal.groups]
        number = proposal.group(group_id).number
        taken = {one.number for one in proposal.groups if one.number}
        for other in ids[ids.index(group_id) + 1 :]:
            if not number or proposal.group(other).number:
                break
            following = intake.next_number(number)
            while following in taken and following != number:
                number, following = following, intake.next_number(following)
            if following == number:
                break
            number = following
            proposal = intake.number_group(proposal, other, number)
            made += 1
        self._hand(proposal)
        return made

    def give_view(self, keys: Collection[str], view: str) -> None:
        """Say which view these pictures show; an empty word takes it back."""
        views = {key: one for key, one in self.now.views.items() if key not in keys}
        if view:
            views |= dict.fromkeys(keys, view)
        self._keep(replace(self.now, views=views))

    def leave_out(self, keys: Collection[str]) -> None:
        """Do not take these pictures in."""
        self._hand(_without(self.now.proposal, keys))

    def take_along(self, keys: Collection[str]) -> None:
        """Take pictures in after all: sorted as the others, at the end."""
        shots = [self.shots[key] for key in self.apart if key in keys]
        more = self._proposed(shots)
        self._hand(_joined(self.now.proposal, more.groups))

    def undo(self) -> None:
        """Take the last change back."""
        if self._before:
            self._after.append(self.now)
            self.now = self._before.pop()
            self.changed.emit()

    def redo(self) -> None:
        """Do again what was taken back."""
        if self._after:
            self._before.append(self.now)
            self.now = self._after.pop()
            self.changed.emit()

    @property
    def may_undo(self) -> bool:
        """Return whether there is something to take back."""
        return bool(self._before)

    @property
    def may_redo(self) -> bool:
        """Return whether there is something to do again."""
        return bool(self._after)

    def _with(self, keys: Collection[str]) -> Proposal:
        """Return the proposal with these pictures in it, at its end where they were apart."""
        apart = [key for key in self.apart if key in keys]
        if not apart:
            return self.now.proposal
        alone = intake.each_alone([self.shots[key] for key in apart])
        return _joined(self.now.proposal, alone.groups)

    def _hand(self, proposal: Proposal) -> None:
        if proposal != self.now.proposal:
            self.by_hand = True
            self._keep(replace(self.now, proposal=proposal))

    def _keep(self, what: Sorted) -> None:
        if what != self.now:
            self._before.append(self.now)
            self._after.clear()
            self.now = what
        self.changed.emit()

    def _replace(self, proposal: Proposal) -> None:
        self.now = replace(self.now, proposal=proposal)

    # -- taken in --------------------------------------------------------------------------

    def take_in(self) -> None:
        """Take everything that is in a group into the open collection, as one deed."""
        session = self._session
        if self.taking or self.reading or session.store is None:
            return
        self.taking = True
        for folder in {one.path.resolve().parent for one in self.found.values()}:
            session.places.agree(folder)
        self._recognise(self._make)

    def _make(self) -> None:
        session, recognised, now = self._session, self.recognised, self.now
        home = None if session.path is None else session.path.resolve().parent
        if recognised is None:
            self.taking = False
            return
        known = recognised

        def make() -> Intake:
            def name(path: Path) -> str:
                return (
                    str(path.resolve()) if home is None else intake.path_within(path, home)
                )

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

        def made(found: Intake) -> None:
            session.do(found.deed.sentence, *found.deed.changes)
            first = found.specimens[0].id if found.specimens else ""
            self.taken.emit(first)

        self._reader.ask(make, made, self._failed)

    def _failed(self, sentence: Sentence) -> None:
        self.taking = False
        self._session.notice(sentence, "error")

    def _look(self, aspects: Aspect) -> None:
        if aspects & Aspect.COLLECTION and not self._stopped and not self.reading:
            self._recognise(lambda: None)


def _first_method(shots: Sequence[Shot]) -> str:
    timed = any(one.seconds is not None for one in shots)
    return TIME if timed or not shots else NAME


def _proposed(
    shots: Sequence[Shot], method: str, numbers: Mapping[str, str], gap_s: float | None
) -> Proposal:
    if method == NAME:
        return intake.by_name(shots)
    if method == LABELS:
        return intake.by_labels(shots, numbers)
    if method == ALONE:
        return intake.each_alone(shots)
    return intake.by_time(shots, gap_s)


def _joined(proposal: Proposal, groups: Sequence[Group]) -> Proposal:
    """Return a proposal with more groups at its end."""
    first = max((one.id for one in proposal.groups), default=-1) + 1
    more = tuple(replace(one, id=first + i) for i, one in enumerate(groups))
    return replace(proposal, groups=(*proposal.groups, *more))


def _without(proposal: Proposal, keys: Collection[str]) -> Proposal:
    """Return a proposal without these pictures; groups of which nothing is left go."""
    kept = []
    by_hand = Sentence("intake.why_by_hand")
    for one in proposal.groups:
        shots = tuple(shot for shot in one.shots if shot not in keys)
        if shots == one.shots:
            kept.append(one)
        elif shots:
            kept.append(replace(one, shots=shots, why=by_hand, certainty=1.0))
    return replace(proposal, groups=tuple(kept))


def _left(one: Sorted, keys: Collection[str]) -> Sorted:
    return replace(one, proposal=_without(one.proposal, keys))
