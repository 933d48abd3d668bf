"""What to look at next: the unseen character that would tell most and can be had without harm."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from math import log, log2, sqrt

from landmarks.characters import Character
from landmarks.identification.answer import Suggestion
from landmarks.identification.evidence import (
    Evidence,
    shares,
    temper,
)
from landmarks.identification.guide import Guide, MeasuredRow, mix, weighted_drops
from landmarks.identification.likelihoods import reading_chances
from landmarks.observations import Hidden
from landmarks.sentences import Sentence
from landmarks.tables.model import View

GONE = ("worn", "broken")
"""Reasons of what cannot be seen that no further picture will mend."""


@dataclass(frozen=True, slots=True)
class Prospect:
    """What looking at a character promises: bits, share of clear outcomes, the pair parted."""

    character: Character
    bits: float
    settles: float
    pair: tuple[int, int]


def look_next(
    guide: Guide, evidence: Evidence, probabilities: Sequence[float], most: int = 5
) -> tuple[Suggestion, ...]:
    """Return the most telling characters that are not seen yet and can be had without harm."""
    suggestions = []
    hidden = {key for key, one, _ in evidence.silent if isinstance(one, Hidden)}
    for one in prospects(guide, evidence, probabilities):
        view = _view(guide, evidence, one.character, hidden)
        if view is not None and one.bits >= guide.settings.least_bits:
            suggestions.append(_suggestion(guide, evidence, one, view))
    return tuple(suggestions[:most])


def only_harm_would_tell(
    guide: Guide, evidence: Evidence, probabilities: Sequence[float]
) -> bool:
    """Return whether a living animal would give its name only to views that need handling."""
    if not is_living(guide, evidence):
        return False
    allowed, all_bits = 0.0, 0.0
    for one in prospects(guide, evidence, probabilities):
        all_bits = max(all_bits, one.bits)
        if _view(guide, evidence, one.character, ()) is not None:
            allowed = max(allowed, one.bits)
    open_bits = -sum(p * log2(p) for p in probabilities if p > 0)
    return open_bits > 0.3 and all_bits > 0.1 and allowed < 0.5 * min(all_bits, open_bits)


def is_living(guide: Guide, evidence: Evidence) -> bool:
    """Return whether the specimen is alive, or only living views of it are at hand."""
    if evidence.circumstances.living:
        return True
    views = [one for one in guide.tables.views if one.key in evidence.circumstances.views]
    asked = [one for one in views if one.ask]
    return bool(asked) and all(one.living for one in asked)


def prospects(
    guide: Guide, evidence: Evidence, probabilities: Sequence[float]
) -> list[Prospect]:
    """Return what every unseen character promises, the most telling first."""
    seen = {factor.key for factor in evidence.factors}
    seen |= {
        key
        for key, one, _ in evidence.silent
        if isinstance(one, Hidden) and one.reason in GONE
    }
    found = []
    for character in guide.tables.characters:
        if character.key in seen or character.weight == 0:
            continue
        if any(factor.key in character.sum_of for factor in evidence.factors):
            continue
        outcomes = _outcomes(guide, evidence, character)
        if outcomes:
            found.append(_prospect(guide, evidence, character, outcomes, probabilities))
    return sorted(found, key=lambda one: -one.bits)


def _outcomes(
    guide: Guide, evidence: Evidence, character: Character
) -> Sequence[Sequence[float]]:
    """Return ``[outcome][taxon]``: how probable every outcome of looking is."""
    row = guide.scored.get(character.key)
    if row is not None:
        if not any(band.trust for one in row.bands for band in one):
            return ()
        if evidence.size.value is None:
            return row.plain
        return reading_chances(guide, evidence.size, row, unsure=False, lost=())
    number = guide.measured.get(character.key)
    return _binned(evidence, number) if number is not None else ()


def _binned(evidence: Evidence, row: MeasuredRow) -> Sequence[Sequence[float]]:
    bands = row.bands.get(row.character.standard)
    if bands is None or len(row.bins) < 2:
        return ()
    return [mix(bands, evidence.size, piece)[0] for piece in _pieces(row)]


@lru_cache(maxsize=256)
def _pieces(row: MeasuredRow) -> Sequence[Sequence[Sequence[float]]]:
    """Return ``[bin][taxon][band]``: how probable each bin is, the same for every specimen."""
    bands = row.bands[row.character.standard]
    # A number is read with about a fiftieth of its span of doubt (common practice, no source).
    sigma = sqrt(row.own_doubt**2 + (row.scale / 25) ** 2)
    below = [
        [
            [sum(w * s.cdf(edge, sigma) for w, s in band.shapes) for band in own]
            for own in bands
        ]
        for edge in row.bins[1:-1]
    ]
    none = [[0.0] * len(own) for own in bands]
    whole = [[1.0] * len(own) for own in bands]
    return [
        [
            [high - low for high, low in zip(a, b, strict=True)]
            for a, b in zip(upper, lower, strict=True)
        ]
        for lower, upper in pairwise([none, *below, whole])
    ]


def _prospect(
    guide: Guide,
    evidence: Evidence,
    character: Character,
    outcomes: Sequence[Sequence[float]],
    probabilities: Sequence[float],
) -> Prospect:
    group = character.group or character.key
    own = [factor.drops for factor in evidence.factors if factor.group == group]
    further = guide.settings.tempering
    before = temper(own, further) if own else [0.0] * len(probabilities)
    logs = [log(p) if p > 1e-300 else -690.0 for p in probabilities]
    entropy = -sum(p * log2(p) for p in probabilities if p > 0)
    bits = settles = 0.0
    parted: dict[tuple[int, int], float] = {}
    order = sorted(range(len(logs)), key=lambda taxon: -logs[taxon])[:4]
    for likelihood in outcomes:
        chance = sum(p * one for p, one in zip(probabilities, likelihood, strict=True))
        if chance <= 1e-9:
            continue
        drops = weighted_drops(likelihood, character.weight)
        joint = temper([*own, drops], further) if own else drops
        after = shares([a + b - c for a, b, c in zip(logs, joint, before, strict=True)])
        bits += chance * (entropy + sum(p * log2(p) for p in after if p > 0))
        if max(after) >= guide.settings.species_at:
            settles += chance
        for place, one in enumerate(order):
            for other in order[place + 1 :]:
                gap = abs(likelihood[one] - likelihood[other])
                weight = probabilities[one] * probabilities[other]
                parted[one, other] = parted.get((one, other), 0.0) + weight * gap
    pair = max(parted, key=lambda both: parted[both]) if parted else (order[0], order[1])
    if max(probabilities) >= guide.settings.species_at:
        settles = 0.0  # What is clear already cannot be settled once more.
    return Prospect(character, max(bits, 0.0), min(settles, 1.0), pair)


def _view(
    guide: Guide, evidence: Evidence, character: Character, hidden: Iterable[str]
) -> tuple[View, bool] | None:
    """Return the view to look at, one at hand first; None if none can be had without harm."""
    living = is_living(guide, evidence)
    at_hand = evidence.circumstances.views
    allowed = []
    for key in character.views:
        view = guide.tables.view(key)
        here = key in at_hand
        # A living animal is never touched; of a dead one a living view must be at hand.
        if (view.living and view.harmless) if living else (not view.living or here):
            allowed.append((view, here))
    if character.key in hidden:
        # The pictures at hand do not show it: another one of the same kind may.
        allowed = [(view, False) for view, _ in allowed]
    shown = [one for one in allowed if one[1]]
    return next(iter(shown or allowed), None)


def _suggestion(
    guide: Guide, evidence: Evidence, one: Prospect, view: tuple[View, bool]
) -> Suggestion:
    first, second = (guide.tables.taxa[index] for index in one.pair)
    key = "identification.look_at_hand" if view[1] else "identification.look_new_view"
    return Suggestion(
        one.character.key,
        view[0].key,
        view[1],
        one.bits,
        one.settles,
        (first.key, second.key),
        Sentence(
            key,
            {
                "character": one.character.name,
                "view": view[0].name,
                "first": first.name,
                "second": second.name,
            },
        ),
    )
