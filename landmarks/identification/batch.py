"""Many specimens at once: the same weights as one by one, whole columns at a time.

Specimens of the usual shape (each character once, numbers exact) are reasoned character by
character with arrays; the rest are weighed one by one.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import partial
from math import inf
from typing import TYPE_CHECKING

from landmarks.identification.densities import Plateau, Shape, normal_cdf
from landmarks.identification.evidence import gather, log_weights, loss, shares
from landmarks.identification.guide import Band, Guide, MeasuredRow, ScoredRow
from landmarks.identification.size import unknown_size
from landmarks.observations import Circumstances, Hidden, Scored, Seen, Taken

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]
    Places = NDArray[np.intp]

Specimens = Sequence[tuple[Sequence[Seen], Circumstances]]

_REACH, _STEPS = 9.0, 4096


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


@dataclass(frozen=True, slots=True)
class _Sizes:
    """The size of every specimen (not a number where unknown), its doubt, and if one-sided."""

    value: Array
    sigma: Array
    at_least: NDArray[np.bool_]

    def of(self, places: list[int] | NDArray[np.bool_]) -> _Sizes:
        """Return the sizes of some specimens."""
        return _Sizes(self.value[places], self.sigma[places], self.at_least[places])


def _sizes(guide: Guide, columns: _Columns, n: int) -> _Sizes:
    import numpy as np

    size, sigma = np.full(n, np.nan), np.zeros(n)
    at_least = np.zeros(n, bool)
    at_least[columns.at_least] = True
    for column, places in columns.rows.items():
        if guide.size is not None and column[0] == guide.size.character.key:
            size[places] = columns.values[column]
            sigma[places] = columns.sigmas[column]
    return _Sizes(size, sigma, at_least)


def _add_groups(guide: Guide, columns: _Columns, total: Array, sizes: _Sizes) -> None:
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
    sizes: _Sizes,
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
        mixed, usual = _mix(guide, row.bands, values, sizes.of(known))
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
    sizes: _Sizes,
    lost: float,
) -> Array:
    import numpy as np

    doubt = np.sqrt(sigma**2 + row.own_doubt**2)
    values = [
        [sum(w * _density(shape, x, doubt) for w, shape in band.shapes) for band in own]
        for own in bands
    ]
    likelihood, common = _mix(guide, bands, values, sizes)
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


def _mix(
    guide: Guide,
    bands: Sequence[Sequence[Band]],
    values: Sequence[Sequence[Array | float | np.float64]],
    sizes: _Sizes,
) -> tuple[Array, Array]:
    """Return likelihood and what an unknown cell predicts, as :func:`guide.mix` does."""
    import numpy as np

    over = _over(guide, sizes)
    said = np.zeros((len(sizes.value), len(bands)))
    trust = np.zeros((len(sizes.value), len(bands)))
    for taxon, own in enumerate(bands):
        for band, one in zip(own, values[taxon], strict=True):
            if band.start <= 0 and band.end == inf:
                share: Array | float = band.trust
            else:
                share = band.trust * (over(taxon, band.start) - over(taxon, band.end))
            said[:, taxon] += share * one
            trust[:, taxon] += share
    whole = trust.sum(axis=1, keepdims=True)
    safe = np.where(whole > 0, whole, 1.0)
    common = np.where(whole > 0, said.sum(axis=1, keepdims=True) / safe, 1.0)
    return said + (1 - trust) * common, common


def _over(guide: Guide, sizes: _Sizes) -> Callable[[int, float], Array | float]:
    """Return how probable it is that each specimen is larger than a border, as one by one."""
    import numpy as np

    known = ~np.isnan(sizes.value)
    bounded = known & sizes.at_least
    any_bounded = bool(bounded.any())
    nowhere = unknown_size(guide.spread)
    memo: dict[float, Array] = {}

    def exact(border: float) -> Array:
        if border not in memo:
            wide = np.sqrt(sizes.sigma**2 + (guide.settings.blend * border) ** 2)
            gap = np.where(known, sizes.value - border, 0.0)
            safe = np.where(wide > 0, wide, 1.0)
            memo[border] = np.where(wide > 0, _normal(gap / safe), (gap > 0).astype(float))
        return memo[border]

    def over(taxon: int, border: float) -> Array | float:
        if border <= 0:
            return 1.0
        if border == inf:
            return 0.0
        found: Array = np.where(known, exact(border), nowhere.over(taxon, border))
        if any_bounded:
            own, least = guide.spread[taxon], np.where(bounded, sizes.value, 0.0)
            side = np.where(least < own.middle, own.below, own.above)
            remaining = 1 - _normal((least - own.middle) / side)
            beyond = (1 - own.cdf(border, 0.0)) / np.where(remaining < 1e-9, 1.0, remaining)
            beyond = np.where(remaining < 1e-9, 0.0, beyond)
            found = np.where(bounded, np.where(border <= least, 1.0, beyond), found)
        return found

    return over


def _density(shape: Shape, x: Array, sigma: Array) -> Array:
    """Return the density of a shape, as its own method does, for many values."""
    import numpy as np

    if isinstance(shape, Plateau):
        width = np.sqrt(shape.edge**2 + sigma**2)
        inside = _normal((x - shape.low) / width) - _normal((x - shape.high) / width)
        plateau: Array = np.maximum(inside, 0.0) / (shape.high - shape.low)
        return plateau
    below, above = np.sqrt(shape.below**2 + sigma**2), np.sqrt(shape.above**2 + sigma**2)
    left, right = _gauss(x, shape.middle, below), _gauss(x, shape.middle, above)
    if shape.below == shape.above:
        return left
    off = x - shape.middle
    safe = np.where(sigma > 0, sigma, 1.0)
    side = np.where(
        sigma > 0, _normal(off * shape.above / (safe * above)), 0.5 + 0.5 * np.sign(off)
    )
    other = np.where(
        sigma > 0, _normal(-off * shape.below / (safe * below)), 0.5 - 0.5 * np.sign(off)
    )
    joined: Array = left * other + right * side
    return joined


def _gauss(x: Array, mean: float, sigma: Array) -> Array:
    import numpy as np

    z = (x - mean) / sigma
    density: Array = np.exp(-0.5 * z * z) / (sigma * np.sqrt(2 * np.pi))
    return density


def _normal(z: Array) -> Array:
    """Return the normal distribution function by cubic interpolation (error below 1e-11).

    numpy has no error function; the derivative at the nodes is known, so a Hermite cubic on
    nodes 0.0044 apart is exact to its fourth derivative.
    """
    import numpy as np

    nodes, heights, slopes = _table()
    step = nodes[1] - nodes[0]
    clipped = np.clip(z, -_REACH, _REACH)
    place = np.minimum(((clipped + _REACH) / step).astype(np.intp), len(nodes) - 2)
    t = (clipped - nodes[place]) / step
    h0, h1, m0, m1 = heights[place], heights[place + 1], slopes[place], slopes[place + 1]
    t2, t3 = t * t, t * t * t
    value: Array = (
        h0 * (2 * t3 - 3 * t2 + 1)
        + step * m0 * (t3 - 2 * t2 + t)
        + h1 * (3 * t2 - 2 * t3)
        + step * m1 * (t3 - t2)
    )
    return np.clip(value, 0.0, 1.0)


_nodes: list[Array] = []


def _table() -> list[Array]:
    import numpy as np

    if not _nodes:
        nodes = np.linspace(-_REACH, _REACH, _STEPS + 1)
        heights = np.array([normal_cdf(float(one)) for one in nodes])
        _nodes.extend([nodes, heights, np.exp(-0.5 * nodes * nodes) / np.sqrt(2 * np.pi)])
    return _nodes
