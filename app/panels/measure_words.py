"""What the right side says of a measure: its value, its doubt, or why there is none."""

from __future__ import annotations

from app.panels.side_words import word
from landmarks.assessment import MeasureRow, measure_notes, measure_words
from landmarks.assessment.words import MOST_NAMED
from landmarks.combination import Reading
from landmarks.measures import Missing
from landmarks.sentences import Number, known, say, text
from landmarks.sentences.numbers import decimals, plain
from landmarks.units import Quantity

DOUBTFUL = 0.05
"""From this share of doubt on, a measure carries the caution triangle."""

SMALL_PART = 0.1
"""Causes that make less than this share of the whole doubt are not named."""


def measure_name(key: str) -> str:
    """Return what a measure is called."""
    full = f"measure.{key}.name"
    return say(full) if known(full) else key.replace("_", " ")


def figure(quantity: Quantity, *, at_least: bool = False) -> str:
    """Return a value alone, rounded to its doubt: ``144.8``, ``≥ 5``."""
    head = "≥ " if at_least else ""
    if quantity.unit == "count":
        return head + plain(quantity.value, 0)
    sigma = quantity.sigma
    return head + plain(quantity.value, decimals(sigma) if sigma else None)


def doubt(key: str, quantity: Quantity) -> str:
    """Return what stands behind a value: ``± 0.3 mm``, or the rule of a count."""
    if quantity.unit == "count":
        rule = f"side.measures.counted.{key}"
        return say(rule) if known(rule) else say("side.measures.counted")
    sigma = quantity.sigma
    if not sigma:
        return quantity.unit
    written = plain(sigma, decimals(sigma))
    if not quantity.unit:
        return say("side.measures.doubt", sigma=written)
    return say("side.measures.doubt_in", sigma=written, unit=quantity.unit)


def whole(one: Reading) -> str:
    """Return a reading with doubt and unit: ``144.8 ± 0.3 mm``, ``≥ 5``."""
    quantity, least = one.quantity, one.at_least
    if quantity.unit == "count":
        return figure(quantity, at_least=least)
    return text(Number(quantity.value, quantity.sigma, quantity.unit, least))


def is_doubtful(quantity: Quantity) -> bool:
    """Tell whether a value is too doubtful to pass without the caution triangle."""
    # A share of an angle means nothing: a level hinge has one near zero.
    return quantity.unit not in ("count", "°") and quantity.relative > DOUBTFUL


def no_value(row: MeasureRow) -> str:
    """Return what stands where a value would: what it lacks, or that it is lost in noise."""
    return text(measure_words(row)) if row.lost_in_noise else missing_words(row.missing)


def how(row: MeasureRow) -> str:
    """Return how a value was come by, where not from the landmarks of one picture alone."""
    if row.doubled:
        return text(measure_notes(row)[0])
    return "" if row.method == "derived" else word("method", row.method)


def missing_words(missing: Missing | None) -> str:
    """Return why there is no value: ``needs a scale``, ``umbo worn away``."""
    if missing is None:
        return ""
    if missing.reasons:
        landmark, reason = next(iter(missing.reasons.items()))
        return say(
            "measure.cannot",
            landmark=word_of_landmark(landmark),
            reason=word("reason", reason),
        )
    if len(missing.lacks) > MOST_NAMED:
        return say("side.measures.needs_many", n=len(missing.lacks))
    return say("measure.needs", lacks=tuple(word_of_landmark(one) for one in missing.lacks))


def word_of_landmark(key: str) -> str:
    """Return what a landmark, or another thing a measure lacks, is called."""
    for full in (f"measure.lacks.{key}", f"landmark.{key}.name"):
        if known(full):
            return say(full)
    return key.replace("_", " ")


def differs(row: MeasureRow) -> str:
    """Return how far another value of the same measure is off, or an empty text."""
    if row.differs is None or row.value is None or not row.others:
        return ""
    here = row.value.value
    far = max(row.others, key=lambda one: abs(one.quantity.value - here))
    named = _other(far)
    return say("side.measures.differs", other=named, n=plain(round(row.differs)))


def caution(row: MeasureRow) -> str:
    """Return what stands below a value that another one contradicts, or that says little."""
    if row.doubtful and row.value is not None:
        return say("side.measures.says_little", share=_percent(row.value.relative))
    return differs(row)


def is_cautioned(row: MeasureRow) -> bool:
    """Tell whether a value carries the caution triangle: it is doubtful, or beside a plane."""
    return row.value is not None and (is_doubtful(row.value) or row.beside > 0)


def measure_tip(row: MeasureRow) -> str:
    """Return the definition, the budget by cause and the other values, a line each."""
    full = f"measure.{row.key}.definition"
    lines = [say(full)] if known(full) else []
    if row.missing is not None:
        lines.append(missing_words(row.missing))
    if row.value is not None:
        lines.append(_budget(row.value))
        if is_doubtful(row.value) and not row.doubtful:
            lines.append(say("side.measures.doubtful"))
    lines.extend(text(note) for note in measure_notes(row))
    lines.extend(_other(one) for one in row.others)
    lines.append(say("side.measures.hint"))
    return "\n".join(line for line in lines if line)


def _other(one: Reading) -> str:
    return say("side.measures.other", method=word("method", one.method), value=whole(one))


def _percent(share: float) -> Number:
    return Number(round(100 * share), unit="%")


def _budget(value: Quantity) -> str:
    sigma = value.sigma
    if not sigma:
        return ""
    unit = "" if value.unit == "count" else value.unit
    parts = sorted(value.by_kind().items(), key=lambda one: -one[1])
    named = [
        say(
            "side.measures.part",
            cause=word("cause", kind),
            sigma=plain(part, decimals(part)),
        )
        for kind, part in parts
        if part > SMALL_PART * sigma
    ]
    written = f"{plain(sigma, decimals(sigma))} {unit}".strip()
    return say("side.measures.budget", sigma=written, parts=", ".join(named))
