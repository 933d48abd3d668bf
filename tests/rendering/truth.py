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


def measures(valve: Valve) -> dict[str, object]:
    """Return the measures of a valve as the definitions of the project have them."""
    byssal, ligament = valve.length_ends()
    along, up = valve.axes()
    umbo = valve.umbo()
    length = float(np.linalg.norm(ligament - byssal))
    height = float((valve.upper_margin() - umbo) @ up)
    hinge = float(np.linalg.norm(np.subtract(*valve.hinge())))
    hinge_byssal, hinge_ligament = valve.hinge()
    axis = (hinge_ligament - hinge_byssal) / hinge
    across = np.cross([0.0, 0.0, 1.0], axis)
    margin = valve.margin()
    main, ends = valve.fold_tops()
    return {
        "shell_length_mm": round(length, 4),
        "shell_height_mm": round(height, 4),
        "hinge_line_mm": round(hinge, 4),
        "hinge_ratio": round(hinge / length, 5),
        "height_ratio": round(height / length, 5),
        "hinge_angle_deg": round(_angle_deg(axis, along), 4),
        "umbo_position": round(float((umbo - byssal) @ along) / length, 5),
        "axis_length_mm": round(float(np.ptp(margin @ axis)), 4),
        "axis_height_mm": round(float(((margin - umbo) @ across).max()), 4),
        "main_folds": int(main.size),
        "end_folds": int(ends.size),
        **byssal_opening(valve),
    }


def _angle_deg(first: Points, second: Points) -> float:
    """Return the angle of two directions in the plane where the valves meet."""
    turned = first[0] * second[1] - first[1] * second[0]
    return float(np.degrees(abs(np.arctan2(turned, first[:2] @ second[:2]))))


def byssal_opening(valve: Valve, spread_mm: float = 0.0) -> dict[str, float]:
    """Return length, width and area of the byssal opening of the closed pair, in mm.

    The width is the widest gap between the two valves; the area is that of the opening seen
    square to its length.
    """
    near, far = valve.points(np.array(valve.byssal_opening()), np.ones(2))
    open_ = bool(valve.shape.byssal_opening_width)
    length = float(np.linalg.norm(near - far)) if open_ else 0.0
    width = area = 0.0
    if open_:
        right, left = opening_edges(valve)
        chord = (near - far) / length
        gaps = right[:, 2] - left[:, 2] + spread_mm
        width = float(gaps.max())
        way = (right + left) @ chord / 2
        area = float(np.sum((gaps[1:] + gaps[:-1]) / 2 * abs(np.diff(way))))
    whole = valve.shape.length_mm
    return {
        "byssal_opening_length_mm": round(length, 4),
        "byssal_opening_width_mm": round(width, 4),
        "byssal_opening_area_mm2": round(area, 3),
        "byssal_ratio": round(length / whole, 5),
    }


def opening_edges(valve: Valve, n: int = 121) -> tuple[Points, Points]:
    """Return the edges (n, 3) of the byssal opening, right and left, from the far end.

    Valves that do not interlock are mirror images of each other.
    """
    line, margin = np.linspace(valve.shape.byssal_opening_from, 1.0, n), np.ones(n)
    edge = valve.points(line, margin)
    if valve.shape.interlocking:
        other = Valve(valve.shape, right=not valve.right).points(line, margin)
    else:
        other = edge * [1.0, 1.0, -1.0]
    return (edge, other) if valve.right else (other, edge)


def margin_fit(right: Points, left: Points) -> dict[str, float]:
    """Return how the margins (n, 3) of two valves fit, seen from above the upper margin.

    The fit is the rms separation of the two margin lines, after its mean and slope are
    removed, over the amplitude of the folds: the square root of two times the rms of the two
    lines about straight ones, so that equal waves that mirror each other fit to the square
    root of two, and waves that follow each other to zero.  A fiftieth of the length at each
    end, where both lines run into one corner, does not count.
    """
    x, gap, lines = along_the_pair(right, left)
    inner = slice(len(x) // 50, -(len(x) // 50))
    x, gap, lines = x[inner], gap[inner], (lines[0][inner], lines[1][inner])
    apart = _about_a_line(x, gap)
    swing = np.sqrt(np.mean([_about_a_line(x, line) ** 2 for line in lines]))
    amplitude = float(np.sqrt(2.0) * swing)
    return {
        "margin_fit": round(float(np.sqrt(np.mean(apart**2))) / amplitude, 4),
        "fold_amplitude_mm": round(amplitude, 4),
    }


def gaps(
    right: Points, left: Points, least_mm: float = 0.2
) -> tuple[list[Points], dict[str, float]]:
    """Return the outlines of the gaps between two margins, their share and their area.

    A gap is wherever the margins are more than *least_mm* apart; its share is taken along
    the shell.
    """
    x, gap, (upper, lower) = along_the_pair(right, left)
    wide = np.concatenate([[False], gap > least_mm, [False]])
    starts = np.flatnonzero(wide[1:] & ~wide[:-1])
    stops = np.flatnonzero(wide[:-1] & ~wide[1:])
    levels = [
        np.interp(x, *line[np.argsort(line[:, 0])][:, [0, 1]].T) for line in (right, left)
    ]
    outlines, length, area = [], 0.0, 0.0
    for start, stop in zip(starts, stops, strict=True):
        if x[stop - 1] - x[start] < 0.5:
            continue
        n = max(8, min(160, (stop - start) // 12))
        at = np.unique(np.linspace(start, stop - 1, n).astype(int))
        first = np.column_stack([x[at], levels[0][at], upper[at]])
        second = np.column_stack([x[at], levels[1][at], lower[at]])
        outlines.append(np.concatenate([first, second[::-1]]))
        length += float(x[stop - 1] - x[start])
        area += float(np.trapezoid(gap[start:stop], x[start:stop]))
    return outlines, {
        "gap_length_share": round(length / float(x[-1] - x[0]), 5),
        "gap_area_mm2": round(area, 3),
        "n_gaps": len(outlines),
    }


def along_the_pair(
    right: Points, left: Points, n: int = 4001
) -> tuple[Points, Points, tuple[Points, Points]]:
    """Return places along the hinge axis, the gap there, and both margins across it."""
    low = max(line[:, 0].min() for line in (right, left))
    high = min(line[:, 0].max() for line in (right, left))
    x = np.linspace(low, high, n)
    upper, lower = (
        np.interp(x, *line[np.argsort(line[:, 0])][:, [0, 2]].T) for line in (right, left)
    )
    return x, upper - lower, (upper, lower)


def _about_a_line(x: Points, values: Points) -> Points:
    return values - np.polyval(np.polyfit(x, values, 1), x)


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


def camera_of(truth: dict[str, object]) -> Camera:
    """Return the camera that took a picture, as its truth tells it."""
    scale = truth["scale"]
    return Camera(
        truth["width_px"],
        truth["height_px"],
        scale["px_per_mm"],
        scale["camera_distance_mm"],
        scale["plane_above_table_mm"],
        tuple(scale["tilt_deg"]),
    )
