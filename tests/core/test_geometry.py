"""Points, spans and outlines: laws of the plane, then worked figures."""

from math import pi

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from pytest import approx

from landmarks.geometry import (
    Box,
    Point,
    area,
    area_slopes,
    bounds,
    distance,
    distance_slopes,
    path_length,
    signed_area,
    span,
    turned,
)
from tests.core.shells import turns

ROUNDING_PX = 1e-6  # Coordinates of thousands of pixels keep ten digits more than this.

coordinates = st.floats(-3000, 3000)
points = st.builds(Point, coordinates, coordinates)
outlines = st.lists(points, min_size=3, max_size=12)


def near(outline):
    return [
        Point(approx(p.x, abs=ROUNDING_PX), approx(p.y, abs=ROUNDING_PX)) for p in outline
    ]


# -- Laws ------------------------------------------------------------------------------


@given(outlines, turns, points)
def test_turning_changes_no_distance_area_or_path(outline, angle, about):
    there = turned(outline, angle, about)
    assert area(there) == approx(area(outline), abs=1e-2)  # px², of up to 36 million
    assert path_length(there) == approx(path_length(outline), abs=1e-4)
    assert span(there) == approx(span(outline), abs=1e-4)


@given(outlines, turns, points)
def test_turning_back_gives_the_same_points(outline, angle, about):
    back = turned(turned(outline, angle, about), -angle, about)
    assert list(back) == near(outline)


@given(outlines, st.floats(0.01, 10))
def test_half_a_picture_has_half_the_lengths_and_a_quarter_of_the_area(outline, factor):
    small = [Point(factor * p.x, factor * p.y) for p in outline]
    assert span(small) == approx(factor * span(outline), abs=ROUNDING_PX)
    assert area(small) == approx(factor**2 * area(outline), rel=1e-9, abs=1e-3)


@given(outlines)
def test_the_other_way_round_an_outline_has_the_opposite_sign(outline):
    assert signed_area(outline[::-1]) == approx(-signed_area(outline), abs=1e-6)
    assert area(outline[::-1]) == approx(area(outline), abs=1e-6)


@given(points, points)
def test_the_slopes_of_a_distance_are_those_of_a_small_step(a, b):
    assume(distance(a, b) > 1)
    step = 1e-4 * distance(a, b)
    by_a, by_b = distance_slopes(a, b)
    for slope, dx, dy in ((by_a.x, step, 0), (by_a.y, 0, step)):
        ahead, behind = Point(a.x + dx, a.y + dy), Point(a.x - dx, a.y - dy)
        numerical = (distance(ahead, b) - distance(behind, b)) / (2 * step)
        assert slope == approx(numerical, abs=1e-6)
    assert (by_b.x, by_b.y) == (-by_a.x, -by_a.y)


@given(outlines, st.data())
def test_the_slopes_of_an_area_are_those_of_a_small_step(outline, data):
    """An area is quadratic in its points, so central differences are exact but for rounding."""
    assume(area(outline) > 100)  # px²: nearer to zero the sign could turn within the step
    index = data.draw(st.integers(0, len(outline) - 1))
    slope = area_slopes(outline)[index]
    step = 1e-3
    for found, dx, dy in ((slope.x, step, 0), (slope.y, 0, step)):
        ahead, behind = list(outline), list(outline)
        ahead[index] = Point(outline[index].x + dx, outline[index].y + dy)
        behind[index] = Point(outline[index].x - dx, outline[index].y - dy)
        numerical = (area(ahead) - area(behind)) / (2 * step)
        assert found == approx(numerical, abs=1e-3)


@given(outlines)
def test_moving_a_whole_outline_changes_no_area_so_its_slopes_sum_to_nothing(outline):
    slopes = area_slopes(outline)
    assert sum(s.x for s in slopes) == approx(0, abs=ROUNDING_PX)
    assert sum(s.y for s in slopes) == approx(0, abs=ROUNDING_PX)


@given(outlines)
def test_the_bounds_hold_every_point_and_no_smaller_box_does(outline):
    box = bounds(outline)
    assert all(
        box.x <= p.x <= box.x + box.width + ROUNDING_PX
        and box.y <= p.y <= box.y + box.height + ROUNDING_PX
        for p in outline
    )
    assert box.x == min(p.x for p in outline)
    assert box.height == approx(max(p.y for p in outline) - box.y)


@given(outlines)
def test_no_two_points_are_farther_apart_than_the_span(outline):
    apart = [distance(a, b) for a in outline for b in outline]
    assert span(outline) == max(apart)


# -- Cases (marked as in the collection of worked examples they come from) -----------------


@pytest.mark.parametrize(
    ("outline", "expected"),
    [
        # The shoelace examples: from memory, recomputed by hand.
        ([(3, 4), (5, 11), (12, 8), (9, 5), (5, 6)], 30),
        ([(1, 6), (3, 1), (7, 2), (4, 4), (8, 5)], 16.5),
        # A right triangle with legs of 4 and 3: own.
        ([(0, 0), (4, 0), (0, 3)], 6),
    ],
)
def test_areas_by_the_shoelace_rule_are_the_textbook_ones(outline, expected):
    assert area([Point(*p) for p in outline]) == expected


def test_an_outline_that_runs_clockwise_on_screen_is_positive():
    """In the textbook's axes (y up) the same outline is clockwise and counts -30."""
    textbook = [(3, 4), (5, 11), (12, 8), (9, 5), (5, 6)]
    on_screen = [Point(x, -y) for x, y in textbook]
    assert signed_area(on_screen) == 30


def test_an_outline_by_pick_s_theorem():
    """7 points inside and 8 on the border make 7 + 8/2 - 1 = 10 (from memory, recomputed)."""
    outline = [Point(0, 0), Point(4, 0), Point(4, 1), Point(5, 3), Point(1, 3), Point(0, 1)]
    inside = sum(_inside(Point(x, y), outline) for x in range(6) for y in range(4))
    border = sum(_on_border(Point(x, y), outline) for x in range(6) for y in range(4))
    assert area(outline) == inside + border / 2 - 1


def test_an_open_path_of_two_sides_of_five_is_ten_long():
    assert path_length([Point(0, 0), Point(3, 4), Point(6, 0)]) == 10


def test_a_circle_of_many_corners_has_the_area_of_a_circle():
    n = 720
    corners = turned([Point(100, 0)], 0, Point(0, 0))
    circle = [turned(corners, 2 * pi * i / n, Point(0, 0))[0] for i in range(n)]
    # A polygon of n corners falls short by (2 pi / n)² / 6 of the circle: 13 in a million.
    assert area(circle) == approx(pi * 100**2, rel=1.4e-5)
    assert signed_area(circle) > 0


def test_a_positive_turn_is_clockwise_on_screen():
    """From pointing right to pointing down: y grows downwards."""
    (there,) = turned([Point(1, 0)], pi / 2, Point(0, 0))
    assert there == (approx(0, abs=1e-12), approx(1))


def test_nothing_has_no_area_and_no_length():
    assert signed_area([]) == 0
    assert area_slopes([]) == ()
    assert path_length([]) == path_length([Point(1, 1)]) == 0
    assert span([]) == span([Point(1, 1)]) == 0


def test_at_the_same_point_a_distance_has_no_slope():
    assert distance_slopes(Point(1, 1), Point(1, 1)) == (Point(0, 0), Point(0, 0))


def test_a_box_holds_its_border_and_nothing_beyond():
    box = Box(10, 20, 30, 40)
    assert box.centre == Point(25, 40)
    assert box.holds(Point(10, 20))
    assert box.holds(Point(40, 60))
    assert not box.holds(Point(40.01, 60))


def _on_border(point, outline):
    return any(
        abs(distance(a, point) + distance(point, b) - distance(a, b)) < 1e-9
        for a, b in zip(outline, (*outline[1:], outline[0]), strict=True)
    )


def _inside(point, outline):
    if _on_border(point, outline):
        return False
    crossings = 0
    for a, b in zip(outline, (*outline[1:], outline[0]), strict=True):
        if (a.y > point.y) != (b.y > point.y):
            crossings += point.x < a.x + (point.y - a.y) * (b.x - a.x) / (b.y - a.y)
    return crossings % 2 == 1
