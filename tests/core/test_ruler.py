"""The graduation of drawn rulers, whose truth is exact; broken ones are refused."""

from dataclasses import replace
from functools import cache
from math import dist, hypot

import numpy as np
import pytest
from pytest import approx

from landmarks.geometry import Point
from landmarks.instruments.pixels import Window, fast_length, smoothed, window_of
from landmarks.instruments.refusal import Refused
from landmarks.instruments.ruler import (
    FLOORS,
    INCH_MM,
    RulerFit,
    fit_ruler,
    scale_of,
    tilt_hint,
    tilt_sentence,
    window_needed,
)
from landmarks.scale import RULER_SIGMA, mm_per_px
from landmarks.sentences import text
from tests.benchmarks.graduations import KINDS, draw

BY_NAME = {kind.name: kind for kind in KINDS}
SMALL = {"px_per_mm": (5.0, 7.0), "length_mm": (60.0, 80.0)}


@cache
def fitted(name, seed=3, **changes):
    kind = BY_NAME[name]
    small = SMALL if kind.px_per_mm[0] >= 4 else {}
    drawn = draw(replace(kind, **{**small, **changes}), seed, 77)
    window = window_of(drawn.picture, window_needed(drawn.first, drawn.second))
    return drawn, fit_ruler(window, drawn.first, drawn.second, drawn.length_mm)


@pytest.mark.parametrize(
    ("name", "graduation"),
    [
        ("white ruler", "mm_1"),
        ("black ruler, white ticks", "mm_1"),
        ("half millimetres", "mm_05"),
        ("2 mm ticks", "mm_2"),
        ("5 mm ticks", "mm_5"),
        ("sixteenths of an inch", "inch_16"),
        ("tenths of an inch", "inch_10"),
        ("eighths of an inch", "inch_8"),
        ("blocks of 5 mm", "blocks_5"),
    ],
)
def test_the_graduation_is_found_for_what_it_is(name, graduation):
    drawn, fit = fitted(name)
    assert isinstance(fit, RulerFit)
    assert fit.graduation.name == graduation
    assert fit.px_per_mm == approx(drawn.px_per_mm, rel=5e-4)


@pytest.mark.parametrize(
    ("inches", "graduation"),
    [(0.25, "blocks_inch_4"), (0.5, "blocks_inch_2"), (1.0, "blocks_inch")],
)
def test_bars_of_inches_are_found_too(inches, graduation):
    long = {"step_mm": inches * INCH_MM, "length_mm": (155.0, 160.0)}
    drawn, fit = fitted("blocks of 10 mm", **long)
    assert isinstance(fit, RulerFit)
    assert fit.graduation.name == graduation
    assert fit.px_per_mm == approx(drawn.px_per_mm, rel=2e-3)


@pytest.mark.parametrize(
    "name",
    ["white ruler", "steel with glare", "wood", "blur 1.5 px", "noise 6 %, JPEG 60",
     "a quarter hidden", "cast shadow", "tilt 20 along", "all bad"],
)  # fmt: skip
def test_the_scale_at_the_middle_is_right_to_a_five_thousandth(name):
    drawn, fit = fitted(name)
    assert isinstance(fit, RulerFit)
    assert fit.px_per_mm == approx(drawn.px_per_mm, rel=2e-4)
    assert abs(fit.px_per_mm / drawn.px_per_mm - 1) < 3 * fit.relative


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize(
    "name",
    [
        "no graduation, plain",
        "no graduation, wood",
        "bent to an arc",
        "two rulers end to end",
    ],
)
def test_what_is_no_straight_graduation_is_refused_and_the_clicks_count(name, seed):
    drawn, fit = fitted(name, seed)
    assert isinstance(fit, Refused)
    clicked = dist(drawn.first, drawn.second) / drawn.length_mm
    assert fit.sentence.values["clicked"].value == approx(clicked)
    assert "two ends count" in text(fit.sentence)


@pytest.mark.parametrize("seed", range(3))
def test_a_bow_of_a_fiftieth_is_refused_as_bent(seed):
    drawn, fit = fitted("bent to an arc", seed, bend_mm=3.0, length_mm=(140.0, 150.0))
    assert isinstance(fit, Refused)
    assert fit.sentence.key in ("ruler.refused.bent", "ruler.refused.uneven")
    assert drawn.length_mm >= 140


@pytest.mark.parametrize("wrong", [1.2, 0.1])
def test_a_length_misread_is_refused_and_the_steps_are_counted(wrong):
    drawn, _ = fitted("white ruler")
    window = window_of(drawn.picture, window_needed(drawn.first, drawn.second))
    fit = fit_ruler(window, drawn.first, drawn.second, wrong * drawn.length_mm)
    assert isinstance(fit, Refused)
    assert fit.sentence.key == "ruler.refused.other"
    assert fit.sentence.values["n"] == drawn.length_mm / drawn.step_mm
    assert "unit" in text(fit.sentence)


def test_a_line_too_short_or_off_the_picture_is_refused():
    window = Window(np.full((100, 100), 200.0, np.float32))
    for second in (Point(30.0, 50.0), Point(140.0, 50.0)):
        assert isinstance(fit_ruler(window, Point(10.0, 50.0), second, 20.0), Refused)


def test_an_even_picture_has_no_graduation():
    window = Window(np.full((200, 600), 200.0, np.float32))
    assert isinstance(fit_ruler(window, Point(20, 100), Point(580, 100), 100.0), Refused)


def test_marks_lie_on_the_dragged_line_and_count_up():
    drawn, fit = fitted("a quarter hidden")
    numbers = [tick.number for tick in fit.ticks]
    assert numbers == sorted(set(numbers))
    assert fit.n_used >= 0.6 * drawn.length_mm
    along = np.subtract(drawn.second, drawn.first) / dist(drawn.first, drawn.second)
    for tick in fit.ticks:
        off = np.subtract(tick.point, drawn.first)
        assert abs(off[0] * along[1] - off[1] * along[0]) < 1e-6
    used = [abs(tick.residual_mm) for tick in fit.ticks if tick.used]
    assert np.median(used) < 0.03


def test_a_fit_becomes_a_scale_with_the_doubt_of_fit_ruler_and_lens():
    drawn, fit = fitted("white ruler")
    scale = scale_of(fit)
    assert scale.method == "ruler"
    assert scale.length_mm == round(scale.length_mm)
    found = mm_per_px(scale, "p")
    assert found.value == approx(1 / drawn.px_per_mm, rel=3e-4)
    assert found.relative == approx(hypot(fit.relative, RULER_SIGMA), rel=1e-6)
    wet = mm_per_px(scale_of(fit, lens="flat_port"), "p")
    assert wet.relative == approx(hypot(fit.relative, RULER_SIGMA, 0.02), rel=1e-6)
    own = scale_of(fit, sigma_mm=0.0)
    assert mm_per_px(own, "p").relative == approx(fit.relative, rel=1e-6)
    assert fit.relative >= FLOORS["ticks"]
    assert "mm" in text(fit.sentence())


def test_a_tilted_ruler_drifts_and_says_by_how_much_it_leans():
    drawn, fit = fitted("tilt 20 along")
    distance_px = max(450.0, 3 * drawn.length_mm) * drawn.px_per_mm
    assert abs(tilt_hint(fit, distance_px)) == approx(20, abs=2)
    assert "lean by about" in text(tilt_sentence(fit, distance_px))
    scale = scale_of(fit)
    middle = dist(scale.points[0], scale.points[1]) / scale.length_mm
    assert middle == approx(drawn.px_per_mm, rel=2e-3)
    _, level = fitted("white ruler")
    assert tilt_sentence(level, distance_px) is None


def test_the_same_line_dragged_backwards_gives_the_same_scale():
    drawn, fit = fitted("white ruler")
    window = window_of(drawn.picture)
    back = fit_ruler(window, drawn.second, drawn.first, drawn.length_mm)
    assert back.px_per_mm == approx(fit.px_per_mm, rel=3e-5)


def test_half_a_picture_has_half_the_pixels_per_mm():
    drawn, fit = fitted("white ruler", px_per_mm=(9.0, 10.0))
    rows, columns = (2 * (n // 2) for n in drawn.picture.shape)
    even = drawn.picture[:rows, :columns].astype(np.float32)
    half = even.reshape(rows // 2, 2, columns // 2, 2).mean(axis=(1, 3))
    ends = [Point(p.x / 2, p.y / 2) for p in (drawn.first, drawn.second)]
    small = fit_ruler(window_of(half), *ends, drawn.length_mm)
    assert 2 * small.px_per_mm == approx(fit.px_per_mm, rel=1e-4)


def test_typed_inches_are_millimetres_before_they_come_here():
    drawn, fit = fitted("eighths of an inch")
    assert fit.length_mm / (INCH_MM / 8) == approx(round(fit.length_mm / (INCH_MM / 8)))
    assert drawn.length_mm > fit.length_mm


# -- Windows and profiles -------------------------------------------------------------------


def test_a_window_samples_between_pixel_centres():
    light = np.arange(12, dtype=np.float32).reshape(3, 4)
    window = Window(light, left=10, top=20)
    at = window.at(np.array([10.5, 11.0, 13.5, 99.0]), np.array([20.5, 20.5, 22.5, 99.0]))
    assert at.tolist() == [0.0, 0.5, 11.0, 11.0]


def test_part_of_a_picture_keeps_its_place():
    pixels = np.zeros((40, 60, 3), np.uint8)
    pixels[25, 33] = 255
    part = window_of(pixels, window_needed(Point(33, 25), Point(34, 25)))
    assert (part.left, part.top) == (0, 0)
    assert part.at(np.array([33.5]), np.array([25.5]))[0] == approx(255, rel=1e-3)


@pytest.mark.parametrize("n", [1, 7, 97, 1000, 4001])
def test_a_fast_length_is_long_enough_and_smooth(n):
    found = fast_length(n)
    assert n <= found < 2 * n + 2
    for prime in (2, 3, 5):
        while found % prime == 0:
            found //= prime
    assert found == 1


def test_smoothing_keeps_what_is_even_and_spreads_a_spike_as_a_gaussian():
    assert smoothed(np.full(50, 3.0), 4.0) == approx(np.full(50, 3.0))
    spike = np.zeros(101)
    spike[50] = 1.0
    soft = smoothed(spike, 3.0)
    places = np.arange(101) - 50
    assert (soft * places**2).sum() == approx(9.0, rel=0.02)
