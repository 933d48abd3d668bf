"""Pictures given to other specimens after they were taken in; specimens made one."""

from __future__ import annotations

from collections.abc import Callable

from app.session.session import Session
from app.session.values import new_id
from landmarks import intake
from landmarks.changes import Document
from landmarks.specimen import Specimen, specimen_of


def move_frame(session: Session, frame_id: str, specimen_id: str) -> None:
    """Give a frame of the specimen on the bench to another one, with all placed on it."""

    def moved(target: Specimen) -> None:
        here = session.specimen
        if here is None or here.frame(frame_id) is None or here.id == target.id:
            return
        deed = intake.move_frames([here], [frame_id], target)
        session.do(deed.sentence, *deed.changes)
        session.choose(target.id, frame_id)

    _with(session, specimen_id, moved)


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


def make_one(session: Session, specimen_id: str) -> None:
    """Make one specimen of that on the bench and another one, which goes into it."""

    def joined(other: Specimen) -> None:
        here = session.specimen
        if here is None or here.id == other.id:
            return
        deed = intake.merge_specimens(here, [other])
        session.do(deed.sentence, *deed.changes)

    _with(session, specimen_id, joined)


def _with(session: Session, specimen_id: str, then: Callable[[Specimen], None]) -> None:
    """Read a specimen, and its neighbours' pictures, and go on with it."""
    document = Document("specimen", specimen_id)

    def read() -> None:
        parts = session.parts_of(document)
        if not parts.get("exists"):
            return
        found = specimen_of(specimen_id, parts)
        pictures = [Document("picture", one.picture) for one in found.frames if one.picture]
        session.fetch(pictures, lambda: then(found))

    session.fetch([document], read)
