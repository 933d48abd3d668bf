"""Lines taken up again: what was kept is enough, and only what changes is followed anew."""

from __future__ import annotations

from math import cos, hypot, pi, sin

import numpy as np
import pytest

from landmarks.geometry import Point, distance
from landmarks.instruments.edges import crop_of
from landmarks.instruments.retrace import led_through, moved, taken_up, thinned, without
from landmarks.instruments.trace import Anchor, follow

MIDDLE, RADIUS = 150.0, 90.0


@pytest.fixture(scope="module")
def crop():
    y, x = np.mgrid[0:300, 0:300] + 0.5
    light = np.where(np.hypot(x - MIDDLE, y - MIDDLE) < RADIUS, 210, 40)
    return crop_of(np.repeat(light[..., None], 3, axis=2).astype(np.uint8))


def _on(turn):
    return Point(MIDDLE + RADIUS * cos(turn * 2 * pi), MIDDLE + RADIUS * sin(turn * 2 * pi))


def _off(points):
    return max(abs(hypot(x - MIDDLE, y - MIDDLE) - RADIUS) for x, y in points)


@pytest.fixture(scope="module")
def half(crop):
    return follow(crop, [Anchor(_on(turn)) for turn in (0.0, 0.2, 0.5)])


@pytest.fixture(scope="module")
def ring(crop):
    return follow(crop, [Anchor(_on(k / 4)) for k in range(4)], closed=True)


def test_what_was_kept_is_the_line_again(half, ring):
    for line in (half, ring):
        anchors = [one.point for one in line.anchors]
        again = taken_up(line.points, anchors, closed=line.closed)
        assert again.points == line.points
        assert [one.point for one in again.anchors] == anchors
        assert len(again.legs) == len(line.legs)


def test_a_line_clicked_point_by_point_keeps_its_clicks():
    points = [Point(0, 0), Point(10, 0), Point(10, 10)]
    again = taken_up(points)
    assert again.points == tuple(points)
    assert [one.plain for one in again.anchors] == [False, True, True]


def test_a_long_line_without_clicks_has_its_ends():
    points = [Point(float(k), 0.0) for k in range(100)]
    assert [one.point for one in taken_up(points).anchors] == [points[0], points[-1]]
    assert taken_up(points, closed=True).points == tuple(points)


def test_a_click_beside_joins_the_nearest_leg_exactly(crop, half):
    at = Point(_on(0.1).x + 3, _on(0.1).y)
    led = led_through(crop, half, at)
    assert [one.point for one in led.anchors][1] == at
    assert at in led.points
    assert led.legs[2] == half.legs[1]


@pytest.mark.parametrize(("turn", "place"), [(0.6, -1), (-0.1, 0)])
def test_a_click_beyond_an_end_carries_the_line_on(crop, half, turn, place):
    led = led_through(crop, half, _on(turn))
    assert led.anchors[place].point == _on(turn)
    assert led.points[place] == _on(turn)
    assert len(led.legs) == 3
    assert _off(led.points) < 1.5


def test_an_anchor_moves_with_the_legs_beside_it(crop, half, ring):
    led = moved(crop, half, 1, _on(0.3))
    assert led.anchors[1].point == _on(0.3)
    assert _off(led.points) < 1.5
    led = moved(crop, ring, 0, _on(0.05))
    assert led.points[0] == _on(0.05)
    assert led.legs[1:3] == ring.legs[1:3]
    assert _off(led.points) < 1.5


@pytest.mark.parametrize("index", [0, 1, 2])
def test_a_line_does_without_an_anchor(crop, half, index):
    led = without(crop, half, index)
    assert len(led.anchors) == 2
    assert len(led.legs) == 1
    assert led.points[0] == led.anchors[0].point
    assert led.points[-1] == led.anchors[1].point


@pytest.mark.parametrize("index", [0, 2, 3])
def test_a_closed_line_stays_closed(crop, ring, index):
    led = without(crop, ring, index)
    assert len(led.anchors) == len(led.legs) == 3
    for a, b, part in zip(
        led.anchors, (*led.anchors[1:], led.anchors[0]), led.legs, strict=True
    ):
        assert distance(part[0], a.point) == distance(part[-1], b.point) == 0
    assert without(crop, led, 0) is led


def test_a_long_line_is_kept_with_fewer_points(half):
    thin = thinned(half, 50)
    assert len(thin.points) < 60
    assert thin.anchors == half.anchors
    assert all(one.point in thin.points for one in half.anchors)
    assert thinned(half) is half
