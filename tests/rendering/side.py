"""A living clam on the sea floor seen from the side: valve, scutes, mantle at the rim."""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from . import truth
from .buffer import FLESH, Buffer
from .camera import Camera, Pose, turn_y, turn_z
from .colours import Colours, paint
from .light import Lamp, linear, lit, photograph, shrunk
from .living import caustics
from .noise import along as noise_along
from .noise import fractal, smooth, smoothstep
from .reef import reef
from .scene import Lying, Piece, draw
from .scute_truth import scute_marks, scute_measures
from .surface import Valve
from .truth import Placed, Rendered
from .views import Laid, Specimen, frame_of, pieces_of

Field = NDArray[np.float32]
Points = NDArray[np.floating]

STEEPNESS = 3.4
"""How fast the sea floor comes nearer for each millimetre down the picture."""


@dataclass(frozen=True)
class Rim:
    """The mantle's edge that stands out between the valves, from end to end."""

    valve: Valve
    pose: Pose
    colours: Colours = field(default_factory=Colours)
    out_mm: float = 10.0

    def draw(self, buffer: Buffer, number: int) -> None:
        """Draw a frilled sheet from inside the near margin to beyond it, and over."""
        scale = buffer.camera.px_per_mm * 1.2
        byssal, ligament = self.valve.length_places()
        n = int(1.7 * self.valve.shape.length_mm * scale * 1.5)
        line = np.linspace(ligament + 0.01, byssal - 0.01, n)
        margin = self.valve.points(line, np.ones(n), fine=False)
        even = np.column_stack(
            [
                ndimage.gaussian_filter1d(margin[:, k], 0.045 * n, mode="nearest")
                for k in (0, 1)
            ]
        )
        slope = np.gradient(even, axis=0)
        out = np.column_stack([slope[:, 1], -slope[:, 0]])
        out /= np.linalg.norm(out, axis=1, keepdims=True) + 1e-9
        out *= np.sign((out * even).sum())
        way = np.concatenate(
            [[0.0], np.cumsum(np.linalg.norm(np.diff(even, axis=0), axis=1))]
        )
        rng = np.random.default_rng(self.valve.shape.seed + 91)
        t = np.linspace(0.0, 1.0, n)
        tall = (
            self.out_mm
            * smoothstep(0.0, 0.22, t)
            * smoothstep(1.0, 0.78, t)
            * (1.0 + 0.16 * noise_along(rng, t, 0.05, 1.0))
        )
        share = np.linspace(0.0, 1.0, int(3.0 * 2.2 * self.out_mm * scale))[:, None]
        ruffle = noise_along(rng, t, 0.035, 1.0) + 0.6 * noise_along(rng, t, 0.016, 1.0)
        up = -6.0 + (tall + 6.0) * np.sin(np.pi / 2 * np.clip(share * 1.15, 0, 1))
        side = 1.0 if self.valve.right else -1.0
        deep = 2.5 + 9.0 * share**2.2 - 2.4 * ruffle * share * (1.2 - share)
        # Between two folds the flesh leans out over the valve.
        lean = 7.0 * (0.5 - self.valve.fold(line)) * np.sin(np.pi * share)
        points = np.empty((share.size, n, 3))
        points[..., 0] = even[:, 0] + out[:, 0] * up
        points[..., 1] = even[:, 1] + out[:, 1] * up
        points[..., 2] = side * (lean - deep)
        place = np.empty((share.size, n, 4), np.float32)
        place[..., 0], place[..., 1] = way, up + 6.0
        place[..., 2], place[..., 3] = share, 0.0
        world = self.pose.place(points).astype(np.float32)
        buffer.add(world, place, FLESH, number, two_sided=True)


def render_side(
    parameters: Specimen,
    width_px: int = 1000,
    seed: int = 1,
    *,
    valve: str = "left",
    field_mm: float = 230.0,
    aspect: float = 2 / 3,
    distance_mm: float = 700.0,
    turn_deg: float = 4.0,
    centre_mm: tuple[float, float] = (0.0, 4.0),
    sunk: float = 0.10,
    oversample: float = 1.0,
) -> Rendered:
    """Return a living clam from the side with its truth; *sunk* of its length is hidden."""
    shell = Valve(parameters.shape, right=valve == "right")
    length = parameters.shape.length_mm
    over = np.eye(3) if shell.right else turn_y(np.pi)
    turn = turn_z(np.radians(turn_deg)) @ over
    ends = np.stack(shell.length_ends())
    middle = turn @ np.array([ends[:, 0].mean(), 0.34 * length, 0.0])
    level = 0.5 * length
    pose = Pose(turn, np.array([centre_mm[0], centre_mm[1], level]) - middle)
    final = Camera(
        width_px, round(width_px * aspect), width_px / field_mm, distance_mm, level
    )
    camera = final.larger(oversample)
    near = Lying(shell, pose, parameters.colours, parameters.scutes, lip_mm=1.5)
    behind = Pose(turn, pose.shift - [0.0, 0.0, 16.0])
    far = Lying(Valve(parameters.shape, right=not shell.right), behind, parameters.colours)
    rim = Rim(shell, pose, parameters.colours)
    pieces: tuple[Piece, ...] = (*pieces_of(Laid(parameters), near), far, rim)
    rng = np.random.default_rng(seed)
    floor_y = float(pose.place(np.array([[0.0, sunk * length, 0.0]]))[0, 1])
    light = _light(camera, pieces, floor_y, rng, seed)
    if oversample > 1:
        light = shrunk(light, (final.height_px, final.width_px), oversample)
    picture = photograph(light.astype(np.float32), seed + 1, 0.5, vignette=0.28)
    main, _ = shell.fold_tops()
    byssal, ligament = shell.length_ends()
    placed = Placed(
        {
            "margin_byssal_end": pose.place(byssal),
            "margin_ligament_end": pose.place(ligament),
            "main_folds": pose.place(shell.points(main, np.ones(main.size))),
        }
    )
    known = truth.measures(shell)
    # Scutes near the umbo are behind the sea floor.
    lowest = final.project(np.array([0.0, floor_y + 8.0, level]))[0][1]
    marks = scute_marks(near, final)["middle_fold_scutes"]
    in_sight = [row for row in marks if row["top"][1] < lowest]
    return Rendered(
        picture,
        {
            "made": "rendered, invented specimen; not a photograph",
            "width_px": final.width_px,
            "height_px": final.height_px,
            "seed": seed,
            "scale": {
                **truth.scale(final),
                "plane": "between the valves",
                "in_picture": False,
            },
            "frame": frame_of(final, pieces),
            "view": "living_from_side",
            "part": "joined_pair",
            "state": {"mantle": "partly", "valves": "as_in_life"},
            "modelled_on": parameters.modelled_on,
            "landmarks": placed.in_picture(final),
            "landmark_heights_mm": placed.heights(level),
            "measures": {
                "visible_margin_length_mm": known["shell_length_mm"],
                "main_folds": known["main_folds"],
                **scute_measures(near, final),
                "scute_count": len(in_sight),
            },
            "middle_fold_scutes": in_sight,
            "characters": dict(parameters.characters),
        },
    )


def _light(
    camera: Camera,
    pieces: tuple[Piece, ...],
    floor_y: float,
    rng: np.random.Generator,
    seed: int,
) -> Field:
    """Return the light of clam, sea floor and water."""
    shape, scale = (camera.height_px, camera.width_px), camera.px_per_mm
    floor = reef(shape, scale, rng)
    y = (shape[0] / 2 - np.arange(shape[0]) - 0.5)[:, None] / scale
    down = floor_y - y + 5.0 * fractal(rng, shape, 60 * scale, 3)
    # The floor passes through the foot of the shell and runs away behind it.
    height = camera.plane_mm + STEEPNESS * down + 0.9 * floor.height
    albedo, gloss = floor.tone.copy(), floor.gloss.copy()
    normal = _normals(0.9 * floor.height + 0.55 * down, scale)
    lamp = Lamp(112, 46, 7, 1.2, (0.97, 1.0, 0.95), 0.46, (0.66, 0.90, 1.0), 0.10)
    height = height.astype(np.float32)
    alone = lit(lamp, height - 1.5 * height.max(), normal, albedo, gloss, scale, seed)
    buffer = draw(camera, pieces, 1)
    depth = (camera.distance_mm + camera.plane_mm - height).astype(np.float32)
    seen = buffer.depth < depth
    buffer.specimen[~seen] = 0
    paint(buffer, 1, pieces[0].colours, albedo, gloss, scale)
    height[seen], normal[seen] = buffer.height[seen], buffer.normal[seen]
    together = lit(lamp, height, normal, albedo, gloss, scale, seed)
    away = np.clip((camera.plane_mm - height) / 60.0, 0.0, None)
    # What lies far behind the shell is not darkened by it.
    behind = np.where(seen, 0.0, smoothstep(0.1, 0.9, away))[..., None]
    light = together * (1 - behind) + alone * behind
    light *= caustics(rng, shape, scale)[..., None]
    light = light * np.array([0.78, 0.97, 1.06], np.float32)
    mist = np.where(seen, 0.10, 1.0 - np.exp(-0.55 * away))
    water = _water(shape, scale, rng)
    return (light * (1 - mist[..., None]) + water * mist[..., None]).astype(np.float32)


def _water(shape: tuple[int, int], scale: float, rng: np.random.Generator) -> Field:
    """Return open water: lighter above, with blurred shapes of reef far off."""
    up = np.linspace(1.0, 0.0, shape[0], dtype=np.float32)[:, None]
    tone = linear(10, 62, 96) * (1 - up[..., None]) + linear(58, 150, 182) * up[..., None]
    tone = np.broadcast_to(tone, (*shape, 3)).copy()
    hills = fractal(rng, shape, 70 * scale, 3)
    far = smoothstep(0.1, 0.5, 0.62 - up + 0.10 * hills)[..., None]
    tone = tone * (1 - 0.35 * far)
    rays = smooth(rng, shape, (400 * scale, 16 * scale))
    tone = tone * (1 + 0.06 * rays * up)[..., None]
    specks = smoothstep(3.2, 3.9, smooth(rng, shape, 0.7 * scale))[..., None]
    return (tone + 0.12 * specks).astype(np.float32)


def _normals(relief: Field, scale: float) -> Field:
    down, right = np.gradient(ndimage.gaussian_filter(relief, 0.5) * scale)
    normal = np.stack([-right, down, np.ones_like(relief)], -1)
    return (normal / np.linalg.norm(normal, axis=-1, keepdims=True)).astype(np.float32)
