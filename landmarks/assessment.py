"""From a specimen and its pictures to measures, observations and an answer: the whole flow.

One pure function of frozen values. Nothing here is stored but as a stamped cache: a corrected
table changes every answer that rests on it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from landmarks.characters import Character, Characters
from landmarks.collection import Picture
from landmarks.combination import Reading, settle
from landmarks.identification import Guide, identify, weigh
from landmarks.identification.answer import Answer
from landmarks.measures import MEASURES, Measure, Measured, Missing, measure
from landmarks.observations import Circumstances, Hidden, Scored, Seen, Taken
from landmarks.own_doubt import Doubts, with_own_doubt
from landmarks.placing import Placing
from landmarks.scale import mm_per_px
from landmarks.scheme import VIEWS
from landmarks.sentences import Number, Sentence, known, word
from landmarks.specimen import Frame, Observation, Specimen
from landmarks.units import Cause, Quantity, over, uncertain

DEFAULT_SIGMA: Mapping[str, float] = {
    # Share of the value where a person typed none (common practice, no source).
    "calliper": 0.003,
    "tape": 0.01,
    "label": 0.02,
    "by_eye": 0.15,
}
COUNT_SIGMA = 0.5
DOUBTFUL = 0.2
"""From this share of doubt on a measure is shown to be a poor one."""
VALVE_PARTS = ("left_valve", "right_valve")


@dataclass(frozen=True, slots=True)
class MeasureRow:
    """One measure of a specimen as people read it.

    Attributes
    ----------
    key, unit
        Of the catalogue.
    value
        The quantity that counts, or None: the surest of what was typed and of what all
        pictures together say.
    missing
        Why there is none, or None.
    method
        ``"derived"`` or how it was typed.
    frame
        Id of the frame it was taken in, or empty; of several, the one with most weight.
    others
        Further values of the same measure (typed ones, the single pictures, contradicting
        ones), with their method.
    differs
        By how many standard uncertainties the farthest other value differs, where by more
        than :data:`landmarks.combination.DISAGREES`; else None. Such a value has no say.
    at_least
        One-sided.
    frames
        Ids of all frames that speak in the value.
    valve
        Which valve it was taken of, where the pictures tell; valves are never averaged.
    valves
        Where both valves were measured: each with its value.
    floor
        The value below which noise alone would read as much, or None.
    doubled
        One valve was seen, and its half taken twice.
    beside
        How far a landmark it rests on lies outside the four points of a plane, in their
        widths; 0 where all are inside, or there is no plane.
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
    frames: tuple[str, ...] = ()
    valve: str = ""
    valves: tuple[tuple[str, Quantity], ...] = ()
    floor: float | None = None
    doubled: bool = False
    beside: float = 0.0

    @property
    def doubtful(self) -> bool:
        """Return whether its doubt is more than :data:`DOUBTFUL` of its value.

        Such a measure is shown so; it weighs as little as its doubt lets it. A count of few
        is none: to be one off is what counting is.
        """
        if self.value is None or self.unit == "count" or self.lost_in_noise:
            return False
        return self.value.relative > DOUBTFUL

    @property
    def lost_in_noise(self) -> bool:
        """Return whether the value cannot be told from 0."""
        return (
            self.value is not None
            and self.floor is not None
            and self.value.sigma > 0
            and self.value.value < self.floor
        )


@dataclass(frozen=True, slots=True)
class CharacterRow:
    """One scored character of a specimen.

    ``observation`` is what a person recorded last, or None; ``hidden`` is why it cannot be
    seen, by the person's word or by itself (its need is unmet, no picture shows it);
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


@dataclass(frozen=True, slots=True)
class Assessment:
    """Everything derived from one specimen."""

    measures: tuple[MeasureRow, ...]
    characters: tuple[CharacterRow, ...]
    seen: tuple[Seen, ...]
    circumstances: Circumstances
    answer: Answer


Pictures = Mapping[str, Picture]


def assess(
    specimen: Specimen, pictures: Pictures, guide: Guide, doubts: Doubts | None = None
) -> Assessment:
    """Return all that follows from a specimen, its pictures and a guide.

    Parameters
    ----------
    doubts
        Own placing doubts by the id of the person, where repeats have told them
        (:attr:`landmarks.collection.Person.doubt`); whoever is not in it places as usual.
    """
    rows = measure_rows(specimen, pictures, doubts)
    characters = character_rows(specimen, guide.tables.characters)
    seen = observed(specimen, pictures, rows, characters, guide.tables.characters)
    around = _as_known(circumstances(specimen), guide)
    return Assessment(rows, characters, seen, around, identify(guide, seen, around))


def weights(
    specimen: Specimen, pictures: Pictures, guide: Guide, doubts: Doubts | None = None
) -> tuple[tuple[MeasureRow, ...], tuple[float, ...]]:
    """Return the measures and the bare probabilities of all taxa: the path of a drag."""
    rows = measure_rows(specimen, pictures, doubts)
    characters = character_rows(specimen, guide.tables.characters)
    seen = observed(specimen, pictures, rows, characters, guide.tables.characters)
    return rows, weigh(guide, seen, _as_known(circumstances(specimen), guide))


def measure_rows(
    specimen: Specimen, pictures: Pictures, doubts: Doubts | None = None
) -> tuple[MeasureRow, ...]:
    """Return every measure the frames at hand can give or a person typed.

    The same measure from several pictures is combined through everything they share, valve
    by valve; what contradicts the surest of them is shown and not averaged away. A ratio that
    no single picture shows is made of its two parts as they stand.
    """
    taken: dict[str, list[Reading]] = {}
    missing: dict[str, Missing] = {}
    beside: dict[tuple[str, str], float] = {}
    for frame in specimen.frames:
        for result in _frame_measures(specimen, frame, pictures, doubts or {}):
            if isinstance(result, Measured):
                taken.setdefault(result.key, []).append(_derived(result, frame))
                beside[result.key, frame.id] = result.beside
            else:
                missing.setdefault(result.key, result)
    for one in specimen.recorded:
        if one.value is not None and one.character in MEASURES:
            at_least = one.at_least or MEASURES[one.character].at_least
            quantity = _typed(one, MEASURES[one.character].unit)
            typed = Reading(quantity, one.method or "typed", one.frame, at_least)
            taken.setdefault(one.character, []).append(typed)
    rows = {key: _row(MEASURES[key], found) for key, found in taken.items()}
    for row in MEASURES.values():
        made = _made_of_parts(row, rows, missing) if row.key not in rows else None
        if made is not None:
            rows[row.key] = made
        elif row.key in missing and row.key not in rows:
            bare = MeasureRow(row.key, row.unit, missing=missing[row.key])
            rows[row.key] = replace(bare, at_least=row.at_least)
    return tuple(_placed_beside(rows[key], beside) for key in MEASURES if key in rows)


def measure_words(row: MeasureRow) -> Sentence:
    """Return a measure as it is read: its value with doubt, or what it lacks and why."""
    if row.value is not None:
        value = row.value
        if row.lost_in_noise:
            floor = Number(row.floor or 0.0, unit=row.unit)
            return Sentence("measure.not_from_zero", {"floor": floor})
        if row.unit == "count":
            return Sentence("plain", {"words": Number(value.value, at_least=row.at_least)})
        return Sentence("plain", {"words": replace(_number(value), at_least=row.at_least)})
    missing = row.missing
    if missing is not None and missing.reasons:
        landmark, reason = next(iter(missing.reasons.items()))
        values = {
            "landmark": Sentence(f"landmark.{landmark}.name"),
            "reason": word("reason", reason),
        }
        return Sentence("measure.cannot", values)
    lacks = missing.lacks if missing is not None else ()
    landmarks = [one for one in lacks if not known(f"measure.lacks.{one}")]
    words = [_lack(one) for one in lacks if one not in landmarks]
    if len(landmarks) > 1:
        words.insert(0, Sentence("measure.lacks.landmarks", {"n": len(landmarks)}))
    else:
        words[:0] = [_lack(one) for one in landmarks]
    return Sentence("measure.needs", {"lacks": tuple(words)})


def measure_notes(row: MeasureRow) -> tuple[Sentence, ...]:
    """Return what must be said beside a value.

    That it was doubled, that it is a poor one, that a landmark lies beside the four points of
    the plane, both valves' values.
    """
    notes = [Sentence("measure.doubled")] if row.doubled else []
    if row.doubtful and row.value is not None:
        share = Number(round(100 * row.value.relative), unit="%")
        notes.append(Sentence("measure.doubtful", {"share": share}))
    if row.beside:
        share = Number(round(100 * row.beside), unit="%")
        notes.append(Sentence("plane.beside", {"share": share}))
    for valve, value in row.valves:
        counted = row.unit == "count"
        said = Number(value.value) if counted else _number(value)
        values = {"valve": word("part", valve), "value": said}
        notes.append(Sentence("measure.of_valve", values))
    return tuple(notes)


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
        seen.extend(
            Scored(
                row.character.key,
                one.state,
                one.sure and len(row.states) < 2,
                _detail_px(row.character, specimen.frame(one.frame), pictures),
                (one.frame,) if one.frame else (),
            )
            for one in row.answers
        )
    derived = {row.key for row in rows if row.value is not None}
    for measured in rows:
        if measured.value is not None and known.get(measured.key) is not None:
            seen.append(_taken(measured))
    for one in specimen.recorded:
        row_ = known.get(one.character)
        if row_ is None or row_.scored:
            continue
        if one.value is not None and one.character not in MEASURES:
            sigma = _typed(one, row_.unit).sigma
            seen.append(Taken(row_.key, one.value, sigma, one.at_least))
        elif one.hidden and row_.key not in derived:
            seen.append(Hidden(row_.key, one.hidden))
    return tuple(seen)


def _as_known(around: Circumstances, guide: Guide) -> Circumstances:
    """Leave out a region that the tables do not know: other tables, or a stranger, wrote it."""
    known = around.region is None or around.region in guide.priors
    return around if known else replace(around, region=None)


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


def _number(value: Quantity) -> Number:
    return Number(value.value, value.sigma, value.unit)


def _lack(one: str) -> Sentence:
    if known(f"measure.lacks.{one}"):
        return Sentence(f"measure.lacks.{one}")
    return Sentence(f"landmark.{one}.name")


def _frame_measures(
    specimen: Specimen, frame: Frame, pictures: Pictures, doubts: Doubts
) -> tuple[Measured | Missing, ...]:
    picture = pictures.get(frame.picture)
    if picture is None or frame.view not in VIEWS:
        return ()
    view = VIEWS[frame.view]
    placed: Iterable[Placing] = specimen.placed(frame.id).values()
    return measure(
        picture.setting,
        view,
        with_own_doubt(placed, doubts, view) if doubts else placed,
        frame.id,
        part=frame.part,
        body=f"{frame.view}/{frame.part}",
    )


def _derived(one: Measured, frame: Frame) -> Reading:
    valve = frame.part if frame.part in VALVE_PARTS else ""
    at_least = one.measure.at_least
    return Reading(
        one.value, "derived", frame.id, at_least, (frame.id,), valve, one.floor, one.doubled
    )


def _typed(one: Observation, unit: str) -> Quantity:
    value = one.value or 0.0
    sigma = one.sigma
    if sigma is None and unit == "count":
        sigma = COUNT_SIGMA
    if sigma is None:
        sigma = abs(value) * DEFAULT_SIGMA.get(one.method, 0.01)
    return uncertain(value, sigma, unit, Cause("typed", one.id))


def _row(row: Measure, readings: Sequence[Reading]) -> MeasureRow:
    """Return one measure from all that was read of it."""
    found = settle(readings)
    best = found.best
    return MeasureRow(
        row.key,
        row.unit,
        best.quantity,
        None,
        best.method,
        best.frame,
        tuple((one.method, one.quantity) for one in found.others),
        found.differs,
        best.at_least,
        best.frames,
        best.valve,
        found.valves,
        best.floor,
        best.doubled,
    )


def _placed_beside(row: MeasureRow, beside: Mapping[tuple[str, str], float]) -> MeasureRow:
    """Return a row with how far what it rests on lies beside a plane."""
    of = MEASURES[row.key].of if row.method == "derived" else ()
    parts = [(key, frame) for key in (row.key, *of) for frame in row.frames]
    far = max((beside.get(part, 0.0) for part in parts), default=0.0)
    return replace(row, beside=far) if far and row.value is not None else row


def _made_of_parts(
    row: Measure, rows: Mapping[str, MeasureRow], missing: Mapping[str, Missing]
) -> MeasureRow | None:
    """Return a ratio made of two measures as they stand, or what one of them lacks."""
    part, whole = (rows.get(key) for key in row.of[:2]) if row.of else (None, None)
    if part is None or part.value is None:
        return None
    if whole is None or whole.value is None:
        lacking = MeasureRow(row.key, row.unit, missing=Missing(row, (row.of[1],), {}))
        return None if row.needs else lacking
    if part.at_least or whole.at_least or not whole.value.value:
        return None
    frames = tuple(dict.fromkeys((*part.frames, *whole.frames)))
    ratio = part.value
    for _ in row.of[1:]:
        ratio = over(ratio, whole.value)
    return MeasureRow(row.key, row.unit, ratio, frames=frames, doubled=part.doubled)


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
    frames = row.frames or ((row.frame,) if row.frame else ())
    return Taken(row.key, number, value.sigma, row.at_least, frames=frames)
