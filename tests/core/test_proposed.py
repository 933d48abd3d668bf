"""A traced line for scripts: each click left out in turn tells where the edge is weak."""

import numpy as np
import pytest
from scipy.ndimage import gaussian_filter

from landmarks.geometry import Point
from landmarks.instruments.edges import crop_of
from landmarks.instruments.proposed import propose_trace

MIDDLE = 200.0


@pytest.fixture(scope="module")
def rings():
    """A disc with two rims: a faint one 130 px from its middle, a sharp one 105 px."""
    y, x = np.mgrid[0:400, 0:400] + 0.5
    away = np.hypot(x - MIDDLE, y - MIDDLE)
    light = 200 - 25.0 * (away < 130) - 120.0 * (away < 105)
    light = gaussian_filter(light, 0.8) + np.random.default_rng(2).normal(0, 4, light.shape)
    return crop_of(np.repeat(light.astype(np.uint8)[..., None], 3, axis=2))


def clicks(radii):
    turns = np.linspace(0, 2 * np.pi, len(radii), endpoint=False)
    return [
        Point(MIDDLE + r * np.cos(t), MIDDLE + r * np.sin(t))
        for r, t in zip(radii, turns, strict=True)
    ]


def test_clicks_on_a_rim_settle_it_and_clicks_beside_it_do_not(rings):
    one = propose_trace(rings, clicks([105] * 8), closed=True)
    assert one.settled
    assert len(one.missed_px) == 8
    assert one.sigma_px < 2
    mixed = propose_trace(
        rings, clicks([105, 105, 118, 105, 105, 105, 118, 105]), closed=True
    )
    assert not mixed.settled
    assert max(mixed.missed_px) > 10
    assert mixed.sigma_px > 2 * one.sigma_px


def test_too_few_clicks_to_leave_one_out_settle_nothing(rings):
    few = propose_trace(rings, clicks([105] * 3), closed=True)
    assert few.missed_px == ()
    assert not few.settled
