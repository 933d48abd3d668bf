"""Frames given to other specimens after they were taken in: merged, split, moved.

What was placed on a frame, or seen in it, goes where the frame goes. Names stay with the
specimen that was named. A specimen of which nothing is left goes; undo brings it back.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import fields, replace

from landmarks.changes import Change, Document, difference
from landmarks.intake.deeds import Deed, specimen_changes
from landmarks.sentences import Sentence
from landmarks.specimen import Frame, Label, Specimen, parts_of


def move_frames(
    specimens: Sequence[Specimen], frames: Collection[str], target: Specimen
) -> Deed:
    """Give frames (ids) of these specimens to another one, at the end of its own."""
    given = target
    changes: list[Change] = []
    n = 0
    for one in specimens:
        leaving = [frame for frame in one.frames if frame.id in frames]
        if one.id == target.id or not leaving:
            continue
        given = _with(given, one, leaving)
        changes.extend(_left(one, leaving))
        n += len(leaving)
    changes.extend(specimen_changes(target, given))
    return Deed(Sentence("deed.move_frames", {"n": n}), tuple(changes))


def split_specimen(specimen: Specimen, frames: Collection[str], *, new_id: str) -> Deed:
    """Give frames (ids) of a specimen to a new one, found in the same circumstances."""
    leaving = [frame for frame in specimen.frames if frame.id in frames]
    sentence = Sentence("deed.split_specimen")
    if not leaving or len(leaving) == len(specimen.frames):
        return Deed(sentence)
    made = _with(Specimen(new_id, where=specimen.where), specimen, leaving)
    changes = (*_left(specimen, leaving), *specimen_changes(None, made))
    return Deed(sentence, changes)


def merge_specimens(target: Specimen, others: Sequence[Specimen]) -> Deed:
    """Make one specimen of several: everything of the others goes to the first.

    Its own label goes before theirs; what they say differently stands in its remarks, so
    that nothing is lost.
    """
    given = target
    changes: list[Change] = []
    n = 1
    for one in others:
        if one.id == target.id:
            continue
        given = _with(given, one, one.frames)
        # What belongs to no frame has not come along with the frames.
        frames = {frame.id for frame in one.frames}
        given = replace(
            given,
            label=_joined(given.label, one.label),
            placings=(*given.placings, *(r for r in one.placings if r.frame not in frames)),
            observations=(
                *given.observations,
                *(row for row in one.observations if row.frame not in frames),
            ),
            determinations=(*given.determinations, *one.determinations),
            extra={**one.extra, **given.extra},
        )
        changes.extend(difference(Document("specimen", one.id), parts_of(one), {}))
        n += 1
    if n == 1:
        return Deed(Sentence("deed.merge_specimens", {"n": n}))
    changes.extend(specimen_changes(target, given))
    return Deed(Sentence("deed.merge_specimens", {"n": n}), tuple(changes))


def _with(given: Specimen, home: Specimen, leaving: Sequence[Frame]) -> Specimen:
    """Return a specimen with frames of another one, and all that belongs to them."""
    number = max((frame.number for frame in given.frames), default=-1) + 1
    ids = {frame.id for frame in leaving}
    return replace(
        given,
        frames=(
            *given.frames,
            *(replace(frame, number=number + i) for i, frame in enumerate(leaving)),
        ),
        placings=(*given.placings, *(row for row in home.placings if row.frame in ids)),
        observations=(
            *given.observations,
            *(row for row in home.observations if row.frame in ids),
        ),
    )


def _left(home: Specimen, leaving: Sequence[Frame]) -> tuple[Change, ...]:
    """Return what becomes of a specimen whose frames leave it."""
    ids = {frame.id for frame in leaving}
    kept = replace(
        home,
        frames=tuple(frame for frame in home.frames if frame.id not in ids),
        placings=tuple(row for row in home.placings if row.frame not in ids),
        observations=tuple(row for row in home.observations if row.frame not in ids),
    )
    told = kept.observations or kept.determinations or kept.label != Label()
    if kept.frames or told:
        return specimen_changes(home, kept)
    return difference(Document("specimen", home.id), parts_of(home), {})


def _joined(first: Label, second: Label) -> Label:
    entries: dict[str, str] = {}
    differing: list[str] = []
    for field in fields(Label):
        if field.name == "extra":
            continue
        mine, theirs = getattr(first, field.name), getattr(second, field.name)
        entries[field.name] = mine or theirs
        if mine and theirs and mine != theirs:
            differing.append(theirs)
    remarks = "\n".join(filter(None, (entries.pop("remarks"), *differing)))
    return Label(**entries, remarks=remarks, extra={**second.extra, **first.extra})
