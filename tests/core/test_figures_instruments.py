"""What instruments draw: the graduation a scale rests on, and four corners of a plane."""

from dataclasses import replace
from math import dist

import pytest
from PIL import Image
from pytest import approx

from landmarks.collection import Picture
from landmarks.figures import Figure, Line, Quad, Ticks, figure_of
from landmarks.geometry import Point
from landmarks.instruments.plane import plane_of
from landmarks.instruments.plane import scale_of as scale_of_plane
from landmarks.outputs.marks import MARKS
from landmarks.outputs.png import annotated
from landmarks.picture import PictureFile
from landmarks.scale import Scale, carried_over

SIZE = (1600, 1200)
CORNERS = [Point(200, 200), Point(1400, 240), Point(1350, 1000), Point(250, 960)]
BARE = Picture("p", "p.jpg", PictureFile("0" * 64, 1, *SIZE))


def of_kind(scale, kind):
    figure = figure_of(replace(BARE, scale=scale), None, None)
    return [mark for mark in figure.marks if isinstance(mark, kind)]


def ruler(marks, method="ruler"):
    ends = (Point(*marks[0][:2]), Point(*marks[-1][:2]))
    return Scale(method, ends, 100.0, 0.1, extra={"ruler": {"marks": marks}})


def test_a_plane_is_a_quad_whose_corners_carry_the_id_of_the_picture():
    scale = scale_of_plane(plane_of(CORNERS, 297.0, 210.0))
    assert of_kind(scale, Quad) == [Quad("p", tuple(CORNERS))]
    assert of_kind(scale, Line) == []


def test_a_plane_that_was_carried_over_has_no_corners_on_this_picture():
    scale = carried_over(scale_of_plane(plane_of(CORNERS, 297.0, 210.0)), "other")
    assert of_kind(scale, Quad) == []


def test_every_tick_is_found_again_from_three_marks_of_an_even_ruler():
    (ticks,) = of_kind(ruler([[100, 1000, 3], [400, 1000, 33], [800, 1000, 73]]), Ticks)
    assert ticks.faint
    assert len(ticks.used) == 71
    assert [p.x for p in ticks.used] == approx([100 + 10 * k for k in range(71)])


def test_every_tick_is_found_again_from_three_marks_of_a_leaning_ruler():
    def place(k):
        s = 12.0 * k / (1 + 0.002 * k)
        return [100 + 0.8 * s, 300 + 0.6 * s, k]

    (ticks,) = of_kind(ruler([place(0), place(20), place(60)]), Ticks)
    assert len(ticks.used) == 61
    worst = max(dist(p, place(k)[:2]) for k, p in enumerate(ticks.used))
    assert worst < 1e-6


@pytest.mark.parametrize(
    "marks",
    [
        [],
        "many",
        [[0, 0, 1], [0, 0, 1], [0, 0, 1]],
        [[0, 0, 5], [50, 0, 3], [100, 0, 9]],
        [[0, 0, 0], [50, 0, 5], [100, 0, 1e9]],
        [[0, 0, 0], ["x", 0, 5], [100, 0, 10]],
    ],
)
def test_marks_that_make_no_ruler_are_not_drawn(marks):
    scale = Scale(
        "ruler", (Point(0, 0), Point(9, 9)), 1, 0.1, extra={"ruler": {"marks": marks}}
    )
    assert of_kind(scale, Ticks) == []
    assert len(of_kind(scale, Line)) == 1


def test_two_clicks_keep_no_graduation_in_sight():
    marks = [[100, 1000, 0], [400, 1000, 30], [800, 1000, 70]]
    assert of_kind(ruler(marks, "two_points"), Ticks) == []


# -- In the annotated picture --------------------------------------------------------------


@pytest.fixture(params=[(8, 8, 8), (250, 250, 250), (128, 128, 128)])
def picture(request, tmp_path):
    path = tmp_path / "plain.png"
    Image.new("RGB", SIZE, request.param).save(path)
    return path, request.param


def far_from(image, ground, places):
    return max(
        max(abs(a - b) for a, b in zip(image.getpixel(place), ground, strict=True))
        for place in places
    )


def test_ticks_stand_out_on_any_ground_and_those_left_out_are_rings(picture):
    path, ground = picture
    used = tuple(Point(200.5 + 20 * k, 600.5) for k in range(10))
    left_out = (Point(600.5, 600.5),)
    marks = (Ticks("t", used, left_out, Point(1, 0)),)
    image = annotated(path, Figure(*SIZE, marks))
    for point in used:
        row = [(int(point.x) + d, 600) for d in range(-3, 4)]
        assert far_from(image, ground, row) > 100
        assert far_from(image, ground, [(int(point.x), 595)]) > 60, "a stroke goes across"
    x, y = 600, 600
    assert image.getpixel((x, y)) == ground, "a ring is open in its middle"
    assert far_from(image, ground, [(x + d, y) for d in (4, 5, 6)]) > 60


def test_a_quad_has_sides_and_numbered_corners(picture):
    path, ground = picture
    image = annotated(path, Figure(*SIZE, (Quad("p", tuple(CORNERS)),)))
    middles = [
        (round((a.x + b.x) / 2), round((a.y + b.y) / 2))
        for a, b in zip(CORNERS, [*CORNERS[1:], CORNERS[0]], strict=True)
    ]
    for x, y in middles:
        around = [(x + dx, y + dy) for dx in range(-3, 4) for dy in range(-3, 4)]
        assert far_from(image, ground, around) > 100
    yellow = tuple(int(MARKS.scale[at : at + 2], 16) for at in (1, 3, 5))
    for corner in CORNERS:
        x, y = round(corner.x), round(corner.y - MARKS.corner_half)
        column = [image.getpixel((x, y + dy)) for dy in range(-3, 4)]
        assert any(pixel == approx(yellow, abs=60) for pixel in column)
