"""What comes next for the specimen on the bench: the first step that lacks something."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from app.panels.band_said import Said
from app.session import Session, deeds
from app.style.drawings import scale_drawing
from app.style.widgets.band import Way
from landmarks.progress import FULL, NONE
from landmarks.scheme import VIEWS
from landmarks.sentences import Sentence, say, text, word
from landmarks.sides import contradiction, valve_of
from landmarks.specimen import Frame, Specimen

Take = Mapping[str, Callable[[], object]]
"""What taking the way of each step does; ``pictures`` where the specimen has none."""

_WAYS = {
    "scale": ("band.give_scale", "S"),
    "landmarks": ("band.place_landmarks", "N"),
    "characters": ("band.score", "C"),
    "name": ("band.give_name", "Ctrl+Enter"),
    "label": ("band.copy_label", "Ctrl+L"),
}
"""The words and the key of the way to each step."""


def said_of_bench(session: Session, take: Take) -> Said | None:
    """Return what is said while no specimen is chosen, or one without a picture is."""
    if session.specimen is None:
        if session.store is None or not session.n_rows:
            return None
        return Said("info", say("band.choose"), Sentence("band.choose.words"))
    way = Way(say("band.no_picture.way"), take["pictures"], "primary")
    words = Sentence("band.no_picture.words")
    return Said("info", say("band.no_picture"), words, ways=(way,), icon="image")


def said_of_repeat(session: Session, frame: Frame, take: Take) -> Said:
    """Return what is left to repeat of this specimen; going on stands beside it, too."""
    has = {step.key: step for step in session.steps}
    scheme = VIEWS[frame.view].landmarks if frame.view in VIEWS else ()
    if scheme and has["landmarks"].has != FULL:
        what, note, icon = "place", text(has["landmarks"].words), "crosshair"
        way = Way(say("repeats.way.place"), take["landmarks"], "primary", key="N")
    elif has["characters"].has != FULL:
        what, note, icon = "score", text(has["characters"].words), "eye"
        way = Way(say("repeats.way.score"), take["characters"], "primary", key="C")
    else:
        what, note, icon = "done", "", "repeat-2"
        last = session.repeat is not None and session.repeat.next() is None
        on = say("repeats.last" if last else "repeats.next")
        way = Way(on, session.veil.next, "primary")
    words = Sentence(f"repeats.{what}.words")
    return Said("next", say(f"repeats.{what}"), words, note, (way,), icon=icon)


def said_of_valve(
    session: Session, specimen: Specimen, frame: Frame, believe: Callable[[], object]
) -> Said | None:
    """Return that the landmarks lie as in the other valve, until the person settles it."""
    placed = specimen.placed(frame.id)
    doubt, found = contradiction(frame, placed), valve_of(placed, frame.view)
    if doubt is None or found is None:
        return None
    other = say("band.other_valve", valve=word("part", found))
    ways = (
        Way(other, lambda: deeds.set_part(session, found), "primary"),
        Way(say("band.as_recorded"), believe),
    )
    return Said("caution", say("band.mirrored"), doubt, ways=ways, icon="triangle-alert")


def said_of_step(session: Session, frame: Frame, take: Take) -> Said | None:
    """Return what the first step that lacks something asks for, or None where none does."""
    steps = {step.key: step for step in session.steps}
    scheme = VIEWS[frame.view].landmarks if frame.view in VIEWS else ()
    scale, landmarks = steps["scale"].has, steps["landmarks"].has
    drawing, icon, note = "", "", ""
    chosen: tuple[str, ...]
    if frame.view == "label":
        words, chosen, icon = "band.label", ("label",), "tag"
    elif frame.view.startswith("living") and steps["characters"].has != FULL:
        # On the reef there is seldom a ruler; what can be seen tells most.
        words, chosen, icon = "band.characters", ("characters", "landmarks"), "eye"
        note = text(steps["characters"].words)
        if scale == NONE:
            chosen = ("characters", "scale")
    elif scheme and scale == NONE and landmarks == NONE:
        words, chosen = "band.no_scale", ("scale", "landmarks")
        drawing, icon = scale_drawing(), "ruler"
    elif scheme and landmarks != FULL:
        words, chosen, icon = "band.landmarks", ("landmarks",), "crosshair"
        note = text(steps["landmarks"].words)
        if scale == NONE:
            chosen = ("landmarks", "scale")
    elif steps["characters"].has != FULL:
        words, chosen, icon = "band.characters", ("characters",), "eye"
        note = text(steps["characters"].words)
    elif steps["name"].has == NONE:
        words, chosen, icon = "band.name", ("name",), "tag"
    else:
        return None
    ways = tuple(
        Way(say(_WAYS[key][0]), take[key], "plain" if n else "primary", key=_WAYS[key][1])
        for n, key in enumerate(chosen)
    )
    return Said("next", say(words), Sentence(f"{words}.words"), note, ways, drawing, icon)
