"""Where the doubt of a length comes from, told before anything is measured."""

from dataclasses import replace
from math import hypot

from pytest import approx

from landmarks.geometry import Point
from landmarks.instruments.doubts import doubt_sentence, usual_doubt
from landmarks.instruments.plane import plane_of
from landmarks.instruments.plane import scale_of as scale_of_plane
from landmarks.instruments.ruler import LENSES
from landmarks.scale import (
    RULER_SIGMA,
    SET_UP_SIGMA,
    Scale,
    Setting,
    carried_over,
    two_points,
)
from landmarks.sentences import text

SIZE = (2400, 1800)
LINE = two_points(Point(200, 1700), Point(2200, 1700), 200.0, size=SIZE)
SETTING = Setting("p", *SIZE, scale=LINE, camera_distance_mm=600.0)


def test_without_a_scale_there_is_nothing_to_tell():
    assert usual_doubt(replace(SETTING, scale=None)) == {}
    assert doubt_sentence(replace(SETTING, scale=None)) is None


def test_the_ruler_and_its_ends_count_as_they_do_in_the_scale():
    parts = usual_doubt(SETTING)
    assert parts["ruler"] == approx(RULER_SIGMA)
    assert parts["scale_ends"] == approx(1.5 * 2**0.5 / 2000)


def test_a_height_above_the_scale_counts_as_its_share_of_the_distance():
    parts = usual_doubt(SETTING, height_mm=6.0)
    assert parts["height"] == approx(6.0 / 600.0, rel=1e-6)


def test_the_largest_part_is_told_first():
    parts = usual_doubt(SETTING)
    assert list(parts.values()) == sorted(parts.values(), reverse=True)


def test_a_lens_is_told_apart_from_the_ruler_it_stands_with():
    lens = LENSES["flat_port"]
    sigma = hypot(RULER_SIGMA, lens) * 200.0
    scale = Scale(
        "ruler", LINE.points, 200.0, sigma, extra={"ruler": {"lens": "flat_port"}}
    )
    parts = usual_doubt(replace(SETTING, scale=scale))
    assert parts["lens"] == lens
    assert parts["ruler"] == approx(RULER_SIGMA)


def test_a_scale_that_was_carried_over_says_so():
    parts = usual_doubt(replace(SETTING, scale=carried_over(LINE, "other")))
    assert parts["set_up"] > 0


def test_four_points_leave_no_tilt_but_their_corners():
    corners = [Point(300, 300), Point(2100, 320), Point(2050, 1500), Point(350, 1480)]
    plane = plane_of(corners, 297.0, 210.0)
    setting = replace(SETTING, scale=scale_of_plane(plane))
    parts = usual_doubt(setting)
    assert "tilt" not in parts
    assert parts["scale_ends"] > 0
    assert parts["ruler"] == approx(RULER_SIGMA)
    assert parts["height"] == approx(5.0 / 600.0)
    later = usual_doubt(replace(setting, scale=carried_over(setting.scale, "other")))
    assert later == approx(parts | {"set_up": SET_UP_SIGMA})


def test_it_is_said_in_one_line():
    said = text(doubt_sentence(SETTING))
    assert said.startswith("A length across the picture, 5 mm above or below the scale: ± ")
    for word in (
        "ruler 0.1 %",
        "ends of the scale 0.11 %",
        "heights of the landmarks 0.83 %",
    ):
        assert word in said
