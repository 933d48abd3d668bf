"""The curves of a living clam seen from above: shell margin, mantle edge, mid line."""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator
from shapely import Polygon

from .noise import smoothstep

Field = NDArray[np.float32]
Points = NDArray[np.floating]


@dataclass(frozen=True, slots=True)
class Animal:
    """An invented living clam; *main_folds* are places (-1..1) along the shell.

    The inhalant opening lies towards the ligament end: Poutiers 1998 puts the inhalant siphon
    of *Tridacna maxima* at the hind end (read only as relayed by a later page).  *pattern*
    is maze, stripes or rings; *tentacles* is none, simple or branched.
    """

    margin_length_mm: float = 150.0
    width_share: float = 0.40
    main_folds: tuple[float, ...] = (-0.68, -0.34, 0.0, 0.34, 0.68)
    fold_swing_mm: float = 11.0
    overhang_mm: float = 9.0
    inhalant: tuple[float, float] = (0.06, 0.64)
    exhalant: float = -0.36
    tentacle_mm: float = 2.6
    eye_gap_mm: float = 2.7
    deep: tuple[int, int, int] = (16, 40, 92)
    bright: tuple[int, int, int] = (46, 150, 196)
    spot: tuple[int, int, int] = (176, 150, 82)
    pattern: str = "maze"
    tentacles: str = "simple"
    slit_half_width_mm: float = 3.3
    exhalant_mm: float = 3.1
    eye_size: float = 1.0
    mid: tuple[int, int, int] = (46, 44, 26)
    glow: tuple[int, int, int] = (120, 220, 232)
    modelled_on: str = "Tridacna maxima"
    characters: dict[str, str] = field(default_factory=dict)


class Grid:
    """The picture's pixels and the animal's own frame: along and across the shell, mm."""

    def __init__(
        self,
        shape: tuple[int, int],
        scale: float,
        turn_deg: float,
        centre: tuple[float, float],
    ) -> None:
        self.shape, self.scale = shape, scale
        turn = np.radians(turn_deg)
        self.axes = np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
        self.centre = np.array(centre)

    def body_mm(self) -> tuple[Field, Field]:
        rows, columns = self.shape
        x = (np.arange(columns) + 0.5 - columns / 2)[None, :] / self.scale - self.centre[0]
        y = (rows / 2 - np.arange(rows) - 0.5)[:, None] / self.scale - self.centre[1]
        along = self.axes[0, 0] * x + self.axes[0, 1] * y
        across = self.axes[1, 0] * x + self.axes[1, 1] * y
        return along.astype(np.float32), across.astype(np.float32)

    def pixels(self, body: Points) -> Points:
        """Return continuous pixels of points (..., 2) of the animal's frame."""
        world = np.asarray(body) @ self.axes + self.centre
        x = self.shape[1] / 2 + world[..., 0] * self.scale
        y = self.shape[0] / 2 - world[..., 1] * self.scale
        return np.stack([x, y], -1)


class Body:
    """The curves of one animal: the wavy mid line, the shell margin, the mantle edge."""

    def __init__(self, animal: Animal, seed: int) -> None:
        self.animal, self.half = animal, animal.margin_length_mm / 2
        rng = np.random.default_rng(seed + 77)
        self.tones = [
            (k, rng.random() * 6.28, rng.normal() * s)
            for k, s in ((9, 1.1), (17, 0.9), (31, 0.6), (53, 0.35))
        ]
        folds = np.array(animal.main_folds)
        middles = np.concatenate(
            [[folds[0] - 0.34], (folds[1:] + folds[:-1]) / 2, [folds[-1] + 0.34]]
        )
        knots = np.sort(np.concatenate([folds, middles]))
        swing = np.where(np.isin(knots, folds), 1.0, -1.0) * animal.fold_swing_mm / 2
        places = np.concatenate([[-1.6], knots, [1.6]])
        self.swing = PchipInterpolator(places, np.concatenate([[0.0], swing, [0.0]]))
        self.outline = self._mantle_outline()

    def middle(self, along: Points) -> Points:
        """Return how far the gape between the valves swings aside at *along* mm."""
        return self.swing(np.clip(along / self.half, -1.6, 1.6)) * 0.3

    def margin_half_width(self, along: Points, side: float) -> Points:
        """Return the distance of the shell margin from the axis on one side (+1 or -1)."""
        t = np.clip(abs(along) / self.half, 0, 1)
        teeth = (
            0.9
            * np.sin(along * 1.25) ** 2
            * smoothstep(0.86, 0.93, t)
            * smoothstep(1.0, 0.97, t)
        )
        width = teeth + self.animal.width_share * self.half * (1 - t**2.4) ** (1 / 1.9)
        swing = self.swing(np.clip(along / self.half, -1.6, 1.6)) * (1 - t**6)
        return width + side * swing

    def slit(self) -> tuple[float, float, float]:
        """Return middle, half length and half width of the inhalant opening in mm."""
        low, high = sorted(np.array(self.animal.inhalant) * self.half)
        return (low + high) / 2, (high - low) / 2, self.animal.slit_half_width_mm

    def margin_points(self, n: int = 1600) -> Points:
        """Return the shell margin (n, 2), anticlockwise, exact at both tips."""
        angle = np.linspace(0, 2 * np.pi, n, endpoint=False)
        along = self.half * np.sign(np.cos(angle)) * abs(np.cos(angle)) ** 0.9
        up = np.sin(angle) >= 0
        across = np.where(
            up, self.margin_half_width(along, 1.0), -self.margin_half_width(along, -1.0)
        )
        return np.column_stack([along, across])

    def _mantle_outline(self, n: int = 2400) -> Points:
        """Return the mantle's outline (n, 2): beyond the margin, short of its two tips."""
        angle = np.linspace(0, 2 * np.pi, n, endpoint=False)
        outline = _evened(_rounded(self.margin_points(n), n // 60), n)
        tangent = np.roll(outline, -1, 0) - np.roll(outline, 1, 0)
        normal = np.column_stack([tangent[:, 1], -tangent[:, 0]])
        normal /= np.linalg.norm(normal, axis=1, keepdims=True) + 1e-9
        frill = sum(s * np.sin(k * angle + phase) for k, phase, s in self.tones)
        from_tip = np.hypot(abs(outline[:, 0]) - self.half, outline[:, 1])
        tip = smoothstep(34.0, 5.0, from_tip)
        reach = self.animal.overhang_mm * (1 - tip) - 6.0 * tip + frill * (1 - 0.6 * tip)
        free = _without_loops(outline + normal * reach[:, None])
        return _evened(_without_spikes(_rounded(_evened(free, n), 24)), n)


def _rounded(outline: Points, times: int) -> Points:
    for _ in range(max(2, times)):
        outline = (np.roll(outline, 1, 0) + 2 * outline + np.roll(outline, -1, 0)) / 4
    return outline


def _evened(outline: Points, n: int) -> Points:
    """Return n points at even distances along a closed outline."""
    closed = np.vstack([outline, outline[:1]])
    arc = np.concatenate(
        [[0.0], np.cumsum(np.linalg.norm(np.diff(closed, axis=0), axis=1))]
    )
    places = np.linspace(0, arc[-1], n, endpoint=False)
    return np.column_stack([np.interp(places, arc, closed[:, k]) for k in range(2)])


def _without_spikes(outline: Points, half_mm: float = 0.8) -> Points:
    """Cut off what is thinner than twice *half_mm*, where both sides fell together."""
    whole = Polygon(outline).buffer(0).buffer(-half_mm).buffer(half_mm, quad_segs=16)
    parts = getattr(whole, "geoms", [whole])
    flesh = max(parts, key=lambda part: part.area).exterior
    points = np.array(flesh.coords)[:-1]
    if not flesh.is_ccw:
        points = points[::-1]
    return np.roll(points, -int(np.argmax(points[:, 0])), axis=0)


def _without_loops(outline: Points) -> Points:
    """Cut off the small loops that an outline pushed outwards makes in its bays."""
    n = outline.shape[0]
    reach = n // 8
    keep = np.ones(n, bool)
    i = 0
    while i < n:
        start, step = outline[i], outline[(i + 1) % n] - outline[i]
        others = (i + np.arange(2, reach)) % n
        first, second = outline[others], outline[(others + 1) % n] - outline[others]
        across = step[0] * second[:, 1] - step[1] * second[:, 0]
        across = np.where(abs(across) < 1e-12, 1e-12, across)
        gap = first - start
        t = (gap[:, 0] * second[:, 1] - gap[:, 1] * second[:, 0]) / across
        u = (gap[:, 0] * step[1] - gap[:, 1] * step[0]) / across
        crossing = np.flatnonzero((t >= 0) & (t <= 1) & (u >= 0) & (u <= 1))
        if crossing.size:
            skip = int(crossing[-1]) + 2
            keep[(i + 1 + np.arange(skip)) % n] = False
            i += skip
        i += 1
    return outline[keep]
