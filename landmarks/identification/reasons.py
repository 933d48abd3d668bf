"""What every observation says of every candidate, in sentences with numbers and cells."""

from __future__ import annotations

from collections.abc import Sequence
from math import log

from landmarks.characters import Character
from landmarks.identification.answer import Reason
from landmarks.identification.evidence import Evidence, Factor
from landmarks.identification.guide import Band, Guide
from landmarks.observations import Hidden, Scored, Seen, Taken
from landmarks.sentences import Number, Sentence
from landmarks.sentences.phrases import inside
from landmarks.tables.model import Cell

SILENT = 0.05
"""Nats below which an observation says nothing."""
UNSAID = 0.35
"""Nats below which a state that no cell of a taxon names does not speak for it."""
UNITS = {"mm": "mm"}


def reasons_for(
    guide: Guide,
    evidence: Evidence,
    factor: Factor,
    before: Sequence[float],
    after: Sequence[float],
    behind: Sequence[float],
) -> list[Reason]:
    """Return what one observation says of every taxon.

    Parameters
    ----------
    guide, evidence, factor
        The observation and what it is compared with.
    before, after
        Log odds of every taxon without the observation and with it. An observation is *for* a
        taxon only if it is likelier there than in the mean of the others and has not lowered it.
    behind
        Log weight of every taxon below the best one, by all observations together: only what
        is behind can be ruled out.
    """
    character = guide.tables.characters.rows[factor.index]
    likelihood, prior = factor.likelihood, evidence.prior
    whole = sum(p * one for p, one in zip(prior, likelihood, strict=True))
    short = short_sentence(character, factor.seen)
    sure_enough = not factor.unsure and factor.lost == 0
    out = -guide.settings.ruled_out
    found = []
    for taxon, name in enumerate(guide.tables.taxa):
        others = (whole - prior[taxon] * likelihood[taxon]) / (1 - prior[taxon])
        weight = character.weight * log(
            max(likelihood[taxon], 1e-300) / max(others, 1e-300)
        )
        change = after[taxon] - before[taxon]
        cells = cells_of(guide, evidence, factor, taxon)
        least = SILENT if _names(cells, factor.seen) else UNSAID
        ruled = sure_enough and max(factor.drops[taxon], behind[taxon]) < out
        if ruled:
            direction = "rules_out"
        elif weight > least and change >= 0:
            direction = "for"
        elif weight < -SILENT and change <= 0:
            direction = "against"
        else:
            direction = "silent"
        found.append(
            Reason(
                factor.key,
                direction,
                weight,
                _with_doubt(factor, _sentence(guide, factor, character, name.name, cells)),
                short,
                cells,
            )
        )
    return found


def _names(cells: Sequence[Cell], seen: Seen) -> bool:
    """Return whether cells name what was seen; a number, or no cell at all, is not at odds."""
    if not isinstance(seen, Scored) or not cells:
        return True
    return any(one.state == seen.state and one.frequency for one in cells)


def weight_of(guide: Guide, evidence: Evidence, factor: Factor, taxon: int) -> float:
    """Return the log likelihood ratio of one taxon against the mean of the others, in nats."""
    likelihood, prior = factor.likelihood, evidence.prior
    whole = sum(p * one for p, one in zip(prior, likelihood, strict=True))
    own = likelihood[taxon]
    others = (whole - prior[taxon] * own) / (1 - prior[taxon])
    weight = guide.tables.characters.rows[factor.index].weight
    return weight * log(max(own, 1e-300) / max(others, 1e-300))


def silent_reason(guide: Guide, key: str, seen: Seen, why: str) -> Reason:
    """Return the reason of an observation that says nothing of any taxon."""
    character = guide.tables.characters[key]
    if isinstance(seen, Hidden):
        sentence = Sentence("because.hidden", {"character": character.name})
        return Reason(key, "silent", 0.0, sentence, sentence)
    sentence = Sentence(f"because.{why}", {"character": character.name})
    return Reason(key, "silent", 0.0, sentence, short_sentence(character, seen))


def short_sentence(character: Character, seen: Seen) -> Sentence:
    """Return an observation for a chip: "inhalant margin smooth", "5 main folds"."""
    name = inside(character.name)
    match seen:
        case Scored(state=state):
            return Sentence(
                "because.short_scored",
                {"character": name, "state": inside(character.state(state).name)},
            )
        case Taken() if character.unit == "count":
            value = Number(seen.value, at_least=seen.at_least)
            return Sentence("because.short_counted", {"character": name, "value": value})
        case Taken():
            return Sentence(
                "because.short_measured",
                {"character": name, "value": _number(character, seen)},
            )
        case _:
            return Sentence("because.hidden", {"character": character.name})


def cells_of(
    guide: Guide, evidence: Evidence, factor: Factor, taxon: int
) -> tuple[Cell, ...]:
    """Return the cells that speak of the taxon at the specimen's size, the weightiest first."""
    if guide.size is not None and factor.key == guide.size.character.key:
        return guide.size.cells[taxon]
    own: tuple[Band, ...]
    if factor.key in guide.scored:
        own = guide.scored[factor.key].bands[taxon]
    else:
        row, taken = guide.measured[factor.key], factor.seen
        assert isinstance(taken, Taken)
        own = row.bands[taken.definition or row.character.standard][taxon]
    if len(own) == 1:
        held = list(own)
    else:
        held = [b for b in own if evidence.size.share(taxon, b.start, b.end) > 0.05]
    cells = held[0].cells if len(held) == 1 else _once(held)
    if isinstance(factor.seen, Scored) and len(cells) > 1:
        state = factor.seen.state
        grades = guide.settings.grades
        return tuple(
            sorted(
                cells,
                key=lambda one: (one.state != state, -one.weight * grades[one.evidence]),
            )
        )
    return cells


def _once(bands: Sequence[Band]) -> tuple[Cell, ...]:
    """Return the cells of several bands, each once (one cell can hold in several)."""
    return tuple({id(cell): cell for band in bands for cell in band.cells}.values())


def _with_doubt(factor: Factor, sentence: Sentence) -> Sentence:
    """Return a reason with what makes the observation itself count for less."""
    if factor.also_read:
        return Sentence("because.disagree", {"reason": sentence})
    if factor.lost:
        return Sentence("because.lost", {"reason": sentence})
    if factor.unsure:
        return Sentence("because.unsure", {"reason": sentence})
    return sentence


def _sentence(
    guide: Guide,
    factor: Factor,
    character: Character,
    taxon: str,
    cells: tuple[Cell, ...],
) -> Sentence:
    seen = factor.seen
    values: dict[str, object] = {"character": character.name, "taxon": taxon}
    if isinstance(seen, Scored):
        values["state"] = character.state(seen.state).name
        if not cells:
            return Sentence("because.no_cell", values)
        if not any(one.weight for one in cells):
            return Sentence("because.cell_without_weight", values)
        own = [one for one in cells if one.state == seen.state]
        if not own:
            values["usual"] = _usual(character, cells)
            return Sentence("because.other_state", values)
        word = own[0].word
        if word[:1].isdigit() or word[:1] == ".":
            values["share"] = Number(100 * (own[0].frequency or 0.0), unit="%")
            return Sentence("because.share", values)
        return Sentence(f"because.{word}", values)
    assert isinstance(seen, Taken)
    values["value"] = _number(character, seen)
    if guide.size is not None and factor.key == guide.size.character.key:
        return _size_sentence(cells, seen, values)
    numbers = [one for one in cells if one.maximum is None]
    if not numbers:
        return Sentence("because.no_cell_number", values)
    if not any(one.weight for one in numbers):
        return Sentence("because.number_without_weight", values)
    return _number_sentence(character, numbers[0], seen, values)


def _size_sentence(
    cells: tuple[Cell, ...], seen: Taken, values: dict[str, object]
) -> Sentence:
    largest = max((one.maximum or 0.0 for one in cells), default=0.0)
    if not largest:
        return Sentence("because.no_maximum", values)
    values["limit"] = Number(largest, unit="mm")
    return Sentence(
        "because.beyond_maximum" if seen.value > largest else "because.within_maximum",
        values,
    )


def _number_sentence(
    character: Character, cell: Cell, seen: Taken, values: dict[str, object]
) -> Sentence:
    low = cell.low if cell.low is not None else cell.at_least
    high = cell.high if cell.high is not None else cell.at_most
    unit = UNITS.get(character.unit, "")
    if low is not None:
        values["low"] = Number(low, unit=unit if high is None else "")
    if high is not None:
        values["high"] = Number(high, unit=unit)
    # "At least" says nothing of what lies above it: only too many can be at odds.
    below = low is not None and seen.value < low and not seen.at_least
    above = high is not None and seen.value > high
    if low is None:
        return Sentence("because.above_at_most" if above else "because.at_most", values)
    if high is None:
        return Sentence("because.below_at_least" if below else "because.at_least", values)
    within = "has" if seen.at_least else "inside"
    key = "below" if below else "above" if above else within
    return Sentence(f"because.{key}", values)


def _usual(character: Character, cells: tuple[Cell, ...]) -> str:
    """Return the name of the state that the cells give most often."""
    best = max(cells, key=lambda one: (one.weight > 0, one.frequency or 0.0))
    return character.state(best.state).name


def _number(character: Character, taken: Taken) -> Number:
    # A whole number of things is said without its doubt.
    counted = character.unit == "count" and taken.value == int(taken.value)
    sigma = None if counted else taken.sigma or None
    return Number(taken.value, sigma, UNITS.get(character.unit, ""), taken.at_least)
