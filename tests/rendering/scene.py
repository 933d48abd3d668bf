"""A table with shells and a ruler under a camera, and the picture of it."""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from .buffer import SCUTE, SHELL, Buffer
from .camera import Camera, Pose
from .colours import Colours, paint
from .ground import GROUNDS
from .light import Lamp, _sampled, lit, photograph
from .ruler import Ruler
from .scutes import ScuteStyle, scutes
from .surface import Valve, sizes

Points = NDArray[np.floating]


@dataclass(frozen=True)
class Lying:
    """A valve with its scutes and colours, lying somewhere in the world."""

    valve: Valve
    pose: Pose
    colours: Colours = Colours()
    scutes: ScuteStyle | None = None


@dataclass(frozen=True)
class Scene:
    """Everything in front of one camera; *specimens* are lists of valves that belong together."""

    camera: Camera
    specimens: tuple[tuple[Lying, ...], ...]
    ground: str = "felt"
    ground_options: dict[str, object] = field(default_factory=dict)
    rulers: tuple[Ruler, ...] = ()
    lamp: Lamp = Lamp()
    extras: tuple[object, ...] = ()
    seed: int = 1

    def picture(self, oversample: float = 1.0) -> NDArray[np.uint8]:
        """Return the photograph (h, w, 3); *oversample* > 1 draws finer and then shrinks."""
        camera = self.camera.larger(oversample)
        shape = (camera.height_px, camera.width_px)
        rng = np.random.default_rng(self.seed)
        scale = camera.px_per_mm
        albedo, relief, gloss = GROUNDS[self.ground](shape, scale, rng, **self.ground_options)
        normal = _relief_normals(relief, scale)
        height = relief.copy()
        depth = np.full(shape, np.inf, np.float32)
        for extra in self.extras:
            extra.draw(camera, height, normal, albedo, gloss, depth)
        for ruler in self.rulers:
            ruler.draw(camera, height, normal, albedo, gloss, depth)
        for number, lying in enumerate(self.specimens, start=1):
            buffer = draw(camera, lying, number)
            seen = buffer.depth < depth
            buffer.specimen[~seen] = 0
            for piece in lying[:1]:
                paint(buffer, number, piece.colours, albedo, gloss, scale)
            height[seen], normal[seen], depth[seen] = buffer.height[seen], buffer.normal[seen], buffer.depth[seen]
        light = lit(self.lamp, height, normal, albedo, gloss, scale, self.seed)
        if oversample > 1.0:
            light = _shrunk(light, (self.camera.height_px, self.camera.width_px), oversample)
        return photograph(light, self.seed + 1, 0.45 if oversample > 1.0 else 0.6)


def draw(camera: Camera, lying: tuple[Lying, ...], number: int) -> Buffer:
    """Return what the camera sees of one specimen alone."""
    buffer = Buffer.empty(camera)
    for piece in lying:
        near = camera.px_per_mm * camera.distance_mm / (camera.distance_mm - 0.3 * piece.valve.shape.length_mm)
        _draw_valve(buffer, piece, number, near)
        if piece.scutes is not None:
            for scute in scutes(piece.valve, piece.scutes, near):
                place = np.stack(
                    [scute.across, scute.up, np.full_like(scute.up, scute.size), np.full_like(scute.up, scute.fold)], -1
                )
                buffer.add(piece.pose.place(scute.points), place.astype(np.float32), SCUTE, number, two_sided=True)
    return buffer


def _draw_valve(buffer: Buffer, piece: Lying, number: int, px_per_mm: float) -> None:
    """Draw the surface in strips of growth, each as fine as its place in the picture asks."""
    valve = piece.valve
    margin = valve.margin(2001)
    around = np.linalg.norm(np.diff(margin, axis=0), axis=1).sum() * px_per_mm
    back = valve.points(np.full(400, 0.5), sizes(valve.shape.growth, 400))
    up = np.linalg.norm(np.diff(back, axis=0), axis=1).sum() * px_per_mm
    rows = sizes(valve.shape.growth, int(1.3 * up))
    step = 240
    for start in range(0, rows.size - 1, step):
        strip = rows[max(0, start - 1) : start + step + 1]
        line = np.linspace(0.0, 1.0, int(1.25 * around * max(strip[-1], 0.15)))
        points = piece.pose.place(valve.grid(line, strip)).astype(np.float32)
        place = np.empty((*points.shape[:2], 4), np.float32)
        place[..., 0] = valve.phase(line)
        place[..., 1] = np.log(strip)[:, None]
        place[..., 2] = valve.fold(line)
        place[..., 3] = line
        if not valve.right:
            points, place = points[:, ::-1], place[:, ::-1]
        buffer.add(points, place, SHELL, number)


def _relief_normals(relief: NDArray[np.float32], px_per_mm: float) -> NDArray[np.float32]:
    down, across = np.gradient(relief * px_per_mm)
    normal = np.stack([-across, down, np.ones_like(relief)], -1)
    return normal / np.linalg.norm(normal, axis=-1, keepdims=True)


def _shrunk(light: NDArray[np.float32], shape: tuple[int, int], factor: float) -> NDArray[np.float32]:
    from scipy import ndimage

    planes = [
        _sampled(ndimage.gaussian_filter(light[..., k], 0.42 * (factor - 1) + 0.1), shape) for k in range(3)
    ]
    return np.stack(planes, -1)
