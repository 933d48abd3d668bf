"""Deeds as change sets over named parts; undo and merge as pure functions of them.

A change says what a part was and what it becomes. A deed is one change set over parts of one
or several documents, kept in one transaction. Undo applies the reverse difference to what is
there *now*; where somebody changed the same part since, it refuses.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from landmarks.errors import ConflictError
from landmarks.sentences import Sentence, known

KINDS = ("collection", "person", "picture", "specimen")
Parts = Mapping[str, Any]


class Document(NamedTuple):
    """Names a document of the collection: its kind and its id (uuid4)."""

    kind: str
    id: str


@dataclass(frozen=True, slots=True)
class Change:
    """One part of one document, before and after; None where it is not there."""

    document: Document
    part: str
    before: Any
    after: Any

    def reversed(self) -> Change:
        """Return the change that takes this one back."""
        return Change(self.document, self.part, self.after, self.before)


@dataclass(frozen=True, slots=True)
class ChangeSet:
    """A deed: what was done, by whom, when (UTC), and every part it touched.

    ``deed`` names it for people ("Move umbo"); ``undoes`` is the id of the deed it takes back.
    """

    id: str
    deed: Sentence
    changes: tuple[Change, ...]
    person: str = ""
    at: str = ""
    undoes: str = ""
    extra: Mapping[str, object] = field(default_factory=dict)

    @property
    def documents(self) -> tuple[Document, ...]:
        """Return the documents it touches, each once, in order."""
        return tuple(dict.fromkeys(change.document for change in self.changes))


@dataclass(frozen=True, slots=True)
class Clash:
    """A part that two sides changed differently: what it was and both versions."""

    part: str
    base: Any
    mine: Any
    theirs: Any


@dataclass(frozen=True, slots=True)
class Merged:
    """The parts both sides agree on, and the clashes to choose in (mine is kept there)."""

    parts: Mapping[str, Any]
    clashes: tuple[Clash, ...] = ()


def difference(document: Document, before: Parts, after: Parts) -> tuple[Change, ...]:
    """Return the changes that make ``after`` of ``before``, part by part."""
    return tuple(
        Change(document, part, before.get(part), after.get(part))
        for part in sorted(before.keys() | after.keys())
        if before.get(part) != after.get(part)
    )


def applied(parts: Parts, changes: Iterable[Change]) -> dict[str, Any]:
    """Return the parts with the changes made.

    Raises
    ------
    ConflictError
        If a part is not what a change expects it to be.
    """
    made = dict(parts)
    for change in changes:
        if made.get(change.part) != change.before:
            raise ConflictError("change.part_moved_on", part=part_name(change.part))
        if change.after is None:
            made.pop(change.part, None)
        else:
            made[change.part] = change.after
    return made


def reverse(deed: ChangeSet, *, id: str, person: str, at: str) -> ChangeSet:
    """Return the deed that takes this one back, named for it."""
    return ChangeSet(
        id,
        Sentence("deed.undo", {"deed": deed.deed}),
        tuple(change.reversed() for change in reversed(deed.changes)),
        person,
        at,
        undoes=deed.id,
    )


def before_all(parts: Parts, deeds: Iterable[ChangeSet]) -> Parts:
    """Return what a document was before some deeds, which are given newest first.

    Only changes of this one document may stand in them.
    """
    earlier = dict(parts)
    for deed in deeds:
        for change in reversed(deed.changes):
            earlier.pop(change.part, None)
            if change.before is not None:
                earlier[change.part] = change.before
    return earlier


def restoring(
    document: Document,
    now: Parts,
    then: Parts,
    *,
    id: str,
    person: str,
    at: str,
    since: str = "",
) -> ChangeSet:
    """Return the deed that makes a document again what it was: a new step, erasing nothing.

    Parameters
    ----------
    then
        Its parts at that moment, as ``Store.as_of`` gives them.
    since
        When that was, for the name of the deed.
    """
    words = (
        Sentence("deed.restore", {"since": since}) if since else Sentence("deed.bring_back")
    )
    return ChangeSet(id, words, difference(document, now, then), person, at)


def merge(base: Parts, mine: Parts, theirs: Parts) -> Merged:
    """Return both sides' work on one document, part by part.

    A part that only one side changed takes that side; changed alike by both, it is one
    change; changed differently, it is a clash and mine stays until somebody chooses.
    """
    parts: dict[str, Any] = {}
    clashes = []
    for part in sorted(base.keys() | mine.keys() | theirs.keys()):
        b, m, t = base.get(part), mine.get(part), theirs.get(part)
        chosen = t if m == b else m
        if m != b and t not in (b, m):
            clashes.append(Clash(part, b, m, t))
        if chosen is not None:
            parts[part] = chosen
    return Merged(parts, tuple(clashes))


def part_name(part: str) -> Sentence:
    """Return what a part is called for people; a later version's has a plain name."""
    key = f"part.{part.partition('/')[0]}"
    return Sentence(key if known(key) else "part.of_another_version")


def by_document(changes: Sequence[Change]) -> Mapping[Document, tuple[Change, ...]]:
    """Return the changes sorted by the document they touch, in order."""
    sorted_changes: dict[Document, list[Change]] = {}
    for change in changes:
        sorted_changes.setdefault(change.document, []).append(change)
    return {document: tuple(found) for document, found in sorted_changes.items()}
