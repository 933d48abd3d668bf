"""Pictures given to other specimens after they were taken in; specimens made one."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from app.session.session import Session
from app.session.values import new_id
from landmarks import intake
from landmarks.changes import Document
from landmarks.specimen import Specimen, specimen_of


def move_frame(session: Session, frame_id: str, specimen_id: str) -> None:
    """Give a frame of the specimen on the bench to another one, with all placed on it."""

    def moved(found: Sequence[Specimen]) -> None:
        here = session.specimen
        if not found:
            return
        target = found[0]
        if here is None or here.frame(frame_id) is None or here.id == target.id:
            return
        deed = intake.move_frames([here], [frame_id], target)
        session.do(deed.sentence, *deed.changes)
        session.choose(target.id, frame_id)

    _with(session, [specimen_id], moved)


def split_off(session: Session) -> None:
    """Make a specimen of its own of the frame on the bench."""
    here, frame = session.specimen, session.frame
    if here is None or frame is None or len(here.frames) < 2:
        return
    frame_id = frame.id
    made = new_id()
    deed = intake.split_specimen(here, [frame_id], new_id=made)
    if deed.changes:
        session.do(deed.sentence, *deed.changes)
        session.choose(made, frame_id)


def make_one(session: Session, specimen_ids: Sequence[str]) -> None:
    """Make one specimen of that on the bench and others, which go into it."""

    def joined(others: Sequence[Specimen]) -> None:
        here = session.specimen
        if here is not None:
            deed = intake.merge_specimens(
                here, [one for one in others if one.id != here.id]
            )
            if deed.changes:
                session.do(deed.sentence, *deed.changes)

    _with(session, specimen_ids, joined)


def _with(
    session: Session,
    specimen_ids: Sequence[str],
    then: Callable[[tuple[Specimen, ...]], None],
) -> None:
    """Read specimens and their pictures, and go on with those that are there."""

    def read() -> None:
        parts = {
            one: session.shelf.parts(Document("specimen", one)) for one in specimen_ids
        }
        found = tuple(specimen_of(key, it) for key, it in parts.items() if it.get("exists"))
        pictures = {one.picture for it in found for one in it.frames if one.picture}
        session.reader.fetch(
            [Document("picture", one) for one in sorted(pictures)], lambda: then(found)
        )

    session.reader.fetch([Document("specimen", one) for one in specimen_ids], read)
