"""What is exactly so in a rendered picture: landmarks, measures, scale."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .camera import Camera, Pose
from .ruler import Ruler
from .surface import Valve

Points = NDArray[np.floating]


@dataclass(frozen=True)
class Rendered:
    """A picture (h, w, 3) of eight bits and the truth about it, ready for JSON."""

    picture: NDArray[np.uint8]
    truth: dict[str, object]


@dataclass(frozen=True)
class Placed:
    """Named points of one specimen in the world: a point (3,) or several (n, 3)."""

    points: dict[str, Points]

    def in_picture(self, camera: Camera) -> dict[str, object]:
        """Return the picture positions, rounded to a thousandth of a pixel."""
        return {
            key: _rounded(camera.project(point)[0]) for key, point in self.points.items()
        }

    def heights(self, plane_mm: float) -> dict[str, object]:
        """Return how far each point stands above the plane of the ruler, in mm."""
        return {
            key: _rounded(point[..., 2] - plane_mm) for key, point in self.points.items()
        }


def outside_landmarks(valve: Valve, pose: Pose) -> Placed:
    """Return the landmarks of the outside of a valve."""
    byssal, ligament = valve.length_ends()
    hinge_byssal, hinge_ligament = valve.hinge()
    main, ends = valve.fold_tops()
    shell = {
        "byssal_end": byssal,
        "ligament_end": ligament,
        "umbo": valve.umbo(),
        "upper_margin": valve.upper_margin(),
        "hinge_byssal": hinge_byssal,
        "hinge_ligament": hinge_ligament,
        "main_folds": valve.points(main, np.ones(main.size)),
        "end_folds": valve.points(ends, np.ones(ends.size)),
    }
    return Placed({key: pose.place(point) for key, point in shell.items()})


def hinge_edge_landmarks(valve: Valve, pose: Pose) -> Placed:
    """Return the landmarks of a closed pair seen from the hinge, between the valves."""
    byssal, ligament = valve.length_ends()
    hinge_byssal, hinge_ligament = valve.hinge()
    near, far = valve.points(np.array(valve.byssal_opening()), np.ones(2))
    shell = {
        "byssal_end": byssal,
        "ligament_end": ligament,
        "hinge_byssal": hinge_byssal,
        "hinge_ligament": hinge_ligament,
        "byssal_opening_hinge": near,
        "byssal_opening_far": far,
    }
    return Placed({key: pose.place(point) for key, point in shell.items()})


def measures(valve: Valve) -> dict[str, object]:
    """Return the measures of a valve as the definitions of the project have them."""
    byssal, ligament = valve.length_ends()
    along, up = valve.axes()
    umbo = valve.umbo()
    length = float(np.linalg.norm(ligament - byssal))
    height = float((valve.upper_margin() - umbo) @ up)
    hinge = float(np.linalg.norm(np.subtract(*valve.hinge())))
    near, far = valve.points(np.array(valve.byssal_opening()), np.ones(2))
    main, ends = valve.fold_tops()
    opening = float(np.linalg.norm(near - far)) if valve.shape.byssal_opening_width else 0.0
    return {
        "shell_length_mm": round(length, 4),
        "shell_height_mm": round(height, 4),
        "hinge_line_mm": round(hinge, 4),
        "hinge_ratio": round(hinge / length, 5),
        "height_ratio": round(height / length, 5),
        "umbo_position": round(float((umbo - byssal) @ along) / length, 5),
        "main_folds": int(main.size),
        "end_folds": int(ends.size),
        "byssal_opening_length_mm": round(opening, 4),
    }


def scale(camera: Camera) -> dict[str, object]:
    """Return the scale in the plane of the ruler and where the camera stands."""
    return {
        "px_per_mm": round(camera.px_per_mm, 6),
        "plane": "upper face of the ruler",
        "plane_above_table_mm": round(camera.plane_mm, 4),
        "camera_distance_mm": round(camera.distance_mm, 3),
        "tilt_deg": list(camera.tilt_deg),
    }


def ruler(camera: Camera, lying: Ruler) -> dict[str, object]:
    """Return the two ends of the graduation and the length between them."""
    return {"ends": _rounded(lying.ends(camera)), "length_mm": lying.length_mm}


def _rounded(values: Points) -> object:
    return np.round(np.asarray(values, float), 3).tolist()
