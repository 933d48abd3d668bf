"""Pictures taken in; frames, labels and whole specimens changed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from app.session.session import Session
from app.session.values import new_id
from landmarks import intake
from landmarks.changes import Change, Document, difference
from landmarks.collection import Picture, Rights, picture_parts
from landmarks.geometry import Box
from landmarks.observations import Condition
from landmarks.picture import PictureFile
from landmarks.sentences import Sentence
from landmarks.specimen import (
    Frame,
    Label,
    Specimen,
    Where,
    parts_of,
)

if TYPE_CHECKING:
    from landmarks.intake import Found


def add_pictures(session: Session, files: Sequence[tuple[Path, PictureFile]]) -> None:
    """Take pictures in: one new specimen for each, with one frame that shows all of it.

    A picture whose content the collection already has is not added again; it gets another
    frame.
    """
    things: list[Picture | Change] = []
    last = ("", "")
    for path, file in files:
        picture, new = _picture_for(session, path, file, things)
        things.extend(new)
        frame = Frame(new_id(), picture.id, view="")
        specimen = Specimen(new_id(), label=Label(), frames=(frame,))
        things.extend(difference(Document("specimen", specimen.id), {}, parts_of(specimen)))
        last = specimen.id, frame.id
    session.do(Sentence("deed.add_pictures", {"n": len(files)}), *things)
    if last[0]:
        session.choose(*last)


def add_pictures_to_specimen(
    session: Session, files: Sequence[tuple[Path, PictureFile]]
) -> None:
    """Take pictures in as further frames of the specimen on the bench."""
    specimen = session.specimen
    if specimen is None:
        add_pictures(session, files)
        return
    things: list[Picture | Change] = []
    shown = ""
    for path, file in files:
        picture, new = _picture_for(session, path, file, things)
        things.extend(new)
        frame = Frame(new_id(), picture.id, view="", number=_next_number(specimen))
        specimen, shown = specimen.with_one(frame), frame.id
    session.do(Sentence("deed.add_pictures", {"n": len(files)}), *things, specimen)
    session.choose_frame(shown)


def take_in_alone(session: Session, found: Sequence[Found]) -> None:
    """Take files in with all that they say: one new specimen for each, in one deed.

    What is there already gets another frame, what was gone its new place.
    """
    recognised = intake.recognise(
        found,
        session.pictures.values(),
        exists=session.places.is_there,
        path_of=session.places.name,
    )
    proposal = intake.each_alone(intake.shots_of(found))
    made = intake.take_in(
        recognised, proposal, new_id=new_id, path_of=session.places.name, again=True
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
    things: list[Picture | Change] = []
    shown = ""
    for one in found:
        picture, new = _picture_for(session, one.path, one.file, things, one.rights)
        things.extend(new)
        frame = Frame(new_id(), picture.id, view="", number=_next_number(specimen))
        specimen, shown = specimen.with_one(frame), frame.id
    session.do(Sentence("deed.add_pictures", {"n": len(found)}), *things, specimen)
    session.choose_frame(shown)


def add_picture_to_specimen(session: Session, path: Path, file: PictureFile) -> None:
    """Take a picture in as another frame of the specimen on the bench."""
    add_pictures_to_specimen(session, [(path, file)])


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


def _change_frame(session: Session, deed: Sentence, **values: object) -> None:
    if session.specimen is None or session.frame is None:
        return
    frame = replace(session.frame, **values)  # type: ignore[arg-type]
    session.do(deed, session.specimen.with_one(frame))


def _picture_for(
    session: Session,
    path: Path,
    file: PictureFile,
    made: Sequence[Picture | Change],
    rights: Rights | None = None,
) -> tuple[Picture, Sequence[Picture | Change]]:
    """Return the picture of this content, and what adds it, or says where it is now."""
    for one in made:
        if isinstance(one, Picture):
            if one.file.sha256 == file.sha256:
                return one, ()
        elif one.part == "file" and one.after["sha256"] == file.sha256:
            return Picture(one.document.id, str(path), file), ()
    for known in session.pictures.values():
        if known.file.sha256 == file.sha256:
            if session.places.is_there(known):
                return known, ()
            moved = replace(known, path=session.places.name(path))
            return moved, (moved,)
    rights = rights or Rights()
    picture = Picture(new_id(), session.places.name(path), file, rights=rights)
    return picture, difference(Document("picture", picture.id), {}, picture_parts(picture))


def _next_number(specimen: Specimen) -> int:
    return max((frame.number for frame in specimen.frames), default=-1) + 1
