"""The scale of a picture given, changed and taken away."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import PurePath

from app.session.session import Session
from app.session.values import now
from landmarks.assessment import DEFAULT_SIGMA
from landmarks.combination import Check, check_shell
from landmarks.errors import ScaleError
from landmarks.figures import is_plane
from landmarks.geometry import Point, distance
from landmarks.scale import Scale, corrected, two_points
from landmarks.sentences import Sentence, say
from landmarks.units import Cause, Quantity, uncertain

CALLIPER = DEFAULT_SIGMA["calliper"]


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


def give_scale(
    session: Session, scale: Scale, deed: str = "", picture_id: str = ""
) -> None:
    """Give a picture (the one on the bench unless told) a scale that is made already."""
    picture = session.pictures.get(picture_id) if picture_id else session.picture
    if picture is None:
        return
    word = "deed.set_scale" if picture.scale is None else "deed.change_scale"
    scale = replace(scale, person=session.person.id, at=now())
    session.do(Sentence(deed or word), replace(picture, scale=scale))


def set_plane(
    session: Session, points: Sequence[Point], first_mm: float, second_mm: float
) -> None:
    """Give the picture on the bench a scale by four corners of known sides.

    Raises
    ------
    ScaleError
        If they make no rectangle; the sentence is that of the refusal.
    """
    give_scale(session, plane_scale(points, first_mm, second_mm), "deed.set_plane")


def plane_scale(points: Sequence[Point], first_mm: float, second_mm: float) -> Scale:
    """Return the scale of four corners; the first side runs from corner 1 to 2.

    Raises
    ------
    ScaleError
        As :func:`set_plane`.
    """
    from landmarks.instruments.plane import plane_of, scale_of
    from landmarks.instruments.refusal import Refused

    plane = plane_of(points, first_mm, second_mm)
    if isinstance(plane, Refused):
        raise ScaleError(plane.sentence.key, **plane.sentence.values)
    return scale_of(plane)


def sides_of(scale: Scale) -> tuple[float, float] | None:
    """Return both sides in mm of the rectangle that a scale of four points was made of."""
    from landmarks.instruments.plane import plane_from

    plane = plane_from(scale) if is_plane(scale) else None
    if plane is None:
        return None
    a, b, c, _ = plane.places_mm
    return distance(a, b), distance(b, c)


def carry_over_scale(session: Session, *, asked: bool = True) -> None:
    """Give this picture the scale and set-up of the last one; said, with a larger doubt.

    Both pictures must have the same size, camera and focal length; both get the name of one
    set-up, so that what they have in common is known to be one doubt. Whoever ``asked`` for it
    is told what could not be compared; from then on the set-up has a name.
    """
    from landmarks.instruments.refusal import Refused
    from landmarks.instruments.set_up import carried_over, not_compared

    picture, last = session.picture, session.last_scaled
    if picture is None or last is None or last.scale is None:
        session.notice(Sentence("setup.no_last"), "passing")
        return
    scale = carried_over(last.scale, last.id, last.file, picture.file)
    if isinstance(scale, Refused):
        session.notice(scale.sentence, "refused")
        return
    scale = replace(scale, person=session.person.id, at=now())
    name = last.camera.setup or say("setup.of", file=PurePath(last.path).name)
    camera = replace(picture.camera, distance_mm=last.camera.distance_mm, setup=name)
    session.do(
        Sentence("deed.carry_over_scale"),
        replace(picture, scale=scale, camera=camera),
        replace(last, camera=replace(last.camera, setup=name)),
    )
    untold = not_compared(last.scale, last.file, picture.file) if asked else None
    if untold is not None:
        session.notice(untold, "of_deed")


def set_setup(session: Session, name: str) -> None:
    """Name the set-up of the picture on the bench; pictures of one name share its doubts."""
    picture = session.picture
    if picture is not None and picture.camera.setup != name:
        camera = replace(picture.camera, setup=name)
        session.do(Sentence("deed.set_setup"), replace(picture, camera=camera))


def check_length(session: Session, known_mm: float) -> Check | None:
    """Compare the shell length read off the bench with its known length, in mm.

    None where the picture on the bench gives no shell length yet.
    """
    assessment = session.assessment
    rows = () if assessment is None else assessment.measures
    read = next((row.value for row in rows if row.key == "shell_length"), None)
    if read is None or session.picture is None or session.picture.scale is None:
        return None
    known = uncertain(known_mm, CALLIPER * known_mm, "mm", Cause("typed", "check"))
    return check_shell(known, read)


def correct_scale(session: Session, factor: Quantity) -> None:
    """Multiply the scale of the picture on the bench by what a check shell gave."""
    picture = session.picture
    if picture is not None and picture.scale is not None:
        scale = corrected(picture.scale, factor)
        session.do(Sentence("deed.correct_scale"), replace(picture, scale=scale))


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


def move_scale_end(session: Session, picture_id: str, index: int, point: Point) -> None:
    """Move one end of the scale of a picture, or one corner of its plane.

    Raises
    ------
    ScaleError
        If no scale can be made of where it was moved to.
    """
    picture = session.pictures[picture_id]
    old = picture.scale
    if old is None:
        return
    sides = sides_of(old)
    if sides is not None:
        corners = [point if at == index else one for at, one in enumerate(old.points)]
        scale = plane_scale(corners, *sides)
        give_scale(session, scale, "deed.move_corner", picture_id)
        return
    ends = [old.points[0], old.points[-1]]
    ends[min(index, 1)] = point
    scale = two_points(
        ends[0], ends[1], old.length_mm, size=picture.size, sigma_mm=old.sigma_mm
    )
    give_scale(session, replace(scale, extra=_found_before(old)), "", picture_id)


def _found_before(old: Scale) -> dict[str, object]:
    """Return what is kept of a scale whose end is moved: what was found along its line."""
    kept = {key: old.extra[key] for key in ("lens", "proposed") if key in old.extra}
    ruler = old.extra.get("ruler")
    if not isinstance(ruler, Mapping):
        return kept
    return {**kept, "proposed": dict(ruler), "lens": ruler.get("lens", "none")}
