"""Pictures taken in; frames, labels and whole specimens changed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from app.session.session import Session
from app.session.values import new_id
from landmarks import intake
from landmarks.changes import Document, difference
from landmarks.geometry import Box
from landmarks.observations import Condition
from landmarks.sentences import Sentence
from landmarks.specimen import (
    Frame,
    Label,
    Specimen,
    Where,
    parts_of,
)

if TYPE_CHECKING:
    from landmarks.intake import Found, Recognised


def take_in_alone(session: Session, found: Sequence[Found]) -> None:
    """Take files in with all that they say: one new specimen for each, in one deed.

    What is there already gets another frame, what was gone its new place.
    """
    proposal = intake.each_alone(intake.shots_of(found))
    made = intake.take_in(
        _recognised(session, found),
        proposal,
        new_id=new_id,
        path_of=session.places.name,
        again=True,
    )
    session.do(made.deed.sentence, *made.deed.changes)
    if made.specimens:
        last = made.specimens[-1]
        session.choose(last.id, last.frames[-1].id)


def take_in_views(session: Session, found: Sequence[Found]) -> None:
    """Take files in as further frames of the specimen on the bench."""
    specimen = session.specimen
    if specimen is None:
        take_in_alone(session, found)
        return
    made = intake.record(
        _recognised(session, found), new_id=new_id, path_of=session.places.name
    )
    shown = ""
    for one in found:
        picture = made.of_path[str(one.path)].id
        frame = Frame(new_id(), picture, view="", number=_next_number(specimen))
        specimen, shown = specimen.with_one(frame), frame.id
    session.do(Sentence("deed.add_pictures", {"n": len(found)}), *made.changes, specimen)
    session.choose_frame(shown)


def add_specimen_on_picture(session: Session, box: Box) -> None:
    """Say that the picture on the bench shows another specimen, in this region."""
    frame = session.frame
    if session.specimen is None or frame is None:
        return
    shown = Frame(
        new_id(), frame.picture, frame.view, box, 0, frame.part, frame.mantle, frame.valves
    )
    other = Specimen(new_id(), where=session.specimen.where, frames=(shown,))
    session.do(Sentence("deed.add_frame"), other)
    session.choose(other.id, shown.id)


def set_region(session: Session, box: Box | None) -> None:
    """Say in which region of its picture the frame on the bench stands; None for all of it."""
    _change_frame(session, Sentence("deed.set_region"), region=box)


def set_view(session: Session, view: str) -> None:
    """Say which view the frame on the bench shows."""
    _change_frame(
        session, Sentence("deed.set_view", {"view": Sentence(f"view.{view}")}), view=view
    )


def set_part(session: Session, part: str) -> None:
    """Say which part of the animal the frame shows."""
    _change_frame(session, Sentence("deed.set_part"), part=part)


def set_state(
    session: Session, *, mantle: str | None = None, valves: str | None = None
) -> None:
    """Say in which state mantle and valves are in this frame."""
    frame = session.frame
    if frame is not None:
        _change_frame(
            session,
            Sentence("deed.set_state"),
            mantle=frame.mantle if mantle is None else mantle,
            valves=frame.valves if valves is None else valves,
        )


def set_label(session: Session, label: Label) -> None:
    """Write the label of the specimen on the bench."""
    if session.specimen is not None:
        session.do(Sentence("deed.set_label"), replace(session.specimen, label=label))


def set_where(session: Session, where: Where) -> None:
    """Say where the specimen comes from and what happened to it."""
    if session.specimen is not None:
        session.do(Sentence("deed.set_where"), replace(session.specimen, where=where))


def change_where(session: Session, **values: object) -> None:
    """Say one thing of where the specimen on the bench comes from, and leave the others."""
    specimen = session.specimen
    if specimen is not None:
        where = replace(specimen.where, **values)  # type: ignore[arg-type]
        if where != specimen.where:
            set_where(session, where)


def add_condition(session: Session, one: Condition) -> None:
    """Say what happened to the shell; what is said already stays said once."""
    specimen = session.specimen
    if specimen is not None and one not in specimen.where.condition:
        change_where(session, condition=(*specimen.where.condition, one))


def remove_condition(session: Session, one: Condition) -> None:
    """Take back that something happened to the shell."""
    if session.specimen is not None:
        kept = tuple(it for it in session.specimen.where.condition if it != one)
        change_where(session, condition=kept)


def remove_frame(session: Session) -> None:
    """Take the frame on the bench away, with everything placed on it."""
    if session.specimen is not None and session.frame is not None:
        specimen = session.specimen.without(session.frame.id)
        session.do(Sentence("deed.remove_frame"), specimen)


def remove_specimen(session: Session) -> None:
    """Take the specimen on the bench out of the collection; undo brings it back."""
    if session.specimen is None:
        return
    document = Document("specimen", session.specimen.id)
    session.do(
        Sentence("deed.remove_specimen"),
        *difference(document, parts_of(session.specimen), {}),
    )


def _recognised(session: Session, found: Sequence[Found]) -> Recognised:
    return intake.recognise(
        found,
        session.pictures.values(),
        exists=session.places.is_there,
        path_of=session.places.name,
    )


def _change_frame(session: Session, deed: Sentence, **values: object) -> None:
    if session.specimen is None or session.frame is None:
        return
    frame = replace(session.frame, **values)  # type: ignore[arg-type]
    session.do(deed, session.specimen.with_one(frame))


def _next_number(specimen: Specimen) -> int:
    return max((frame.number for frame in specimen.frames), default=-1) + 1
