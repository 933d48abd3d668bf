"""Four points put a plane straight; what lies far outside them is refused."""

from dataclasses import replace
from math import dist, pi

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pytest import approx

from landmarks.geometry import Point, turned
from landmarks.instruments.plane import (
    Plane,
    plane_from,
    plane_of,
    scale_of,
    straight_points,
)
from landmarks.instruments.refusal import Refused
from landmarks.instruments.set_up import carried_over, not_compared
from landmarks.picture import PictureFile
from landmarks.scale import mm_per_px
from landmarks.sentences import Sentence, text
from tests.rendering.camera import Camera

WIDTH, HEIGHT = 200.0, 180.0
FRAME = np.array([[-100, 90], [100, 90], [100, -90], [-100, -90]], float)


def camera(tilt):
    """Return a camera 600 mm above the plane that leans, 8 px/mm."""
    return Camera(2400, 2000, 8.0, 600.0, 0.0, tilt)


def seen(tilt, places):
    flat = np.column_stack([places, np.zeros(len(places))])
    return [Point(float(x), float(y)) for x, y in camera(tilt).project(flat)[0]]


@pytest.mark.parametrize("tilt", [(0.0, 0.0), (30.0, 0.0), (0.0, 30.0), (-20.0, 15.0)])
def test_lengths_in_the_plane_are_exact_at_any_tilt(tilt):
    plane = plane_of(seen(tilt, FRAME), WIDTH, HEIGHT)
    for a, b in ([(-60, -20), (50, 30)], [(0, 60), (0, -60)], [(-80, 80), (80, 80)]):
        first, second = seen(tilt, np.array([a, b], float))
        assert plane.length_mm(first, second).value == approx(dist(a, b), rel=1e-9)


@pytest.mark.parametrize("degrees", [0, 10, 20, 30])
def test_clicked_corners_leave_less_than_a_third_of_a_per_cent(degrees):
    """Design section 9: at most 0.3 % rms of length, to 30 degrees."""
    hand = np.random.default_rng(degrees)
    places = np.array([[-60.0, -10.0], [60.0, 20.0]])
    off = []
    for _ in range(150):
        tilt = (degrees * np.cos(1.0), degrees * np.sin(1.0))
        corners = [
            Point(p.x + 1.5 * hand.normal(), p.y + 1.5 * hand.normal())
            for p in seen(tilt, FRAME)
        ]
        found = plane_of(corners, WIDTH, HEIGHT).length_mm(*seen(tilt, places))
        off.append((found.value / dist(*places) - 1, found.relative))
    errors, doubts = np.array(off).T
    assert np.sqrt((errors**2).mean()) < 0.003
    # The stated doubt is that of the clicks, and of a usual ruler beside it.
    clicks = np.sqrt((doubts**2).mean() - 0.001**2)
    assert clicks == approx(errors.std(), rel=0.25)


def test_the_doubt_of_first_order_is_what_many_clickings_show():
    tilt = (12.0, -8.0)
    corners = seen(tilt, FRAME)
    first, second = seen(tilt, np.array([[-70.0, -50.0], [60.0, 40.0]]))
    plane = plane_of(corners, WIDTH, HEIGHT, sigma_share=0.0)
    said = plane.length_mm(first, second, sigma_px=1.5)
    hand = np.random.default_rng(5)
    found = []
    for _ in range(600):
        moved = [Point(*(np.array(p) + 1.5 * hand.normal(size=2))) for p in corners]
        ends = [Point(*(np.array(p) + 1.5 * hand.normal(size=2))) for p in (first, second)]
        found.append(replace(plane, points=tuple(moved)).length_mm(*ends).value)
    assert said.sigma == approx(np.std(found), rel=0.09)


@given(
    st.floats(-25, 25), st.floats(-25, 25), st.floats(-pi, pi),
    st.lists(st.tuples(st.floats(-120, 120), st.floats(-120, 120)), min_size=1, max_size=5),
)  # fmt: skip
def test_straightened_and_seen_undo_each_other(about_x, about_y, turn, places):
    corners = turned(seen((about_x, about_y), FRAME), turn, Point(1200, 1000))
    plane = plane_of(corners, WIDTH, HEIGHT)
    there = [Point(x + 100, y + 90) for x, y in places]
    back = plane.straightened(plane.seen(there))
    for one, other in zip(there, back, strict=True):
        assert dist(one, other) < 1e-6


@pytest.mark.parametrize(
    "corners", [FRAME, FRAME[::-1]], ids=["clockwise", "the other way"]
)
def test_the_order_of_clicking_does_not_mirror_the_plane(corners):
    plane = plane_of(seen((10.0, 5.0), corners), WIDTH, HEIGHT)
    first, second, third = plane.straightened(
        seen((10.0, 5.0), np.array([[0.0, 0.0], [10.0, 0.0], [10.0, -10.0]]))
    )
    cross = (second.x - first.x) * (third.y - second.y) - (second.y - first.y) * (
        third.x - second.x
    )
    assert cross == approx(100.0, rel=1e-6)


def test_a_scale_of_four_points_makes_every_length_true():
    tilt = (20.0, 10.0)
    plane = plane_of(seen(tilt, FRAME), WIDTH, HEIGHT)
    scale = scale_of(plane)
    assert plane_from(scale) == plane
    per_px = mm_per_px(scale, "p").value
    ends = np.array([[-50.0, -30.0], [70.0, 40.0]])
    first, second = straight_points(scale, seen(tilt, ends))
    assert dist(first, second) * per_px == approx(dist(*ends), rel=1e-9)
    assert straight_points(scale, plane.points)[0] == approx(plane.points[0])
    assert mm_per_px(scale, "p").relative < 0.005


def test_points_stay_where_a_scale_has_no_plane():
    plane = plane_of(seen((0.0, 0.0), FRAME), WIDTH, HEIGHT)
    scale = replace(scale_of(plane), method="two_points", points=plane.points[:2])
    assert straight_points(scale, [Point(3, 4)]) == (Point(3, 4),)


def test_inside_is_fine_beside_is_warned_of_and_far_away_is_refused():
    plane = plane_of(seen((15.0, 0.0), FRAME), WIDTH, HEIGHT)
    assert plane.caution(seen((15.0, 0.0), FRAME * 0.9)) is None
    beside = plane.caution(seen((15.0, 0.0), FRAME + np.array([60, 0])))
    assert isinstance(beside, Sentence)
    assert "30 %" in text(beside)
    far = plane.caution(seen((15.0, 0.0), FRAME + np.array([250, 0])))
    assert isinstance(far, Refused)


def test_a_card_beside_the_specimen_is_never_extrapolated_far():
    card = np.array([[0, 0], [85.6, 0], [85.6, -54], [0, -54]])
    plane = plane_of(seen((10.0, 0.0), card), 85.6, 54.0)
    shell = np.array([[120.0, -20.0], [220.0, -20.0]])
    assert isinstance(plane.caution(seen((10.0, 0.0), shell)), Refused)


@pytest.mark.parametrize(
    ("points", "key"),
    [
        ([(0, 0), (100, 0), (200, 1), (0, 100)], "plane.in_a_line"),
        ([(0, 0), (100, 100), (100, 0), (0, 100)], "plane.crossed"),
        ([(0, 0), (100, 0), (100, 100)], "plane.not_four"),
    ],
)
def test_corners_that_make_no_rectangle_are_refused(points, key):
    made = plane_of([Point(*p) for p in points], 10.0, 10.0)
    assert isinstance(made, Refused)
    assert made.sentence.key == key


def test_a_side_must_be_a_length():
    made = plane_of(seen((0.0, 0.0), FRAME), 0.0, 10.0)
    assert isinstance(made, Refused)


# -- Carried over -------------------------------------------------------------------------


A = PictureFile("a", 1, 3000, 2000, camera="Example One", focal_35mm=50.0, focal_mm=33.0)


def test_a_scale_is_carried_over_with_more_doubt():
    scale = scale_of(plane_of(seen((0.0, 0.0), FRAME), WIDTH, HEIGHT))
    moved = carried_over(scale, "first", A, replace(A, sha256="b"))
    assert moved.method == "carried_over"
    assert moved.origin == "first"
    assert mm_per_px(moved, "next").relative > mm_per_px(scale, "first").relative
    assert isinstance(plane_from(moved), Plane)


@pytest.mark.parametrize(
    ("other", "key"),
    [
        ({"width": 2000, "height": 3000}, "carried.side"),
        ({"camera": "Example Two"}, "carried.camera"),
        ({"width": 2000, "height": 1500}, "carried.size"),
        ({"focal_35mm": 85.0}, "carried.focal"),
        ({"focal_mm": 34.0}, "carried.focal"),
        ({"orientation": 3}, "carried.turned"),
    ],
)
def test_another_size_camera_or_focal_length_refuses_it(other, key):
    scale = scale_of(plane_of(seen((0.0, 0.0), FRAME), WIDTH, HEIGHT))
    refused = carried_over(scale, "first", A, replace(A, **other))
    assert isinstance(refused, Refused)
    assert refused.sentence.key == key
    assert text(refused.sentence)


def test_what_a_file_does_not_tell_is_not_held_against_it():
    scale = scale_of(plane_of(seen((0.0, 0.0), FRAME), WIDTH, HEIGHT))
    silent = replace(A, camera="", focal_35mm=None, focal_mm=None)
    assert not_compared(scale, A, replace(A, focal_mm=None)) is None
    for other, what in ((silent, "both"), (replace(A, camera=""), "camera")):
        moved = carried_over(scale, "first", A, other)
        assert not isinstance(moved, Refused)
        said = not_compared(scale, A, other)
        assert said.values["what"].key == f"carried.untold.{what}"
        assert text(said)


def test_a_picture_that_tells_nothing_hands_no_scale_on_to_another_camera():
    scale = scale_of(plane_of(seen((0.0, 0.0), FRAME), WIDTH, HEIGHT))
    silent = replace(A, camera="", focal_35mm=None, focal_mm=None)
    between = carried_over(scale, "first", A, silent)
    for other in ({"camera": "Example Two"}, {"focal_mm": 40.0}):
        assert isinstance(
            carried_over(between, "next", silent, replace(A, **other)), Refused
        )
    assert not isinstance(carried_over(between, "next", silent, A), Refused)
