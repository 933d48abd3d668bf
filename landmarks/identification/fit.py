"""How usual the observations would be for a species, or for a mixture of two.

Every observation has a surprise, minus the log of how probable so usual a reading is; their
sum is compared with what specimens of the species would show (a gamma distribution with the
same mean and variance, by the Wilson-Hilferty cube root), and the greatest one by itself.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import log, sqrt

from landmarks.identification.answer import Fit
from landmarks.identification.densities import normal_cdf
from landmarks.identification.evidence import Evidence, Factor
from landmarks.identification.guide import Guide, mix
from landmarks.identification.likelihoods import losses, reading_chances
from landmarks.observations import Scored

LEAST = 1e-6
SHARED = 0.5
"""How far surprises of one group go together."""


@dataclass(frozen=True, slots=True)
class Surprise:
    """The surprise of one observation with its mean and variance, and its tail probability."""

    key: str
    group: str
    value: float
    mean: float
    variance: float
    tail: float


def fit_of(guide: Guide, evidence: Evidence, taxa: Sequence[int]) -> Fit:
    """Return how usual the observations are for a taxon, or an even mixture of several."""
    surprises = [
        one
        for factor in evidence.factors
        if (one := _surprise(guide, evidence, factor, taxa)) is not None
    ]
    if not surprises:
        return Fit(1.0, "fits_well")
    together = _together(surprises)
    worst = min(one.tail for one in surprises)
    alone = 1 - (1 - worst) ** len(surprises)
    value = min(1.0, 2 * min(together, alone))
    settings = guide.settings
    word = (
        "fits_well"
        if value >= settings.fits_well
        else "fits_poorly"
        if value >= settings.fits_poorly
        else "does_not_fit"
    )
    unusual = sorted((one for one in surprises if one.tail < 0.1), key=lambda one: one.tail)
    return Fit(value, word, tuple(one.key for one in unusual))


def _together(surprises: Sequence[Surprise]) -> float:
    """Return the probability of a sum of surprises as great or greater."""
    whole = sum(one.value for one in surprises)
    mean = sum(one.mean for one in surprises)
    groups: dict[str, list[Surprise]] = {}
    for one in surprises:
        groups.setdefault(one.group, []).append(one)
    variance = 0.0
    for own in groups.values():
        spread = sum(sqrt(one.variance) for one in own)
        variance += (1 - SHARED) * sum(
            one.variance for one in own
        ) + SHARED * spread * spread
    if mean <= 0 or variance <= 0:
        return 1.0
    shape = mean * mean / variance
    step = 1 / (9 * shape)
    return 1 - normal_cdf(((whole / mean) ** (1 / 3) - (1 - step)) / sqrt(step))


def _surprise(
    guide: Guide, evidence: Evidence, factor: Factor, taxa: Sequence[int]
) -> Surprise | None:
    if factor.key in guide.scored:
        return _scored(guide, evidence, factor, taxa)
    if factor.key in guide.measured:
        return _measured(guide, evidence, factor, taxa)
    if guide.size is not None and factor.key == guide.size.character.key:
        tail = max(sum(factor.likelihood[taxon] for taxon in taxa) / len(taxa), LEAST)
        # Up to its maximum any size is as usual as any other: no surprise at all.
        return (
            None
            if tail > 0.99
            else Surprise(factor.key, factor.group, -log(tail), 1, 1, tail)
        )
    return None


def _scored(
    guide: Guide, evidence: Evidence, factor: Factor, taxa: Sequence[int]
) -> Surprise | None:
    row = guide.scored[factor.key]
    matrix = readings(guide, evidence, factor)
    chances = [sum(state[taxon] for taxon in taxa) / len(taxa) for state in matrix]
    whole = sum(chances)
    chances = [max(one / whole, LEAST) for one in chances]
    assert isinstance(factor.seen, Scored)
    own = chances[row.states[factor.seen.state]]
    mean = -sum(one * log(one) for one in chances)
    variance = sum(one * log(one) ** 2 for one in chances) - mean * mean
    tail = sum(one for one in chances if one <= own * (1 + 1e-9))
    return Surprise(factor.key, factor.group, -log(own), mean, max(variance, 1e-6), tail)


def readings(
    guide: Guide, evidence: Evidence, factor: Factor
) -> tuple[tuple[float, ...], ...]:
    """Return ``[state][taxon]`` for the observation as it was made, computed once."""
    found = evidence.matrices.get(factor.key)
    if found is None:
        row = guide.scored[factor.key]
        found = reading_chances(
            guide,
            evidence.size,
            row,
            unsure=factor.unsure,
            lost=losses(guide, row, evidence.circumstances) if factor.lost else (),
        )
        evidence.matrices[factor.key] = found
    return found


def _measured(
    guide: Guide, evidence: Evidence, factor: Factor, taxa: Sequence[int]
) -> Surprise | None:
    row = guide.measured[factor.key]
    taken = factor.seen
    assert not isinstance(taken, Scored)
    bands = row.bands.get(taken.definition or row.character.standard)
    if bands is None or taken.at_least or factor.lost:
        return None
    sigma = sqrt(taken.sigma**2 + row.own_doubt**2)
    values = [
        [sum(w * shape.cdf(taken.value, sigma) for w, shape in band.shapes) for band in own]
        for own in bands
    ]
    # What is not known of a taxon is predicted as the guide at large predicts it.
    mixed, _, _ = mix(bands, evidence.size, values)
    below = sum(mixed[taxon] for taxon in taxa) / len(taxa)
    tail = max(2 * min(below, 1 - below), LEAST)
    return Surprise(factor.key, factor.group, -log(tail), 1.0, 1.0, tail)
