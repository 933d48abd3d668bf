"""What a person makes of pictures sorted into animals: merged, split, moved, numbered.

Each deed gives a new proposal, and no picture is ever lost or doubled by it. What a person
changed is sure and says so.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import replace

from landmarks.intake.grouping import SURE, Group, Proposal, numbered
from landmarks.sentences import Sentence


def merge(proposal: Proposal, *group_ids: int) -> Proposal:
    """Return the proposal with these groups as one, where the first of them stands."""
    wanted = set(group_ids)
    chosen = [one for one in proposal.groups if one.id in wanted]
    if len(chosen) < 2:
        return proposal
    head = chosen[0]
    named = next((one for one in chosen if one.number), head)
    shots = tuple(shot for one in chosen for shot in one.shots)
    made = _by_hand(replace(head, shots=shots, number=named.number, given=named.given))
    gone = {one.id for one in chosen[1:]}
    return _changed(
        proposal,
        [
            made if one.id == head.id else one
            for one in proposal.groups
            if one.id not in gone
        ],
    )


def split(proposal: Proposal, shots: Collection[str]) -> Proposal:
    """Return the proposal with these pictures in a group of their own.

    It stands after the group of the first of them. Pictures that make up whole groups
    already are merged into one by it.
    """
    wanted = set(shots)
    chosen = tuple(shot for shot in proposal.shots if shot in wanted)
    if not chosen:
        return proposal
    home = proposal.group_of(chosen[0])
    new = _by_hand(Group(_next_id(proposal), chosen, Sentence("intake.why_by_hand"), SURE))
    groups: list[Group] = []
    for one in proposal.groups:
        kept = tuple(shot for shot in one.shots if shot not in wanted)
        if kept:
            groups.append(one if kept == one.shots else _by_hand(replace(one, shots=kept)))
        if home is not None and one.id == home.id:
            named = replace(new, number=home.number, given=home.given)
            groups.append(new if kept else named)
    return _changed(proposal, groups)


def split_before(proposal: Proposal, shot: str) -> Proposal:
    """Return the proposal with the group of a picture divided before it."""
    home = proposal.group_of(shot)
    if home is None:
        return proposal
    at = home.shots.index(shot)
    return proposal if at == 0 else split(proposal, home.shots[at:])


def move(
    proposal: Proposal, shots: Collection[str], group_id: int, before: str = ""
) -> Proposal:
    """Return the proposal with these pictures in another group.

    Parameters
    ----------
    before
        The picture of that group to stand before; ``""`` for its end.
    """
    wanted = set(shots)
    chosen = tuple(shot for shot in proposal.shots if shot in wanted)
    if not chosen or all(one.id != group_id for one in proposal.groups):
        return proposal
    groups: list[Group] = []
    for one in proposal.groups:
        kept = [shot for shot in one.shots if shot not in wanted]
        if one.id == group_id:
            at = kept.index(before) if before in kept else len(kept)
            kept[at:at] = chosen
        if kept:
            same = tuple(kept) == one.shots
            groups.append(one if same else _by_hand(replace(one, shots=tuple(kept))))
    return _changed(proposal, groups)


def number_groups(proposal: Proposal, numbers: Mapping[int, str]) -> Proposal:
    """Return the proposal with catalogue numbers that a person gave to groups (ids)."""
    groups = []
    for one in proposal.groups:
        number = numbers.get(one.id, one.number).strip()
        same = number == one.number
        groups.append(one if same else replace(one, number=number, given=bool(number)))
    return _changed(proposal, groups)


def keep_by_hand(found: Proposal, before: Proposal) -> Proposal:
    """Return what was found anew, with the groups whose number a person gave as they were.

    A number stays with the pictures it was given to, and what was left out stays out; only
    the others are sorted anew. Pictures that are not among what was found stay away.
    """
    places = {shot: at for at, shot in enumerate(found.shots)}
    kept = [
        replace(one, shots=shots)
        for one in before.groups
        if one.given and (shots := tuple(shot for shot in one.shots if shot in places))
    ]
    if not kept and not before.left_out:
        return found
    settled = before.left_out.union(*(one.shots for one in kept))
    left = [
        replace(one, shots=shots)
        for one in found.groups
        if (shots := tuple(shot for shot in one.shots if shot not in settled))
    ]
    groups = sorted([*kept, *left], key=lambda one: min(places[shot] for shot in one.shots))
    return replace(_changed(found, numbered(groups)), left_out=before.left_out)


# -- helpers ---------------------------------------------------------------------------------


def _changed(proposal: Proposal, groups: Iterable[Group]) -> Proposal:
    made = tuple(groups)
    same = made == proposal.groups
    return proposal if same else replace(proposal, groups=made, by_hand=True)


def _by_hand(group: Group) -> Group:
    return replace(group, why=Sentence("intake.why_by_hand"), certainty=SURE)


def _next_id(proposal: Proposal) -> int:
    return max((one.id for one in proposal.groups), default=-1) + 1
