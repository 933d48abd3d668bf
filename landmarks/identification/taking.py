"""One number for each measured character: repeated ones, sums and bounds."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from math import sqrt

from landmarks.characters import Character
from landmarks.identification.guide import Guide
from landmarks.observations import Seen, Taken


def numbers_of(guide: Guide, by_key: Mapping[str, Sequence[Seen]]) -> dict[str, Taken]:
    """Return one number for each measured character, sums and one-sided bounds included."""
    taken: dict[str, Taken] = {}
    for key, own in by_key.items():
        if len(own) == 1 and type(own[0]) is Taken and own[0].character == key:
            taken[key] = own[0]
            continue
        numbers = [one for one in own if isinstance(one, Taken)]
        if numbers:
            taken[key] = _one_number(guide.tables.characters[key], numbers)
    for character in guide.sums:
        parts = [taken[key] for key in character.sum_of if key in taken]
        if character.key in taken or not parts or len(parts) < len(character.sum_of):
            continue
        taken[character.key] = Taken(
            character.key,
            sum(one.value for one in parts),
            sqrt(sum(one.sigma**2 for one in parts)),
            at_least=any(one.at_least for one in parts),
        )
    for character in guide.bounds:
        bound = taken.get(character.key)
        if bound is not None:
            known = taken.get(character.bounds)
            if known is None or (known.at_least and known.value < bound.value):
                taken[character.bounds] = Taken(
                    character.bounds, bound.value, bound.sigma, at_least=True
                )
    return taken


def _one_number(character: Character, numbers: list[Taken]) -> Taken:
    """Return one number for repeated ones: they are one observation, no surer than the best."""
    if len(numbers) == 1:
        return replace(numbers[0], character=character.key)
    standard = [one for one in numbers if one.definition in ("", character.standard)]
    kept = standard or [one for one in numbers if one.definition == numbers[0].definition]
    exact = sorted((one for one in kept if not one.at_least), key=lambda one: one.value)
    if not exact:
        best = max(kept, key=lambda one: (one.value, one.sigma))
        return replace(best, character=character.key)
    certain = [one for one in exact if one.sigma == 0] or exact
    weights = [1 / one.sigma**2 if one.sigma else 1.0 for one in certain]
    whole = sum(weights)
    value = sum(w * one.value for w, one in zip(weights, certain, strict=True)) / whole
    apart = sqrt(sum((one.value - value) ** 2 for one in exact) / len(exact))
    sigma = max(min(one.sigma for one in exact), apart)
    return Taken(character.key, value, sigma, definition=certain[0].definition)
