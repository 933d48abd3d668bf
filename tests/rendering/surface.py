"""The outer surface of a valve as a logarithmic spiral, and the exact points on it.

Frame of the shell: x towards the ligament end along the hinge axis, y towards the upper
margin, z out of the right valve; the umbo at the origin; the commissure in z = 0.  A place
on the surface has two coordinates: *along* (0 at the ligament end of the hinge, 1 at its
byssal end, along the margin) and *size* (0 at the umbo, 1 at the margin of today).  Growth
turns and shrinks the margin about the hinge axis, which draws a logarithmic spiral.
"""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline, PchipInterpolator, PPoly

from .noise import along as noise_along
from .noise import smoothstep

Points = NDArray[np.floating]


@dataclass(frozen=True, slots=True)
class ValveShape:
    """What makes one valve differ from another; lengths are shares of the shell length.

    *outline* runs from the ligament end of the hinge over the upper margin to its byssal
    end, as control points (x, y) with the umbo at the origin.  The margin of an
    *interlocking* valve waves only out of the commissure: its two valves, folds of the one
    in valleys of the other, share one margin line wherever they are closed.
    Where they are *mirrored* instead, fold stands against fold and leaves a gap.  *plicae*
    is how far the edges of the byssal opening wave to and fro together.
    """

    length_mm: float
    outline: tuple[tuple[float, float], ...]
    main_folds: tuple[float, ...]
    end_folds: tuple[float, ...] = ()
    growth: float = 0.8
    fold_depth: float = 0.06
    end_fold_share: float = 0.5
    fold_narrowness: float = 0.8
    lobes: float = 0.05
    n_riblets: int = 5
    riblet_depth: float = 0.004
    growth_line_depth: float = 0.0018
    growth_rests: float = 0.003
    byssal_opening_from: float = 0.86
    byssal_opening_width: float = 0.03
    beak_lean: float = 0.01
    thread_depth: float = 0.0005
    interlocking: bool = False
    mirrored: bool = False
    plicae: float = 0.0
    n_plicae: int = 7
    seed: int = 1


@dataclass(frozen=True)
class Valve:
    """A valve of exact shell length; all answers in millimetres of the shell's frame.

    *samples* along the margin are as fine as pictures need; statistics that need no picture
    take a tenth of them and a tenth of the time.
    """

    shape: ValveShape
    right: bool = True
    samples: int = 4001
    _curves: dict[str, object] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "_curves", _curves_of(self.shape, self.samples))
        ends = self._unscaled_margin()
        first, last = _farthest_ends(ends)
        scale = self.shape.length_mm / float(np.linalg.norm(ends[first] - ends[last]))
        self._curves["scale"] = scale
        self._curves["margin"] = ends * scale
        line = np.linspace(0.0, 1.0, ends.shape[0])
        self._curves["places"] = float(line[last]), float(line[first])
        self._curves["ends"] = self.points(np.array(self._curves["places"]), np.ones(2))

    def points(self, along: Points, size: Points, *, fine: bool = True) -> Points:
        """Return the surface (..., 3) at coordinates of one common shape.

        Without *fine* detail there are neither riblets nor growth lines, only the folds.
        """
        return self._unscaled(along, size, fine) * self._curves["scale"]

    def grid(self, along: Points, size: Points) -> Points:
        """Return the surface (n_size, n_along, 3) over two lists of coordinates."""
        return self._unscaled(along[None, :], size[:, None]) * self._curves["scale"]

    def inner(self, along: Points, size: Points) -> Points:
        """Return the smooth surface (..., 3) whose folds die out away from the margin."""
        share = smoothstep(0.50, 1.0, size)
        return self._unscaled(along, size, False, share) * self._curves["scale"]

    def fold(self, along: Points) -> Points:
        """Return the fold profile (0 in a valley, 1 on the top of a main fold)."""
        profile = self._curves["fold"](along)
        return 1.0 - profile if self._inverted else profile

    def phase(self, along: Points) -> Points:
        """Return a number that grows by one from fold top to fold top."""
        return self._curves["phase"](along)

    def margin(self, n: int = 0) -> Points:
        """Return the margin (n, 3) from the ligament to the byssal end of the hinge."""
        if not n:
            return self._curves["margin"]
        return self.points(np.linspace(0.0, 1.0, n), np.ones(n))

    def fold_tops(self) -> tuple[Points, Points]:
        """Return where (*along*) on the margin the main folds and the end folds end."""
        if "tops" not in self._curves:
            self._curves["tops"] = self._tops()
        return self._curves["tops"]

    def _tops(self) -> tuple[Points, Points]:
        fine = np.linspace(0.0, 1.0, 5 * self.samples - 4)
        profile = self.fold(fine)
        tops = fine[1:-1][(profile[1:-1] > profile[:-2]) & (profile[1:-1] >= profile[2:])]
        known = np.array(sorted(self.shape.main_folds + self.shape.end_folds))
        main = np.isin(known, self.shape.main_folds)
        if self._inverted:
            known, main = (known[1:] + known[:-1]) / 2, main[1:] & main[:-1]
        nearest = np.array([tops[np.argmin(abs(tops - place))] for place in known])
        return nearest[main], nearest[~main]

    def hinge(self) -> tuple[Points, Points]:
        """Return the ends of the hinge line: at the byssal opening and at the ligament."""
        ends = self.points(np.array([1.0, 0.0]), np.ones(2))
        return ends[0], ends[1]

    def byssal_opening(self) -> tuple[float, float]:
        """Return where (*along*) its ends are: at the hinge plate, and the far one."""
        return 1.0, self.shape.byssal_opening_from

    def length_ends(self) -> tuple[Points, Points]:
        """Return the ends of the shell length: byssal end, ligament end."""
        byssal, ligament = self._curves["ends"]
        return byssal, ligament

    def length_places(self) -> tuple[float, float]:
        """Return where (*along*) the ends of the shell length are: byssal, ligament."""
        return self._curves["places"]

    def between_ends(self, n: int = 161) -> Points:
        """Return the upper margin (n, 3) from the byssal to the ligament end."""
        return self.points(np.linspace(*self.length_places(), n), np.ones(n))

    def depth(self) -> tuple[float, Points]:
        """Return how far the valve reaches out of the commissure, and the point (3,)."""
        grid = self.grid(np.linspace(0.0, 1.0, 401), sizes(self.shape.growth, 300))
        flat = grid.reshape(-1, 3)
        farthest = flat[np.argmax(abs(flat[:, 2]))]
        return float(abs(farthest[2])), farthest

    def axes(self) -> tuple[Points, Points]:
        """Return unit vectors along the length, to the ligament end, and square to it."""
        byssal, ligament = self.length_ends()
        u = ligament - byssal
        u /= np.linalg.norm(u)
        v = np.cross([0.0, 0.0, 1.0], u)
        return u, v / np.linalg.norm(v)

    def umbo(self) -> Points:
        """Return the point of the beak that reaches farthest from the upper margin."""
        if "umbo" not in self._curves:
            self._curves["umbo"] = self._farthest_beak()
        return self._curves["umbo"]

    def _farthest_beak(self) -> Points:
        n_along, n_size = self.samples * 3 // 50 + 1, self.samples // 8
        grid = self.grid(np.linspace(0.02, 0.98, n_along), sizes(self.shape.growth, n_size))
        flat = grid.reshape(-1, 3)
        return flat[np.argmin(flat @ self.axes()[1])]

    def upper_margin(self) -> Points:
        """Return the point of the margin farthest from the length axis."""
        margin = self.margin()
        return margin[np.argmax(margin @ self.axes()[1])]

    @property
    def _inverted(self) -> bool:
        return self.shape.interlocking and not self.right and not self.shape.mirrored

    @property
    def _n_margin(self) -> int:
        return self.samples * 3 // 2

    def _unscaled_margin(self) -> Points:
        line = np.linspace(0.0, 1.0, self._n_margin)
        return self._unscaled(line, np.ones(line.size))

    def _unscaled(
        self, along: Points, size: Points, fine: bool = True, share: Points | float = 1.0
    ) -> Points:
        shape, curves = self.shape, self._curves
        turned = np.clip(-np.log(size) / shape.growth, 0.0, None)
        window = curves["window"](along)
        profile = self.fold(along)
        phase = curves["phase"](along)
        young = 0.35 + 0.65 * smoothstep(0.05, 0.8, size)
        middle = 0.5 if shape.interlocking else 0.3
        folds = shape.fold_depth * (profile - middle) * window * young * share
        detail = self._detail(along, size, phase) if fine else 0.0
        out = curves["normal"](along)
        edge = curves["edge"](along)
        if shape.plicae:
            wave = shape.plicae * curves["plica"](along) * smoothstep(0.4, 1.0, size)
            edge = edge + np.stack([0 * wave, 0 * wave, wave], -1) * (
                1.0 if self.right else -1.0
            )
        reach = 1.0 + shape.lobes * (profile - 0.35) * window * share * smoothstep(
            0.15, 0.9, size
        )
        relief = sideways = folds + detail
        if shape.interlocking:
            thins = 1.0 - smoothstep(0.9, 1.0, size)
            relief, sideways = folds + detail * thins, (folds + detail) * thins
            reach = 1.0
        x = edge[..., 0] * reach + out[..., 0] * sideways
        y = edge[..., 1] * reach + out[..., 1] * sideways
        z = edge[..., 2] + out[..., 2] * relief
        cos, sin = np.cos(turned), np.sin(turned)
        lean = shape.beak_lean * turned**1.5
        return np.stack(
            [size * (x + lean), size * (y * cos - z * sin), size * (y * sin + z * cos)], -1
        ) * [1.0, 1.0, 1.0 if self.right else -1.0]

    def _detail(self, along: Points, size: Points, phase: Points) -> Points:
        """Return riblets, threads and growth lines."""
        shape = self.shape
        if not any(
            (
                shape.riblet_depth,
                shape.thread_depth,
                shape.growth_line_depth,
                shape.growth_rests,
            )
        ):
            return np.zeros(1)
        riblets = (0.5 + 0.5 * np.cos(2 * np.pi * shape.n_riblets * phase)) ** 1.5
        threads = noise_along(np.random.default_rng(shape.seed + 5), along, 0.0035, 1.0)
        radial = shape.riblet_depth * riblets + shape.thread_depth * threads
        return radial * self._curves["riblet_window"](along) + self._growth_lines(
            along, size
        )

    def _growth_lines(self, along: Points, size: Points) -> Points:
        """Return growth lines: rests in growth at irregular times, slightly waved."""
        shape = self.shape
        rng = np.random.default_rng(shape.seed)
        wave = 0.010 * noise_along(rng, along, 0.05, 1.0) + 0.003 * noise_along(
            rng, along, 0.012, 1.0
        )
        age = np.log(size) + 3.6 + wave * (0.6 + 0.4 * np.sin(9.0 * size))
        fine = noise_along(rng, age, 0.012, 3.8)
        coarse = noise_along(rng, age, 0.055, 3.8)
        rests = np.minimum(coarse, 0.6)
        fades = self._curves["growth_window"](along)
        return (shape.growth_line_depth * fine + shape.growth_rests * rests) * fades


def sizes(growth: float, n: int) -> Points:
    """Return n sizes from the umbo (turned by nearly half a circle) to the margin."""
    smallest = np.exp(-growth * 3.05)
    return np.linspace(smallest**0.9, 1.0, n) ** (1.0 / 0.9)


def _curves_of(shape: ValveShape, samples: int) -> dict[str, object]:
    """Build the one-dimensional curves along the margin that the surface is made of."""
    knots = np.array(shape.outline, float)
    arc = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(knots, axis=0).T))])
    rough = CubicSpline(arc / arc[-1], knots)
    fine = np.linspace(0.0, 1.0, samples)
    drawn = rough(fine)
    arc = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(drawn, axis=0).T))])
    unit = float(np.ptp(drawn[:, 0]))
    opening = np.clip(
        (fine - shape.byssal_opening_from) / (1.0 - shape.byssal_opening_from), 0, 1
    )
    even = CubicSpline(arc / arc[-1], drawn / unit)(fine)
    teeth = 1.0 + 0.12 * np.cos(11 * np.pi * opening)
    gape = 0.5 * shape.byssal_opening_width * np.sin(np.pi * opening) ** 1.2 * teeth
    edge = np.column_stack([even, gape])
    slope = np.gradient(np.column_stack([even, np.zeros(fine.size)]), fine, axis=0)
    flat = np.column_stack([even, np.zeros(fine.size)])
    back = (
        flat - np.column_stack([np.zeros(fine.size), 0 * fine, flat[:, 1]]) / shape.growth
    )
    normal = np.cross(slope, back)
    normal /= np.linalg.norm(normal, axis=1, keepdims=True)
    normal *= np.sign(normal[fine.size // 2, 2])
    places = np.array(sorted(shape.main_folds + shape.end_folds))
    heights = np.where(np.isin(places, shape.main_folds), 1.0, shape.end_fold_share)
    rng = np.random.default_rng(shape.seed + 101)
    heights = heights * (1.0 + 0.07 * rng.standard_normal(places.size))
    ends = (
        places[0] - (places[1] - places[0]) * 0.5,
        places[-1] + (places[-1] - places[-2]) * 0.5,
    )
    phase = PchipInterpolator(
        [min(0.0, ends[0] - 0.01), ends[0], *places, ends[1], max(1.0, ends[1] + 0.01)],
        [-0.5, -0.5, *range(places.size), places.size - 0.5, places.size - 0.5],
    )
    tall = PchipInterpolator([-0.1, *places, 1.1], [heights[0], *heights, heights[-1]])
    profile = (0.5 + 0.5 * np.cos(2 * np.pi * phase(fine))) ** shape.fold_narrowness * tall(
        fine
    )
    window = smoothstep(0.0, 0.07, fine) * smoothstep(
        1.0, shape.byssal_opening_from - 0.02, fine
    )
    return {
        **_tables(
            fine,
            edge=edge,
            normal=normal,
            fold=profile,
            phase=phase(fine),
            window=window,
            plica=np.sin(np.pi * opening) ** 0.7
            * np.cos(2 * np.pi * shape.n_plicae * opening),
            riblet_window=smoothstep(0.0, 0.05, fine) * smoothstep(1.0, 0.9, fine),
            growth_window=smoothstep(0.0, 0.04, fine) * smoothstep(1.0, 0.97, fine),
        ),
        "scale": 1.0,
    }


def _tables(places: Points, **curves: Points) -> dict[str, object]:
    """Return a spline through each curve (n,) or (n, 3), all solved at once."""
    columns = [curve.reshape(places.size, -1) for curve in curves.values()]
    whole = CubicSpline(places, np.hstack(columns))
    splines, start = {}, 0
    for key, curve in curves.items():
        width = 1 if curve.ndim == 1 else curve.shape[1]
        mine = whole.c[..., start] if curve.ndim == 1 else whole.c[..., start : start + 3]
        splines[key] = PPoly.construct_fast(np.ascontiguousarray(mine), whole.x, True)
        start += width
    return splines


def _farthest_ends(margin: Points) -> tuple[int, int]:
    """Return the indices of the two margin points that lie farthest apart, one per half."""
    half = margin.shape[0] // 2
    first, second = margin[:half:4], margin[half::4]
    gaps = np.linalg.norm(first[:, None] - second[None], axis=2)
    i, j = np.unravel_index(np.argmax(gaps), gaps.shape)
    low, high = max(0, 4 * i - 8), half + max(0, 4 * j - 8)
    first, second = margin[low : 4 * i + 9], margin[high : half + 4 * j + 9]
    gaps = np.linalg.norm(first[:, None] - second[None], axis=2)
    i, j = np.unravel_index(np.argmax(gaps), gaps.shape)
    return low + int(i), high + int(j)
