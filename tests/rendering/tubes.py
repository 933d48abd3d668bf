"""Tubes of worms that wind over a worn shell."""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from .buffer import CRUST, Buffer
from .camera import Pose
from .colours import Colours
from .noise import along as noise_along
from .surface import Valve

Points = NDArray[np.floating]


@dataclass(frozen=True)
class Tubes:
    """Some chalky tubes on the outside of a valve, each a half-round along a winding path."""

    valve: Valve
    pose: Pose
    colours: Colours = field(default_factory=Colours)
    n: int = 5
    radius_mm: float = 1.25
    seed: int = 17

    def draw(self, buffer: Buffer, number: int) -> None:
        """Draw the tubes."""
        rng = np.random.default_rng(self.seed)
        scale = 1.6 * buffer.camera.px_per_mm
        for _ in range(self.n):
            path, normal = self._path(rng)
            length = float(np.linalg.norm(np.diff(path, axis=0), axis=1).sum())
            n_long, n_round = int(length * scale) + 8, int(5 * self.radius_mm * scale) + 8
            t = np.linspace(0.0, 1.0, n_long)
            knots = np.linspace(0.0, 1.0, len(path))
            middle, out = (
                np.column_stack([np.interp(t, knots, rows[:, k]) for k in range(3)])
                for rows in (path, normal)
            )
            way = np.gradient(middle, axis=0)
            way /= np.linalg.norm(way, axis=1, keepdims=True) + 1e-9
            side = np.cross(way, out)
            rings = 1.0 + 0.10 * noise_along(rng, t, 0.012, 1.0)
            radius = self.radius_mm * rng.uniform(0.7, 1.2) * (0.45 + 0.55 * t) * rings
            angle = np.linspace(-1.75, 1.75, n_round)[:, None]
            points = (
                middle
                + (radius * np.cos(angle))[..., None] * out
                + (radius * np.sin(angle))[..., None] * side
            )
            place = np.zeros((*points.shape[:2], 4), np.float32)
            world = self.pose.place(points).astype(np.float32)
            buffer.add(world, place, CRUST, number, two_sided=True)

    def _path(self, rng: np.random.Generator) -> tuple[Points, Points]:
        """Return a winding path on the surface (n, 3) and its outward normals."""
        n = 90
        heading = rng.uniform(0, 2 * np.pi) + np.cumsum(0.16 * rng.standard_normal(n))
        size = rng.uniform(0.45, 0.85) + np.cumsum(0.0055 * np.sin(heading))
        along = rng.uniform(0.25, 0.75) + np.cumsum(0.0030 * np.cos(heading))
        size, along = np.clip(size, 0.3, 0.96), np.clip(along, 0.12, 0.86)
        path = self.valve.points(along, size, fine=False)
        aside = self.valve.points(along + 1e-3, size, fine=False) - path
        growth = self.valve.points(along, size * 1.001, fine=False) - path
        normal = np.cross(aside, growth)
        normal /= np.linalg.norm(normal, axis=1, keepdims=True) + 1e-12
        normal *= np.sign(normal[:, 2].mean() * (1.0 if self.valve.right else -1.0))
        return path, normal
