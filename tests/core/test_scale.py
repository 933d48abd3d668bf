"""A scale turns pixels into millimetres; the camera adds doubt to lengths and to ratios."""

from dataclasses import replace
from math import hypot, inf, nan, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pytest import approx

from landmarks.errors import ScaleError
from landmarks.geometry import Point, distance
from landmarks.scale import (
    FIELD_DISTANCE,
    FIELD_DISTANCE_SIGMA,
    METHODS,
    RULER_SIGMA,
    TILT_SIGMA,
    Setting,
    camera_distance_px,
    mm_per_px,
    perspective,
    two_points,
)
from landmarks.sentences import text
from landmarks.units import (
    Cause,
    correlation,
    exact,
    uncertain,
)
from tests.benchmarks.leaning import length_beside
from tests.core.shells import MIDDLE, PX_PER_MM, SIZE, ruler, setting, turns

inside = st.builds(Point, st.floats(0, 1800), st.floats(0, 1200))


# -- Two points and a length ---------------------------------------------------------------


@given(inside, inside, st.floats(0.01, 5000))
def test_two_points_make_a_scale_that_gives_the_length_back(a, b, length_mm):
    if distance(a, b) < 1:
        with pytest.raises(ScaleError, match="same pixel"):
            two_points(a, b, length_mm, size=SIZE)
        return
    made = mm_per_px(two_points(a, b, length_mm, size=SIZE), "p")
    assert made.unit == "mm/px"
    assert made.value * distance(a, b) == approx(length_mm)


@given(st.floats(0.1, 10))
def test_a_ruler_twice_as_long_means_twice_the_millimetres(factor):
    once = mm_per_px(ruler(), "p")
    longer = replace(ruler(), length_mm=factor * ruler().length_mm)
    assert mm_per_px(longer, "p").value == approx(factor * once.value)


def test_doubt_of_a_scale_is_that_of_its_ends_and_of_its_ruler():
    """1.5 px at both ends of 1000 px, and a thousandth of the ruler."""
    budget = mm_per_px(ruler(), "p").by_kind()
    assert budget["scale_ends"] == approx(1.5 * sqrt(2) / 1000 / PX_PER_MM)
    assert budget["ruler"] == approx(RULER_SIGMA / PX_PER_MM)


@pytest.mark.parametrize("end", [0, 1])
def test_doubt_of_the_ends_is_the_slope_of_a_small_step(end):
    scale = ruler(Point(300, 1000), Point(1400, 900))
    step = 1e-3
    slopes = []
    for dx, dy in ((step, 0), (0, step)):
        ahead, behind = list(scale.points), list(scale.points)
        ahead[end] = Point(scale.points[end].x + dx, scale.points[end].y + dy)
        behind[end] = Point(scale.points[end].x - dx, scale.points[end].y - dy)
        slopes.append(
            (
                mm_per_px(replace(scale, points=tuple(ahead)), "p").value
                - mm_per_px(replace(scale, points=tuple(behind)), "p").value
            )
            / (2 * step)
        )
    # Both ends are equally doubtful and on their own: each makes half of the variance.
    alone = hypot(*slopes) * scale.sigma_px
    assert mm_per_px(scale, "p").by_kind()["scale_ends"] == approx(
        sqrt(2) * alone, rel=1e-6
    )


def test_scales_of_two_pictures_share_no_cause():
    assert correlation(mm_per_px(ruler(), "p"), mm_per_px(ruler(), "q")) == 0
    assert correlation(mm_per_px(ruler(), "p"), mm_per_px(ruler(), "p")) == approx(1)


def test_a_scale_says_who_set_it_when_and_how():
    made = two_points(
        Point(0, 0), Point(100, 0), 10, size=SIZE, sigma_mm=0.2, person="x", at="t"
    )
    assert (made.method, made.person, made.at, made.sigma_mm) == (
        "two_points",
        "x",
        "t",
        0.2,
    )
    assert made.method in METHODS


@pytest.mark.parametrize("found", [0.0, -50.0, nan, inf, -inf])
def test_a_length_that_is_none_is_refused_in_words(found):
    with pytest.raises(ScaleError) as fault:
        two_points(Point(0, 0), Point(100, 0), found, size=SIZE)
    assert "more than 0" in text(fault.value.sentence)


@pytest.mark.parametrize(
    "end", [Point(-1, 5), Point(5, 1201), Point(1800.5, 5), Point(nan, 5)]
)
def test_an_end_outside_the_picture_is_refused_in_words(end):
    with pytest.raises(ScaleError) as fault:
        two_points(Point(100, 100), end, 50, size=SIZE)
    assert "1800 × 1200 px" in text(fault.value.sentence)


def test_ends_on_the_border_are_inside():
    assert two_points(Point(0, 0), Point(1800, 1200), 50, size=SIZE)


def test_both_ends_on_the_same_pixel_are_refused_in_words():
    with pytest.raises(ScaleError, match="drag one of them"):
        two_points(Point(100, 100), Point(100.4, 100.4), 50, size=SIZE)


@pytest.mark.parametrize("sigma", [-0.1, 50.0, 60.0, nan, inf])
def test_a_doubt_that_cannot_be_is_refused_in_words(sigma):
    with pytest.raises(ScaleError) as fault:
        two_points(Point(0, 0), Point(100, 0), 50, size=SIZE, sigma_mm=sigma)
    assert "cannot be the doubt" in text(fault.value.sentence)


def test_a_ruler_known_exactly_is_fine():
    assert two_points(Point(0, 0), Point(100, 0), 50, size=SIZE, sigma_mm=0).sigma_mm == 0


# -- The camera ---------------------------------------------------------------------------


def test_a_typed_distance_counts_before_what_the_file_says_and_that_before_a_guess():
    typed = camera_distance_px(setting(camera_distance_mm=500.0, focal_35mm=50.0))
    told = camera_distance_px(setting(camera_distance_mm=None, focal_35mm=50.0))
    guessed = camera_distance_px(setting(camera_distance_mm=None))
    assert typed.value == approx(500 * PX_PER_MM)
    assert told.value == approx(1800 * 50 / 36)
    assert typed.relative < told.relative < guessed.relative


def test_a_guessed_distance_has_the_mean_and_spread_of_one_over_the_distance():
    """Against 200,000 distances: their mean is known to 0.1 %, their spread to 0.5 %."""
    guessed = camera_distance_px(setting(camera_distance_mm=None))
    draws = FIELD_DISTANCE_SIGMA * np.random.default_rng(3).normal(size=200_000)
    share = 1 / (1800 * FIELD_DISTANCE * np.exp(draws))
    assert 1 / guessed.value == approx(share.mean(), rel=0.005)
    assert guessed.sigma / guessed.value**2 == approx(share.std(), rel=0.01)


def test_a_typed_distance_without_a_scale_cannot_be_used():
    without = Setting("p", *SIZE, camera_distance_mm=500.0)
    assert camera_distance_px(without) == camera_distance_px(Setting("p", *SIZE))


def test_distance_counts_in_long_sides_whichever_way_the_picture_stands():
    assert camera_distance_px(Setting("p", 1200, 1800)) == camera_distance_px(
        Setting("p", *SIZE)
    )


# -- Height above the plane and tilt, against an exact pinhole camera ----------------------


def test_twenty_mm_too_near_at_half_a_metre_reads_4_167_per_cent_too_long():
    """Ruler 20 mm below the margin, camera 500 mm from the ruler: own, hand-made.

    The share of the true length is 20/480 = 4.167 %, of the length read 20/500 = 4.000 %.
    The correction is taken from the length read, so it is exact and not of first order only:
    the second order, 0.167 %, is the difference of the two.
    """
    where = setting(camera_distance_mm=500.0)
    height = exact(20 * PX_PER_MM, "px")
    true_px = 800.0
    read_px = true_px * 500 / (500 - 20)
    assert read_px / true_px - 1 == approx(0.04167, abs=5e-6)
    ends = [Point(MIDDLE.x + side * read_px / 2, MIDDLE.y) for side in (-1, 1)]
    left, right = (perspective(end, where, height, MIDDLE)[0] for end in ends)
    assert right.value - left.value == approx(true_px, abs=1e-9)
    assert read_px / true_px - 1 - 20 / 500 == approx(0.00167, abs=5e-6)


def test_in_the_middle_of_the_picture_height_moves_nothing():
    x, y = perspective(MIDDLE, setting(), uncertain(80, 8, "px", Cause("height")), MIDDLE)
    assert (x.value, y.value) == MIDDLE
    assert x.sigma == y.sigma == 0


@given(inside, st.floats(-0.1, 0.2))
def test_the_correction_undoes_a_pinhole_camera_exactly(true, share):
    """``share`` is the height as a part of the camera's distance."""
    where = setting()
    height = exact(share * 900 * PX_PER_MM, "px")
    seen = Point(*(m + (t - m) / (1 - share) for t, m in zip(true, MIDDLE, strict=True)))
    x, y = perspective(seen, where, height, MIDDLE)
    assert (x.value, y.value) == (approx(true.x, abs=1e-6), approx(true.y, abs=1e-6))


@given(inside)
def test_doubts_of_height_and_distance_are_the_slopes_of_a_small_step(point):
    step = 1e-4
    height = uncertain(100, 10, "px", Cause("height"))
    x, y = perspective(point, setting(), height, MIDDLE)
    higher, lower = (
        perspective(point, setting(), exact(100 + side * 10 * step, "px"), MIDDLE)
        for side in (1, -1)
    )
    far, near = (
        perspective(
            point,
            setting(camera_distance_mm=900 * (1 + side * 0.05 * step)),
            exact(100, "px"),
            MIDDLE,
        )
        for side in (1, -1)
    )
    for i, made in enumerate((x, y)):
        by_height = (higher[i].value - lower[i].value) / (2 * step)
        by_camera = (far[i].value - near[i].value) / (2 * step)
        assert made.by_kind().get("height", 0) == approx(abs(by_height), abs=1e-6)
        assert made.by_kind().get("camera_distance", 0) == approx(abs(by_camera), abs=1e-6)


@given(inside, turns)
def test_doubt_of_tilt_is_what_a_tilted_pinhole_camera_would_do(point, way):
    """The scale is held in the middle of the picture; a thousandth of a radian is tilted."""
    where = setting()
    x, y = perspective(point, where, exact(0, "px"), MIDDLE)
    camera = camera_distance_px(where).value
    tilt = 1e-4 * np.array([np.cos(way), np.sin(way)])
    arm = np.array([point.x - MIDDLE.x, point.y - MIDDLE.y])
    # A plane leaning by a small angle is nearer by arm · tilt, and is seen larger by as much.
    nearer = float(arm @ tilt)
    seen = arm * camera / (camera - nearer)
    for made, displaced in zip((x, y), seen - arm, strict=True):
        told = sum(
            made.budget.get(Cause("tilt", f"p/{axis}"), 0.0) / TILT_SIGMA * tilt[i]
            for i, axis in enumerate("xy")
        )
        assert told == approx(displaced, abs=2e-3)  # px: the second order of 1e-4 rad


def test_ten_degrees_of_tilt_shorten_by_1_519_per_cent_but_a_hand_s_tilt_by_a_thirtieth():
    """Shortening is of second order (own, hand-made): a hand's tilt costs 0.034 %.

    That is below the doubt of a cheap ruler, so a budget of first order may leave it out.
    """
    assert 1 - np.cos(np.radians(10)) == approx(0.01519, abs=5e-6)
    assert 1 - np.cos(TILT_SIGMA) < RULER_SIGMA / 2


# -- A ruler that leans ----------------------------------------------------------------------


@pytest.mark.parametrize("degrees", [5, 12, 25])
def test_a_lean_that_a_ruler_tells_of_is_in_the_doubt_of_what_lies_beside_it(degrees):
    """Against a pinhole camera; a hand's tilt alone would be off by five to fifty times."""
    draw, off = np.random.default_rng(3), []
    for _ in range(200):
        truth, lengths = length_beside(draw, np.radians(degrees))
        off.append([abs(one.value - truth) / one.sigma for one in lengths])
    without, with_it = np.mean(np.array(off) < 2, axis=0)
    assert without < 0.35
    assert with_it > 0.85


@pytest.mark.parametrize(
    "told",
    [
        "12", {}, {"px_per_mm_ends": [8, 9]},
        {"px_per_mm_ends": [8, 0], "line": [[0, 0], [9, 0]]},
        {"px_per_mm_ends": [8, -9], "line": [[0, 0], [9, 0]]},
        {"px_per_mm_ends": [8, 9], "line": [[4, 4], [4, 4]]},
        {"px_per_mm_ends": ["8", None], "line": "abcd"},
    ],
)  # fmt: skip
def test_what_a_strangers_file_tells_of_a_ruler_tilts_nothing(told):
    plain = setting()
    odd = replace(plain, scale=replace(plain.scale, extra={"ruler": told}))
    place = Point(300, 900)
    assert perspective(place, odd, exact(0, "px"), MIDDLE) == perspective(
        place, plain, exact(0, "px"), MIDDLE
    )
