"""Facts of resolution and perspective that a scale must reproduce."""

from math import cos, radians

import pytest
from pytest import approx

from landmarks.geometry import Point
from landmarks.scale import mm_per_px, perspective, two_points
from landmarks.units import exact
from tests.core.shells import MIDDLE, PX_PER_MM, SIZE, setting

MM_PER_INCH = 25.4  # exact by the international yard and pound of 1959 (from memory)


@pytest.mark.parametrize(
    ("dots_per_inch", "px_per_mm"),
    # Own arithmetic from the exact inch.
    [(300, 11.811024), (96, 3.779528), (72, 2.834646)],
)
def test_dots_per_inch_are_pixels_per_millimetre(dots_per_inch, px_per_mm):
    inch = two_points(Point(0, 50), Point(dots_per_inch, 50), MM_PER_INCH, size=SIZE)
    assert 1 / mm_per_px(inch, "p").value == approx(px_per_mm, abs=5e-7)


@pytest.mark.parametrize(
    ("height_mm", "camera_mm", "too_long"),
    # A ruler so far below what is measured, with the camera so far from the ruler: own.
    [(20, 500, 0.04167), (20, 1000, 0.02041), (5, 500, 0.01010)],
)
def test_what_is_nearer_than_the_ruler_reads_too_long_and_is_corrected(
    height_mm, camera_mm, too_long
):
    where = setting(camera_distance_mm=float(camera_mm))
    true_px = 700.0
    read_px = true_px * camera_mm / (camera_mm - height_mm)
    assert read_px / true_px - 1 == approx(too_long, abs=5e-6)
    height = exact(height_mm * PX_PER_MM, "px")
    ends = [Point(MIDDLE.x + side * read_px / 2, MIDDLE.y) for side in (-1, 1)]
    left, right = (perspective(end, where, height, MIDDLE)[0].value for end in ends)
    assert right - left == approx(true_px, abs=1e-9)


def test_ten_degrees_of_tilt_shorten_by_1_519_per_cent():
    """Own. Read along the tilt, a length and a ruler that lies in the same plane are
    shortened alike, so a length by that ruler comes out right.
    """
    short = cos(radians(10))
    assert 1 - short == approx(0.01519, abs=5e-6)
    bar = two_points(Point(400, 900), Point(400 + 1000 * short, 900), 125, size=SIZE)
    assert 800 * short * mm_per_px(bar, "p").value == approx(100)
