"""The scale of a picture given, changed and taken away."""

from __future__ import annotations

from dataclasses import replace

from app.session.session import Session
from app.session.values import now
from landmarks.geometry import Point
from landmarks.scale import two_points
from landmarks.sentences import Sentence


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


def move_scale_end(session: Session, picture_id: str, index: int, point: Point) -> None:
    """Move one end of the scale of a picture."""
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
