"""Every measure of a specimen: what its frames give and people typed, as one row each.

The same measure from several pictures is one value through everything they share; what
contradicts stands beside it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from landmarks.collection import Picture
from landmarks.combination import Reading, settle
from landmarks.measures import MEASURES, Measure, Measured, Missing, measure
from landmarks.own_doubt import Doubts, with_own_doubt
from landmarks.placing import Placing
from landmarks.scheme import VIEWS
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
        Further readings of the same measure: typed ones, the single pictures, contradicting
        ones.
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
        Where both valves were measured: the reading of each.
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
    others: tuple[Reading, ...] = ()
    differs: float | None = None
    at_least: bool = False
    frames: tuple[str, ...] = ()
    valve: str = ""
    valves: tuple[Reading, ...] = ()
    floor: float | None = None
    doubled: bool = False
    beside: float = 0.0

    @property
    def doubtful(self) -> bool:
        """Return whether its doubt is more than :data:`DOUBTFUL` of its value.

        Such a measure is shown so; it weighs as little as its doubt lets it. A count of few
        is none: to be one off is what counting is; nor is an angle, for a level hinge has one
        near zero.
        """
        if self.value is None or self.unit in ("count", "°") or self.lost_in_noise:
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


Pictures = Mapping[str, Picture]


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
            quantity = typed_quantity(one, MEASURES[one.character].unit)
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
    return Reading(
        one.value,
        "derived",
        frame.id,
        one.at_least,
        (frame.id,),
        valve,
        one.floor,
        one.doubled,
    )


def typed_quantity(one: Observation, unit: str) -> Quantity:
    """Return what a person typed, with the doubt usual for its method where none was typed."""
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
        found.others,
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
