"""Ready-made pictures: a valve from outside, several on a table, a pair from the hinge."""

from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from . import truth
from .block import Block
from .camera import Camera, Pose, turn_x, turn_y, turn_z
from .colours import Colours
from .light import Lamp
from .ruler import Ruler
from .scene import Ligament, Lying, Piece, Scene, draw
from .scutes import ScuteStyle
from .surface import Valve, ValveShape, sizes
from .truth import Rendered

Points = NDArray[np.floating]


@dataclass(frozen=True)
class Specimen:
    """An invented shell: its form, scutes and colours, and what a person would score."""

    shape: ValveShape
    colours: Colours = field(default_factory=Colours)
    scutes: ScuteStyle | None = None
    modelled_on: str = ""
    characters: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Setup:
    """A copy stand: picture width in mm at the ruler, light, ground, ruler.

    *ruler* replaces the one that is laid under the shell; ``no_ruler`` leaves it out.
    """

    field_mm: float = 226.0
    aspect: float = 2 / 3
    distance_mm: float = 900.0
    tilt_deg: tuple[float, float] = (0.0, 0.0)
    ground: str = "felt"
    ground_options: dict[str, object] = field(default_factory=dict)
    ruler: Ruler = field(default_factory=lambda: Ruler((0.0, 0.0)))
    ruler_turn_deg: float = 1.5
    no_ruler: bool = False
    lamp: Lamp = field(default_factory=Lamp)

    def camera(self, width_px: int) -> Camera:
        """Return the camera for a picture of *width_px*."""
        plane = 0.0 if self.no_ruler else self.ruler.top_mm
        return Camera(
            width_px,
            round(width_px * self.aspect),
            width_px / self.field_mm,
            self.distance_mm,
            plane,
            self.tilt_deg,
        )


@dataclass(frozen=True)
class Laid:
    """A valve on the table, outside up, upper margin to the top when not turned."""

    specimen: Specimen
    valve: str = "left"
    turn_deg: float = 0.0
    centre_mm: tuple[float, float] = (0.0, 0.0)


def render_outside(
    parameters: Specimen,
    width_px: int = 1000,
    seed: int = 1,
    setup: Setup | None = None,
    *,
    valve: str = "left",
    turn_deg: float = 0.0,
    centre_mm: tuple[float, float] = (0.0, 10.0),
    oversample: float = 1.0,
) -> Rendered:
    """Return one valve from outside with its exact truth; equal seeds give equal bytes."""
    laid = Laid(parameters, valve, turn_deg, centre_mm)
    made = render_table([laid], width_px, seed, setup, oversample=oversample)
    about = dict(made.truth)
    (frame,) = about.pop("frames")
    return Rendered(made.picture, {**about, **frame})


def render_table(
    laid: list[Laid],
    width_px: int = 1000,
    seed: int = 1,
    setup: Setup | None = None,
    *,
    oversample: float = 1.0,
) -> Rendered:
    """Return several valves on one table; the truth has one of its ``frames`` for each."""
    setup = setup or Setup()
    camera = setup.camera(width_px)
    shells = [_lay(one) for one in laid]
    rulers = () if setup.no_ruler else (_ruler_under(setup, shells),)
    scene = Scene(
        camera,
        tuple((shell,) for shell in shells),
        setup.ground,
        setup.ground_options,
        rulers,
        setup.lamp,
        seed=seed,
    )
    frames = []
    for one, shell in zip(laid, shells, strict=True):
        placed = truth.outside_landmarks(shell.valve, shell.pose)
        frames.append(
            {
                "frame": _frame(camera, (shell,)),
                "view": "outside_of_valve",
                "part": f"{one.valve}_valve",
                "state": {"mantle": "none", "valves": "single"},
                "modelled_on": one.specimen.modelled_on,
                "landmarks": placed.in_picture(camera),
                "landmark_heights_mm": placed.heights(camera.plane_mm),
                "measures": truth.measures(shell.valve),
                "characters": dict(one.specimen.characters),
            }
        )
    return Rendered(
        scene.picture(oversample), {**_about(camera, rulers, seed), "frames": frames}
    )


def render_hinge_edge(
    parameters: Specimen,
    width_px: int = 1000,
    seed: int = 1,
    setup: Setup | None = None,
    *,
    turn_deg: float = 0.0,
    centre_mm: tuple[float, float] = (0.0, 12.0),
    hinge_above_table_mm: float = 62.0,
    block_mm: float = 30.0,
    oversample: float = 1.0,
) -> Rendered:
    """Return a closed pair bedded with its upper margin down, seen from the hinge.

    Right valve towards the top of the picture, ligament end to the right when not turned.
    The ruler lies on a block *block_mm* high, about as high as the ends of the shell.
    """
    setup = setup or Setup(ground="foam")
    setup = replace(setup, ruler=replace(setup.ruler, top_mm=block_mm + 1.5))
    camera = setup.camera(width_px)
    stand = turn_z(np.radians(turn_deg)) @ turn_x(-np.pi / 2)
    shape = replace(parameters.shape, interlocking=True, fold_narrowness=1.0)
    right = Valve(shape, right=True)
    ends = np.stack(right.length_ends()) @ stand.T
    middle = ends.mean(0)
    pose = Pose(
        stand,
        np.array(
            [centre_mm[0] - middle[0], centre_mm[1] - middle[1], hinge_above_table_mm]
        ),
    )
    pieces: tuple[Piece, ...] = (
        *(
            Lying(valve, pose, parameters.colours, parameters.scutes, lip_mm=2.2)
            for valve in (right, Valve(shape, right=False))
        ),
        Ligament(right, pose, parameters.colours),
    )
    lying = _ruler_under(setup, [piece for piece in pieces if isinstance(piece, Lying)])
    half = lying.length_mm / 2
    turn = np.radians(lying.turn_deg)
    along, across = (
        np.array([np.cos(turn), np.sin(turn)]),
        np.array([-np.sin(turn), np.cos(turn)]),
    )
    under = np.array(lying.zero_mm) + half * along - (lying.width_mm / 2 + 1.0) * across
    block = Block(
        tuple(under), (2 * half + 30.0, lying.width_mm + 12.0), block_mm, lying.turn_deg
    )
    scene = Scene(
        camera,
        (pieces,),
        setup.ground,
        setup.ground_options,
        (lying,),
        setup.lamp,
        (block,),
        seed=seed,
    )
    placed = truth.hinge_edge_landmarks(right, pose)
    return Rendered(
        scene.picture(oversample),
        {
            **_about(camera, (lying,), seed),
            "frame": _frame(camera, pieces),
            "view": "hinge_edge",
            "part": "joined_pair",
            "state": {"mantle": "none", "valves": "shut"},
            "modelled_on": parameters.modelled_on,
            "landmarks": placed.in_picture(camera),
            "landmark_heights_mm": placed.heights(camera.plane_mm),
            "measures": truth.measures(right),
            "characters": dict(parameters.characters),
        },
    )


def _about(camera: Camera, rulers: tuple[Ruler, ...], seed: int) -> dict[str, object]:
    about: dict[str, object] = {
        "made": "rendered, invented specimen; not a photograph",
        "width_px": camera.width_px,
        "height_px": camera.height_px,
        "seed": seed,
        "scale": truth.scale(camera),
    }
    if rulers:
        about["ruler"] = truth.ruler(camera, rulers[0])
    return about


def _lay(one: Laid) -> Lying:
    """Lay a valve on the table so that its margin touches it."""
    valve = Valve(one.specimen.shape, right=one.valve == "right")
    over = np.eye(3) if valve.right else turn_y(np.pi)
    turn = turn_z(np.radians(one.turn_deg)) @ over
    margin = valve.margin(1501) @ turn.T
    umbo = (turn @ valve.umbo())[None]
    reach = np.concatenate([margin, umbo])
    middle = (reach.max(0) + reach.min(0)) / 2
    shift = np.array(
        [one.centre_mm[0] - middle[0], one.centre_mm[1] - middle[1], -margin[:, 2].min()]
    )
    return Lying(valve, Pose(turn, shift), one.specimen.colours, one.specimen.scutes)


def _ruler_under(setup: Setup, shells: list[Lying]) -> Ruler:
    """Return the ruler, laid under the lowest shell unless the set-up says where."""
    if setup.ruler.zero_mm != (0.0, 0.0):
        return setup.ruler
    points = np.concatenate([_outer_points(shell) for shell in shells])
    turn = np.radians(setup.ruler_turn_deg)
    half = setup.ruler.length_mm / 2
    low = points[:, 1].min() - 4.0 - abs(np.sin(turn)) * half
    middle = float(np.mean([points[:, 0].min(), points[:, 0].max()]))
    zero = (middle - half * np.cos(turn), low - half * np.sin(turn))
    return replace(setup.ruler, zero_mm=zero, turn_deg=setup.ruler_turn_deg)


def _outer_points(shell: Lying) -> Points:
    """Return a coarse net of world points over a valve."""
    net = shell.valve.grid(np.linspace(0, 1, 241), sizes(shell.valve.shape.growth, 60))
    return shell.pose.place(net.reshape(-1, 3))


def _frame(camera: Camera, pieces: tuple[Piece, ...]) -> list[float]:
    """Return the region (x, y, width, height) in pixels that holds one specimen."""
    small = camera.larger(260.0 / camera.width_px)
    seen = np.nonzero(draw(small, pieces, 1).specimen)
    factor = camera.width_px / small.width_px
    low = np.array([seen[1].min(), seen[0].min()]) * factor - 0.012 * camera.width_px
    high = (
        np.array([seen[1].max() + 1, seen[0].max() + 1]) * factor + 0.012 * camera.width_px
    )
    low = np.clip(low, 0, None)
    high = np.minimum(high, [camera.width_px, camera.height_px])
    return np.round([*low, *(high - low)], 1).tolist()
