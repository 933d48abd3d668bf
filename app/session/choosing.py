"""Marks chosen one after the other by the keyboard, in the order in which they stand."""

from __future__ import annotations

from collections.abc import Iterator

from app.session.session import Session
from landmarks.figures import Dot, Line, Lozenge, Mark, Quad
from landmarks.scheme import OUTLINE, PATH, VIEWS


def step_mark(session: Session, by: int) -> None:
    """Choose the next mark, or the one before; after the last comes the first again.

    While an instrument is at work its own marks are meant, else those of the frame. Arrow
    keys then nudge what is chosen, and Del takes it away.
    """
    order = list(_of_instrument(session) if session.instrument else _placed(session))
    if not order:
        return
    # Without one, forwards begins at the first and backwards at the last.
    before = session.mark if session.mark in order else order[-1 if by > 0 else 0]
    session.hand.choose_mark(order[(order.index(before) + by) % len(order)])


def _of_instrument(session: Session) -> Iterator[tuple[str, int]]:
    for mark in session.instrument.marks if session.instrument is not None else ():
        yield from _points_of(mark)


def _points_of(mark: Mark) -> Iterator[tuple[str, int]]:
    """Return every point of a mark that can be taken hold of: id and index."""
    if isinstance(mark, Dot | Lozenge) and mark.id:
        yield mark.id, mark.index
    elif isinstance(mark, Line) and mark.id:
        yield from ((mark.id, 0), (mark.id, 1))
    elif isinstance(mark, Quad) and mark.id:
        yield from ((mark.id, index) for index in range(len(mark.points)))


def _placed(session: Session) -> Iterator[tuple[str, int]]:
    specimen, frame = session.specimen, session.frame
    if specimen is None or frame is None or frame.view not in VIEWS:
        return
    placed = specimen.placed(frame.id)
    for row in VIEWS[frame.view].landmarks:
        # A traced line has hundreds of points: it is taken up again as a whole.
        if row.key in placed and row.kind not in (PATH, OUTLINE):
            one = placed[row.key]
            yield from ((one.id, index) for index in range(len(one.points)))
