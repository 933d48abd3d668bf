"""From a specimen and its pictures to measures, observations and an answer: the whole flow.

One pure function of frozen values. Nothing here is stored but as a stamped cache: a corrected
table changes every answer that rests on it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import hypot

from landmarks.characters import Character, Characters
from landmarks.collection import Picture
from landmarks.identification import Guide, identify, weigh
from landmarks.identification.answer import Answer
from landmarks.measures import MEASURES, Measured, Missing, measure
from landmarks.measures.frame import SCALE
from landmarks.observations import Circumstances, Hidden, Scored, Seen, Taken
from landmarks.scale import mm_per_px
from landmarks.scheme import VIEWS
from landmarks.sentences import Number, Sentence
from landmarks.specimen import Frame, Observation, Specimen
from landmarks.units import Cause, Quantity, uncertain

DEFAULT_SIGMA: Mapping[str, float] = {
    # Share of the value where a person typed none (common practice, no source).
    "calliper": 0.003,
    "tape": 0.01,
    "label": 0.02,
    "by_eye": 0.15,
}
COUNT_SIGMA = 0.5
DISAGREES = 3.0
"""Two values of one measure are said to differ from three standard uncertainties on."""


@dataclass(frozen=True, slots=True)
class MeasureRow:
    """One measure of a specimen as people read it.

    Attributes
    ----------
    key, unit
        Of the catalogue.
    value
        The quantity that counts, or None.
    missing
        Why there is none, or None.
    method
        ``"derived"`` or how it was typed.
    frame
        Id of the frame it was taken in, or empty.
    others
        Further values of the same measure (other frames, typed ones), with their method.
    differs
        By how many standard uncertainties the farthest other value differs, where by more
        than :data:`DISAGREES`; else None.
    at_least
        One-sided.
    """

    key: str
    unit: str
    value: Quantity | None = None
    missing: Missing | None = None
    method: str = "derived"
    frame: str = ""
    others: tuple[tuple[str, Quantity], ...] = ()
    differs: float | None = None
    at_least: bool = False


@dataclass(frozen=True, slots=True)
class CharacterRow:
    """One scored character of a specimen.

    ``observation`` is what a person recorded, or None; ``hidden`` is why it cannot be seen,
    by the person's word or by itself (its need is unmet, no picture shows it); ``states`` are
    several where pictures or people contradict each other.
    """

    character: Character
    observation: Observation | None = None
    hidden: str = ""
    states: tuple[str, ...] = ()

    @property
    def looked_at(self) -> bool:
        """Return whether a person has answered."""
        return self.observation is not None


@dataclass(frozen=True, slots=True)
class Assessment:
    """Everything derived from one specimen."""

    measures: tuple[MeasureRow, ...]
    characters: tuple[CharacterRow, ...]
    seen: tuple[Seen, ...]
    circumstances: Circumstances
    answer: Answer


Pictures = Mapping[str, Picture]


def assess(specimen: Specimen, pictures: Pictures, guide: Guide) -> Assessment:
    """Return all that follows from a specimen, its pictures and a guide."""
    rows = measure_rows(specimen, pictures)
    characters = character_rows(specimen, guide.tables.characters)
    seen = observed(specimen, pictures, rows, characters, guide.tables.characters)
    around = circumstances(specimen)
    return Assessment(rows, characters, seen, around, identify(guide, seen, around))


def weights(
    specimen: Specimen, pictures: Pictures, guide: Guide
) -> tuple[tuple[MeasureRow, ...], tuple[float, ...]]:
    """Return the measures and the bare probabilities of all taxa: the path of a drag."""
    rows = measure_rows(specimen, pictures)
    characters = character_rows(specimen, guide.tables.characters)
    seen = observed(specimen, pictures, rows, characters, guide.tables.characters)
    return rows, weigh(guide, seen, circumstances(specimen))


def measure_rows(specimen: Specimen, pictures: Pictures) -> tuple[MeasureRow, ...]:
    """Return every measure the frames at hand can give or a person typed."""
    taken: dict[str, list[tuple[str, str, Quantity]]] = {}
    missing: dict[str, Missing] = {}
    for frame in specimen.frames:
        for result in _frame_measures(specimen, frame, pictures):
            if isinstance(result, Measured):
                taken.setdefault(result.key, []).append(("derived", frame.id, result.value))
            else:
                missing.setdefault(result.key, result)
    for one in specimen.observations:
        if one.value is not None and one.character in MEASURES:
            typed = (one.method or "typed", one.frame, _typed(one))
            taken.setdefault(one.character, []).append(typed)
    at_least = {one.character for one in specimen.observations if one.at_least}
    return tuple(
        _row(row.key, row.unit, taken.get(row.key, []), missing.get(row.key),
             at_least=row.at_least or row.key in at_least)
        for row in MEASURES.values()
        if row.key in taken or row.key in missing
    )  # fmt: skip


def measure_words(row: MeasureRow) -> Sentence:
    """Return a measure as it is read: its value with doubt, or what it lacks and why."""
    if row.value is not None:
        value = row.value
        if row.unit == "count":
            return Sentence("plain", {"words": Number(value.value)})
        return Sentence(
            "plain", {"words": Number(value.value, value.sigma, row.unit, row.at_least)}
        )
    missing = row.missing
    if missing is not None and missing.reasons:
        landmark, reason = next(iter(missing.reasons.items()))
        values = {
            "landmark": Sentence(f"landmark.{landmark}.name"),
            "reason": Sentence(f"reason.{reason}"),
        }
        return Sentence("measure.cannot", values)
    lacks = missing.lacks if missing is not None else ()
    landmarks = [one for one in lacks if one not in (SCALE, "length")]
    words = [_lack(one) for one in lacks if one not in landmarks]
    if len(landmarks) > 1:
        words.insert(0, Sentence("measure.lacks.landmarks", {"n": len(landmarks)}))
    else:
        words[:0] = [_lack(one) for one in landmarks]
    return Sentence("measure.needs", {"lacks": tuple(words)})


def character_rows(specimen: Specimen, characters: Characters) -> tuple[CharacterRow, ...]:
    """Return every scored character with what was answered, or why it cannot be seen."""
    answers: dict[str, list[Observation]] = {}
    for one in specimen.observations:
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


def observed(
    specimen: Specimen,
    pictures: Pictures,
    rows: Sequence[MeasureRow],
    characters: Sequence[CharacterRow],
    known: Characters,
) -> tuple[Seen, ...]:
    """Return one row for each character that speaks or cannot be seen."""
    seen: list[Seen] = []
    for row in characters:
        if row.hidden:
            seen.append(Hidden(row.character.key, row.hidden))
        elif row.observation is not None:
            frame = row.observation.frame
            seen.append(
                Scored(
                    row.character.key,
                    row.observation.state,
                    row.observation.sure and len(row.states) < 2,
                    _detail_px(row.character, specimen.frame(frame), pictures),
                    (frame,) if frame else (),
                )
            )
    derived = {row.key for row in rows}
    for measured in rows:
        if measured.value is not None and known.get(measured.key) is not None:
            seen.append(_taken(measured))
    for one in specimen.observations:
        row_ = known.get(one.character)
        if row_ is None or row_.scored or row_.key in derived:
            continue
        if one.value is not None:
            sigma = _typed(one).sigma
            seen.append(Taken(row_.key, one.value, sigma, one.at_least))
        elif one.hidden:
            seen.append(Hidden(row_.key, one.hidden))
    return tuple(seen)


def circumstances(specimen: Specimen) -> Circumstances:
    """Return what is known of a specimen besides its characters."""
    views = frozenset(frame.view for frame in specimen.frames)
    where = specimen.where
    return Circumstances(
        region=where.region or None,
        use_region=where.use_region,
        origin=where.origin,
        conditions=where.condition,
        living=any(view in VIEWS and VIEWS[view].living for view in views),
        views=views,
    )


def _lack(one: str) -> Sentence:
    if one in (SCALE, "length"):
        return Sentence(f"measure.lacks.{one}")
    return Sentence(f"landmark.{one}.name")


def _frame_measures(
    specimen: Specimen, frame: Frame, pictures: Pictures
) -> tuple[Measured | Missing, ...]:
    picture = pictures.get(frame.picture)
    if picture is None or frame.view not in VIEWS:
        return ()
    placed = specimen.placed(frame.id)
    return measure(picture.setting, VIEWS[frame.view], placed.values(), frame.id)


def _typed(one: Observation) -> Quantity:
    value = one.value or 0.0
    unit = MEASURES[one.character].unit if one.character in MEASURES else one.unit
    sigma = one.sigma
    if sigma is None and unit == "count":
        sigma = COUNT_SIGMA
    if sigma is None:
        sigma = abs(value) * DEFAULT_SIGMA.get(one.method, 0.01)
    return uncertain(value, sigma, unit, Cause("typed", one.id))


def _row(
    key: str,
    unit: str,
    taken: list[tuple[str, str, Quantity]],
    missing: Missing | None,
    *,
    at_least: bool,
) -> MeasureRow:
    if not taken:
        return MeasureRow(key, unit, missing=missing, at_least=at_least)
    method, frame, best = min(taken, key=lambda one: (one[2].sigma, one[0] == "derived"))
    others = tuple((how, value) for how, _, value in taken if value is not best)
    apart = max((_apart(best, other) for _, other in others), default=0.0)
    return MeasureRow(
        key, unit, best, None, method, frame, others,
        apart if apart > DISAGREES else None, at_least,
    )  # fmt: skip


def _apart(a: Quantity, b: Quantity) -> float:
    doubt = hypot(a.sigma, b.sigma)
    return abs(a.value - b.value) / doubt if doubt else 0.0


def _character_row(
    row: Character, answers: list[Observation], frames: Sequence[Frame]
) -> CharacterRow:
    showing = [frame for frame in frames if frame.view in row.views]
    unmet = bool(showing) and all(_unmet(row, frame) for frame in showing)
    last = answers[-1] if answers else None
    if unmet:
        return CharacterRow(row, last, hidden="need_unmet")
    if last is None:
        undecided = any(not frame.view for frame in frames)
        elsewhere = bool(frames) and not showing and not undecided
        return CharacterRow(row, hidden="not_in_these_pictures" if elsewhere else "")
    if last.hidden:
        return CharacterRow(row, last, hidden=last.hidden)
    latest = {one.frame: one for one in answers if one.state}
    states = tuple(dict.fromkeys(one.state for one in latest.values()))
    return CharacterRow(row, last, states=states)


def _unmet(row: Character, frame: Frame) -> bool:
    """Return whether the state of the animal in this frame hides the character."""
    unmet = {
        "mantle_extended": frame.mantle in ("withdrawn", "none"),
        "valves_shut": frame.valves in ("sprung", "single"),
    }
    return any(unmet.get(need, False) for need in row.needs)


def _detail_px(row: Character, frame: Frame | None, pictures: Pictures) -> float | None:
    picture = pictures.get(frame.picture) if frame is not None else None
    if not row.smallest_detail_mm or picture is None or picture.scale is None:
        return None
    return row.smallest_detail_mm / mm_per_px(picture.scale, picture.id).value


def _taken(row: MeasureRow) -> Taken:
    value = row.value
    if value is None:
        raise ValueError("a missing measure says nothing")
    # The ends are called by the person, but tables tell the umbo from the nearer end only.
    number = (
        min(value.value, 1 - value.value) if row.key == "umbo_position" else value.value
    )
    frames = (row.frame,) if row.frame else ()
    return Taken(row.key, number, value.sigma, row.at_least, frames=frames)
