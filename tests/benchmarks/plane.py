"""Lengths by four clicked points around them: ``python -m tests.benchmarks.plane``.

By the instrument alone, and through the whole flow from placings to the measures of a valve
whose landmarks lie as high above the plane as they usually do.
"""

from __future__ import annotations

import sys
from math import dist

import numpy as np

from landmarks.assessment import measure_rows
from landmarks.collection import Camera as Known
from landmarks.collection import Picture
from landmarks.geometry import Point
from landmarks.instruments.plane import Plane, plane_of, scale_of
from landmarks.picture import PictureFile
from landmarks.placing import Placing
from landmarks.scheme import VIEWS
from landmarks.specimen import Frame, Specimen
from tests.benchmarks.rates import Rate
from tests.rendering.camera import Camera

FRAME = np.array([[-100, 90], [100, 90], [100, -90], [-100, -90]], float)
SIGMA_PX = 1.5


def report(n: int, stream: int) -> str:
    """Return the figures as Markdown: a frame of 200 x 180 mm, 600 mm away, 8 px/mm."""
    rows = [
        "| tilt, any direction | rms | p95 | within 95 % as stated |",
        "| --- | --- | --- | --- |",
    ]
    for degrees in (0, 10, 20, 30):
        hand = np.random.default_rng((stream, degrees))
        off = np.array([_trial(degrees, hand) for _ in range(n)])
        held = Rate(int((abs(off[:, 0]) < 1.96 * off[:, 1]).sum()), n)
        rms, p95 = np.sqrt((off[:, 0] ** 2).mean()), np.quantile(abs(off[:, 0]), 0.95)
        rows.append(f"| {degrees}° | {100 * rms:.3f} % | {100 * p95:.3f} % | {held} |")
    return "\n".join(rows)


def _trial(degrees: float, hand: np.random.Generator) -> tuple[float, float]:
    """Return error and stated doubt of a length of 120 mm, as shares."""
    about, turn = hand.uniform(0, 2 * np.pi, 2)
    tilt = (degrees * np.cos(about), degrees * np.sin(about))
    camera = Camera(2400, 2000, 8.0, 600.0, 0.0, tilt)
    half = 60 * np.array([np.cos(turn), np.sin(turn)])
    ends = np.array([-half, half]) + hand.uniform(-15, 15, 2)
    clicked = _seen(camera, FRAME) + SIGMA_PX * hand.standard_normal((4, 2))
    plane = plane_of([Point(*p) for p in clicked.tolist()], 200.0, 180.0, sigma_share=0.0)
    if not isinstance(plane, Plane):
        raise TypeError("a frame is a plane")
    first, second = (Point(*p) for p in _seen(camera, ends).tolist())
    found = plane.length_mm(first, second)
    return found.value / dist(*ends) - 1, found.relative


VALVE = {
    "byssal_end": (60.0, 5.0),
    "ligament_end": (-60.0, -2.0),
    "umbo": (8.0, -45.0),
    "upper_margin": (0.0, 40.0),
}
"""Places over the plane in mm: a valve of 120 mm."""


def flow(n: int, stream: int) -> str:
    """Return the figures of the whole flow as Markdown: shell length and height ratio."""
    rows = [
        "| tilt, any direction | distance of the camera | length rms | within 95 % as stated"
        " | height ratio rms | length rms, landmarks clicked too |",
        "| --- | --- | --- | --- | --- | --- |",
    ]
    for degrees in (0, 10, 20, 30):
        for told in (True, False):
            hand = np.random.default_rng((stream, degrees, told, 9))
            off = np.array([_flow_trial(degrees, told, hand, 0.0) for _ in range(n)])
            hand = np.random.default_rng((stream, degrees, told, 10))
            clicked = np.array(
                [_flow_trial(degrees, told, hand, SIGMA_PX) for _ in range(n)]
            )
            held = Rate(int((abs(clicked[:, 0]) < 1.96 * clicked[:, 1]).sum()), n)
            rms = [
                100 * np.sqrt((one**2).mean())
                for one in (off[:, 0], off[:, 2], clicked[:, 0])
            ]
            rows.append(
                f"| {degrees}° | {'told' if told else 'unknown'} | {rms[0]:.3f} % | {held} |"
                f" {rms[1]:.3f} % | {rms[2]:.3f} % |"
            )
    return "\n".join(rows)


def _flow_trial(
    degrees: float, told: bool, hand: np.random.Generator, sigma_px: float
) -> tuple[float, float, float]:
    """Return error and doubt of the length, and the error of the height ratio, as shares."""
    about = hand.uniform(0, 2 * np.pi)
    tilt = (degrees * np.cos(about), degrees * np.sin(about))
    camera = Camera(2400, 2000, 8.0, 600.0, 0.0, tilt)
    clicked = _seen(camera, FRAME) + SIGMA_PX * hand.standard_normal((4, 2))
    plane = plane_of([Point(*p) for p in clicked.tolist()], 200.0, 180.0)
    if not isinstance(plane, Plane):
        raise TypeError("a frame is a plane")
    view = VIEWS["outside_of_valve"]
    length = dist(VALVE["byssal_end"], VALVE["ligament_end"])
    placings = []
    for key, (x, y) in VALVE.items():
        row = view.landmark(key)
        solid = np.array([x, y, row.height * length if row else 0.0])
        at = camera.project(solid)[0] + sigma_px * hand.standard_normal(2)
        placings.append(Placing(key, "f", key, (Point(*at.tolist()),)))
    file = PictureFile("0" * 64, 1, 2400, 2000)
    known = Known(distance_mm=600.0 if told else None)
    picture = Picture("p", "p.jpg", file, scale_of(plane), known)
    frame = Frame("f", "p", view.key, valves="single")
    specimen = Specimen("s", frames=(frame,), placings=tuple(placings))
    found = {row.key: row.value for row in measure_rows(specimen, {"p": picture})}
    axis = np.subtract(VALVE["byssal_end"], VALVE["ligament_end"])
    arm = np.subtract(VALVE["upper_margin"], VALVE["umbo"])
    ratio = abs(axis[0] * arm[1] - axis[1] * arm[0]) / length**2
    mine, high = found["shell_length"], found["height_ratio"]
    if mine is None or high is None:
        raise ValueError("a valve has a length")
    return mine.value / length - 1, mine.relative, high.value / ratio - 1


def _seen(camera: Camera, places: np.ndarray) -> np.ndarray:
    return camera.project(np.column_stack([places, np.zeros(len(places))]))[0]


if __name__ == "__main__":
    wanted = [int(word) for word in sys.argv[1:]] or [300, 1]
    sys.stdout.write(report(*wanted) + "\n\n" + flow(*wanted) + "\n")
