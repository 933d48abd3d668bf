"""Ready-made pictures: a valve from outside, several on a table."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from . import truth
from .block import Block, block_under
from .camera import Camera, Pose, turn_y, turn_z
from .card import Card
from .colours import Colours
from .interior import Interior
from .light import Lamp
from .ruler import Ruler
from .scene import Lying, Piece, Scene, draw
from .scute_truth import scute_landmarks, scute_marks, scute_measures
from .scutes import ScuteStyle
from .surface import Valve, ValveShape, sizes
from .truth import Placed, Rendered
from .tubes import Tubes

Points = NDArray[np.floating]


@dataclass(frozen=True)
class Specimen:
    """An invented shell: its form, scutes and colours, and what a person would score."""

    shape: ValveShape
    colours: Colours = field(default_factory=Colours)
    scutes: ScuteStyle | None = None
    modelled_on: str = ""
    characters: dict[str, str] = field(default_factory=dict)
    n_tubes: int = 0


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
    """A valve on the table, upper margin to the top when not turned.

    Its *face* towards the camera is its outside or its inside.
    """

    specimen: Specimen
    valve: str = "left"
    turn_deg: float = 0.0
    centre_mm: tuple[float, float] = (0.0, 0.0)
    face: str = "outside"


def render_outside(
    parameters: Specimen,
    width_px: int = 1000,
    seed: int = 1,
    setup: Setup | None = None,
    *,
    valve: str = "left",
    turn_deg: float = 0.0,
    centre_mm: tuple[float, float] = (0.0, 10.0),
    face: str = "outside",
    block_mm: float = 0.0,
    cards: tuple[Card, ...] = (),
    oversample: float = 1.0,
) -> Rendered:
    """Return one valve from outside with its exact truth; equal seeds give equal bytes."""
    laid = Laid(parameters, valve, turn_deg, centre_mm, face)
    made = render_table(
        [laid],
        width_px,
        seed,
        setup,
        block_mm=block_mm,
        cards=cards,
        oversample=oversample,
    )
    about = dict(made.truth)
    (frame,) = about.pop("frames")
    return Rendered(made.picture, {**about, **frame})


def render_table(
    laid: list[Laid],
    width_px: int = 1000,
    seed: int = 1,
    setup: Setup | None = None,
    *,
    block_mm: float = 0.0,
    cards: tuple[Card, ...] = (),
    walls: tuple[Block, ...] = (),
    oversample: float = 1.0,
) -> Rendered:
    """Return several valves on one table; the truth has one of its ``frames`` for each.

    The ruler may lie on a block of *block_mm*; *cards* are labels, *walls* those of a drawer.
    """
    setup = setup or Setup()
    if block_mm:
        setup = replace(setup, ruler=replace(setup.ruler, top_mm=block_mm + 1.5))
    camera = setup.camera(width_px)
    shells = [lay(one) for one in laid]
    gap = 8.0 if block_mm else 4.0
    rulers = () if setup.no_ruler else (ruler_under(setup, shells, gap),)
    blocks = (block_under(rulers[0], block_mm),) if block_mm and rulers else ()
    specimens = [pieces_of(one, shell) for one, shell in zip(laid, shells, strict=True)]
    scene = Scene(
        camera,
        tuple(specimens),
        setup.ground,
        setup.ground_options,
        rulers,
        setup.lamp,
        (*walls, *blocks, *cards),
        seed=seed,
    )
    frames = []
    for one, shell, pieces in zip(laid, shells, specimens, strict=True):
        placed = truth.outside_landmarks(shell.valve, shell.pose)
        outside = one.face == "outside"
        known = truth.measures(shell.valve)
        frames.append(
            {
                "frame": frame_of(camera, pieces),
                "view": f"{one.face}_of_valve",
                "part": f"{one.valve}_valve",
                "state": {"mantle": "none", "valves": "single"},
                "modelled_on": one.specimen.modelled_on,
                "landmarks": placed.in_picture(camera),
                "landmark_heights_mm": placed.heights(camera.plane_mm),
                "measures": {**known, **scute_measures(shell, camera)}
                if outside
                else known,
                **(_more(shell, camera) if outside else {}),
                "characters": dict(one.specimen.characters),
            }
        )
    about = about_picture(camera, rulers, seed)
    if cards:
        about["labels"] = [card.truth(camera) for card in cards]
    return Rendered(scene.picture(oversample), {**about, "frames": frames})


def _more(shell: Lying, camera: Camera) -> dict[str, object]:
    """Return the landmarks that an outside may have besides: margin line, scutes."""
    line = shell.pose.place(shell.valve.between_ends(201))
    placed = Placed({"upper_margin_line": line, **scute_landmarks(shell, camera)})
    return {
        "more_landmarks": placed.in_picture(camera),
        "more_heights_mm": placed.heights(camera.plane_mm),
        **scute_marks(shell, camera),
    }


def about_picture(
    camera: Camera, rulers: tuple[Ruler, ...], seed: int
) -> dict[str, object]:
    """Return what the truth says of the whole picture."""
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


def pieces_of(laid: Laid, shell: Lying) -> tuple[Piece, ...]:
    """Return a valve with its inside, or with the worm tubes that grow on it."""
    if laid.face == "inside":
        return (shell, Interior(shell.valve, shell.pose, shell.colours))
    n = laid.specimen.n_tubes
    return (shell, Tubes(shell.valve, shell.pose, shell.colours, n)) if n else (shell,)


def lay(one: Laid) -> Lying:
    """Lay a valve on the table: on its margin, or on its back with the inside up."""
    valve = Valve(one.specimen.shape, right=one.valve == "right")
    inside = one.face == "inside"
    over = np.eye(3) if valve.right != inside else turn_y(np.pi)
    turn = turn_z(np.radians(one.turn_deg)) @ over
    margin = valve.margin(1501) @ turn.T
    umbo = (turn @ valve.umbo())[None]
    reach = np.concatenate([margin, umbo])
    middle = (reach.max(0) + reach.min(0)) / 2
    low = margin[:, 2].min()
    if inside:
        back = valve.grid(np.linspace(0, 1, 241), sizes(valve.shape.growth, 80)) @ turn.T
        low = min(low, back[..., 2].min())
    shift = np.array([one.centre_mm[0] - middle[0], one.centre_mm[1] - middle[1], -low])
    return Lying(valve, Pose(turn, shift), one.specimen.colours, one.specimen.scutes)


def ruler_under(setup: Setup, shells: Sequence[Lying], gap_mm: float = 4.0) -> Ruler:
    """Return the ruler, laid under the lowest shell unless the set-up says where."""
    if setup.ruler.zero_mm != (0.0, 0.0):
        return setup.ruler
    points = np.concatenate([_outer_points(shell) for shell in shells])
    turn = np.radians(setup.ruler_turn_deg)
    half = setup.ruler.length_mm / 2
    low = points[:, 1].min() - gap_mm - abs(np.sin(turn)) * half
    middle = float(np.mean([points[:, 0].min(), points[:, 0].max()]))
    zero = (middle - half * np.cos(turn), low - half * np.sin(turn))
    return replace(setup.ruler, zero_mm=zero, turn_deg=setup.ruler_turn_deg)


def _outer_points(shell: Lying) -> Points:
    """Return a coarse net of world points over a valve."""
    net = shell.valve.grid(np.linspace(0, 1, 241), sizes(shell.valve.shape.growth, 60))
    return shell.pose.place(net.reshape(-1, 3))


def frame_of(camera: Camera, pieces: tuple[Piece, ...]) -> list[float]:
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
