"""What a fitted ruler and a plane leave in the record: enough to see and check them again."""

import json
from functools import cache

import pytest
from pytest import approx

from landmarks.codec import decode, encode, read_json, write_json
from landmarks.collection import Picture
from landmarks.figures import Line, Quad, Ticks, figure_of
from landmarks.geometry import Point, distance
from landmarks.instruments.pixels import window_of
from landmarks.instruments.plane import plane_of
from landmarks.instruments.plane import scale_of as scale_of_plane
from landmarks.instruments.ruler import (
    RulerFit,
    fit_ruler,
    scale_of,
    told_of,
    window_needed,
)
from landmarks.picture import PictureFile
from landmarks.scale import Scale
from tests.benchmarks.graduations import KINDS, draw

BY_NAME = {kind.name: kind for kind in KINDS}


@cache
def fitted(name):
    drawn = draw(BY_NAME[name], 3, 77)
    window = window_of(drawn.picture, window_needed(drawn.first, drawn.second))
    fit = fit_ruler(window, drawn.first, drawn.second, drawn.length_mm)
    assert isinstance(fit, RulerFit)
    height, width = drawn.picture.shape[:2]
    return fit, (width, height)


def again(scale):
    """Return a scale written to JSON and read again."""
    return decode(Scale, read_json(write_json(encode(scale)), "a scale"))


@pytest.mark.parametrize(
    "name", ["white ruler", "half millimetres", "tilt 20 along", "wood"]
)
def test_a_fitted_ruler_is_drawn_again_mark_by_mark(name):
    fit, size = fitted(name)
    scale = again(scale_of(fit))
    picture = Picture("p", "p.jpg", PictureFile("0" * 64, 1, *size), scale)
    ticks, line = (figure_of(picture, None, None).marks[at] for at in (0, 1))
    assert isinstance(ticks, Ticks)
    assert isinstance(line, Line)
    numbers = [tick.number for tick in fit.ticks if tick.used]
    assert len(ticks.used) == numbers[-1] - numbers[0] + 1
    by_number = dict(enumerate(ticks.used, numbers[0]))
    off = [distance(by_number[one.number], one.point) for one in fit.ticks if one.used]
    # Three marks carry the errors of three marks, well below what is seen.
    assert max(off) < 1.5


def test_what_was_found_and_what_was_clicked_are_both_kept():
    fit, _ = fitted("white ruler")
    kept = again(scale_of(fit, lens="air")).extra["ruler"]
    assert [Point(*end) for end in kept["line"]] == list(fit.line)
    assert kept["graduation"] == "mm_1"
    assert kept["n_marks"] == fit.n_used
    assert kept["residual_mm"] == approx(fit.residual_mm)
    assert kept["lens"] == "air"


def test_a_scale_keeps_less_than_a_kilobyte_of_it():
    fit, _ = fitted("white ruler")
    assert len(json.dumps(encode(scale_of(fit)))) < 1024


def test_a_fit_that_was_not_wanted_can_be_told():
    fit, _ = fitted("white ruler")
    told = told_of(fit)
    assert told["px_per_mm"] == fit.px_per_mm
    assert json.dumps(told)


def test_a_plane_is_drawn_again():
    corners = [Point(200, 200), Point(1400, 240), Point(1350, 1000), Point(250, 960)]
    scale = again(scale_of_plane(plane_of(corners, 297.0, 210.0)))
    picture = Picture("p", "p.jpg", PictureFile("0" * 64, 1, 1600, 1200), scale)
    assert figure_of(picture, None, None).marks == (Quad("p", tuple(corners)),)
