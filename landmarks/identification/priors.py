"""What a region says beforehand: a soft prior of every taxon."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf, log

from landmarks.identification.settings import Settings
from landmarks.tables.model import Tables


def region_priors(tables: Tables, settings: Settings) -> dict[str, tuple[float, ...]]:
    """Return the prior of every taxon in every region."""
    priors: dict[str, tuple[float, ...]] = {}
    for region in tables.regions:
        rows = {one.taxon: one for one in tables.ranges if one.region == region.key}
        counted = sum(1 for one in rows.values() if one.share is not None)
        weights = []
        for taxon in tables.taxa:
            row = rows.get(taxon.key)
            if row is not None and row.share is not None:
                weights.append(max(row.share * counted, settings.share_floor))
            else:
                weights.append(settings.range_weights[row.status if row else "no_record"])
        priors[region.key] = _within_reach(weights, settings.region_reach)
    return priors


def _within_reach(weights: Sequence[float], reach: float) -> tuple[float, ...]:
    """Return the prior with all ratios drawn together, so that the greatest is in reach."""
    least, most = min(weights), max(weights)
    if most <= 0:
        return tuple([1 / len(weights)] * len(weights))
    wide = inf if least <= 0 else log(most / least)
    if wide > reach:
        least = max(least, most * 1e-12)
        power = reach / log(most / least)
        weights = [max(one / most, 1e-12) ** power for one in weights]
    whole = sum(weights)
    return tuple(one / whole for one in weights)
