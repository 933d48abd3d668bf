"""Lengths beside a fitted ruler that leans: ``python -m tests.benchmarks.leaning``.

How often the stated intervals hold the truth, as long as only a hand's tilt is in the doubt,
and with the lean that the drift along the ruler tells. The ruler is fitted without a fault, the
clicks are exact and all lies in one plane: what is left is the lean alone.
"""

from __future__ import annotations

import sys
from dataclasses import replace
from math import cos, hypot, sin

import numpy as np
from numpy.typing import NDArray

from landmarks.geometry import Point
from landmarks.scale import Scale, camera_distance_px, mm_per_px, perspective
from landmarks.units import Quantity, exact, hypotenuse, minus, times
from tests.benchmarks.rates import Rate
from tests.core.shells import MIDDLE, PX_PER_MM, setting

DEGREES = (2, 5, 8, 12, 20, 30)


def report(n: int, stream: int) -> str:
    """Return the figures as Markdown: lengths up to 140 mm, a camera 900 mm away."""
    rows = [
        "| lean along the ruler | error, rms | held, a hand's tilt alone | held, with the lean "
        "| stated doubt |",
        "| --- | --- | --- | --- | --- |",
    ]
    for degrees in DEGREES:
        draw, held, errors, doubts = np.random.default_rng((stream, degrees)), [], [], []
        for _ in range(n):
            truth, lengths = length_beside(draw, np.radians(degrees))
            held.append([abs(one.value - truth) < 1.96 * one.sigma for one in lengths])
            errors.append(lengths[1].value / truth - 1)
            doubts.append(lengths[1].relative)
        without, with_it = (Rate(int(one), n) for one in np.sum(held, axis=0))
        rms, doubt = np.sqrt(np.mean(np.square(errors))), np.median(doubts)
        rows.append(
            f"| {degrees}° | {100 * rms:.2f} % | {without} | {with_it} | {100 * doubt:.2f} % |"
        )
    return "\n".join(rows)


def length_beside(draw: np.random.Generator, lean: float) -> tuple[float, list[Quantity]]:
    """Return a length beside a fitted ruler, as it is told without and with its drift."""
    where = setting()
    camera, way = camera_distance_px(where).value, draw.uniform(0, 2 * np.pi)
    steps = np.outer(np.linspace(-400, 400, 801), (cos(way), sin(way)))
    line = _leaning(draw.uniform(-300, 300, 2) + steps, lean, way, camera)
    local = PX_PER_MM * np.hypot(*np.diff(line, axis=0).T)
    told = {"px_per_mm_ends": [local[0], local[-1]], "line": [line[0], line[-1]]}
    ends = tuple(Point(*line[k]) for k in (360, 440))
    plain = Scale("ruler", ends, 80 / PX_PER_MM, 1e-4, sigma_px=1e-3)
    ground = draw.uniform(-400, 400, (2, 2))
    seen = [Point(*one) for one in _leaning(ground, lean, way, camera)]
    lengths = []
    for scale in (plain, replace(plain, extra={"ruler": told})):
        on = replace(where, scale=scale)
        reference = Point(*np.mean(ends, axis=0))
        (ax, ay), (bx, by) = (perspective(p, on, exact(0, "px"), reference) for p in seen)
        long = hypotenuse(minus(ax, bx), minus(ay, by))
        lengths.append(times(long, mm_per_px(scale, "p"), "mm"))
    return hypot(*(ground[0] - ground[1])) / PX_PER_MM, lengths


def _leaning(
    at: NDArray[np.float64], lean: float, way: float, camera: float
) -> NDArray[np.float64]:
    """Return where a pinhole camera shows places of a plane that leans along a direction."""
    along, across = (cos(way), sin(way)), (-sin(way), cos(way))
    far, beside = at @ along, at @ across
    larger = camera / (camera - far * sin(lean))
    return (
        MIDDLE
        + np.outer(far * cos(lean) * larger, along)
        + np.outer(beside * larger, across)
    )


if __name__ == "__main__":
    n, stream = (int(one) for one in sys.argv[1:3] or ("1000", "1"))
    print(report(n, stream))  # noqa: T201 - this is what the command is for
