"""Series: whatever the order of clicking, the guide decides; scutes are pairs of edges."""

from math import cos, hypot, pi, sin
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pytest import approx

from landmarks.geometry import Point, turned
from landmarks.instruments.series import (
    Scute,
    beside,
    gaps,
    ordered,
    place_of,
    scutes_of,
)

ARC = tuple(
    Point(500 + 400 * cos(a), 500 - 400 * sin(a)) for a in (pi * k / 60 for k in range(61))
)
"""A mantle edge: half a circle from the right over the top to the left."""


def on_arc(share, off=0.0):
    radius = 400 + off
    return Point(500 + radius * cos(pi * share), 500 - radius * sin(pi * share))


@given(st.permutations(range(12)), st.integers(0, 2**30))
def test_points_come_out_in_the_order_of_the_guide(order, seed):
    chance = Random(seed)
    eyes = [on_arc((k + 0.5) / 12, chance.uniform(-25, 25)) for k in range(12)]
    assert ordered([eyes[k] for k in order], ARC) == tuple(eyes)


def test_without_a_guide_the_order_of_clicking_stands():
    points = (Point(5, 5), Point(1, 1), Point(3, 3))
    assert ordered(points) == points
    assert place_of(points, Point(0, 0)) == 3


def test_a_forgotten_point_joins_where_it_belongs():
    eyes = [on_arc(share) for share in (0.1, 0.3, 0.7, 0.9)]
    assert place_of(eyes, on_arc(0.5, 8), ARC) == 2
    assert place_of(eyes, on_arc(0.05), ARC) == 0
    assert place_of(eyes, on_arc(0.95), ARC) == 4


def test_a_guide_goes_on_straight_beyond_its_ends():
    guide = (Point(0, 0), Point(100, 0))
    assert beside(guide, Point(-20, 5)).along == approx(-20)
    assert beside(guide, Point(130, -5)).along == approx(130)
    assert beside(guide, Point(130, -5)).aside == approx(-5)


@given(st.floats(0, 6.28), st.floats(0.02, 0.98), st.floats(-30, 30))
def test_places_do_not_turn_with_the_picture(angle, share, off):
    point, about = on_arc(share, off), Point(310, 220)
    plain = beside(ARC, point)
    there = beside(turned(ARC, angle, about), turned([point], angle, about)[0])
    # Inside the bend of a corner two legs are equally near: rounding chooses between places
    # that lie 30 px times the turn of a corner apart.
    assert there.along == approx(plain.along, abs=30 * pi / 60 + 1e-6)
    assert there.aside == approx(plain.aside, abs=1e-6)


def test_a_guide_of_one_spot_is_no_guide():
    assert beside((Point(3, 3), Point(3, 3)), Point(9, 9)).along == 0


# -- Scutes -----------------------------------------------------------------------------

CREST = (Point(100, 900), Point(100, 100))
"""The crest of a fold, from the umbo below to the margin above."""


def scute(level, half=20.0):
    return Point(100 - half, level), Point(100 + half, level)


def test_each_scute_is_two_clicks_in_either_order_wherever_one_begins():
    low, middle, high = scute(800), scute(600), scute(300)
    found = scutes_of([*high, *reversed(low), *middle], CREST)
    assert found.scutes == (Scute(*low), Scute(*middle), Scute(*high))
    assert found.waiting is None
    assert [one.width for one in found.scutes] == [40, 40, 40]
    assert gaps(found.scutes, CREST) == approx((200, 300))
    assert gaps(found.scutes) == approx((200, 300))


def test_an_odd_click_waits_for_its_other_edge():
    found = scutes_of([*scute(800), scute(600)[0]], CREST)
    assert len(found.scutes) == 1
    assert found.waiting == scute(600)[0]
    assert found.next_edge == "second"
    assert scutes_of([], CREST).next_edge == "first"


@pytest.mark.parametrize("clicks", [0, 1, 2, 7])
def test_no_click_is_lost(clicks):
    chance = Random(clicks)
    points = [Point(chance.uniform(0, 200), chance.uniform(0, 900)) for _ in range(clicks)]
    found = scutes_of(points, CREST)
    kept = [edge for one in found.scutes for edge in (one.left, one.right)]
    kept += [found.waiting] if found.waiting else []
    assert sorted(kept) == sorted(points)


def test_gaps_follow_a_bent_guide():
    pairs = [(on_arc(share, -15), on_arc(share, 15)) for share in (0.2, 0.4, 0.6)]
    found = scutes_of([edge for pair in pairs for edge in pair], ARC)
    chord = hypot(*(a - b for a, b in zip(on_arc(0.2), on_arc(0.4), strict=True)))
    assert gaps(found.scutes, ARC) == approx((0.2 * pi * 400, 0.2 * pi * 400), rel=0.002)
    assert gaps(found.scutes)[0] == approx(chord, rel=1e-6)
