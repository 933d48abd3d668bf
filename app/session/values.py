"""Small values of the session: what changed, what is armed, what is saved, what if."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from enum import Flag, auto
from uuid import uuid4

from landmarks.assessment import MeasureRow
from landmarks.collection import Picture
from landmarks.sentences import Sentence
from landmarks.specimen import Frame, Specimen
from landmarks.storage import Query

PAGE = 500
FIRST_PAGE = Query(limit=PAGE)
"""Rows of the list that are read at once."""


class Aspect(Flag):
    """What can change: each part of the window looks at those that concern it."""

    COLLECTION = auto()
    ROWS = auto()
    SELECTION = auto()
    SPECIMEN = auto()
    PICTURE = auto()
    LIVE = auto()
    GUIDE = auto()
    TOOL = auto()
    MARK = auto()
    NAMES = auto()
    SAVING = auto()
    PAST = auto()
    WORK = auto()
    SEEING = auto()


ALL = ~Aspect(0)


@dataclass(frozen=True, slots=True)
class Tool:
    """What the next click on the picture does: ``landmark``, ``scale`` or ``frame``.

    A frame is that of another specimen, or (``own``) of the one on the bench.
    """

    kind: str
    landmark: str = ""
    own: bool = False


@dataclass(frozen=True, slots=True)
class Drawer:
    """A picture on which several frames were drawn, and these frames, in reading order."""

    picture: Picture
    frames: tuple[Frame, ...]


@dataclass(frozen=True, slots=True)
class Saving:
    """Whether all is saved: ``saved``, ``saving`` or ``failed``, and since when or why."""

    state: str
    at: str = ""
    fault: Sentence | None = None
    n_waiting: int = 0


@dataclass(frozen=True, slots=True)
class Live:
    """What a landmark under the pointer would make of measures and probabilities."""

    specimen: Specimen
    measures: tuple[MeasureRow, ...]
    probabilities: Mapping[str, float]


def new_id() -> str:
    """Return a new id: a random UUID, version 4."""
    return str(uuid4())


def now() -> str:
    """Return the present moment, in UTC, as records carry it."""
    return _written(datetime.now(UTC))


def later_than(latest: str) -> str:
    """Return the present moment, or one just after another where the clock is behind it.

    What was done last must stand last, also on a computer whose clock was set back.
    """
    moment = now()
    if moment > latest:
        return moment
    try:
        return _written(datetime.fromisoformat(latest) + timedelta(microseconds=1))
    except (ValueError, TypeError, OverflowError):
        return moment


def _written(moment: datetime) -> str:
    return moment.isoformat(timespec="microseconds").replace("+00:00", "Z")
