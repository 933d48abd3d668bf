"""Every scored character of a specimen: what was answered, or why it cannot be seen."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from landmarks.characters import Character, Characters
from landmarks.specimen import Frame, Observation, Specimen

UNKNOWN_STATE = "unknown_state"
"""Why a character does not speak whose recorded state these tables do not know."""


@dataclass(frozen=True, slots=True)
class CharacterRow:
    """One scored character of a specimen.

    ``observation`` is what a person recorded last, or None; ``hidden`` is why it cannot be
    seen, by the person's word or by itself (its need is unmet, no picture shows it, the
    tables do not know the state);
    ``states`` are several where pictures or people contradict each other. ``answers`` are
    what speaks: the latest state from each frame, whichever was scored first.
    """

    character: Character
    observation: Observation | None = None
    hidden: str = ""
    states: tuple[str, ...] = ()
    answers: tuple[Observation, ...] = ()

    @property
    def looked_at(self) -> bool:
        """Return whether a person has answered."""
        return self.observation is not None


def character_rows(specimen: Specimen, characters: Characters) -> tuple[CharacterRow, ...]:
    """Return every scored character with what was answered, or why it cannot be seen."""
    answers: dict[str, list[Observation]] = {}
    for one in specimen.recorded:
        row = characters.get(one.character)
        if row is not None and row.scored:
            answers.setdefault(row.key, []).append(one)
    return tuple(
        _character_row(row, answers.get(row.key, []), specimen.frames)
        for row in characters
        if row.scored
    )


def asked_characters(rows: Sequence[CharacterRow]) -> tuple[tuple[str, bool], ...]:
    """Return every character that counts for the step, and whether it was answered."""
    return tuple(
        (row.character.key, row.looked_at)
        for row in rows
        if row.looked_at or not row.hidden
    )


def _character_row(
    row: Character, answers: list[Observation], frames: Sequence[Frame]
) -> CharacterRow:
    showing = [frame for frame in frames if frame.view in row.views]
    unmet = {frame.id for frame in frames if _unmet(row, frame)}
    last = answers[-1] if answers else None
    if showing and unmet.issuperset(frame.id for frame in showing):
        return CharacterRow(row, last, hidden="need_unmet")
    if last is None:
        elsewhere = bool(frames) and not showing
        return CharacterRow(row, hidden="not_in_these_pictures" if elsewhere else "")
    speaking = [one for one in answers if one.frame not in unmet]
    if not speaking:
        return CharacterRow(row, last, hidden="need_unmet")
    # Another guide's states are kept in the record, but say nothing to this one.
    known = {"", *(state.key for state in row.states)}
    speaking = [one for one in speaking if one.state in known]
    if not speaking:
        return CharacterRow(row, last, hidden=UNKNOWN_STATE)
    states = [one for one in _latest(speaking) if one.state]
    if not states:
        return CharacterRow(row, speaking[-1], hidden=speaking[-1].hidden)
    return CharacterRow(
        row,
        max(states, key=lambda one: (one.at, one.id)),
        states=tuple(dict.fromkeys(one.state for one in states)),
        answers=tuple(states),
    )


def _latest(answers: Iterable[Observation]) -> tuple[Observation, ...]:
    """Return what was answered last from each frame; at one time, all of it."""
    latest: dict[str, list[Observation]] = {}
    for one in answers:
        same = latest.get(one.frame, [])
        latest[one.frame] = [*same, one] if same and same[0].at == one.at else [one]
    rows = [one for frame in sorted(latest) for one in latest[frame]]
    return tuple(sorted(rows, key=lambda one: (one.frame, one.state, one.id)))


def _unmet(row: Character, frame: Frame) -> bool:
    """Return whether the state of the animal in this frame hides the character."""
    unmet = {
        "mantle_extended": frame.mantle in ("withdrawn", "none"),
        "valves_shut": frame.valves in ("sprung", "single"),
    }
    return any(unmet.get(need, False) for need in row.needs)
