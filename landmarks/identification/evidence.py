"""From what was seen to what it weighs: one factor for each character, in the guide's order."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from math import exp, log

from landmarks.characters import Character
from landmarks.identification.guide import Guide, MeasuredRow, ScoredRow, weighted_drops
from landmarks.identification.likelihoods import (
    adjusted,
    banded,
    loss,
    measured_likelihood,
    scored_likelihood,
    size_likelihood,
    too_faint,
)
from landmarks.identification.size import Size
from landmarks.identification.taking import numbers_of
from landmarks.observations import Circumstances, Hidden, Scored, Seen, Taken


@dataclass(slots=True)
class Factor:
    """What one character says.

    ``drops`` is, for every taxon, the weighted log likelihood below the best one: 0 for the
    taxon it suits best. ``likelihood`` is before weight and tempering.
    """

    key: str
    index: int
    group: str
    seen: Scored | Taken
    likelihood: Sequence[float]
    drops: tuple[float, ...]
    unsure: bool = False
    faint: bool = False
    lost: float = 0.0
    also_read: tuple[str, ...] = ()


@dataclass(slots=True)
class Evidence:
    """All factors of a specimen, what was silent and why, and what is known besides."""

    factors: list[Factor]
    silent: list[tuple[str, Seen, str]]
    prior: tuple[float, ...]
    size: Size
    region_used: bool
    region_off: bool
    circumstances: Circumstances
    matrices: dict[str, tuple[tuple[float, ...], ...]] = field(default_factory=dict)


def hide_unmet(
    guide: Guide, seen: Iterable[Seen], unmet: Iterable[str]
) -> tuple[Seen, ...]:
    """Return what was seen with every character hidden whose needs are not met.

    ``unmet`` are the needs that the frame does not meet, in words of the characters table.
    Nothing is lost: with the needs met the same observations speak again.
    """
    lacking = set(unmet)
    shown: list[Seen] = []
    for one in seen:
        character = guide.tables.characters.get(one.character)
        wanting = [need for need in character.needs if need in lacking] if character else []
        if wanting and not isinstance(one, Hidden):
            shown.append(Hidden(one.character, wanting[0]))
        else:
            shown.append(one)
    return tuple(shown)


def gather(guide: Guide, seen: Sequence[Seen], circumstances: Circumstances) -> Evidence:
    """Return what everything that was seen weighs.

    Raises
    ------
    UnknownWordError
        If a character, state or region is not in the tables; the nearest is named.
    """
    by_key: dict[str, list[Seen]] = {}
    for one in seen:
        key = guide.keys.get(one.character)
        if key is None:
            key = guide.tables.characters[one.character].key
        by_key.setdefault(key, []).append(one)
    taken = numbers_of(guide, by_key)
    size = _size(guide, taken)
    factors: list[Factor] = []
    silent: list[tuple[str, Seen, str]] = []
    for key in guide.scored:
        if key in by_key:
            _add_scored(
                guide, guide.scored[key], by_key[key], size, circumstances, factors, silent
            )
    for key in guide.measured:
        if key in taken:
            _add_measured(
                guide, guide.measured[key], taken[key], size, circumstances, factors, silent
            )
    if guide.size is not None and guide.size.character.key in taken:
        _add_size(guide, taken[guide.size.character.key], factors)
    for key, own in by_key.items():
        hidden = [one for one in own if isinstance(one, Hidden)]
        if hidden and len(hidden) == len(own):
            silent.append((key, hidden[0], "hidden"))
    factors.sort(key=lambda one: one.index)
    prior, used, off = _prior(guide, circumstances)
    return Evidence(factors, silent, prior, size, used, off, circumstances)


def log_weights(guide: Guide, evidence: Evidence) -> list[float]:
    """Return the log of prior times likelihood of every taxon.

    In a group of characters that say the same thing the strongest objection to a taxon counts
    fully and each further one in part; so a character that suits a taxon best never lowers it.
    """
    total = [log(one) if one > 0 else -690.0 for one in evidence.prior]
    groups: dict[str, list[tuple[float, ...]]] = {}
    for factor in evidence.factors:
        groups.setdefault(factor.group, []).append(factor.drops)
    further = guide.settings.tempering
    for drops in groups.values():
        if len(drops) == 1:
            total = [a + b for a, b in zip(total, drops[0], strict=True)]
        else:
            joint = temper(drops, further)
            total = [a + b for a, b in zip(total, joint, strict=True)]
    return total


def leave_each_out(
    guide: Guide, evidence: Evidence, logs: Sequence[float]
) -> dict[str, list[float]]:
    """Return the log weights without each character in turn; ``logs`` are those with all."""
    groups: dict[str, list[Factor]] = {}
    for factor in evidence.factors:
        groups.setdefault(factor.group, []).append(factor)
    further = guide.settings.tempering
    without: dict[str, list[float]] = {}
    for own in groups.values():
        whole = temper([one.drops for one in own], further)
        base = [a - b for a, b in zip(logs, whole, strict=True)]
        for one in own:
            rest = [other.drops for other in own if other is not one]
            if rest:
                joint = temper(rest, further)
                without[one.key] = [a + b for a, b in zip(base, joint, strict=True)]
            else:
                without[one.key] = base
    return without


def temper(drops: Sequence[tuple[float, ...]], further: float) -> list[float]:
    """Return the joint drops of the characters of one group."""
    return [
        (1 - further) * min(own) + further * sum(own) for own in zip(*drops, strict=True)
    ]


def shares(logs: Sequence[float]) -> list[float]:
    """Return probabilities from logs of weights."""
    best = max(logs)
    weights = [exp(one - best) for one in logs]
    whole = sum(weights)
    return [one / whole for one in weights]


def _size(guide: Guide, taken: dict[str, Taken]) -> Size:
    known = taken.get(guide.size.character.key) if guide.size is not None else None
    if known is None:
        return Size(guide.spread)
    return Size(
        guide.spread, known.value, known.sigma, known.at_least, guide.settings.blend
    )


def _add_scored(
    guide: Guide,
    row: ScoredRow,
    own: list[Seen],
    size: Size,
    now: Circumstances,
    factors: list[Factor],
    silent: list[tuple[str, Seen, str]],
) -> None:
    scored = [one for one in own if isinstance(one, Scored)]
    if not scored:
        return
    for one in scored:
        if one.state not in row.states:
            row.character.state(one.state)
    if row.character.weight == 0:
        silent.append((row.character.key, scored[0], "no_weight"))
        return
    by_state: dict[int, list[Scored]] = {}
    for one in scored:
        by_state.setdefault(row.states[one.state], []).append(one)
    if len(by_state) == 1:
        place = row.states[scored[0].state]
        factors.append(reading(guide, row, place, scored, size, now))
        return
    readings = [
        reading(guide, row, place, by_state[place], size, now) for place in sorted(by_state)
    ]
    # Scores that disagree are one observation of which one or the other is right.
    joint = [
        sum(each) / len(readings)
        for each in zip(*(one.likelihood for one in readings), strict=True)
    ]
    first = readings[0]
    first.likelihood, first.unsure = joint, True
    first.drops = weighted_drops(joint, row.character.weight)
    first.also_read = tuple(
        one.seen.state for one in readings[1:] if isinstance(one.seen, Scored)
    )
    factors.append(first)


def reading(
    guide: Guide,
    row: ScoredRow,
    place: int,
    same: Sequence[Scored],
    size: Size,
    now: Circumstances,
) -> Factor:
    """Return what one state says, read once or several times."""
    character = row.character
    state = character.states[place]
    # Of repeated scores the surest and sharpest speaks.
    faint = all(too_faint(guide, state, one) for one in same)
    unsure = faint or not any(one.sure for one in same)
    lost = loss(guide, character, state.made_by, now)
    best = next((one for one in same if one.sure), same[0])
    if not unsure and not lost and not banded(row, size):
        return Factor(
            character.key, row.index, row.group, best, row.plain[place], row.drops[place]
        )
    likelihood = adjusted(
        guide,
        *scored_likelihood(row, place, size),
        n=len(row.states),
        unsure=unsure,
        lost=lost,
    )
    return Factor(
        character.key,
        row.index,
        row.group,
        best,
        likelihood,
        weighted_drops(likelihood, character.weight),
        unsure,
        faint,
        lost,
    )


def _add_measured(
    guide: Guide,
    row: MeasuredRow,
    taken: Taken,
    size: Size,
    now: Circumstances,
    factors: list[Factor],
    silent: list[tuple[str, Seen, str]],
) -> None:
    character = row.character
    bands = row.bands.get(taken.definition or character.standard)
    if character.weight == 0:
        why = (
            "bound"
            if character.bounds
            else "part"
            if _part(guide, character)
            else "no_weight"
        )
        silent.append((character.key, taken, why))
        return
    if bands is None:
        silent.append((character.key, taken, "other_definition"))
        return
    if not any(bands):
        silent.append((character.key, taken, "unknown"))
        return
    likelihood, lost = measured_likelihood(guide, row, bands, taken, size, now)
    factors.append(
        Factor(
            character.key,
            row.index,
            row.group,
            taken,
            likelihood,
            weighted_drops(likelihood, character.weight),
            lost=lost,
        )
    )


def _part(guide: Guide, character: Character) -> bool:
    return any(character.key in one.sum_of for one in guide.sums)


def _add_size(guide: Guide, taken: Taken, factors: list[Factor]) -> None:
    row = guide.size
    assert row is not None
    if row.character.weight == 0:
        return
    likelihood = size_likelihood(guide, taken)
    factors.append(
        Factor(
            row.character.key,
            row.index,
            row.character.group or row.character.key,
            taken,
            likelihood,
            weighted_drops(likelihood, row.character.weight),
        )
    )


def _prior(guide: Guide, now: Circumstances) -> tuple[tuple[float, ...], bool, bool]:
    """Return the prior, whether the region spoke, and whether its origin silenced it."""
    flat = tuple([1 / len(guide.taxa)] * len(guide.taxa))
    if now.region is None:
        return flat, False, False
    prior = guide.priors.get(now.region)
    if prior is None:
        raise _unknown_region(guide, now.region)
    if not now.use_region:
        return flat, False, False
    if now.origin in guide.settings.no_region_for:
        return flat, False, True
    return prior, True, False


def _unknown_region(guide: Guide, found: str) -> Exception:
    from difflib import get_close_matches

    from landmarks.errors import UnknownWordError

    near = get_close_matches(found, list(guide.priors), n=1, cutoff=0.0)
    return UnknownWordError(
        "identification.unknown_region", found=found, nearest=near[0] if near else ""
    )
