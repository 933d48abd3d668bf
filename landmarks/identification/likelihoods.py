"""How well an observation agrees with every taxon: states, numbers, and the size."""

from __future__ import annotations

from collections.abc import Sequence
from math import exp, sqrt

from landmarks.characters import Character, State
from landmarks.identification.densities import heavy_density
from landmarks.identification.guide import (
    Band,
    Bands,
    Guide,
    MeasuredRow,
    ScoredRow,
    mix,
    shared_out,
)
from landmarks.identification.size import Size
from landmarks.observations import Circumstances, Scored, Taken

HALF_A_COUNT = 0.5
"""Cells of counts are densities over numbers without steps; a whole number stands for all that
round to it, so that "at least 5" begins here below 5 and is never rarer than 5 itself."""


def reading_chances(
    guide: Guide, size: Size, row: ScoredRow, *, unsure: bool, lost: Sequence[float]
) -> tuple[tuple[float, ...], ...]:
    """Return ``[state][taxon]``: how probable each reading of a scored character is."""
    return tuple(
        tuple(
            adjusted(
                guide,
                *scored_likelihood(row, state, size),
                n=len(row.states),
                unsure=unsure,
                lost=lost[state] if lost else 0.0,
            )
        )
        for state in range(len(row.states))
    )


def scored_likelihood(
    row: ScoredRow, state: int, size: Size
) -> tuple[Sequence[float], float]:
    """Return how probable a state is by every taxon, and by an unknown cell."""
    if not banded(row, size):
        return row.plain[state], row.common[state]
    said, trust = list(row.fixed[state]), list(row.fixed_trust)
    share = size.share
    for taxon in row.varying:
        sum_said = sum_trust = 0.0
        for band in row.bands[taxon]:
            weight = share(taxon, band.start, band.end) * band.trust
            sum_said += weight * band.chances[state]
            sum_trust += weight
        said[taxon], trust[taxon] = sum_said, sum_trust
    if not any(trust):
        return [1 / len(row.states)] * len(row.bands), 1 / len(row.states)
    return shared_out(said, trust)


def adjusted(
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
    counted = taken.at_least and row.character.unit == "count"
    if taken.at_least:
        # At least 5 is 5 or 6 or more: a count takes the room of half a one to either side.
        border = x - HALF_A_COUNT if counted else x
        values = [
            [
                sum(w * (1 - shape.cdf(border, sigma)) for w, shape in band.shapes)
                for band in own
            ]
            for own in bands
        ]
        spare = 0.5
    else:
        values = [[_density(band, x, sigma) for band in own] for own in bands]
        spare = heavy_density(x, row.middle, row.scale)
    likelihood, common, _ = mix(bands, size, values)
    # What wears away or hides makes a count too low, and too low a lower bound never is.
    lost = 0.0 if counted else loss(guide, row.character, row.character.vanishes, now)
    floor = guide.settings.floor
    keep = (1 - floor) * (1 - lost)
    add = (1 - floor) * lost * common + floor * spare
    return [keep * one + add for one in likelihood], lost


def _density(band: Band, x: float, sigma: float) -> float:
    if len(band.shapes) == 1:
        return band.shapes[0][1].density(x, sigma)
    return sum([weight * shape.density(x, sigma) for weight, shape in band.shapes])


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


def loss(
    guide: Guide, character: Character, made_by: Sequence[str], now: Circumstances
) -> float:
    """Return how much of an observation is no evidence, by what befell the specimen."""
    if not made_by or (not now.conditions and now.origin not in made_by):
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


def banded(row: ScoredRow, size: Size) -> bool:
    """Return whether the size decides which cells of a character hold."""
    return row.banded and size.value is not None


def too_faint(guide: Guide, state: State, one: Scored) -> bool:
    """Return whether the picture is too coarse to show that something is absent."""
    return (
        state.absent
        and one.detail_px is not None
        and one.detail_px < guide.settings.least_detail_px
    )
