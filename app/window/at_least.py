"""Says *at least* of the series at hand: of the instrument at work, else of what is placed."""

from __future__ import annotations

from app.session import Session, deeds
from landmarks.sentences import Sentence

MAIN, ENDS = "main_folds", "end_folds"


def turn_at_least(session: Session, *, ends: bool = False) -> None:
    """Say that more are hidden or worn than could be marked; once more: these are all.

    Meant are the marks of the instrument at work, else the series that is armed, that of the
    chosen mark, or the main folds; with ``ends`` the end folds.
    """
    if _turned_at_work(session, ends=ends):
        return
    landmark = ENDS if ends else _at_hand(session)
    specimen, frame = session.specimen, session.frame
    placed = specimen.placed(frame.id) if specimen and frame else {}
    old = placed.get(landmark)
    if old is not None and old.points:
        deeds.say_at_least(session, {landmark: not old.at_least})
    else:
        word = "none" if deeds.is_series(session, landmark) else "what"
        session.notice(Sentence(f"band.at_least.{word}"), "passing")


def _turned_at_work(session: Session, *, ends: bool) -> bool:
    """Say it of the instrument at work; False where that marks no series, or none yet."""
    at_work = session.instrument
    if at_work is None or at_work.key not in ("folds", "series"):
        return False
    from app.instruments.folds import Folds
    from app.instruments.series import Series
    from landmarks.instruments import folds

    if isinstance(at_work, Folds):
        return at_work.turn_at_least(folds.END if ends else folds.MAIN)
    return isinstance(at_work, Series) and not ends and at_work.turn_at_least()


def _at_hand(session: Session) -> str:
    """Return the series that is meant where no instrument marks one."""
    specimen, mark, tool = session.specimen, session.mark, session.tool
    placings = specimen.placings if specimen is not None else ()
    chosen = "" if mark is None else mark[0]
    meant = [tool.landmark] if tool is not None else []
    meant += [one.landmark for one in placings if one.id == chosen]
    return next((one for one in meant if deeds.is_series(session, one)), MAIN)
