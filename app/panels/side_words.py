"""What the right side says: values and rows turned into words, without any widget."""

from __future__ import annotations

from landmarks.assessment import CharacterRow, MeasureRow, measure_notes, measure_words
from landmarks.identification.answer import Answer, Candidate, Reason
from landmarks.measures import Missing
from landmarks.sentences import Number, known, percent, say, text
from landmarks.sentences.numbers import decimals, plain
from landmarks.specimen import Specimen
from landmarks.tables.model import Cell, Group, Tables
from landmarks.units import Quantity

DOUBTFUL = 0.05
"""From this share of doubt on, a measure carries the caution triangle."""

SMALL_PART = 0.1
"""Causes that make less than this share of the whole doubt are not named."""

MOST_NAMED = 3
"""So many characters are named in one line; more are counted."""

MOST_LACKS = 2
"""So many missing landmarks are named; more are counted."""


def word(kind: str, key: str) -> str:
    """Return the word of a key such as ``hidden.worn``; an unknown key is its own word."""
    full = f"{kind}.{key}"
    return say(full) if known(full) else key.replace("_", " ")


def inside(name: str) -> str:
    """Return a name as it stands inside a sentence: ``inhalant margin``."""
    return name[:1].lower() + name[1:]


# -- measures ------------------------------------------------------------------------------


def measure_name(key: str) -> str:
    """Return what a measure is called."""
    full = f"measure.{key}.name"
    return say(full) if known(full) else key.replace("_", " ")


def figure(quantity: Quantity, *, at_least: bool = False) -> str:
    """Return a value alone, rounded to its doubt: ``144.8``."""
    if quantity.unit == "count":
        return plain(quantity.value, 0)
    sigma = quantity.sigma
    head = "≥ " if at_least else ""
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


def whole(quantity: Quantity) -> str:
    """Return a value with doubt and unit: ``144.8 ± 0.3 mm``."""
    if quantity.unit == "count":
        return plain(quantity.value, 0)
    return text(Number(quantity.value, quantity.sigma, quantity.unit))


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
    if len(missing.lacks) > MOST_LACKS:
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
    method, other = max(row.others, key=lambda one: abs(one[1].value - here))
    named = say("side.measures.other", method=word("method", method), value=whole(other))
    return say("side.measures.differs", other=named, n=plain(round(row.differs)))


def measure_tip(row: MeasureRow) -> str:
    """Return the definition, the budget by cause and the other values, a line each."""
    full = f"measure.{row.key}.definition"
    lines = [say(full)] if known(full) else []
    if row.missing is not None:
        lines.append(missing_words(row.missing))
    if row.value is not None:
        lines.append(_budget(row.value))
        if is_doubtful(row.value):
            lines.append(say("side.measures.doubtful"))
    lines.extend(text(note) for note in measure_notes(row))
    for method, value in row.others:
        other = say(
            "side.measures.other", method=word("method", method), value=whole(value)
        )
        lines.append(other)
    lines.append(say("side.measures.hint"))
    return "\n".join(line for line in lines if line)


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


# -- characters ----------------------------------------------------------------------------


def state_words(row: CharacterRow) -> str:
    """Return what was seen of a character, in words, or an empty text."""
    known_states = {one.key: one.name for one in row.character.states}
    names = [inside(known_states.get(key, key)) for key in row.states]
    if not names:
        return ""
    if len(names) > 1:
        first, *_, last = names
        return say(
            "side.characters.conflict", states=say("side.either", first=first, second=last)
        )
    if row.observation is not None and not row.observation.sure:
        return say("side.characters.unsure", state=names[0])
    return names[0]


# -- candidates ----------------------------------------------------------------------------


def stated(probability: float, answer: Answer) -> float:
    """Return how much of a probability may be stated while a landmark moves."""
    if not answer.capped or not answer.candidates:
        return probability
    return min(probability, max(one.stated for one in answer.candidates))


def one_in(value: float) -> str:
    """Return how usual a specimen is: ``1 in 70``."""
    if value < 0.001:
        return say("side.candidates.share_few", n=1000)
    return say("side.candidates.share", n=max(1, round(1 / value)))


def tenths(value: float) -> int:
    """Return how many of ten beads a share fills."""
    return min(10, max(0, round(10 * value)))


def short(why: Reason, tables: Tables | None) -> str:
    """Return what was observed in as few words as a chip has room for."""
    values = why.short.values
    name, state = inside(str(values.get("character", why.character))), values.get("state")
    number = _number_alone(why, tables)
    if number:
        return say("side.candidates.chip_number", character=name, value=number)
    if isinstance(state, str):
        return say("side.candidates.chip_state", character=name, state=inside(state))
    return text(why.short)


def _number_alone(why: Reason, tables: Tables | None) -> str:
    """Return the number of an observation without its doubt, or an empty text."""
    number = why.short.values.get("value")
    if not isinstance(number, Number):
        return ""
    row = None if tables is None else tables.characters.get(why.character)
    if row is not None and row.unit == "count":
        return plain(number.value, 0)
    written = plain(number.value, decimals(number.sigma) if number.sigma else None)
    return f"{written} {number.unit}".strip()


def leading_reason(one: Candidate, tables: Tables | None) -> tuple[str, str]:
    """Return the sign and the words of the reason that stands beside a candidate."""
    ruling = next((why for why in one.reasons if why.direction == "rules_out"), None)
    if ruling is not None:
        words = _otherwise(ruling, tables) or short(ruling, tables)
        return "x", say("side.candidates.ruled_out_by", reason=words)
    if one.against:
        first = one.against[0]
        usual = first.sentence.values.get("usual")
        if isinstance(usual, str):
            name = inside(str(first.sentence.values.get("character", first.character)))
            return "minus", say(
                "side.candidates.would_be", character=name, usual=inside(usual)
            )
        return "minus", _otherwise(first, tables) or short(first, tables)
    if one.supports:
        return "plus", short(one.supports[0], tables)
    key = "silent" if one.reasons else "nothing_against"
    return "", say(f"side.candidates.{key}")


def _otherwise(why: Reason, tables: Tables | None) -> str:
    """Return a number with what the tables would expect, or an empty text."""
    values, number = why.sentence.values, _number_alone(why, tables)
    if not number:
        return ""
    name = inside(str(values.get("character", why.character)))
    if why.sentence.key in _WITHIN:
        return say("side.candidates.elsewhere", character=name, value=number)
    low, high = values.get("low"), values.get("high")
    if low is not None and high is not None:
        expected = say("side.candidates.expect_both", low=low, high=high)
    elif low is not None:
        expected = say("side.candidates.expect_low", low=low)
    elif high is not None:
        expected = say("side.candidates.expect_high", high=high)
    else:
        return ""
    return say("side.candidates.otherwise", character=name, value=number, expected=expected)


_WITHIN = ("because.inside", "because.at_least", "because.at_most")
"""A number that is possible in a species, but more usual in others."""


def strongest(reasons: tuple[Reason, ...], n: int) -> tuple[Reason, ...]:
    """Return the reasons that speak at all, the strongest first, supports before others."""
    speaking = [one for one in reasons if one.direction != "silent"]
    best = sorted(speaking, key=lambda one: -abs(one.weight))[:n]
    return tuple(sorted(best, key=lambda one: one.direction != "for"))


def character_names(keys: tuple[str, ...], tables: Tables | None) -> tuple[str, ...]:
    """Return what characters are called inside a sentence."""
    found = [None if tables is None else tables.characters.get(key) for key in keys]
    return tuple(
        inside(row.name) if row is not None else key.replace("_", " ")
        for key, row in zip(keys, found, strict=True)
    )


def rests_on(answer: Answer, tables: Tables | None) -> str:
    """Return what the answer hangs on, or an empty text."""
    names = character_names(answer.rests_on, tables)
    if not names:
        return ""
    if len(names) == 1:
        return say("side.candidates.rests_on", character=names[0])
    if len(names) > MOST_NAMED:
        return say("side.candidates.rests_on_many", n=len(names))
    return say("side.candidates.rests_on_each", characters=names)


def supposed(now: Specimen | None, then: Specimen, tables: Tables) -> str:
    """Return what is only supposed of a specimen: ``if scute spacing were wide``; or nothing."""
    before = () if now is None else now.observations
    for one in then.observations:
        character = tables.characters.get(one.character)
        if character is None or not one.state or one in before:
            continue
        names = {state.key: inside(state.name) for state in character.states}
        state = names.get(one.state, one.state)
        return say(
            "side.candidates.supposed", character=inside(character.name), state=state
        )
    return ""


def leading_pair(answer: Answer, tables: Tables) -> Group | None:
    """Return what the tables say of the two that lead, where they are easily confused."""
    if answer.fit.word == "does_not_fit" or len(answer.candidates) < 2:
        return None
    first, second = answer.candidates[:2]
    if len(answer.taxa) != 2 and (second.ruled_out_by or second.stated < PAIR_FROM):
        return None
    pair = answer.taxa if len(answer.taxa) == 2 else (first.taxon, second.taxon)
    found = [one for one in tables.groups if set(one.taxa) == set(pair)]
    # What holds of any size comes before what holds of the young alone.
    return min(found, key=lambda one: one.below_mm is not None, default=None)


def pair_source(pair: Group, tables: Tables) -> str:
    """Return who says what parts a pair, and how it was come by."""
    how = word("side.how", pair.evidence) if pair.evidence else ""
    if pair.source not in tables.sources:
        return how
    citation = tables.sources[pair.source].citation.rstrip(".")
    return say("side.reasons.source", citation=citation, how=how)


PAIR_FROM = 0.1
"""From this stated probability on, the second species leads as well."""


# -- table cells ---------------------------------------------------------------------------


def cell_words(cell: Cell, tables: Tables | None) -> str:
    """Return what a table cell says: ``Table: smooth, always`` or ``Table: 5 to 9``."""
    said = _scored_cell(cell, tables) if cell.state else _measured_cell(cell)
    if cell.from_mm is None and cell.to_mm is None:
        return said
    return say("side.reasons.cell_band", cell=said, band=_band(cell))


def cell_source(cell: Cell, tables: Tables | None) -> str:
    """Return the source of a table cell and how it was come by."""
    citation, how = cell.source, cell.evidence
    if tables is not None and cell.source in tables.sources:
        row = tables.sources[cell.source]
        citation = row.citation
        # A cell read on a page that only relays its source is no better than that page.
        how = row.how if cell.evidence == "read" else cell.evidence
    how = word("side.how", how)
    if not citation:
        return how
    key = "side.reasons.source_row" if cell.row else "side.reasons.source"
    return say(key, citation=citation.rstrip("."), how=how, row=cell.row)


def _scored_cell(cell: Cell, tables: Tables | None) -> str:
    row = None if tables is None else tables.characters.get(cell.character)
    names = {} if row is None else {one.key: inside(one.name) for one in row.states}
    state = names.get(cell.state, cell.state.replace("_", " "))
    if not cell.word:
        return say("side.reasons.cell_state_plain", state=state)
    if cell.word[:1].isdigit() or cell.word[:1] == ".":
        share = percent(cell.frequency or 0.0)
        return say("side.reasons.cell_state", state=state, word=share)
    return say("side.reasons.cell_state", state=state, word=cell.word)


def _measured_cell(cell: Cell) -> str:
    low, typical, high = cell.low, cell.typical, cell.high
    if low is not None and high is not None:
        key = "cell_range" if typical is None else "cell_range_typical"
        return say(f"side.reasons.{key}", low=low, high=high, typical=typical)
    least = cell.at_least if cell.at_least is not None else low
    if least is not None:
        return say("side.reasons.cell_at_least", low=least)
    most = cell.at_most if cell.at_most is not None else high
    if most is not None:
        return say("side.reasons.cell_at_most", high=most)
    if typical is not None:
        return say("side.reasons.cell_typical", typical=typical)
    return say("side.reasons.cell_maximum", maximum=cell.maximum)


def _band(cell: Cell) -> str:
    if cell.to_mm is None:
        return say("side.reasons.band_from", low=cell.from_mm)
    if cell.from_mm is None:
        return say("side.reasons.band_to", high=cell.to_mm)
    return say("side.reasons.band_both", low=cell.from_mm, high=cell.to_mm)


REGIONLESS = ("farmed", "aquarium", "trade")
"""Origins of animals for which the region never speaks."""


def equally_open(answer: Answer) -> bool:
    """Tell whether nothing yet speaks for one candidate more than for another."""
    shares = [one.probability for one in answer.candidates]
    return not shares or max(shares) - min(shares) < 1e-9


def answer_words(answer: Answer) -> str:
    """Return the answer in a few words, for a folded header."""
    if answer.fit.word == "does_not_fit":
        return say("side.candidates.no_fit")
    if answer.level in ("species", "genus") and answer.name:
        name = answer.written.verbatim if answer.level == "genus" else answer.name
        return say("side.candidates.spoken", name=name, share=percent(answer.stated))
    if answer.level == "group":
        names = [one.name for one in answer.candidates if one.taxon in answer.taxa]
        return say("side.either", first=", ".join(names[:-1]), second=names[-1])
    return say("side.candidates.unsettled")
