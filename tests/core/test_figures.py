"""The figure: which marks stand where, in which order, and a scale bar of a round length."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pytest import approx

from landmarks.collection import Picture
from landmarks.figures import (
    Dot,
    Figure,
    FrameBox,
    Line,
    Lozenge,
    figure_of,
    measure_line,
    scale_bar,
)
from landmarks.geometry import Box, Point
from landmarks.picture import PictureFile
from landmarks.placing import Placing
from landmarks.scale import carried_over
from landmarks.sentences import Sentence, text
from landmarks.specimen import Frame, Specimen
from tests.core.shells import PX_PER_MM, SIZE, VALVE, placings, ruler

FRAME = Frame("f", "p", "outside_of_valve", region=Box(100, 50, 1500, 900))
PICTURE = Picture("p", "p.jpg", PictureFile("0" * 64, 1, *SIZE), ruler())
BARE = Picture("p", "p.jpg", PictureFile("0" * 64, 1, *SIZE))
SHELL = Specimen("s", frames=(FRAME,), placings=tuple(placings(VALVE)))


def of_kind(figure, kind):
    return [mark for mark in figure.marks if isinstance(mark, kind)]


# -- Marks -----------------------------------------------------------------------------


def test_a_picture_alone_has_its_size_and_no_marks():
    assert figure_of(BARE, None, None) == Figure(*SIZE)


def test_every_landmark_has_a_dot_with_its_letter_where_it_was_placed():
    figure = figure_of(BARE, SHELL, FRAME)
    dots = {mark.landmark: mark for mark in of_kind(figure, Dot)}
    assert {key: mark.letter for key, mark in dots.items()} == {
        "byssal_end": "B",
        "ligament_end": "L",
        "umbo": "U",
        "upper_margin": "M",
        "hinge_byssal": "H",
        "hinge_ligament": "K",
    }
    for key, mark in dots.items():
        assert mark.point == VALVE[key][0]
        assert mark.id == key  # of the placing, to be taken hold of
    assert text(dots["hinge_byssal"].name) == "hinge, byssal side"


def test_a_series_has_lozenges_numbered_from_one():
    folds = of_kind(figure_of(BARE, SHELL, FRAME), Lozenge)
    main = [mark for mark in folds if mark.landmark == "main_folds"]
    assert [mark.number for mark in main] == [1, 2, 3, 4, 5]
    assert [mark.index for mark in main] == [0, 1, 2, 3, 4]
    assert [mark.point for mark in main] == list(VALVE["main_folds"])
    assert len(folds) == 7


def test_a_followed_line_is_one_mark_and_an_outline_is_closed():
    line = tuple(Point(100.0 + 10 * i, 200.0) for i in range(30))
    marks = (
        Placing("w", "f", "upper_margin_line", line),
        Placing("a", "u", "byssal_opening", line),
    )
    under = Frame("u", "p", "underside")
    shell = Specimen("s", frames=(FRAME, under), placings=marks)
    (path,) = figure_of(BARE, shell, FRAME).marks
    assert (path.id, path.landmark, path.points, path.closed) == (
        "w", "upper_margin_line", line, False,
    )  # fmt: skip
    (outline,) = figure_of(BARE, shell, under).marks
    assert outline.closed


def test_the_first_point_of_a_line_can_be_seen():
    begun = Placing("w", "f", "upper_margin_line", (Point(1, 2),))
    (mark,) = figure_of(BARE, Specimen("s", placings=(begun,)), FRAME).marks
    assert (mark.point, mark.number) == (Point(1, 2), 1)


def test_a_scale_that_was_carried_over_has_no_ends_on_this_picture():
    carried = replace(PICTURE, scale=carried_over(ruler(), "q"))
    figure = figure_of(carried, None, None)
    assert figure.marks == ()
    assert figure.mm_per_px == approx(1 / PX_PER_MM)


def test_the_hinge_is_a_line_once_both_of_its_ends_are_placed():
    (line,) = of_kind(figure_of(BARE, SHELL, FRAME), Line)
    assert (line.kind, line.start, line.end) == (
        "hinge",
        VALVE["hinge_byssal"][0],
        VALVE["hinge_ligament"][0],
    )
    half = Specimen("s", placings=tuple(placings({"hinge_byssal": VALVE["hinge_byssal"]})))
    assert of_kind(figure_of(BARE, half, FRAME), Line) == []


def test_a_scale_is_a_line_with_its_length_that_can_be_taken_hold_of():
    figure = figure_of(PICTURE, None, None)
    (line,) = figure.marks
    assert (line.kind, line.id) == ("scale", "p")
    assert (line.start, line.end) == ruler().points
    assert text(line.label) == "125 mm"
    assert figure.mm_per_px == approx(1 / PX_PER_MM)


def test_landmarks_that_cannot_be_placed_have_no_mark():
    hidden = Specimen("s", placings=(Placing("u", "f", "umbo", reason="hidden"),))
    assert figure_of(BARE, hidden, FRAME).marks == ()


def test_marks_of_another_frame_or_of_a_blind_repeat_are_not_drawn():
    for one in (
        Placing("u", "g", "umbo", (Point(1, 1),)),
        Placing("u", "f", "umbo", (Point(1, 1),), occasion="blind_repeat"),
    ):
        assert figure_of(BARE, Specimen("s", placings=(one,)), FRAME).marks == ()


def test_landmarks_that_no_scheme_knows_are_kept_but_not_drawn():
    odd = Specimen("s", placings=(Placing("x", "f", "by_sonar", (Point(1, 1),)),))
    assert figure_of(BARE, odd, FRAME).marks == ()
    assert figure_of(BARE, odd, Frame("f", "p", "by_sonar")).marks == ()


def test_frames_are_boxes_numbered_in_their_order_with_the_current_one_marked():
    name = Sentence("name.plain", {"name": "Tridacna maxima"})
    others = [
        (Frame("e", "p", "label"), name),  # the whole picture has no border
        (Frame("g", "p", "outside_of_valve", region=Box(0, 0, 10, 10)), name),
        (FRAME, name),
    ]
    boxes = of_kind(figure_of(BARE, None, FRAME, others), FrameBox)
    assert [(box.id, box.number, box.current) for box in boxes] == [
        ("g", 2, False),
        ("f", 3, True),
    ]
    assert boxes[1].box == FRAME.region


def test_landmarks_lie_above_lines_and_lines_above_frames():
    name = Sentence("name.plain", {"name": "x"})
    kinds = [type(one) for one in figure_of(PICTURE, SHELL, FRAME, [(FRAME, name)]).marks]
    order = {FrameBox: 0, Line: 1, Dot: 2, Lozenge: 2}
    assert [order[kind] for kind in kinds] == sorted(order[kind] for kind in kinds)


def test_one_mark_more_is_drawn_last_and_leaves_the_figure_as_it_was():
    figure = figure_of(BARE, SHELL, FRAME)
    line = Line("measure", Point(0, 0), Point(1, 1))
    more = figure.with_mark(line)
    assert more.marks[-1] == line
    assert figure.marks == more.marks[:-1]


# -- The line of a measure -----------------------------------------------------------------


def test_a_measure_is_a_line_between_its_first_two_landmarks():
    label = Sentence("plain", {"words": "142.5 mm"})
    line = measure_line(SHELL, FRAME, ("byssal_end", "ligament_end"), label)
    assert line == Line("measure", VALVE["byssal_end"][0], VALVE["ligament_end"][0], label)


def test_a_measure_that_lacks_an_end_has_no_line():
    half = Specimen("s", placings=tuple(placings({"umbo": VALVE["umbo"]})))
    label = Sentence("plain", {"words": "x"})
    assert measure_line(half, FRAME, ("umbo", "upper_margin"), label) is None


# -- The scale bar -------------------------------------------------------------------------


@given(st.floats(1e-4, 1e3))
def test_between_80_and_160_pixels_there_is_always_a_bar_of_a_round_length(mm_per_px):
    bar = scale_bar(mm_per_px, 80, 160)
    first = float(f"{bar.length_mm:.6e}".split("e")[0])
    assert first in (approx(1), approx(2), approx(2.5), approx(5))
    assert 80 - 1e-6 <= bar.length_px <= 160 + 1e-6
    assert bar.length_px * mm_per_px == approx(bar.length_mm)


@pytest.mark.parametrize(
    ("px_per_mm", "length_mm", "length_px"),
    [
        (8, 20, 160),
        (8.1, 10, 81),
        (3, 50, 150),
        (100, 1, 100),
        (1600, 0.1, 160),
        (0.15, 1000, 150),
        (35, 2.5, 87.5),  # 2 mm would be 70 px, 5 mm 175
    ],
)
def test_the_longest_round_length_that_fits_is_taken(px_per_mm, length_mm, length_px):
    bar = scale_bar(1 / px_per_mm, 80, 160)
    assert bar.length_mm == approx(length_mm)
    assert bar.length_px == approx(length_px)


def test_where_less_than_double_is_allowed_the_longest_that_fits_is_taken():
    """100 mm would be 190 px, 50 mm is 95."""
    assert scale_bar(1 / 1.9, 150, 160).length_mm == approx(50)
