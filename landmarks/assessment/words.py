"""A measure as it is read: its value or what it lacks, and what must be said beside it."""

from __future__ import annotations

from math import ceil, floor, log10

from landmarks.assessment.measured import MeasureRow
from landmarks.sentences import Number, Sentence, known, word
from landmarks.units import Quantity

MOST_NAMED = 2
"""So many missing landmarks are named; more are counted."""


def measure_words(row: MeasureRow) -> Sentence:
    """Return a measure as it is read: its value with doubt, or what it lacks and why."""
    if row.value is not None:
        value = row.value
        if row.lost_in_noise:
            least = Number(_bound(row.floor or 0.0), unit=row.unit)
            return Sentence("measure.not_from_zero", {"floor": least})
        if row.unit == "count":
            return Sentence("plain", {"words": Number(value.value, at_least=row.at_least)})
        return Sentence("plain", {"words": _number(value, at_least=row.at_least)})
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
    if len(landmarks) > MOST_NAMED:
        words.insert(0, Sentence("measure.lacks.landmarks", {"n": len(landmarks)}))
    else:
        words[:0] = [_lack(one) for one in landmarks]
    return Sentence("measure.needs", {"lacks": tuple(words)})


def _bound(value: float) -> float:
    """Return a bound with two figures: more would say more than is known; rounded upwards."""
    if value <= 0:
        return 0.0
    places = 1 - floor(log10(value))
    return round(ceil(round(value * 10.0**places, 6)) / 10.0**places, max(places, 0))


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
    for one in row.valves:
        value, least = one.quantity, one.at_least
        counted = row.unit == "count"
        said = (
            Number(value.value, at_least=least)
            if counted
            else _number(value, at_least=least)
        )
        values = {"valve": word("part", one.valve), "value": said}
        notes.append(Sentence("measure.of_valve", values))
    return tuple(notes)


def _number(value: Quantity, *, at_least: bool = False) -> Number:
    return Number(value.value, value.sigma, value.unit, at_least)


def _lack(one: str) -> Sentence:
    if known(f"measure.lacks.{one}"):
        return Sentence(f"measure.lacks.{one}")
    return Sentence(f"landmark.{one}.name")
