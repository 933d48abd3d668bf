"""Deeds over many pictures or specimens at once: each is one set of changes, one step back.

Nothing is written here: a deed carries its name and its changes, for a session or a store.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace

from landmarks.changes import Change, ChangeSet, Document, difference
from landmarks.collection import Picture, Rights, picture_parts
from landmarks.scheme import view as view_of
from landmarks.sentences import Sentence, word
from landmarks.specimen import Specimen, parts_of


@dataclass(frozen=True, slots=True)
class Deed:
    """What is to be done, named for people, and every change it makes."""

    sentence: Sentence
    changes: tuple[Change, ...] = ()

    def change_set(self, *, id: str, person: str = "", at: str = "") -> ChangeSet:
        """Return the deed as one change set."""
        return ChangeSet(id, self.sentence, self.changes, person, at)


def give_view(specimens: Iterable[Specimen], frames: Collection[str], view: str) -> Deed:
    """Give all these frames (ids) one view; an empty word takes their views away.

    Raises
    ------
    UnknownWordError
        If there is no such view; the nearest one is named.
    """
    if view:
        view_of(view)
    changes: list[Change] = []
    n = 0
    for one in specimens:
        kept = one
        for frame in one.frames:
            if frame.id in frames and frame.view != view:
                kept = kept.with_one(replace(frame, view=view))
                n += 1
        changes.extend(specimen_changes(one, kept))
    said = word("view", view) if view else Sentence("intake.no_view")
    return Deed(Sentence("deed.give_view", {"view": said, "n": n}), tuple(changes))


def give_rights(
    pictures: Iterable[Picture],
    *,
    creator: str | None = None,
    licence: str | None = None,
    rights_holder: str | None = None,
    statement: str | None = None,
    credit: str | None = None,
) -> Deed:
    """Give all these pictures creator, licence and so on; None leaves each as it is."""
    given = {
        name: value.strip()
        for name, value in (
            ("creator", creator),
            ("licence", licence),
            ("rights_holder", rights_holder),
            ("statement", statement),
            ("credit", credit),
        )
        if value is not None
    }
    changes: list[Change] = []
    n = 0
    for one in pictures:
        rights: Rights = replace(one.rights, **given)  # type: ignore[arg-type]
        if rights != one.rights:
            changes.extend(picture_changes(one, replace(one, rights=rights)))
            n += 1
    return Deed(Sentence("deed.give_rights", {"n": n}), tuple(changes))


def specimen_changes(before: Specimen | None, after: Specimen) -> tuple[Change, ...]:
    """Return what makes one specimen of another; of None, a new one."""
    was = parts_of(before) if before is not None else {}
    return difference(Document("specimen", after.id), was, parts_of(after))


def picture_changes(before: Picture | None, after: Picture) -> tuple[Change, ...]:
    """Return what makes one picture of another; of None, a new one."""
    was = picture_parts(before) if before is not None else {}
    return difference(Document("picture", after.id), was, picture_parts(after))
