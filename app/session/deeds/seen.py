"""Characters scored, measures typed, names given."""

from __future__ import annotations

from collections.abc import Sequence

from app.session.session import Session
from app.session.values import later_than, new_id, now
from landmarks.progress import name_words
from landmarks.sentences import Sentence
from landmarks.specimen import (
    Determination,
    Observation,
    Specimen,
)


def score(session: Session, character: str, state: str, *, sure: bool = True) -> None:
    """Record the state of a character, seen on the frame on the bench."""
    deed = Sentence("deed.score", {"character": character_name(session, character)})
    _observe(session, character, deed, state=state, sure=sure)


def supposed(session: Session, character: str, state: str) -> Specimen | None:
    """Return the specimen as it would be with this state: for a look ahead, not a deed."""
    one = _observation(session, character, state=state, sure=True)
    return (
        None if one is None or session.specimen is None else session.specimen.with_one(one)
    )


def cannot_be_seen(session: Session, character: str, reason: str = "hidden") -> None:
    """Record that a character cannot be seen, and why."""
    deed = Sentence("deed.hidden", {"character": character_name(session, character)})
    _observe(session, character, deed, hidden=reason)


def type_measure(
    session: Session,
    measure: str,
    value: float,
    method: str,
    sigma: float | None = None,
    *,
    at_least: bool = False,
) -> None:
    """Record a measure taken with an instrument, read off a label or judged by eye."""
    deed = Sentence("deed.type_measure", {"measure": Sentence(f"measure.{measure}.name")})
    values = {"value": value, "sigma": sigma, "method": method, "at_least": at_least}
    _observe(session, measure, deed, **values)


def unsee(session: Session, character: str) -> None:
    """Take back what was recorded of a character: it is not looked at yet."""
    specimen = session.specimen
    if specimen is None:
        return
    for one in specimen.recorded:
        if one.character == character:
            specimen = specimen.without(one.id)
    deed = Sentence("deed.unsee", {"character": character_name(session, character)})
    session.do(deed, specimen)


def determine(
    session: Session,
    level: str,
    taxa: Sequence[str],
    *,
    name: str = "",
    qualifier: str = "",
    determiner: str = "",
    independent: bool = False,
    remarks: str = "",
) -> None:
    """Give the specimen on the bench a name, with what it rested on."""
    specimen, assessment = session.specimen, session.assessment
    if specimen is None:
        return
    answer = None if assessment is None else assessment.answer
    leading = answer.candidates[0] if answer is not None and answer.candidates else None
    one = Determination(
        id=new_id(),
        level=level,
        taxa=tuple(taxa),
        name=name,
        qualifier=qualifier,
        determiner=determiner or session.person.name,
        person=session.person.id,
        at=later_than(max((row.at for row in specimen.determinations), default="")),
        independent=independent,
        remarks=remarks,
        rested_on=(
            *(row.id for row in specimen.recorded),
            *(row.id for row in specimen.placings if row.occasion == "record"),
        ),
        leading=leading.taxon if leading is not None else "",
        probability=leading.probability if leading is not None else None,
        tables_hash=answer.tables_hash if answer is not None else "",
        engine=answer.engine_version if answer is not None else "",
    )
    deed = Sentence("deed.determine", {"name": name_words(one, session.names)})
    session.do(deed, specimen.with_one(one))
    _say_clock(session, one.at)


def character_name(session: Session, key: str) -> str:
    """Return what a character is called."""
    row = session.guide.tables.characters.get(key) if session.guide is not None else None
    return row.name if row is not None else key


def _observe(session: Session, character: str, deed: Sentence, **values: object) -> None:
    one = _observation(session, character, **values)
    if one is not None and session.specimen is not None:
        session.do(deed, session.specimen.with_one(one))
        _say_clock(session, one.at)


def _say_clock(session: Session, at: str) -> None:
    """Say that the clock of this computer is behind what was just recorded."""
    if now() < at:
        session.notice(Sentence("session.clock_behind", {"at": at[:16]}), "caution")


def _observation(session: Session, character: str, **values: object) -> Observation | None:
    """Return what is recorded of a character; it takes the place of what it corrects."""
    specimen, frame = session.specimen, session.frame
    if specimen is None:
        return None
    typed = values.get("value") is not None
    frame_id = "" if typed or frame is None else frame.id
    old = next(
        (
            one
            for one in specimen.recorded
            if one.character == character
            and one.frame == frame_id
            and (one.value is not None) == typed
            and (not typed or one.method == values.get("method"))
        ),
        None,
    )
    return Observation(
        id=old.id if old is not None else new_id(),
        character=character,
        frame=frame_id,
        person=session.person.id,
        at=later_than(max((row.at for row in specimen.observations), default="")),
        names_hidden=session.names_hidden,
        **values,  # type: ignore[arg-type]
    )
