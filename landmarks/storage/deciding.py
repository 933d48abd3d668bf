"""Whether a change set fits what is there now: one pure decision for every store."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

from landmarks.changes import ChangeSet, Clash, Document
from landmarks.storage.contract import BESIDE
from landmarks.storage.packing import read_text, settled

EXISTS = "exists"
"""The part that a document has as long as it is there."""


def kind_of(part: str) -> str:
    """Return the kind of a part: ``frame`` of ``frame/<id>``."""
    return part.partition("/")[0]


def asked_for(part: str, kinds: Collection[str] | None) -> bool:
    """Return whether a part is read for a question that asks for some kinds, or for all."""
    return kinds is None or part == EXISTS or kind_of(part) in kinds


class Turn(NamedTuple):
    """What one part was expected to be and what it becomes, as settled text."""

    before: str | None
    after: str | None


@dataclass(frozen=True, slots=True)
class Now:
    """One document as the store has it.

    ``parts`` holds at least the touched parts that are there (all of them where the
    document is to go), ``revision`` is 0 where there never was such a document.
    """

    revision: int = 0
    exists: bool = False
    parts: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Decision:
    """The turns to make in one document, or the clashes that forbid all of them."""

    turns: Mapping[str, Turn]
    clashes: tuple[Clash, ...] = ()


def turns_of(change_set: ChangeSet) -> Mapping[Document, Mapping[str, Turn]]:
    """Return what the deed does to each part in the end, sorted by document.

    A part touched several times in one deed is one turn: from its first before to its last
    after.
    """
    turns: dict[Document, dict[str, Turn]] = {}
    for change in change_set.changes:
        parts = turns.setdefault(change.document, {})
        earlier = parts.get(change.part)
        before = earlier.before if earlier else settled(change.before)
        parts[change.part] = Turn(before, settled(change.after))
    return turns


def removes(turns: Mapping[str, Turn]) -> bool:
    """Return whether these turns take the whole document away."""
    return EXISTS in turns and turns[EXISTS].after is None


def stand_beside(kind: str, parts: Iterable[str]) -> bool:
    """Return whether nothing derived follows from any of these parts of a document."""
    return all(kind_of(part) in BESIDE.get(kind, ()) for part in parts)


def decide(turns: Mapping[str, Turn], now: Now) -> Decision:
    """Return which turns are to be made, or which parts are not what they were.

    A part that already is what the turn would make of it needs nothing. Nothing is added to
    a document that somebody removed, and none is removed to which somebody added.
    """
    to_make: dict[str, Turn] = {}
    clashes: list[Clash] = []
    for part, turn in turns.items():
        here = now.parts.get(part)
        if here == turn.after:
            continue
        if here == turn.before:
            to_make[part] = turn
        else:
            clashes.append(_clash(part, turn.before, turn.after, here))
    stays = turns[EXISTS].after is not None if EXISTS in turns else now.exists
    if not stays and removes(turns):
        left = sorted(now.parts.keys() - turns.keys())
        clashes += [_clash(part, None, None, now.parts[part]) for part in left]
    elif not stays and any(turn.after is not None for turn in turns.values()):
        clashes.insert(0, _clash(EXISTS, "true", "true", None))
    return Decision({} if clashes else to_make, tuple(clashes))


def _clash(part: str, base: str | None, mine: str | None, theirs: str | None) -> Clash:
    raw = [None if text is None else read_text(text) for text in (base, mine, theirs)]
    return Clash(part, *raw)
