"""What people do to what is on the bench: each deed one function, named for undo.

A deed makes the new value of a specimen or a picture and hands it to the session, which turns
it into one change set.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from app.session.session import Session, Tool, new_id, now
from landmarks.changes import Change, Document, difference
from landmarks.collection import Picture, picture_parts
from landmarks.geometry import Box, Point
from landmarks.picture import PictureFile
from landmarks.placing import TRUE_ZEROS, Placing, check_inside
from landmarks.progress import name_words, next_landmark
from landmarks.scale import two_points
from landmarks.scheme import SERIES, VIEWS, Landmark
from landmarks.sentences import Sentence
from landmarks.specimen import (
    Determination,
    Frame,
    Label,
    Observation,
    Specimen,
    Where,
    parts_of,
)

# -- landmarks -----------------------------------------------------------------------------


def arm(session: Session, landmark: str | None = None) -> None:
    """Arm a landmark for the next click: the one named, or the next without an answer."""
    if session.specimen is None or session.frame is None:
        return
    key = landmark or next_landmark(session.specimen, session.frame)
    session.take_tool(Tool("landmark", key) if key is not None else None)


def place(session: Session, point: Point, zoom: float) -> None:
    """Place the armed landmark; a series takes one point more, a point arms the next."""
    row, frame, specimen = _armed(session), session.frame, session.specimen
    if row is None or frame is None or specimen is None:
        return
    _check(session, point)
    old = specimen.placed(frame.id).get(row.key)
    grows = row.kind == SERIES and old is not None and old.points
    points = (*old.points, point) if grows and old is not None else (point,)
    placing = Placing(
        id=old.id if old is not None else new_id(),
        frame=frame.id,
        landmark=row.key,
        points=points,
        zoom=zoom,
        person=session.person.id,
        at=old.at if old is not None else now(),
        names_hidden=session.names_hidden,
    )
    deed = Sentence("deed.place_one", {"landmark": _name(row.key), "n": len(points)})
    if row.kind != SERIES:
        deed = Sentence("deed.place", {"landmark": _name(row.key)})
    session.do(deed, specimen.with_one(placing))
    session.choose_mark((placing.id, len(points) - 1))
    if row.kind != SERIES:
        arm(session)


def finish_series(session: Session) -> None:
    """Leave the series that is armed and go on to the next landmark without an answer."""
    specimen, frame, row = session.specimen, session.frame, _armed(session)
    if specimen is None or frame is None or row is None:
        return
    keys = [one.key for one in VIEWS[frame.view].landmarks]
    placed = specimen.placed(frame.id)
    later = keys[keys.index(row.key) + 1 :]
    key = next((one for one in later if one not in placed), None)
    session.take_tool(Tool("landmark", key) if key is not None else None)


def moved(specimen: Specimen, placing_id: str, index: int, point: Point) -> Specimen:
    """Return the specimen with one placed point somewhere else: for previews while dragging."""
    old = _placing(specimen, placing_id)
    points = (*old.points[:index], point, *old.points[index + 1 :])
    return specimen.with_one(replace(old, points=points))


def move(
    session: Session,
    placing_id: str,
    index: int,
    point: Point,
    zoom: float,
    how: str = "clicked",
) -> None:
    """Move a placed point, or an end of the scale; one step, taken on release."""
    if placing_id in session.pictures:
        _move_scale_end(session, placing_id, index, point)
        return
    if session.specimen is None:
        return
    _check(session, point)
    specimen = moved(session.specimen, placing_id, index, point)
    old = _placing(specimen, placing_id)
    specimen = specimen.with_one(
        replace(old, zoom=zoom, how=how, names_hidden=session.names_hidden)
    )
    session.do(Sentence("deed.move", {"landmark": _name(old.landmark)}), specimen)


def nudge(session: Session, placing_id: str, index: int, dx: float, dy: float) -> None:
    """Move a placed point by a step of the arrow keys."""
    if session.specimen is None:
        return
    if placing_id in session.pictures:
        scale = session.pictures[placing_id].scale
        if scale is not None:
            here = scale.points[index]
            _move_scale_end(session, placing_id, index, Point(here.x + dx, here.y + dy))
        return
    here = _placing(session.specimen, placing_id).points[index]
    move(session, placing_id, index, Point(here.x + dx, here.y + dy), 1.0, "nudged")


def cannot_place(session: Session, reason: str, landmark: str = "") -> None:
    """Say why the armed (or named) landmark has no place, or that it is a true zero."""
    specimen, frame = session.specimen, session.frame
    key = landmark or (session.tool.landmark if session.tool is not None else "")
    if specimen is None or frame is None or not key:
        return
    old = specimen.placed(frame.id).get(key)
    placing = Placing(
        id=old.id if old is not None else new_id(),
        frame=frame.id,
        landmark=key,
        reason=reason,
        person=session.person.id,
        at=old.at if old is not None else now(),
        names_hidden=session.names_hidden,
    )
    specimen = specimen.with_one(placing)
    if reason == "closed":
        specimen = _closed_too(session, specimen, frame, key)
    word = "deed.true_zero" if reason in TRUE_ZEROS else "deed.cannot_place"
    values = {"landmark": _name(key), "reason": Sentence(f"reason.{reason}")}
    session.do(Sentence(word, values), specimen)
    if session.tool is not None:
        arm(session)


def delete_mark(session: Session, placing_id: str, index: int) -> None:
    """Take back one placed point; the last one of a landmark leaves it without an answer."""
    if placing_id in session.pictures:
        remove_scale(session)
        return
    if session.specimen is None:
        return
    old = _placing(session.specimen, placing_id)
    points = (*old.points[:index], *old.points[index + 1 :])
    left = session.specimen.with_one(replace(old, points=points))
    specimen = left if points else session.specimen.without(placing_id)
    session.do(Sentence("deed.delete", {"landmark": _name(old.landmark)}), specimen)


def clear_landmark(session: Session, landmark: str) -> None:
    """Take back everything answered for a landmark of the frame on the bench."""
    if session.specimen is None or session.frame is None:
        return
    old = session.specimen.placed(session.frame.id).get(landmark)
    if old is not None:
        deed = Sentence("deed.delete", {"landmark": _name(landmark)})
        session.do(deed, session.specimen.without(old.id))


# -- scale ---------------------------------------------------------------------------------


def set_scale(
    session: Session,
    first: Point,
    second: Point,
    length_mm: float,
    sigma_mm: float | None = None,
) -> None:
    """Give the picture on the bench a scale by two points and a length.

    Raises
    ------
    ScaleError
        As :func:`landmarks.scale.two_points`.
    """
    picture = session.picture
    if picture is None:
        return
    scale = two_points(
        first, second, length_mm,
        size=picture.size, sigma_mm=sigma_mm, person=session.person.id, at=now(),
    )  # fmt: skip
    word = "deed.set_scale" if picture.scale is None else "deed.change_scale"
    session.do(Sentence(word), replace(picture, scale=scale))


def remove_scale(session: Session) -> None:
    """Take the scale of the picture on the bench away."""
    if session.picture is not None and session.picture.scale is not None:
        session.do(Sentence("deed.remove_scale"), replace(session.picture, scale=None))


def set_camera_distance(session: Session, distance_mm: float | None) -> None:
    """Say how far the lens was from the plane of the scale, in mm; None where unknown."""
    picture = session.picture
    if picture is not None:
        camera = replace(picture.camera, distance_mm=distance_mm)
        session.do(Sentence("deed.camera_distance"), replace(picture, camera=camera))


# -- pictures, frames, specimens -----------------------------------------------------------


def add_pictures(session: Session, files: Sequence[tuple[Path, PictureFile]]) -> None:
    """Take pictures in: one new specimen for each, with one frame that shows all of it.

    A picture whose content the collection already has is not added again; it gets another
    frame.
    """
    changes: list[Change] = []
    last = ("", "")
    for path, file in files:
        picture, new = _picture_for(session, path, file, changes)
        changes.extend(new)
        frame = Frame(new_id(), picture.id, view="")
        specimen = Specimen(new_id(), label=Label(), frames=(frame,))
        changes.extend(
            difference(Document("specimen", specimen.id), {}, parts_of(specimen))
        )
        last = specimen.id, frame.id
    session.do(Sentence("deed.add_pictures", {"n": len(files)}), *changes)
    if last[0]:
        session.choose(*last)


def add_picture_to_specimen(session: Session, path: Path, file: PictureFile) -> None:
    """Take a picture in as another frame of the specimen on the bench."""
    if session.specimen is None:
        add_pictures(session, [(path, file)])
        return
    picture, new = _picture_for(session, path, file, ())
    frame = Frame(new_id(), picture.id, view="", number=_next_number(session.specimen))
    specimen = session.specimen.with_one(frame)
    session.do(Sentence("deed.add_pictures", {"n": 1}), *new, specimen)
    session.choose_frame(frame.id)


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


# -- characters, typed measures, name ------------------------------------------------------


def score(session: Session, character: str, state: str, *, sure: bool = True) -> None:
    """Record the state of a character, seen on the frame on the bench."""
    deed = Sentence("deed.score", {"character": character_name(session, character)})
    _observe(session, character, deed, state=state, sure=sure)


def cannot_be_seen(session: Session, character: str, reason: str = "hidden") -> None:
    """Record that a character cannot be seen, and why."""
    deed = Sentence("deed.hidden", {"character": character_name(session, character)})
    _observe(session, character, deed, hidden=reason)


def type_measure(
    session: Session, measure: str, value: float, method: str, sigma: float | None = None
) -> None:
    """Record a measure taken with an instrument, read off a label or judged by eye."""
    deed = Sentence("deed.type_measure", {"measure": Sentence(f"measure.{measure}.name")})
    _observe(session, measure, deed, value=value, sigma=sigma, method=method)


def unsee(session: Session, character: str) -> None:
    """Take back what was recorded of a character: it is not looked at yet."""
    specimen = session.specimen
    if specimen is None:
        return
    for one in specimen.observations:
        if one.character == character:
            specimen = specimen.without(one.id)
    deed = Sentence("deed.unsee", {"character": character_name(session, character)})
    session.do(deed, specimen)


def determine(
    session: Session,
    level: str,
    taxa: Sequence[str],
    *,
    name: str = "",
    qualifier: str = "",
    determiner: str = "",
    independent: bool = False,
    remarks: str = "",
) -> None:
    """Give the specimen on the bench a name, with what it rested on."""
    specimen, assessment = session.specimen, session.assessment
    if specimen is None:
        return
    answer = None if assessment is None else assessment.answer
    leading = answer.candidates[0] if answer is not None and answer.candidates else None
    one = Determination(
        id=new_id(),
        level=level,
        taxa=tuple(taxa),
        name=name,
        qualifier=qualifier,
        determiner=determiner or session.person.name,
        person=session.person.id,
        at=now(),
        independent=independent,
        remarks=remarks,
        rested_on=(
            *(row.id for row in specimen.observations),
            *(row.id for row in specimen.placings),
        ),
        leading=leading.taxon if leading is not None else "",
        probability=leading.probability if leading is not None else None,
        tables_hash=answer.tables_hash if answer is not None else "",
        engine=answer.engine_version if answer is not None else "",
    )
    deed = Sentence("deed.determine", {"name": name_words(one, session.names)})
    session.do(deed, specimen.with_one(one))


def character_name(session: Session, key: str) -> str:
    """Return what a character is called."""
    row = session.guide.tables.characters.get(key) if session.guide is not None else None
    return row.name if row is not None else key


# -- inside --------------------------------------------------------------------------------


def _observe(session: Session, character: str, deed: Sentence, **values: object) -> None:
    specimen, frame = session.specimen, session.frame
    if specimen is None:
        return
    typed = values.get("value") is not None
    frame_id = "" if typed or frame is None else frame.id
    old = next(
        (
            one
            for one in specimen.observations
            if one.character == character
            and one.frame == frame_id
            and (one.value is not None) == typed
            and (not typed or one.method == values.get("method"))
        ),
        None,
    )
    one = Observation(
        id=old.id if old is not None else new_id(),
        character=character,
        frame=frame_id,
        person=session.person.id,
        at=now(),
        names_hidden=session.names_hidden,
        **values,  # type: ignore[arg-type]
    )
    session.do(deed, specimen.with_one(one))


def _change_frame(session: Session, deed: Sentence, **values: object) -> None:
    if session.specimen is None or session.frame is None:
        return
    frame = replace(session.frame, **values)  # type: ignore[arg-type]
    session.do(deed, session.specimen.with_one(frame))


def _armed(session: Session) -> Landmark | None:
    tool, frame = session.tool, session.frame
    if tool is None or tool.kind != "landmark" or frame is None or frame.view not in VIEWS:
        return None
    return VIEWS[frame.view].landmark(tool.landmark)


def _closed_too(session: Session, specimen: Specimen, frame: Frame, key: str) -> Specimen:
    """Return the specimen with the other end of a closed opening answered as well."""
    for row in VIEWS[frame.view].landmarks:
        if row.may_be_none == "closed" and row.key != key:
            old = specimen.placed(frame.id).get(row.key)
            specimen = specimen.with_one(
                Placing(
                    id=old.id if old is not None else new_id(),
                    frame=frame.id,
                    landmark=row.key,
                    reason="closed",
                    person=session.person.id,
                    at=now(),
                    names_hidden=session.names_hidden,
                )
            )
    return specimen


def _move_scale_end(session: Session, picture_id: str, index: int, point: Point) -> None:
    picture = session.pictures[picture_id]
    if picture.scale is None:
        return
    ends = list(picture.scale.points)
    ends[index] = point
    old = picture.scale
    scale = two_points(
        ends[0], ends[-1], old.length_mm,
        size=picture.size, sigma_mm=old.sigma_mm, person=session.person.id, at=now(),
    )  # fmt: skip
    session.do(Sentence("deed.change_scale"), replace(picture, scale=scale))


def _picture_for(
    session: Session, path: Path, file: PictureFile, made: Sequence[Change]
) -> tuple[Picture, tuple[Change, ...]]:
    """Return the picture of this content, and the changes that add it if it is new."""
    for one in session.pictures.values():
        if one.file.sha256 == file.sha256:
            return one, ()
    for change in made:
        if change.part == "file" and change.after["sha256"] == file.sha256:
            return Picture(change.document.id, str(path), file), ()
    picture = Picture(new_id(), session.path_of(path), file)
    return picture, difference(Document("picture", picture.id), {}, picture_parts(picture))


def _next_number(specimen: Specimen) -> int:
    return max((frame.number for frame in specimen.frames), default=-1) + 1


def _placing(specimen: Specimen, placing_id: str) -> Placing:
    return next(one for one in specimen.placings if one.id == placing_id)


def _check(session: Session, point: Point) -> None:
    if session.picture is not None:
        check_inside((point,), *session.picture.size)


def _name(landmark: str) -> Sentence:
    return Sentence(f"landmark.{landmark}.name")
