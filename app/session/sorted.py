"""Pictures sorted into animals, and how a person changes them: merged, split, left out.

Nothing of it is in the collection. Every change can be taken back here, apart from the past
of the collection.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from landmarks import intake
from landmarks.sentences import Sentence

if TYPE_CHECKING:
    from landmarks.intake import Group, Proposal, Shot


@dataclass(frozen=True, slots=True)
class Sorted:
    """The sorting at one moment: groups, and the view of each picture that has one."""

    proposal: Proposal
    views: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Homes:
    """Where the pictures of a proposal are: gone through once, asked for each tile."""

    proposal: Proposal
    groups: Mapping[int, Group] = field(init=False)
    of_shot: Mapping[str, int] = field(init=False)
    places: Mapping[int, int] = field(init=False)

    def __post_init__(self) -> None:
        groups = self.proposal.groups
        object.__setattr__(self, "groups", {one.id: one for one in groups})
        homes = {shot: one.id for one in groups for shot in one.shots}
        object.__setattr__(self, "of_shot", homes)
        object.__setattr__(self, "places", {one.id: at for at, one in enumerate(groups)})


class SortedByHand(QObject):
    """The sorting as it is now, and everything a person can do to it.

    Signals
    -------
    changed()
        Groups, views, or what is known of the files.
    """

    changed = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.shots: dict[str, Shot] = {}
        self.now = Sorted(intake.each_alone(()), {})
        self.by_hand = False
        self._homes = Homes(self.now.proposal)
        self._before: list[Sorted] = []
        self._after: list[Sorted] = []

    @property
    def groups(self) -> tuple[Group, ...]:
        """Return the groups as they are now."""
        return self.now.proposal.groups

    @property
    def homes(self) -> Homes:
        """Return which group every picture is in."""
        if self._homes.proposal is not self.now.proposal:
            self._homes = Homes(self.now.proposal)
        return self._homes

    def group(self, group_id: int) -> Group:
        """Return a group; ``KeyError`` where there is none."""
        return self.homes.groups[group_id]

    def group_of(self, key: str) -> int | None:
        """Return the id of the group of a picture, or None where it is apart."""
        return self.homes.of_shot.get(key)

    @property
    def inside(self) -> Collection[str]:
        """Return all pictures that are in a group."""
        return self.homes.of_shot.keys()

    @property
    def apart(self) -> tuple[str, ...]:
        """Return the files that are not to be taken in, there already or left out."""
        inside = self.inside
        return tuple(key for key in self.shots if key not in inside)

    # -- groups ----------------------------------------------------------------------------

    def merge(self, keys: Collection[str]) -> None:
        """Make one group of all groups that hold one of these pictures."""
        homes = self.homes.of_shot
        chosen = {homes[key] for key in keys if key in homes}
        self._hand(intake.merge(self.now.proposal, *chosen))

    def split(self, keys: Collection[str]) -> None:
        """Give these pictures a group of their own."""
        wanted = set(keys)
        if not any(wanted == set(one.shots) for one in self.groups):
            self._hand(intake.split(self._with(keys), wanted))

    def split_before(self, key: str) -> None:
        """Divide the group of a picture before it."""
        self._hand(intake.split_before(self.now.proposal, key))

    def move(self, keys: Collection[str], group_id: int, before: str = "") -> None:
        """Give these pictures to another group, at its end or before one of its pictures."""
        if before in keys:
            before = ""
        self._hand(intake.move(self._with(keys), set(keys), group_id, before))

    def leave_out(self, keys: Collection[str]) -> None:
        """Do not take these pictures in."""
        gone = {key for key in keys if key in self.inside}
        if gone:
            proposal = without(self.now.proposal, gone)
            left_out = proposal.left_out | gone
            self._hand(replace(proposal, by_hand=True, left_out=left_out))

    def take_along(self, keys: Collection[str]) -> None:
        """Take pictures in after all: sorted as the others, at the end."""
        wanted = set(keys)
        more = self.proposed([self.shots[key] for key in self.apart if key in wanted])
        self._hand(joined(self.now.proposal, more.groups))

    def proposed(self, shots: Sequence[Shot]) -> Proposal:
        """Return how pictures are sorted before anybody has a say in it."""
        return intake.each_alone(shots)

    # -- numbers and views -----------------------------------------------------------------

    def number(self, group_id: int, number: str) -> None:
        """Give a group a catalogue number."""
        self._hand(intake.number_groups(self.now.proposal, {group_id: number}))

    def number_on(self, group_id: int) -> int:
        """Count on from the number of a group through those after it that have none.

        Returns how many were numbered.
        """
        proposal, made = self.now.proposal, 0
        ids = [one.id for one in proposal.groups]
        number = self.group(group_id).number
        taken = {one.number for one in proposal.groups if one.number}
        numbers: dict[int, str] = {}
        for other in ids[ids.index(group_id) + 1 :]:
            if not number or self.group(other).number:
                break
            following = intake.next_number(number)
            while following in taken and following != number:
                number, following = following, intake.next_number(following)
            if following == number:
                break
            numbers[other] = number = following
            made += 1
        self._hand(intake.number_groups(proposal, numbers))
        return made

    def give_view(self, keys: Collection[str], view: str) -> None:
        """Say which view these pictures show; an empty word takes it back."""
        wanted = set(keys)
        views = {key: one for key, one in self.now.views.items() if key not in wanted}
        if view:
            views |= dict.fromkeys(keys, view)
        self._keep(replace(self.now, views=views))

    # -- the past --------------------------------------------------------------------------

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

    # -- inside ----------------------------------------------------------------------------

    def _with(self, keys: Collection[str]) -> Proposal:
        """Return the proposal with these pictures in it, at its end where they were apart."""
        wanted = set(keys)
        apart = [key for key in self.apart if key in wanted]
        if not apart:
            return self.now.proposal
        alone = intake.each_alone([self.shots[key] for key in apart])
        return joined(self.now.proposal, alone.groups)

    def _hand(self, proposal: Proposal) -> None:
        if proposal != self.now.proposal:
            self.by_hand = True
            self._keep(replace(self.now, proposal=proposal))

    def _keep(self, what: Sorted) -> None:
        what = replace(what, proposal=self._as_decided(what.proposal))
        if what != self.now:
            self._before.append(self.now)
            self._after.clear()
            self.now = what
        self.changed.emit()

    def _replace(self, proposal: Proposal) -> None:
        """Let another proposal stand for this one, without a step back to it."""
        self.now = replace(self.now, proposal=self._as_decided(proposal))

    def _as_decided(self, proposal: Proposal) -> Proposal:
        """Return what is proposed anew, but as a person decided: numbers, and what is out."""
        if proposal.by_hand:
            return proposal
        return intake.keep_by_hand(proposal, self.now.proposal)

    def _let_go(self, keys: Collection[str]) -> None:
        """Let pictures stand apart, now and in everything that can be gone back to."""
        self._replace(without(self.now.proposal, keys))
        self._before = [
            replace(one, proposal=without(one.proposal, keys)) for one in self._before
        ]


def joined(proposal: Proposal, groups: Iterable[Group]) -> Proposal:
    """Return a proposal with more groups at its end."""
    first = max((one.id for one in proposal.groups), default=-1) + 1
    more = tuple(replace(one, id=first + i) for i, one in enumerate(groups))
    left_out = proposal.left_out.difference(*(one.shots for one in more))
    return replace(proposal, groups=(*proposal.groups, *more), left_out=left_out)


def without(proposal: Proposal, keys: Collection[str]) -> Proposal:
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
