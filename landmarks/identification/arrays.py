"""The arithmetic of the weights for whole columns of specimens at once."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import inf
from typing import TYPE_CHECKING

from landmarks.identification.densities import Plateau, Shape, normal_cdf
from landmarks.identification.guide import Band, Guide
from landmarks.identification.size import unknown_size

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

_REACH, _STEPS = 9.0, 4096


@dataclass(frozen=True, slots=True)
class Sizes:
    """The size of every specimen (not a number where unknown), its doubt, and if one-sided."""

    value: Array
    sigma: Array
    at_least: NDArray[np.bool_]

    def of(self, places: list[int] | NDArray[np.bool_]) -> Sizes:
        """Return the sizes of some specimens."""
        return Sizes(self.value[places], self.sigma[places], self.at_least[places])


def mix_many(
    guide: Guide,
    bands: Sequence[Sequence[Band]],
    values: Sequence[Sequence[Array | float | np.float64]],
    sizes: Sizes,
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


def density_many(shape: Shape, x: Array, sigma: Array) -> Array:
    """Return the density of a shape, as its own method does, for many values."""
    import numpy as np

    if isinstance(shape, Plateau):
        width = np.sqrt(shape.edge**2 + sigma**2)
        inside = normal_many((x - shape.low) / width) - normal_many(
            (x - shape.high) / width
        )
        plateau: Array = np.maximum(inside, 0.0) / (shape.high - shape.low)
        return plateau
    below, above = np.sqrt(shape.below**2 + sigma**2), np.sqrt(shape.above**2 + sigma**2)
    left, right = _gauss(x, shape.middle, below), _gauss(x, shape.middle, above)
    if shape.below == shape.above:
        return left
    off = x - shape.middle
    safe = np.where(sigma > 0, sigma, 1.0)
    side = np.where(
        sigma > 0, normal_many(off * shape.above / (safe * above)), 0.5 + 0.5 * np.sign(off)
    )
    other = np.where(
        sigma > 0,
        normal_many(-off * shape.below / (safe * below)),
        0.5 - 0.5 * np.sign(off),
    )
    joined: Array = left * other + right * side
    return joined


def _over(guide: Guide, sizes: Sizes) -> Callable[[int, float], Array | float]:
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
            memo[border] = np.where(
                wide > 0, normal_many(gap / safe), (gap > 0).astype(float)
            )
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
            remaining = 1 - normal_many((least - own.middle) / side)
            beyond = (1 - own.cdf(border, 0.0)) / np.where(remaining < 1e-9, 1.0, remaining)
            beyond = np.where(remaining < 1e-9, 0.0, beyond)
            found = np.where(bounded, np.where(border <= least, 1.0, beyond), found)
        return found

    return over


def _gauss(x: Array, mean: float, sigma: Array) -> Array:
    import numpy as np

    z = (x - mean) / sigma
    density: Array = np.exp(-0.5 * z * z) / (sigma * np.sqrt(2 * np.pi))
    return density


def normal_many(z: Array) -> Array:
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
