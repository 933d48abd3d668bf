"""The scutes of the middle main fold: where they are in the picture, and their spacing."""

import numpy as np
from numpy.typing import NDArray

from .camera import Camera
from .scene import Lying
from .scutes import Scute, scutes

Points = NDArray[np.floating]

AT_HEIGHT = 2 / 3
"""Share of the way from umbo to margin where spacing is compared with width."""


def middle_scutes(shell: Lying) -> list[Scute]:
    """Return the scutes of the middle main fold, from the umbo to the margin."""
    if shell.scutes is None:
        return []
    main, ends = shell.valve.fold_tops()
    middle = int(
        np.searchsorted(np.sort(np.concatenate([main, ends])), main[main.size // 2])
    )
    every = scutes(shell.valve, shell.scutes, 2.0)
    return [scute for scute in every if scute.fold == middle]


def scute_marks(shell: Lying, camera: Camera) -> dict[str, object]:
    """Return left edge, right edge and top of each of them in pixels, and heights in mm.

    Left and right are the outermost points as the picture shows them, seen with the margin
    above; the top is the middle of the rim.
    """
    rows = []
    for scute in middle_scutes(shell):
        world = shell.pose.place(np.stack(_marks(shell, scute, camera)))
        pixels = camera.project(world)[0]
        names = ("left", "right", "top")
        rows.append(
            {
                **{
                    name: np.round(at, 3).tolist()
                    for name, at in zip(names, pixels, strict=True)
                },
                "heights_mm": np.round(world[:, 2] - camera.plane_mm, 3).tolist(),
                "broken": scute.broken,
            }
        )
    return {"middle_fold_scutes": rows}


def scute_landmarks(shell: Lying, camera: Camera) -> dict[str, Points]:
    """Return the tops of all of them and the edges of the one at two thirds, in the world."""
    found = middle_scutes(shell)
    if not found:
        return {}
    world = np.array(
        [shell.pose.place(np.stack(_marks(shell, one, camera))) for one in found]
    )
    nearest = int(np.argmin(abs(_share(shell, world[:, 2]) - AT_HEIGHT)))
    return {
        "scutes": world[:, 2],
        "scute_left": world[nearest, 0],
        "scute_right": world[nearest, 1],
    }


def scute_measures(shell: Lying, camera: Camera) -> dict[str, object]:
    """Return count, width and gap at two thirds of the height, and growth of the spacing.

    Lengths in millimetres are those of the shell itself, in space; the two ratios are those
    of the valve seen square, as a picture can tell them.
    """
    marks = scute_landmarks(shell, camera)
    if not marks:
        return {"scute_count": 0}
    tops = marks["scutes"]
    answer: dict[str, object] = {"scute_count": len(tops)}
    if len(tops) < 2:
        return answer
    share = _share(shell, tops)
    first = int(np.argmin(abs((share[1:] + share[:-1]) / 2 - AT_HEIGHT)))
    gap = tops[first + 1] - tops[first]
    width = marks["scute_right"] - marks["scute_left"]
    away = np.linalg.norm((tops - shell.pose.place(shell.valve.umbo()))[:, :2], axis=1)
    return {
        **answer,
        "scute_width_mm": round(float(np.linalg.norm(width)), 4),
        "scute_gap_mm": round(float(np.linalg.norm(gap)), 4),
        "scute_gap": round(float(np.hypot(*gap[:2]) / np.hypot(*width[:2])), 5),
        "scute_growth": round(float(np.median(away[1:] / away[:-1] - 1.0)), 5),
    }


def _share(shell: Lying, tops: Points) -> Points:
    """Return how far from umbo to upper margin points of the world lie, seen square."""
    umbo, margin = (
        shell.pose.place(at) for at in (shell.valve.umbo(), shell.valve.upper_margin())
    )
    away = np.linalg.norm((tops - umbo)[:, :2], axis=1)
    return away / np.hypot(*(margin - umbo)[:2])


def _marks(shell: Lying, scute: Scute, camera: Camera) -> tuple[Points, Points, Points]:
    """Return left edge, right edge and top of one scute in the frame of the shell."""
    flat = scute.points.reshape(-1, 3)
    pixels = camera.project(shell.pose.place(flat))[0]
    foot = camera.project(shell.pose.place(scute.points[0, [0, -1]]))[0]
    tip = scute.points[-1, scute.points.shape[1] // 2]
    ends = np.stack([shell.valve.umbo(), _fold_end(shell)])
    grown = camera.project(shell.pose.place(ends))[0]
    aside = (foot[1] - foot[0]) / np.linalg.norm(foot[1] - foot[0])
    up = grown[1] - grown[0]
    # In a picture y runs down: with the margin above, right is where the turn is positive.
    if up[0] * aside[1] - up[1] * aside[0] < 0:
        aside = -aside
    return flat[np.argmin(pixels @ aside)], flat[np.argmax(pixels @ aside)], tip


def _fold_end(shell: Lying) -> Points:
    main = shell.valve.fold_tops()[0]
    return shell.valve.points(main[main.size // 2], np.ones(()))
