"""Pictures of a closed pair: from the hinge, from above, from below and from one end."""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from . import truth
from .block import block_under
from .camera import Pose, turn_x, turn_z
from .scene import Ligament, Lying, Piece, Scene
from .surface import Valve
from .truth import Placed, Rendered
from .views import Setup, Specimen, about_picture, frame_of, ruler_under

Points = NDArray[np.floating]


@dataclass(frozen=True)
class Pair:
    """Two valves of one shell that stand together; the left one may be spread by *spread*."""

    specimen: Specimen
    right: Valve
    left: Valve
    spread_mm: float = 0.0

    @classmethod
    def of(cls, specimen: Specimen) -> "Pair":
        """Return the pair of a specimen, closed as far as its margins allow."""
        shape = replace(specimen.shape, interlocking=True, fold_narrowness=1.0)
        right, left = Valve(shape, right=True), Valve(shape, right=False)
        if not shape.mirrored:
            return cls(replace(specimen, shape=shape), right, left)
        _, gap, _ = truth.along_the_pair(right.between_ends(2001), left.between_ends(2001))
        return cls(replace(specimen, shape=shape), right, left, float(-gap.min()))

    def left_points(self, points: Points) -> Points:
        """Return points of the left valve in the frame of the pair."""
        return points - [0.0, 0.0, self.spread_mm]

    def pieces(self, pose: Pose) -> tuple[Piece, ...]:
        """Return the pair and its ligament as they stand."""
        # The thickness of the margins only shows where the pair is open.
        open_ = self.right.shape.mirrored or self.right.shape.byssal_opening_width
        lip_mm = 2.2 if open_ else 0.0
        aside = Pose(pose.turn, pose.shift - pose.turn @ [0.0, 0.0, self.spread_mm])
        colours, scutes = self.specimen.colours, self.specimen.scutes
        return (
            Lying(self.right, pose, colours, scutes, lip_mm=lip_mm),
            Lying(self.left, aside, colours, scutes, lip_mm=lip_mm),
            Ligament(self.right, pose, colours),
        )

    def margins(self, n: int = 161) -> tuple[Points, Points]:
        """Return the margins (n, 3) of right and left from the byssal to the ligament end."""
        return self.right.between_ends(n), self.left_points(self.left.between_ends(n))

    def scene(
        self, pose: Pose, setup: Setup, width_px: int, seed: int, block_mm: float
    ) -> tuple[Scene, tuple[Piece, ...]]:
        """Return the pair on its ground, the ruler on a block *block_mm* high beside it."""
        pieces = self.pieces(pose)
        shells = [piece for piece in pieces if isinstance(piece, Lying)]
        # The block reaches five millimetres farther than the ruler on it.
        lying = ruler_under(setup, shells, 8.0 if block_mm else 4.0)
        scene = Scene(
            setup.camera(width_px),
            (pieces,),
            setup.ground,
            setup.ground_options,
            (lying,),
            setup.lamp,
            (block_under(lying, block_mm),) if block_mm else (),
            seed=seed,
        )
        return scene, pieces

    def measures(self) -> dict[str, object]:
        """Return all measures that two valves together have."""
        right, left = self.margins(4001)
        width = self.right.depth()[0] + self.left.depth()[0] + self.spread_mm
        length = self.right.shape.length_mm
        opening = truth.byssal_opening(self.right, self.spread_mm)
        fit, gaps = truth.margin_fit(right, left), truth.gaps(right, left)[1]
        return {
            **truth.measures(self.right),
            **opening,
            "byssal_width_ratio": round(opening["byssal_opening_width_mm"] / length, 5),
            "byssal_area_ratio": round(opening["byssal_opening_area_mm2"] / length**2, 6),
            "shell_width_mm": round(width, 4),
            "width_ratio": round(width / length, 5),
            **fit,
            "fold_relief": round(2 * fit["fold_amplitude_mm"] / length, 5),
            **gaps,
            "gap_area_share": round(gaps["gap_area_mm2"] / length**2, 6),
        }


def stand(view: str, pair: Pair, turn_deg: float) -> Points:
    """Return the turn (3, 3) that shows a pair from one of its sides.

    From the hinge the right valve lies towards the top of the picture, from above towards its
    bottom; from below the byssal opening lies level; in an end view, which looks at the
    byssal end, the right valve lies to the right.
    """
    turn = turn_z(np.radians(turn_deg))
    if view == "upper_margin":
        return turn @ turn_x(np.pi / 2)
    if view == "end":
        return turn @ np.array([[0.0, 0.0, 1.0], [0.0, 1.0, 0.0], [-1.0, 0.0, 0.0]])
    roll = np.eye(3)
    if view == "underside":
        near, far = pair.right.points(np.array(pair.right.byssal_opening()), np.ones(2))
        roll = turn_z(-np.arctan2(near[1] - far[1], near[0] - far[0]))
    return turn @ turn_x(-np.pi / 2) @ roll


def render_pair(
    parameters: Specimen,
    view: str = "hinge_edge",
    width_px: int = 1000,
    seed: int = 1,
    setup: Setup | None = None,
    *,
    turn_deg: float = 0.0,
    centre_mm: tuple[float, float] = (0.0, 12.0),
    ends_above_table_mm: float = 40.0,
    block_mm: float = 30.0,
    oversample: float = 1.0,
) -> Rendered:
    """Return a closed pair bedded in foam, seen from one side, with its exact truth.

    The ruler lies on a block *block_mm* high; *ends_above_table_mm* is the height of the
    middle between the two ends of the shell.
    """
    setup = setup or Setup(ground="foam")
    top = block_mm + 1.5 if block_mm else setup.ruler.top_mm
    setup = replace(setup, ruler=replace(setup.ruler, top_mm=top))
    pair = Pair.of(parameters)
    turn = stand(view, pair, turn_deg)
    middle = np.stack(pair.right.length_ends()).mean(0)
    if view == "end":
        middle = pair.right.upper_margin() / 2
    goal = np.array([*centre_mm, ends_above_table_mm])
    pose = Pose(turn, goal - turn @ middle)
    scene, pieces = pair.scene(pose, setup, width_px, seed, block_mm)
    camera = scene.camera
    placed = Placed({key: pose.place(at) for key, at in _LANDMARKS[view](pair).items()})
    outlines = truth.gaps(*pair.margins(4001))[0] if view == "upper_margin" else None
    marks, heights = placed.in_picture(camera), placed.heights(camera.plane_mm)
    if outlines is not None:
        gaps = [Placed({"gap": pose.place(outline)}) for outline in outlines]
        marks["gap"] = [gap.in_picture(camera)["gap"] for gap in gaps]
        heights["gap"] = [gap.heights(camera.plane_mm)["gap"] for gap in gaps]
    return Rendered(
        scene.picture(oversample),
        {
            **about_picture(camera, scene.rulers, seed),
            "frame": frame_of(camera, pieces),
            "view": view,
            "part": "joined_pair",
            "state": {"mantle": "none", "valves": "shut"},
            "turn_deg": turn_deg,
            "modelled_on": parameters.modelled_on,
            "landmarks": marks,
            "landmark_heights_mm": heights,
            "measures": pair.measures(),
            "characters": dict(parameters.characters),
        },
    )


def _hinge_edge(pair: Pair) -> dict[str, Points]:
    byssal, ligament = pair.right.length_ends()
    hinge_byssal, hinge_ligament = pair.right.hinge()
    near, far = pair.right.points(np.array(pair.right.byssal_opening()), np.ones(2))
    return {
        "byssal_end": byssal,
        "ligament_end": ligament,
        "hinge_byssal": hinge_byssal,
        "hinge_ligament": hinge_ligament,
        "byssal_opening_hinge": near,
        "byssal_opening_far": far,
    }


def _upper_margin(pair: Pair) -> dict[str, Points]:
    byssal, ligament = pair.right.length_ends()
    right, left = pair.margins()
    main, _ = pair.right.fold_tops()
    return {
        "byssal_end": byssal,
        "ligament_end": ligament,
        "margin_left": left,
        "margin_right": right,
        "main_folds": pair.right.points(main, np.ones(main.size)),
    }


def _underside(pair: Pair) -> dict[str, Points]:
    byssal, ligament = pair.right.length_ends()
    shell = {"byssal_end": byssal, "ligament_end": ligament}
    if not pair.right.shape.byssal_opening_width:
        return shell
    right, left = truth.opening_edges(pair.right)
    left = pair.left_points(left)
    widest = int(np.argmax(right[:, 2] - left[:, 2]))
    return {
        **shell,
        "byssal_opening": np.concatenate([right, left[-2:0:-1]]),
        "byssal_opening_hinge": right[-1],
        "byssal_opening_far": right[0],
        "opening_width_a": left[widest],
        "opening_width_b": right[widest],
    }


def _end(pair: Pair) -> dict[str, Points]:
    return {
        "width_left": pair.left_points(pair.left.depth()[1]),
        "width_right": pair.right.depth()[1],
        "umbo": pair.right.umbo(),
        "upper_margin": pair.right.upper_margin(),
    }


_LANDMARKS: dict[str, Callable[[Pair], dict[str, Points]]] = {
    "hinge_edge": _hinge_edge,
    "upper_margin": _upper_margin,
    "underside": _underside,
    "end": _end,
}
