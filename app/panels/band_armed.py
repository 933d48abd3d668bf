"""What is said of the tool that is armed: a landmark with its drawing, a scale, a frame."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from app.panels.band_said import Said
from app.session import Session, deeds
from app.style.drawings import landmark_drawing, scale_drawing
from app.style.widgets.band import Way
from landmarks.placing import Placing
from landmarks.scheme import OUTLINE, PATH, VIEWS, Landmark
from landmarks.sentences import Number, Sentence, say
from landmarks.specimen import Frame


@dataclass(frozen=True, slots=True)
class Taken:
    """What the ways of an armed tool do that only the band can do."""

    trace: Callable[[], object]
    ask_why_not: Callable[[], object]
    cancel: Callable[[], object]


def said_of_tool(session: Session, taken: Taken) -> Said | None:
    """Return what is said of the armed tool, or None where none is."""
    tool, frame = session.tool, session.frame
    if tool is None or frame is None or session.specimen is None:
        return None
    if tool.kind == "landmark":
        scheme = VIEWS.get(frame.view)
        row = scheme.landmark(tool.landmark) if scheme is not None else None
        return None if row is None else _landmark(session, row, frame, taken)
    cancel = (Way(say("band.cancel"), taken.cancel, key="Esc"),)
    if tool.kind == "scale":
        words = Sentence("band.scale.words")
        return Said(
            "next", say("band.scale"), words, "", cancel, scale_drawing(), icon="ruler"
        )
    if tool.kind == "frame":
        asked = "band.frame.own" if tool.own else "band.frame"
        if tool.landmark == deeds.LABEL:
            asked = "band.frame.label"
        words = Sentence(f"{asked}.words")
        return Said("next", say(asked), words, ways=cancel, icon="crop")
    return None


def _landmark(session: Session, row: Landmark, frame: Frame, taken: Taken) -> Said:
    specimen = session.specimen
    placed = specimen.placed(frame.id) if specimen is not None else {}
    old = placed.get(row.key)
    n_points = len(old.points) if old is not None else 0
    again = old is not None and not row.grows
    name = Sentence(f"landmark.{row.key}.name")
    word = "band.landmark.again" if again else "band.landmark"
    return Said(
        "next",
        say(word, landmark=name, letter=row.letter),
        Sentence(f"landmark.{frame.view}.{row.key}.definition"),
        _how_far(row, frame, old),
        _ways(session, row, n_points, taken),
        landmark_drawing(frame.view, row.key),
    )


def _how_far(row: Landmark, frame: Frame, old: Placing | None) -> str:
    """Return which of the landmarks it is, and how many points a series has."""
    n_points = len(old.points) if old is not None else 0
    points = Number(n_points, at_least=old is not None and old.at_least)
    if row.optional:
        if n_points:
            return say("band.place.optional.points", points=points)
        return say("band.place.optional")
    keys = [one.key for one in VIEWS[frame.view].required]
    place = {"n": keys.index(row.key) + 1, "all": len(keys)}
    if row.grows and n_points:
        return say("band.place.points", points=points, **place)
    return say("band.place", **place)


def _ways(session: Session, row: Landmark, n_points: int, taken: Taken) -> tuple[Way, ...]:
    ways = []
    at_work = session.instrument is not None
    if not at_work and row.kind in (PATH, OUTLINE):
        ways.append(Way(say("band.trace"), taken.trace, key="E"))
    # The strip of an instrument at work settles what it has.
    if row.grows and n_points and not at_work:
        done = say("band.done")
        ways.append(Way(done, lambda: deeds.finish_series(session), "primary", key="Enter"))
    elif row.may_be_none:
        none = row.may_be_none
        ways.append(
            Way(
                say(f"band.{none}"),
                lambda: deeds.cannot_place(session, none),
                key="Shift+X",
            )
        )
    ways.append(Way(say("band.cannot"), taken.ask_why_not, key="X"))
    return tuple(ways)
