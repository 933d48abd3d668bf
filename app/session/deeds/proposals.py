"""What an instrument proposed and a person accepted: one deed, with both kept."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from app.session.deeds.landmarks import answered
from app.session.session import Session
from landmarks.geometry import Point
from landmarks.sentences import Sentence
from landmarks.specimen import Specimen


@dataclass(frozen=True, slots=True)
class Accepted:
    """What a person accepted for one landmark.

    Attributes
    ----------
    landmark, points
        Its key, and where it is; without points ``reason`` is its true zero.
    proposed
        What the instrument had proposed, where that was changed.
    anchors
        The clicks that a traced line was led through; of a series, the guide drawn for it.
    clicks
        What was clicked, where the points follow from it: both edges of every scute.
    how
        How it came about, where not by a proposal of the program.
    at_least
        There are more of them than could be marked.
    """

    landmark: str
    points: tuple[Point, ...] = ()
    reason: str = ""
    proposed: tuple[Point, ...] = ()
    anchors: tuple[Point, ...] = ()
    clicks: tuple[Point, ...] = ()
    how: str = ""
    at_least: bool = False


def accept(
    session: Session,
    deed: Sentence,
    instrument: str,
    answers: Sequence[Accepted],
    zoom: float | None = None,
) -> None:
    """Record what was accepted, all in one step; what stood there before is replaced."""
    specimen = accepted(session, instrument, answers, zoom)
    if specimen is not None and answers:
        session.do(deed, specimen)


def accepted(
    session: Session,
    instrument: str,
    answers: Sequence[Accepted],
    zoom: float | None = None,
) -> Specimen | None:
    """Return the specimen as it would be with these answers: for previews."""
    specimen, frame = session.specimen, session.frame
    if specimen is None or frame is None:
        return None
    for one in answers:
        how = one.how or ("corrected" if one.proposed else "proposal_accepted")
        placing = answered(
            session,
            specimen,
            frame,
            one.landmark,
            points=one.points,
            reason=one.reason,
            how=how if one.points else "clicked",
            zoom=zoom,
            instrument=instrument,
            proposed=one.proposed,
            anchors=one.anchors,
            clicks=one.clicks,
            at_least=one.at_least,
        )
        specimen = specimen.with_one(placing)
    return specimen
