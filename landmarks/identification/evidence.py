"""From what was seen to what it weighs: one factor for each character, in the guide's order."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from math import exp, log, sqrt

from landmarks.characters import Character
from landmarks.identification.densities import heavy_density
from landmarks.identification.guide import (
    Bands,
    Guide,
    MeasuredRow,
    ScoredRow,
    mix,
    weighted_drops,
)
from landmarks.identification.size import Size
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
    taken = _taken(guide, by_key)
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


def log_weights(guide: Guide, evidence: Evidence, without: str = "") -> list[float]:
    """Return the log of prior times likelihood of every taxon, one character left out.

    In a group of characters that say the same thing the strongest objection to a taxon counts
    fully and each further one in part; so a character that suits a taxon best never lowers it.
    """
    total = [log(one) if one > 0 else -690.0 for one in evidence.prior]
    groups: dict[str, list[tuple[float, ...]]] = {}
    for factor in evidence.factors:
        if factor.key != without:
            groups.setdefault(factor.group, []).append(factor.drops)
    further = guide.settings.tempering
    for drops in groups.values():
        if len(drops) == 1:
            total = [a + b for a, b in zip(total, drops[0], strict=True)]
        else:
            joint = temper(drops, further)
            total = [a + b for a, b in zip(total, joint, strict=True)]
    return total


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


def reading_chances(
    guide: Guide, evidence: Evidence, row: ScoredRow, *, unsure: bool, lost: Sequence[float]
) -> tuple[tuple[float, ...], ...]:
    """Return ``[state][taxon]``: how probable each reading of a scored character is."""
    return tuple(
        tuple(
            _adjusted(
                guide,
                *_scored_likelihood(row, state, evidence.size),
                n=len(row.states),
                unsure=unsure,
                lost=lost[state] if lost else 0.0,
            )
        )
        for state in range(len(row.states))
    )


def loss(
    guide: Guide, character: Character, made_by: Sequence[str], now: Circumstances
) -> float:
    """Return how much of an observation is no evidence, by what befell the specimen."""
    if not made_by:
        return 0.0
    most = guide.settings.cultured if now.origin in made_by else 0.0
    for condition in now.conditions:
        if condition.kind not in made_by:
            continue
        if "whole" in (condition.zone, character.zone):
            near = 1.0 if condition.zone == "whole" else 0.5
        else:
            near = 1.0 if condition.zone == character.zone else 0.0
        most = max(most, near * guide.settings.lost)
    return most


def losses(guide: Guide, row: ScoredRow, now: Circumstances) -> list[float]:
    """Return for every state how much of it is no evidence."""
    return [loss(guide, row.character, one.made_by, now) for one in row.character.states]


def _taken(guide: Guide, by_key: dict[str, list[Seen]]) -> dict[str, Taken]:
    """Return one number for each measured character, sums and one-sided bounds included."""
    taken: dict[str, Taken] = {}
    for key, own in by_key.items():
        numbers = [one for one in own if isinstance(one, Taken)]
        if numbers:
            taken[key] = _one_number(guide.tables.characters[key], numbers)
    for character in guide.tables.characters:
        parts = [taken[key] for key in character.sum_of if key in taken]
        if character.key in taken or not parts or len(parts) < len(character.sum_of):
            continue
        taken[character.key] = Taken(
            character.key,
            sum(one.value for one in parts),
            sqrt(sum(one.sigma**2 for one in parts)),
            at_least=any(one.at_least for one in parts),
        )
    for character in guide.tables.characters:
        bound = taken.get(character.key)
        if character.bounds and bound is not None:
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
    readings: list[tuple[Scored, list[float], bool, bool, float]] = []
    for place in sorted(by_state):
        state = row.character.states[place]
        same = by_state[place]
        # Of repeated scores the surest and sharpest speaks.
        faint = all(_faint(guide, state.absent, one) for one in same)
        unsure = faint or not any(one.sure for one in same)
        lost = loss(guide, row.character, state.made_by, now)
        best = next((one for one in same if one.sure), same[0])
        if len(by_state) == 1 and not unsure and not lost and not _banded(row, size):
            factors.append(
                Factor(
                    row.character.key,
                    row.index,
                    row.group,
                    best,
                    row.plain[place],
                    row.drops[place],
                )
            )
            return
        likelihood = _adjusted(
            guide,
            *_scored_likelihood(row, place, size),
            n=len(row.states),
            unsure=unsure,
            lost=lost,
        )
        readings.append((best, likelihood, unsure, faint, lost))
    # Scores that disagree are one observation of which one or the other is right.
    joint = [
        sum(each) / len(readings)
        for each in zip(*(one[1] for one in readings), strict=True)
    ]
    best, _, unsure, faint, lost = readings[0]
    factors.append(
        Factor(
            row.character.key,
            row.index,
            row.group,
            best,
            joint,
            weighted_drops(joint, row.character.weight),
            unsure or len(readings) > 1,
            faint,
            lost,
            tuple(one[0].state for one in readings[1:]),
        )
    )


def _faint(guide: Guide, absent: bool, one: Scored) -> bool:  # noqa: FBT001 - a table's value
    return (
        absent
        and one.detail_px is not None
        and one.detail_px < guide.settings.least_detail_px
    )


def _banded(row: ScoredRow, size: Size) -> bool:
    return row.banded and size.value is not None


def _scored_likelihood(
    row: ScoredRow, state: int, size: Size
) -> tuple[Sequence[float], float]:
    if not _banded(row, size):
        return row.plain[state], row.common[state]
    values = [[band.chances[state] for band in one] for one in row.bands]
    likelihood, common, trust = mix(row.bands, size, values)
    if not any(trust):
        return [1 / len(row.states)] * len(row.bands), 1 / len(row.states)
    return likelihood, common


def _adjusted(
    guide: Guide,
    likelihood: Sequence[float],
    common: float,
    *,
    n: int,
    unsure: bool,
    lost: float,
) -> list[float]:
    """Return likelihoods with what the condition took, the person's doubt and the floor."""
    settings = guide.settings
    doubt = settings.unsure if unsure else 0.0
    keep = (1 - lost) * (1 - doubt) * (1 - settings.floor)
    add = (lost * common * (1 - doubt) + doubt / n) * (
        1 - settings.floor
    ) + settings.floor / n
    return [keep * one + add for one in likelihood]


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
    return any(character.key in one.sum_of for one in guide.tables.characters)


def measured_likelihood(
    guide: Guide,
    row: MeasuredRow,
    bands: Bands,
    taken: Taken,
    size: Size,
    now: Circumstances,
) -> tuple[list[float], float]:
    """Return the likelihood of a number per taxon, and how much of it is no evidence."""
    sigma = sqrt(taken.sigma**2 + row.own_doubt**2)
    x = taken.value
    if taken.at_least:
        values = [
            [sum(w * (1 - shape.cdf(x, sigma)) for w, shape in band.shapes) for band in own]
            for own in bands
        ]
        spare = 0.5
    else:
        values = [
            [sum([w * shape.density(x, sigma) for w, shape in band.shapes]) for band in own]
            for own in bands
        ]
        spare = heavy_density(x, row.middle, row.scale)
    likelihood, common, _ = mix(bands, size, values)
    lost = loss(guide, row.character, row.character.vanishes, now)
    floor = guide.settings.floor
    keep = (1 - floor) * (1 - lost)
    add = (1 - floor) * lost * common + floor * spare
    return [keep * one + add for one in likelihood], lost


def size_likelihood(guide: Guide, taken: Taken) -> list[float]:
    """Return for every taxon how well a size agrees with the greatest that is known of it.

    A small specimen never speaks against a large species; beyond the maximum the likelihood
    falls softly, the more softly the less certain size and maximum are.
    """
    row = guide.size
    assert row is not None
    settings = guide.settings
    said: list[float] = []
    for own, trust in zip(row.maxima, row.trust, strict=True):
        whole = sum(weight for _, weight in own)
        value = 0.0
        for most, weight in own:
            over = (taken.value - most) / sqrt(
                taken.sigma**2 + (settings.size_softness * most) ** 2
            )
            value += weight / whole * (1.0 if over <= 0 else exp(-0.5 * over * over))
        said.append(trust * value)
    known = sum(row.trust)
    common = sum(said) / known if known else 1.0
    floor = settings.floor
    return [
        (1 - floor) * (one + (1 - trust) * common) + floor
        for one, trust in zip(said, row.trust, strict=True)
    ]


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
