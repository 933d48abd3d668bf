"""The inside of a valve: porcelain, muscle scars, hinge plate, ligament groove, rim."""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from .buffer import INNER, PLATE, Buffer
from .camera import Pose
from .colours import Colours
from .noise import along as noise_along
from .noise import smoothstep
from .surface import Valve

Points = NDArray[np.floating]


@dataclass(frozen=True)
class Interior:
    """The inner surface of a valve and its hinge plate; shares are of the shell length.

    The scars lie where they are in giant clams: one large adductor scar behind the middle, the
    smaller scar of the foot's retractor beside it towards the hinge (common practice, no
    source).
    """

    valve: Valve
    pose: Pose
    colours: Colours = field(default_factory=Colours)
    rim: float = 0.011
    thick: float = 0.032
    plate: float = 0.085
    adductor: tuple[float, float, float] = (0.09, 0.30, 0.085)
    retractor: tuple[float, float, float] = (0.155, 0.205, 0.045)

    def draw(self, buffer: Buffer, number: int) -> None:
        """Draw the inner surface, the rim that joins it to the outer one, and the plate."""
        scale = buffer.camera.px_per_mm * 1.12
        valve, length = self.valve, self.valve.shape.length_mm
        n_along = int(2.6 * length * scale)
        line = np.linspace(0.0, 1.0, n_along)
        first = np.exp(-valve.shape.growth * 1.42)
        n_size = int(1.5 * length * scale)
        rows = np.linspace(first, 1.0, n_size)
        step = 200
        for start in range(0, n_size - 1, step):
            strip = rows[max(0, start - 1) : start + step + 1]
            points = self._inner(line, strip)
            self._add(buffer, points, self._places(line, strip, points), INNER, number)
        self._add_rim(buffer, line, scale, number)
        self._add_plate(buffer, scale, number)

    def _add(self, buffer: Buffer, points, place, kind: int, number: int) -> None:
        world = self.pose.place(points).astype(np.float32)
        buffer.add(world, place.astype(np.float32), kind, number, two_sided=True)

    def _inner(self, line: Points, rows: Points) -> Points:
        """Return the inner surface (n_size, n_along, 3): the outer one, thinner by a wall."""
        valve, length = self.valve, self.valve.shape.length_mm
        along, size = np.meshgrid(line, rows)
        base = valve.inner(along, size)
        step = 1e-3
        aside = valve.inner(np.clip(along + step, 0, 1), size) - valve.inner(
            np.clip(along - step, 0, 1), size
        )
        growth = valve.inner(along, size * (1 + step)) - valve.inner(
            along, size * (1 - step)
        )
        normal = np.cross(aside, growth)
        normal /= np.linalg.norm(normal, axis=-1, keepdims=True) + 1e-12
        outwards = 1.0 if valve.right else -1.0
        normal *= np.sign((normal[..., 2] * outwards).mean())
        wall = self.rim + (self.thick - self.rim) * smoothstep(1.0, 0.72, size)
        rng = np.random.default_rng(valve.shape.seed + 61)
        swell = noise_along(rng, along + 0.3 * size, 0.11, 1.6) * noise_along(
            rng, size + 0.1 * along, 0.13, 1.6
        )
        wall = wall + 0.0022 * swell * smoothstep(1.0, 0.8, size)
        # Towards the hinge the wall thins, or it would bury the ends of the plate.
        wall = wall * (
            0.1 + 0.9 * smoothstep(0.0, 0.14, along) * smoothstep(1.0, 0.88, along)
        )
        scar = self._scar(base)[0]
        return base - ((wall - 0.0026 * scar) * length)[..., None] * normal

    def _scar(self, points: Points) -> tuple[Points, Points]:
        """Return how much (0..1) a place is scar, and how far it is from the scar's middle."""
        x, y = (points[..., k] / self.valve.shape.length_mm for k in (0, 1))
        share, rings = np.zeros(x.shape), np.full(x.shape, 9.0)
        for centre_x, centre_y, radius in (self.adductor, self.retractor):
            angle = np.arctan2(y - centre_y, x - centre_x)
            lumpy = 1.0 + 0.06 * np.cos(2 * angle + 0.8) + 0.04 * np.cos(3 * angle)
            r = np.hypot(x - centre_x, y - centre_y) / (radius * lumpy)
            share = np.maximum(share, smoothstep(1.08, 0.88, r))
            rings = np.minimum(rings, r)
        return share, rings

    def _places(self, line: Points, rows: Points, points: Points) -> Points:
        place = np.empty((rows.size, line.size, 4))
        place[..., 0] = rows[:, None]
        place[..., 1] = self.valve.fold(line)
        place[..., 2], place[..., 3] = self._scar(points)
        return place

    def _add_rim(self, buffer: Buffer, line: Points, scale: float, number: int) -> None:
        """Draw the thickness of the margin as a rounded band."""
        outer = self.valve.points(line, np.ones(line.size))
        inner = self._inner(line, np.array([0.998, 1.0]))[1]
        n = max(6, int(1.8 * self.rim * self.valve.shape.length_mm * scale * 2.0))
        share = np.linspace(0.0, 1.0, n)[:, None, None]
        band = outer + (inner - outer) * share
        bulge = 0.35 * self.rim * self.valve.shape.length_mm * np.sin(np.pi * share[..., 0])
        band[..., 2] -= bulge * (1.0 if self.valve.right else -1.0)
        place = np.empty((n, line.size, 4))
        place[..., 0], place[..., 1] = 0.985, self.valve.fold(line)
        place[..., 2], place[..., 3] = 0.0, 9.0
        self._add(buffer, band, place, INNER, number)

    def _add_plate(self, buffer: Buffer, scale: float, number: int) -> None:
        """Draw hinge plate, teeth and ligament groove, and the wall under the plate."""
        length = self.valve.shape.length_mm
        side = 1.0 if self.valve.right else -1.0
        byssal, ligament = self.valve.hinge()
        t = np.linspace(0.0, 1.0, int(1.6 * np.linalg.norm(ligament - byssal) * scale))
        x = byssal[0] + (ligament[0] - byssal[0]) * t
        umbo_t = float(-byssal[0] / (ligament[0] - byssal[0]))
        # Widest under the umbo, narrow at both ends.
        near = np.where(t < umbo_t, t / umbo_t, (1 - t) / (1 - umbo_t))
        rng = np.random.default_rng(self.valve.shape.seed + 62)
        deep = length * (
            0.012
            + 0.026 * smoothstep(umbo_t - 0.1, umbo_t + 0.1, t) * smoothstep(1.0, 0.96, t)
            + self.plate * smoothstep(0.0, 0.9, near) ** 0.8
            + 0.003 * noise_along(rng, t, 0.07, 1.0)
        )
        v = np.linspace(0.0, 1.0, int(1.6 * deep.max() * scale))[:, None]
        groove = (
            np.exp(-(((v - 0.40 + 0.16 * near) / (0.26 - 0.14 * near)) ** 4))
            * smoothstep(umbo_t + 0.01, umbo_t + 0.09, t)
            * smoothstep(1.0, 0.965, t)
        )
        nymph = np.exp(-(((v - 0.62) / 0.12) ** 2)) * smoothstep(
            umbo_t + 0.04, umbo_t + 0.2, t
        )
        nymph = nymph * smoothstep(0.99, 0.8, t)
        slope = (t - umbo_t + 0.02) * 3.2
        cardinal = np.exp(-(((v - 0.60 + slope) / 0.15) ** 2)) * np.exp(
            -(((t - umbo_t + 0.03) / 0.10) ** 2)
        )
        lateral = np.exp(-(((v - 0.88) / 0.10) ** 2)) * np.exp(
            -(((t - umbo_t - 0.33) / 0.13) ** 2)
        )
        tooth = np.clip(cardinal + lateral, 0, 1)
        lift = length * (
            0.020 * tooth + 0.010 * nymph - 0.016 * groove - 0.007 * smoothstep(0.7, 1.0, v)
        )
        lift = lift + 0.022 * length * (1 - near) ** 2
        lines = 0.0008 * length * noise_along(rng, v + 0.04 * np.cos(3 * t), 0.03, 1.4)
        y = v * deep + byssal[1] + (ligament[1] - byssal[1]) * t
        z = -(lift + lines + 0.001 * length) * side
        points = np.stack([np.broadcast_to(x, y.shape), y, z + 0 * y], -1)
        place = np.zeros((*y.shape, 4))
        place[..., 0], place[..., 1] = groove, tooth
        place[..., 2], place[..., 3] = v, t
        self._add(buffer, points, place, PLATE, number)
        self._add_floor(buffer, scale, number)
        fall = np.linspace(0.0, 1.0, int(0.22 * length * scale))[:, None]
        wall = np.empty((fall.size, t.size, 3))
        wall[..., 0] = x
        round_ = 0.02 * length * np.sin(np.pi * np.clip(fall * 1.2, 0, 1)) * near
        wall[..., 1] = points[-1, :, 1] + round_ - 0.35 * deep * fall**1.5
        wall[..., 2] = points[-1, :, 2] + side * fall * 0.17 * length * near**0.7
        place = np.zeros((fall.size, t.size, 4))
        place[..., 3] = t
        self._add(buffer, wall, place, PLATE, number)

    def _add_floor(self, buffer: Buffer, scale: float, number: int) -> None:
        """Close the hollow of the coiled beak behind the hinge line."""
        length = self.valve.shape.length_mm
        umbo = self.valve.umbo()
        half = 0.11 * length
        x = np.linspace(-half, half, int(3.2 * half * scale))
        v = np.linspace(0.0, 1.0, int(2.0 * abs(umbo[1]) * scale))[:, None]
        reach = 0.80 * umbo[1] * np.sqrt(np.clip(1 - (x / half) ** 2, 0, 1))
        hollow = 0.012 * length * np.sin(np.pi * v) - 0.003 * length
        side = 1.0 if self.valve.right else -1.0
        points = np.stack([x + umbo[0] + 0 * v, reach * v, hollow * side + 0 * x], -1)
        place = np.zeros((*points.shape[:2], 4))
        place[..., 3] = v
        self._add(buffer, points, place, PLATE, number)
