"""Landmarks placed, moved, answered and taken back."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from app.session.deeds.scale import move_scale_end, remove_scale
from app.session.session import Session
from app.session.values import Tool, new_id, now
from landmarks.errors import PlacingError
from landmarks.figures import is_plane
from landmarks.geometry import Point
from landmarks.placing import TRUE_ZEROS, Placing, check_inside, point_moved, point_taken
from landmarks.progress import next_landmark
from landmarks.scheme import SERIES, VIEWS, Landmark
from landmarks.sentences import Sentence
from landmarks.specimen import (
    Frame,
    Specimen,
)


def arm(session: Session, landmark: str | None = None) -> None:
    """Arm a landmark for the next click: the one named, or the next without an answer.

    The ones a frame is complete without come last.
    """
    if session.specimen is None or session.frame is None:
        return
    key = landmark or next_landmark(session.specimen, session.frame, optional=True)
    session.hand.take_tool(Tool("landmark", key) if key is not None else None)


def place(session: Session, point: Point, zoom: float) -> None:
    """Place the armed landmark; a series takes one point more, a point arms the next."""
    row, frame, specimen = _armed(session), session.frame, session.specimen
    if row is None or frame is None or specimen is None:
        return
    _check(session, point)
    _check_whose(session, frame, point)
    old = specimen.placed(frame.id).get(row.key)
    grows = row.grows and old is not None and old.points
    points = (*old.points, point) if grows and old is not None else (point,)
    placing = answered(session, specimen, frame, row.key, points=points, zoom=zoom)
    if grows and old is not None:
        # What is known of those before stays known; of this one no edges are.
        guide = old.anchors if row.kind == SERIES else ()
        placing = replace(placing, at_least=old.at_least, clicks=old.clicks, anchors=guide)
        placing = _by_hand(old, placing)
    deed = Sentence("deed.place_one", {"landmark": _name(row.key), "n": len(points)})
    if not row.grows:
        deed = Sentence("deed.place", {"landmark": _name(row.key)})
    session.do(deed, specimen.with_one(placing))
    session.hand.choose_mark((placing.id, len(points) - 1))
    if not row.grows:
        _go_on(session, row)
    _warn_beside(session, specimen.placed(frame.id), point)


def answered(
    session: Session, specimen: Specimen, frame: Frame, landmark: str, **values: object
) -> Placing:
    """Return what a person answers of a landmark, in place of what was answered before."""
    old = specimen.placed(frame.id).get(landmark)
    return Placing(
        id=old.id if old is not None else new_id(),
        frame=frame.id,
        landmark=landmark,
        person=session.person.id,
        at=old.at if old is not None else now(),
        names_hidden=session.names_hidden,
        **values,  # type: ignore[arg-type]
    )


def finish_series(session: Session) -> None:
    """Leave the series, path or outline that is armed for the next without an answer.

    A single point is not left: an Enter too many would pass it over unseen.
    """
    specimen, frame, row = session.specimen, session.frame, _armed(session)
    if specimen is None or frame is None or row is None or not row.grows:
        return
    rows = VIEWS[frame.view].landmarks
    placed = specimen.placed(frame.id)
    later = [
        one.key for one in rows[rows.index(row) + 1 :] if row.optional or not one.optional
    ]
    key = next((one for one in later if one not in placed), None)
    session.hand.take_tool(Tool("landmark", key) if key is not None else None)


def moved(specimen: Specimen, placing_id: str, index: int, point: Point) -> Specimen:
    """Return the specimen with one placed point somewhere else: for previews while dragging."""
    return specimen.with_one(point_moved(_placing(specimen, placing_id), index, point))


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
        move_scale_end(session, placing_id, index, point)
        return
    if session.specimen is None:
        return
    _check(session, point)
    old = _placing(session.specimen, placing_id)
    size = session.picture.size if session.picture is not None else None
    new = point_moved(old, index, point, size)
    new = replace(new, zoom=zoom, how=how, names_hidden=session.names_hidden)
    specimen = session.specimen.with_one(_by_hand(old, new))
    session.do(Sentence("deed.move", {"landmark": _name(old.landmark)}), specimen)


def nudge(session: Session, placing_id: str, index: int, dx: float, dy: float) -> None:
    """Move a placed point by a step of the arrow keys."""
    if session.specimen is None:
        return
    if placing_id in session.pictures:
        scale = session.pictures[placing_id].scale
        if scale is not None:
            here = scale.points[index]
            move_scale_end(session, placing_id, index, Point(here.x + dx, here.y + dy))
        return
    if index < 0:
        return
    here = _placing(session.specimen, placing_id).points[index]
    move(session, placing_id, index, Point(here.x + dx, here.y + dy), 1.0, "nudged")


def cannot_place(session: Session, reason: str, landmark: str = "") -> None:
    """Say why the armed (or named) landmark has no place, or that it is a true zero."""
    specimen, frame = session.specimen, session.frame
    key = landmark or (session.tool.landmark if session.tool is not None else "")
    if specimen is None or frame is None or not key:
        return
    specimen = specimen.with_one(answered(session, specimen, frame, key, reason=reason))
    if reason == "closed":
        specimen = _closed_too(session, specimen, frame, key)
    word = "deed.true_zero" if reason in TRUE_ZEROS else "deed.cannot_place"
    values = {"landmark": _name(key), "reason": Sentence(f"reason.{reason}")}
    session.do(Sentence(word, values), specimen)
    if session.tool is not None:
        _go_on(session, VIEWS[frame.view].landmark(key) if frame.view in VIEWS else None)


def say_at_least(session: Session, said: Mapping[str, bool]) -> None:
    """Say of marked series that there are more than could be marked, or that these are all.

    Where they stand and how they came about stays as it is. Of a landmark that is not marked,
    or is no series, nothing is said.
    """
    specimen, frame = session.specimen, session.frame
    if specimen is None or frame is None:
        return
    placed = specimen.placed(frame.id)
    words = []
    for landmark, at_least in said.items():
        old = placed.get(landmark)
        if old is None or not old.points or not is_series(session, landmark):
            continue
        if old.at_least != at_least:
            hidden = session.names_hidden
            specimen = specimen.with_one(
                replace(old, at_least=at_least, names_hidden=hidden)
            )
            word = "at_least" if at_least else "all_marked"
            values = {"landmark": _name(landmark), "n": len(old.points)}
            words.append(Sentence(f"said.{word}", values))
    if words:
        session.do(Sentence("deed.say_at_least", {"said": tuple(words)}), specimen)


def is_series(session: Session, landmark: str) -> bool:
    """Return whether a landmark of the frame on the bench is a series of points."""
    frame = session.frame
    view = VIEWS.get(frame.view) if frame is not None else None
    row = view.landmark(landmark) if view is not None else None
    return row is not None and row.kind == SERIES


def delete_mark(session: Session, placing_id: str, index: int) -> None:
    """Take back one placed point; the last one of a landmark leaves it without an answer."""
    if placing_id in session.pictures:
        remove_scale(session)
        return
    if session.specimen is None:
        return
    old = _placing(session.specimen, placing_id)
    # Taken hold of between its points, a line is meant as a whole.
    specimen = session.specimen.without(placing_id)
    if index >= 0 and len(old.points) > 1:
        specimen = session.specimen.with_one(_by_hand(old, point_taken(old, index)))
    session.do(Sentence("deed.delete", {"landmark": _name(old.landmark)}), specimen)


def clear_landmark(session: Session, landmark: str) -> None:
    """Take back everything answered for a landmark of the frame on the bench."""
    if session.specimen is None or session.frame is None:
        return
    old = session.specimen.placed(session.frame.id).get(landmark)
    if old is not None:
        deed = Sentence("deed.delete", {"landmark": _name(landmark)})
        session.do(deed, session.specimen.without(old.id))


def _by_hand(old: Placing, new: Placing) -> Placing:
    """Return what was changed by hand; what an instrument had proposed there stays known."""
    if not old.instrument or old.how not in ("proposal_accepted", "corrected"):
        return new
    kept = old.proposed or (old.points if old.how == "proposal_accepted" else ())
    return replace(new, how="corrected", instrument=old.instrument, proposed=kept)


def _warn_beside(session: Session, before: Mapping[str, Placing], point: Point) -> None:
    """Say once that the specimen lies beside the four points of its plane."""
    from landmarks.instruments.plane import plane_from
    from landmarks.instruments.refusal import Refused

    scale = session.picture.scale if session.picture is not None else None
    plane = plane_from(scale) if scale is not None and is_plane(scale) else None
    known = [one for placing in before.values() for one in placing.points]
    if plane is None or (known and plane.caution(known) is not None):
        return
    said = plane.caution([point])
    sentence = said.sentence if isinstance(said, Refused) else said
    if sentence is not None:
        session.notice(sentence, "of_deed")


def _go_on(session: Session, done: Landmark | None) -> None:
    """Arm the next landmark; what a frame is complete without only after its like."""
    if session.specimen is None or session.frame is None:
        return
    optional = done is not None and done.optional
    key = next_landmark(session.specimen, session.frame, optional=optional)
    session.hand.take_tool(Tool("landmark", key) if key is not None else None)


def _armed(session: Session) -> Landmark | None:
    tool, frame = session.tool, session.frame
    if tool is None or tool.kind != "landmark" or frame is None or frame.view not in VIEWS:
        return None
    return VIEWS[frame.view].landmark(tool.landmark)


def _closed_too(session: Session, specimen: Specimen, frame: Frame, key: str) -> Specimen:
    """Return the specimen with the other end of a closed opening answered as well."""
    for row in VIEWS[frame.view].landmarks:
        if row.may_be_none == "closed" and row.key != key:
            closed = answered(session, specimen, frame, row.key, reason="closed")
            specimen = specimen.with_one(closed)
    return specimen


def _placing(specimen: Specimen, placing_id: str) -> Placing:
    return next(one for one in specimen.placings if one.id == placing_id)


def _check(session: Session, point: Point) -> None:
    if session.picture is not None:
        check_inside((point,), *session.picture.size)


def _check_whose(session: Session, frame: Frame, point: Point) -> None:
    """Raise a sentence where a point lies on another specimen of the same picture."""
    if frame.region is None or frame.region.holds(point):
        return
    for _, other in session.neighbours:
        if other.id != frame.id and other.region is not None and other.region.holds(point):
            raise PlacingError("placing.neighbour")


def _name(landmark: str) -> Sentence:
    return Sentence(f"landmark.{landmark}.name")
