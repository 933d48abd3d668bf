"""A table with shells and a ruler under a camera, and the picture of it."""

from dataclasses import dataclass, field
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from .buffer import LIGAMENT, SCUTE, SHELL, Buffer
from .camera import Camera, Pose
from .colours import Colours, paint
from .ground import GROUNDS
from .layers import Layers
from .light import Lamp, lit, photograph, shrunk
from .noise import along as noise_along
from .ruler import Ruler
from .scutes import ScuteStyle, scutes
from .surface import Valve, sizes

Points = NDArray[np.floating]


class Piece(Protocol):
    """A part of a specimen that can be drawn, and the colours it has."""

    colours: Colours

    def draw(self, buffer: Buffer, number: int) -> None:
        """Draw the part as specimen *number*."""


@dataclass(frozen=True)
class Lying:
    """A valve with its scutes and colours, lying somewhere in the world."""

    valve: Valve
    pose: Pose
    colours: Colours = field(default_factory=Colours)
    scutes: ScuteStyle | None = None
    lip_mm: float = 0.0

    def draw(self, buffer: Buffer, number: int) -> None:
        """Draw the surface, the thickness of its margin and the scutes."""
        camera = buffer.camera
        nearest = (
            camera.distance_mm
            + camera.plane_mm
            - self.pose.shift[2]
            - 0.25 * self.valve.shape.length_mm
        )
        px_per_mm = camera.px_per_mm * camera.distance_mm / nearest
        self._draw_surface(buffer, number, px_per_mm)
        if self.lip_mm:
            self._draw_lip(buffer, number, px_per_mm)
        for scute in scutes(self.valve, self.scutes, px_per_mm) if self.scutes else ():
            place = np.empty((*scute.up.shape, 4), np.float32)
            place[..., 0], place[..., 1] = scute.across, scute.up
            place[..., 2], place[..., 3] = scute.size, scute.fold
            buffer.add(self.pose.place(scute.points), place, SCUTE, number, two_sided=True)

    def _draw_surface(self, buffer: Buffer, number: int, px_per_mm: float) -> None:
        """Draw in strips of growth, each as fine as its place in the picture asks."""
        valve = self.valve
        around = _path_length(valve.margin(2001)) * px_per_mm
        back = valve.points(np.full(400, 0.5), sizes(valve.shape.growth, 400))
        rows = sizes(valve.shape.growth, int(1.3 * _path_length(back) * px_per_mm))
        step = 240
        for start in range(0, rows.size - 1, step):
            strip = rows[max(0, start - 1) : start + step + 1]
            line = np.linspace(0.0, 1.0, int(1.25 * around * max(strip[-1], 0.15)))
            points = self.pose.place(valve.grid(line, strip)).astype(np.float32)
            place = self._places(line, strip)
            if not valve.right:
                points, place = points[:, ::-1], place[:, ::-1]
            buffer.add(points, place, SHELL, number)

    def _draw_lip(self, buffer: Buffer, number: int, px_per_mm: float) -> None:
        """Draw the margin's thickness: a band from the outer edge towards the inside."""
        valve = self.valve
        line = np.linspace(
            0.0, 1.0, int(1.4 * _path_length(valve.margin(2001)) * px_per_mm)
        )
        edge, inner = (
            valve.points(line, np.ones(line.size)),
            valve.points(line, np.full(line.size, 0.985)),
        )
        side = np.gradient(edge, axis=0)
        inward = np.cross(side, edge - inner)
        inward *= np.sign((inward[:, 2] * (-1.0 if valve.right else 1.0)).sum())
        inward /= np.linalg.norm(inward, axis=1, keepdims=True) + 1e-9
        inward[:, 2] = 0.0
        deep = np.linspace(0.0, 1.0, max(4, int(1.4 * self.lip_mm * px_per_mm)))[
            :, None, None
        ]
        band = edge[None] + deep * self.lip_mm * inward[None]
        place = np.broadcast_to(self._places(line, np.ones(1)), (*band.shape[:2], 4)).copy()
        buffer.add(
            self.pose.place(band).astype(np.float32), place, SHELL, number, two_sided=True
        )

    def _places(self, line: Points, rows: Points) -> NDArray[np.float32]:
        place = np.empty((rows.size, line.size, 4), np.float32)
        place[..., 0] = self.valve.phase(line)
        place[..., 1] = np.log(rows)[:, None]
        place[..., 2] = self.valve.fold(line)
        place[..., 3] = line
        return place


@dataclass(frozen=True)
class Ligament:
    """The brown strap that joins the valves, from beside the umbo to the ligament end."""

    valve: Valve
    pose: Pose
    colours: Colours = field(default_factory=Colours)
    radius_mm: float = 2.3

    def draw(self, buffer: Buffer, number: int) -> None:
        """Draw a cracked half-round along the hinge axis."""
        end = self.valve.hinge()[1][0]
        n_long = int(end * buffer.camera.px_per_mm * 1.6)
        n_round = int(self.radius_mm * 3.4 * buffer.camera.px_per_mm * 1.6)
        t = np.linspace(0.10, 0.985, n_long)[None, :]
        angle = np.linspace(-1.6, 1.6, n_round)[:, None]
        rng = np.random.default_rng(self.valve.shape.seed + 7)
        cracks = np.minimum(noise_along(rng, t + 0.01 * angle**2, 0.016, 1.2), 0.4)
        lumps = noise_along(rng, t + 0.03 * angle, 0.07, 1.3)
        rough = 1.0 + 0.06 * cracks + 0.09 * lumps
        radius = self.radius_mm * (1.0 - t**3) ** 0.6 * (0.8 + 0.5 * t) * rough
        points = np.stack(
            [end * t + 0.0 * angle, -radius * np.cos(angle) + 0.5, radius * np.sin(angle)],
            -1,
        )
        place = np.zeros((*points.shape[:2], 4), np.float32)
        buffer.add(
            self.pose.place(points).astype(np.float32),
            place,
            LIGAMENT,
            number,
            two_sided=True,
        )


@dataclass(frozen=True)
class Scene:
    """Everything in front of one camera; a specimen is the pieces that belong together."""

    camera: Camera
    specimens: tuple[tuple[Piece, ...], ...]
    ground: str = "felt"
    ground_options: dict[str, object] = field(default_factory=dict)
    rulers: tuple[Ruler, ...] = ()
    lamp: Lamp = field(default_factory=Lamp)
    extras: tuple[object, ...] = ()
    seed: int = 1

    def picture(self, oversample: float = 1.0) -> NDArray[np.uint8]:
        """Return the photograph (h, w, 3); *oversample* > 1 draws finer, then shrinks."""
        camera = self.camera.larger(oversample)
        shape = (camera.height_px, camera.width_px)
        rng = np.random.default_rng(self.seed)
        scale = camera.px_per_mm
        albedo, relief, gloss = GROUNDS[self.ground](
            shape, scale, rng, **self.ground_options
        )
        normal = _relief_normals(relief, scale)
        height = relief.copy()
        depth = np.full(shape, np.inf, np.float32)
        layers = Layers(height, normal, albedo, gloss, depth)
        for thing in (*self.extras, *self.rulers):
            thing.draw(camera, layers)
        for number, pieces in enumerate(self.specimens, start=1):
            buffer = draw(camera, pieces, number)
            seen = buffer.depth < depth
            buffer.specimen[~seen] = 0
            paint(buffer, number, pieces[0].colours, albedo, gloss, scale)
            height[seen], normal[seen], depth[seen] = (
                buffer.height[seen],
                buffer.normal[seen],
                buffer.depth[seen],
            )
        light = lit(self.lamp, height, normal, albedo, gloss, scale, self.seed)
        if oversample > 1.0:
            light = shrunk(light, (self.camera.height_px, self.camera.width_px), oversample)
        return photograph(light, self.seed + 1, 0.45 if oversample > 1.0 else 0.6)


def draw(camera: Camera, pieces: tuple[Piece, ...], number: int) -> Buffer:
    """Return what the camera sees of one specimen alone."""
    buffer = Buffer.empty(camera)
    for piece in pieces:
        piece.draw(buffer, number)
    return buffer


def _path_length(points: Points) -> float:
    return float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())


def _relief_normals(relief: NDArray[np.float32], px_per_mm: float) -> NDArray[np.float32]:
    down, across = np.gradient(relief * px_per_mm)
    normal = np.stack([-across, down, np.ones_like(relief)], -1)
    return normal / np.linalg.norm(normal, axis=-1, keepdims=True)
