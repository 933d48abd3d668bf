"""Many specimens at once: the same weights as one by one, whole columns at a time.

Specimens of the usual shape (each character once, numbers exact) are reasoned character by
character with arrays; the rest are weighed one by one.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import partial
from typing import TYPE_CHECKING

from landmarks.identification.arrays import Sizes, density_many, mix_many
from landmarks.identification.evidence import gather, log_weights, shares
from landmarks.identification.guide import Band, Guide, MeasuredRow, ScoredRow
from landmarks.identification.likelihoods import loss
from landmarks.observations import Circumstances, Hidden, Scored, Seen, Taken

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

Specimens = Sequence[tuple[Sequence[Seen], Circumstances]]


@dataclass(slots=True)
class _Columns:
    """Observations sorted by character: rows of specimens and what was seen of each."""

    states: dict[tuple[str, int, bool, float], list[int]] = field(default_factory=dict)
    rows: dict[tuple[str, str, float], list[int]] = field(default_factory=dict)
    values: dict[tuple[str, str, float], list[float]] = field(default_factory=dict)
    sigmas: dict[tuple[str, str, float], list[float]] = field(default_factory=dict)
    priors: dict[tuple[str | None, bool, str], list[int]] = field(default_factory=dict)
    at_least: list[int] = field(default_factory=list)
    odd: list[int] = field(default_factory=list)


def identify_many(guide: Guide, specimens: Specimens) -> Array:
    """Return the probabilities of all taxa for many specimens: shape (specimens, taxa).

    Parameters
    ----------
    guide
        What they are compared with.
    specimens
        For each what was seen of it, and its circumstances.
    """
    import numpy as np

    columns = _sorted(guide, specimens)
    total = np.zeros((len(specimens), len(guide.taxa)))
    sizes = _sizes(guide, columns, len(specimens))
    for key, places in columns.priors.items():
        now = Circumstances(region=key[0], use_region=key[1], origin=key[2])
        prior = np.array(gather(guide, (), now).prior)
        total[places] = np.log(np.maximum(prior, 1e-300))
    _add_groups(guide, columns, total, sizes)
    best = total.max(axis=1, keepdims=True)
    weights = np.exp(total - best)
    found: Array = weights / weights.sum(axis=1, keepdims=True)
    for place in columns.odd:
        found[place] = shares(log_weights(guide, gather(guide, *specimens[place])))
    return found


def _sorted(guide: Guide, specimens: Specimens) -> _Columns:
    """Return the observations sorted by character, and the specimens that are no usual ones."""
    columns = _Columns()
    keys, scored, measured = guide.keys, guide.scored, guide.measured
    size = guide.size.character.key if guide.size is not None else ""
    sums, bounds = _sums(guide), _bounds(guide)
    least = guide.settings.least_detail_px
    states, priors = columns.states, columns.priors
    lost_of: dict[tuple[object, ...], float] = {}
    for place, (seen, now) in enumerate(specimens):
        found: dict[str, Seen] = {}
        usual = True
        for one in seen:
            if type(one) is Hidden:
                continue
            key = keys.get(one.character, "")
            if (
                not key
                or key in found
                or (type(one) is Taken and one.at_least and key != size)
            ):
                usual = False
                break
            found[key] = one
        if not usual:
            columns.odd.append(place)
            continue
        _derive(found, sums, bounds)
        priors.setdefault((now.region, now.use_region, now.origin), []).append(place)
        plain = not now.conditions and now.origin in ("unknown", "wild")
        for key, one in found.items():
            if type(one) is Scored:
                row = scored.get(key)
                if row is None or one.state not in row.states:
                    guide.tables.characters[one.character].state(one.state)
                    continue
                if row.character.weight == 0:
                    continue
                state = row.states[one.state]
                faint = (
                    one.detail_px is not None
                    and one.detail_px < least
                    and row.character.states[state].absent
                )
                lost = 0.0
                if not plain:
                    made_by = row.character.states[state].made_by
                    lost = _remembered(
                        guide, lost_of, row.character.key, state, made_by, now
                    )
                states.setdefault((key, state, faint or not one.sure, lost), []).append(
                    place
                )
            elif type(one) is Taken:
                if key != size and (
                    key not in measured or not measured[key].character.weight
                ):
                    continue
                lost = 0.0
                if not plain and key != size:
                    made_by = measured[key].character.vanishes
                    lost = _remembered(guide, lost_of, key, -1, made_by, now)
                column = (key, one.definition, lost)
                if one.at_least:
                    columns.at_least.append(place)
                columns.rows.setdefault(column, []).append(place)
                columns.values.setdefault(column, []).append(one.value)
                columns.sigmas.setdefault(column, []).append(one.sigma)
    return columns


def _remembered(
    guide: Guide,
    memo: dict[tuple[object, ...], float],
    key: str,
    state: int,
    made_by: Sequence[str],
    now: Circumstances,
) -> float:
    name = (key, state, now.origin, now.conditions)
    found = memo.get(name)
    if found is None:
        found = memo[name] = loss(guide, guide.tables.characters[key], made_by, now)
    return found


def _sums(guide: Guide) -> list[tuple[str, tuple[str, ...]]]:
    """Return the characters that are sums, with their parts."""
    return [(one.key, one.sum_of) for one in guide.tables.characters if one.sum_of]


def _bounds(guide: Guide) -> list[tuple[str, str]]:
    """Return the characters that are one-sided evidence, each with the one it bounds."""
    return [(one.key, one.bounds) for one in guide.tables.characters if one.bounds]


def _derive(
    found: dict[str, Seen],
    sums: Sequence[tuple[str, tuple[str, ...]]],
    bounds: Sequence[tuple[str, str]],
) -> None:
    """Add sums and one-sided bounds to what was seen, as is done one by one."""
    for key, wanted in sums:
        if key not in found and wanted[-1] in found and all(one in found for one in wanted):
            parts = [one for one in (found[name] for name in wanted) if type(one) is Taken]
            if len(parts) == len(wanted):
                value = sum(one.value for one in parts)
                found[key] = Taken(key, value, sum(one.sigma**2 for one in parts) ** 0.5)
    for key, bounded in bounds:
        bound = found.get(key)
        if type(bound) is Taken:
            known = found.get(bounded)
            if known is None or (
                type(known) is Taken and known.at_least and known.value < bound.value
            ):
                found[bounded] = Taken(bounded, bound.value, bound.sigma, at_least=True)


def _sizes(guide: Guide, columns: _Columns, n: int) -> Sizes:
    import numpy as np

    size, sigma = np.full(n, np.nan), np.zeros(n)
    at_least = np.zeros(n, bool)
    at_least[columns.at_least] = True
    for column, places in columns.rows.items():
        if guide.size is not None and column[0] == guide.size.character.key:
            size[places] = columns.values[column]
            sigma[places] = columns.sigmas[column]
    return Sizes(size, sigma, at_least)


def _add_groups(guide: Guide, columns: _Columns, total: Array, sizes: Sizes) -> None:
    """Add what every group of characters says; within a group tempered as one by one."""
    import numpy as np

    groups: dict[str, list[tuple[list[int], Callable[[], Array]]]] = {}
    for (key, state, unsure, lost), places in columns.states.items():
        row = guide.scored[key]
        drops = partial(
            _scored,
            guide,
            row,
            state,
            sizes.of(places),
            unsure=unsure,
            lost=lost,
        )
        groups.setdefault(row.group, []).append((places, drops))
    for column, places in columns.rows.items():
        key, definition, lost = column
        x, doubt = np.array(columns.values[column]), np.array(columns.sigmas[column])
        if guide.size is not None and key == guide.size.character.key:
            if guide.size.character.weight:
                group = guide.size.character.group or key
                groups.setdefault(group, []).append(
                    (places, partial(_size, guide, x, doubt))
                )
            continue
        number = guide.measured[key]
        bands = number.bands.get(definition or number.character.standard)
        if bands is not None and any(bands):
            own = partial(_measured, guide, number, bands, x, doubt, sizes.of(places), lost)
            groups.setdefault(number.group, []).append((places, own))
    further = guide.settings.tempering
    for members in groups.values():
        lowest, whole = np.zeros_like(total), np.zeros_like(total)
        for places, drops_of in members:
            found = drops_of()
            lowest[places] = np.minimum(lowest[places], found)
            whole[places] += found
        total += (1 - further) * lowest + further * whole


def _drops(likelihood: Array, weight: float) -> Array:
    import numpy as np

    logs = np.log(np.maximum(likelihood, 1e-300))
    drops: Array = weight * (logs - logs.max(axis=1, keepdims=True))
    return drops


def _scored(
    guide: Guide,
    row: ScoredRow,
    state: int,
    sizes: Sizes,
    *,
    unsure: bool,
    lost: float,
) -> Array:
    import numpy as np

    n = len(row.states)
    plain = np.broadcast_to(np.array(row.plain[state]), (len(sizes.value), len(guide.taxa)))
    likelihood: Array = plain
    common: Array = np.full((len(sizes.value), 1), row.common[state])
    known = ~np.isnan(sizes.value)
    if row.banded and known.any():
        values = [[np.float64(band.chances[state]) for band in own] for own in row.bands]
        mixed, usual = mix_many(guide, row.bands, values, sizes.of(known))
        likelihood = plain.copy()
        likelihood[known] = mixed
        common[known] = usual
    doubt = guide.settings.unsure if unsure else 0.0
    floor = guide.settings.floor
    keep = (1 - lost) * (1 - doubt) * (1 - floor)
    extra = (lost * common * (1 - doubt) + doubt / n) * (1 - floor) + floor / n
    return _drops(keep * likelihood + extra, row.character.weight)


def _measured(
    guide: Guide,
    row: MeasuredRow,
    bands: Sequence[Sequence[Band]],
    x: Array,
    sigma: Array,
    sizes: Sizes,
    lost: float,
) -> Array:
    import numpy as np

    doubt = np.sqrt(sigma**2 + row.own_doubt**2)
    values = [
        [sum(w * density_many(shape, x, doubt) for w, shape in band.shapes) for band in own]
        for own in bands
    ]
    likelihood, common = mix_many(guide, bands, values, sizes)
    z = (x - row.middle) / row.scale
    spare = (1 / (np.pi * row.scale * (1 + z * z)))[:, None]
    floor = guide.settings.floor
    return _drops(
        (1 - floor) * ((1 - lost) * likelihood + lost * common) + floor * spare,
        row.character.weight,
    )


def _size(guide: Guide, x: Array, sigma: Array) -> Array:
    import numpy as np

    row = guide.size
    assert row is not None
    said = np.zeros((len(x), len(guide.taxa)))
    for taxon, (own, trust) in enumerate(zip(row.maxima, row.trust, strict=True)):
        whole = sum(weight for _, weight in own)
        for most, weight in own:
            wide = np.sqrt(sigma**2 + (guide.settings.size_softness * most) ** 2)
            over = np.maximum((x - most) / wide, 0.0)
            said[:, taxon] += trust * weight / whole * np.exp(-0.5 * over * over)
    trusts = np.array(row.trust)
    known = trusts.sum()
    common = said.sum(axis=1, keepdims=True) / known if known else np.ones((len(x), 1))
    floor = guide.settings.floor
    return _drops(
        (1 - floor) * (said + (1 - trusts) * common) + floor, row.character.weight
    )
