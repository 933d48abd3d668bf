"""Lengths by four clicked points around them: ``python -m tests.benchmarks.plane``."""

from __future__ import annotations

import sys
from math import dist

import numpy as np

from landmarks.geometry import Point
from landmarks.instruments.plane import Plane, plane_of
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


def _seen(camera: Camera, places: np.ndarray) -> np.ndarray:
    return camera.project(np.column_stack([places, np.zeros(len(places))]))[0]


if __name__ == "__main__":
    wanted = [int(word) for word in sys.argv[1:]] or [300, 1]
    sys.stdout.write(report(*wanted) + "\n")
