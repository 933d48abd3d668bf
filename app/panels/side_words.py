"""What the right side says of characters and candidates, in words and without any widget."""

from __future__ import annotations

from landmarks.assessment import CharacterRow
from landmarks.identification.answer import Answer, Candidate, Reason
from landmarks.sentences import Number, known, percent, say, text
from landmarks.sentences.numbers import decimals, plain
from landmarks.sentences.phrases import inside
from landmarks.specimen import Specimen
from landmarks.tables.model import Group, Tables

MOST_NAMED = 3
"""So many characters are named in one line; more are counted."""


def word(kind: str, key: str) -> str:
    """Return the word of a key such as ``hidden.worn``; an unknown key is its own word."""
    full = f"{kind}.{key}"
    return say(full) if known(full) else key.replace("_", " ")


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


_WITHIN = ("because.inside", "because.has", "because.at_least", "because.at_most")
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
