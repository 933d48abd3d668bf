"""Frames over a picture of many: labels framed, a whole drawer's frames copied."""

from __future__ import annotations

from dataclasses import replace

from app.session.session import Session
from app.session.values import new_id
from landmarks.changes import Change, Document, difference
from landmarks.geometry import Box, Point
from landmarks.sentences import Sentence
from landmarks.specimen import Frame, Specimen, parts_of

LABEL = "label"
LEAST_PX = 16.0
"""A frame smaller than this shows nothing."""


def add_label_frame(session: Session, box: Box) -> None:
    """Say that this region of the picture is the label of the specimen on the bench."""
    specimen, frame = session.specimen, session.frame
    if specimen is None or frame is None:
        return
    number = max((one.number for one in specimen.frames), default=-1) + 1
    label = Frame(new_id(), frame.picture, LABEL, box, number)
    session.do(Sentence("deed.add_label_frame"), specimen.with_one(label))


def reshaped(session: Session, corner: int, to: Point) -> Box | None:
    """Return the frame on the bench with a corner (1 to 4) elsewhere; 0 moves all of it."""
    frame, picture = session.frame, session.picture
    if frame is None or frame.region is None or picture is None:
        return None
    if corner == 0:
        return frame.region.moved(to, *picture.size)
    return frame.region.stretched(corner - 1, to, LEAST_PX)


def copy_frames(session: Session) -> None:
    """Lay the frames of the last drawer picture over the picture on the bench.

    The first frame is that of the specimen on the bench, each further one begins a new
    specimen with the same view, part and origin. Pictures of another size are scaled.
    """
    specimen, frame, picture = session.specimen, session.frame, session.picture
    drawer = session.drawer
    if specimen is None or frame is None or picture is None or drawer is None:
        session.notice(Sentence("frames.no_drawer"), "passing")
        return
    across = picture.file.width / drawer.picture.file.width
    down = picture.file.height / drawer.picture.file.height
    things: list[Specimen | Change] = []
    for index, one in enumerate(one for one in drawer.frames if one.view != LABEL):
        region = one.region
        if region is None:
            continue
        box = Box(
            region.x * across, region.y * down, region.width * across, region.height * down
        )
        if index == 0:
            mine = replace(frame, region=box, view=frame.view or one.view)
            mine = replace(mine, part=mine.part or one.part)
            things.append(specimen.with_one(mine))
        else:
            shown = replace(one, id=new_id(), picture=picture.id, region=box, number=0)
            other = Specimen(new_id(), where=specimen.where, frames=(shown,))
            document = Document("specimen", other.id)
            things.extend(difference(document, {}, parts_of(other)))
    session.do(Sentence("deed.copy_frames", {"n": len(drawer.frames)}), *things)
