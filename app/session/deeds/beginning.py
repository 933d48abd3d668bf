"""How the work on a picture begins once its view is said: at the scale, or at a landmark."""

from __future__ import annotations

from app.session.deeds.landmarks import arm
from app.session.deeds.pictures import set_view
from app.session.deeds.scale import carry_over_scale
from app.session.session import Session
from landmarks.scheme import VIEWS


def say_view(session: Session, view: str) -> None:
    """Say which view the frame on the bench shows, and begin with what it lacks.

    A picture of the named set-up of the last one has its scale carried over, as a deed of its
    own, or it is said why not; with a scale, the first landmark is armed. The camera of a
    diver moves from picture to picture: the scale of a living animal is never carried over
    unasked.
    """
    set_view(session, view)
    scheme = VIEWS.get(view)
    if scheme is None or not scheme.landmarks or session.repeat is not None:
        return
    if not view.startswith("living") and _is_same_set_up(session):
        carry_over_scale(session, asked=False)
    picture, frame, specimen = session.picture, session.frame, session.specimen
    if picture is None or picture.scale is None or frame is None or specimen is None:
        return
    if not specimen.placed(frame.id):
        arm(session)


def _is_same_set_up(session: Session) -> bool:
    """Tell whether the person named a set-up that this picture, still without scale, is of."""
    picture, last = session.picture, session.last_scaled
    if picture is None or last is None or last.scale is None or picture.scale is not None:
        return False
    if not last.camera.setup or picture.camera.setup not in ("", last.camera.setup):
        return False
    return last.file.camera == picture.file.camera
