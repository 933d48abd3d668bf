"""From a person's lines to counts of folds, and from the counts to marks."""

from __future__ import annotations

from math import sin

import numpy as np
import pytest

from landmarks.geometry import Point
from landmarks.instruments.edges import crop_of
from landmarks.instruments.fold_agreement import FoldCount
from landmarks.instruments.fold_marks import Counted, counted, marks_of, to_hinge_ends
from landmarks.instruments.folds import END, MAIN, Fold, Found
from landmarks.instruments.refusal import Refused
from landmarks.placing import Placing


def _placed(**points):
    return {key: Placing(key, "f", key, (Point(*at),)) for key, at in points.items()}


MARGIN = (Point(100, 50), Point(60, 10), Point(20, 50))


def test_a_margin_is_led_on_to_the_hinge_whichever_way_it_was_traced():
    placed = _placed(hinge_byssal=(80, 90), hinge_ligament=(40, 90))
    led = to_hinge_ends(MARGIN, placed)
    assert led == (Point(80, 90), *MARGIN, Point(40, 90))
    assert to_hinge_ends(MARGIN[::-1], placed) == led[::-1]


@pytest.mark.parametrize("placed", [{}, _placed(hinge_byssal=(80, 90))])
def test_without_both_ends_of_the_hinge_it_stays(placed):
    assert to_hinge_ends(MARGIN, placed) == MARGIN


def test_a_margin_that_begins_on_the_hinge_is_not_doubled():
    placed = _placed(hinge_byssal=(100, 50), hinge_ligament=(20, 50))
    assert to_hinge_ends(MARGIN, placed) == MARGIN


def _waves(size, n):
    """Return a picture of n bands of light across, and a transect over them."""
    x = np.arange(size) + 0.5
    light = 128 + 90 * np.cos(2 * np.pi * (x / size * n - 0.5))
    picture = np.repeat(np.tile(light, (size // 4, 1))[..., None], 3, axis=2)
    height = size / 8
    path = [Point(k * size / 8, height + size / 100 * sin(k)) for k in range(9)]
    return picture.astype(np.uint8), path


@pytest.mark.parametrize("size", [600, 4800])
def test_a_transect_counts_alike_on_small_and_large_pictures(size):
    picture, path = _waves(size, 6)
    found = counted(crop_of(picture), (), path).transect
    assert found.n_main == 6
    assert len(found.line) == len(found.profile)
    for number, one in enumerate(found.folds):
        assert one.point.x == pytest.approx((number + 0.5) * size / 6, abs=size / 60)


def test_a_large_picture_is_looked_at_reduced():
    picture, path = _waves(7200, 5)
    steps = []

    def crop(box, step):
        steps.append(step)
        return crop_of(picture)(box, step)

    counted(crop, (), path)
    assert steps == [4]


def test_what_would_not_answer_says_why():
    picture, _ = _waves(600, 6)
    short = [Point(10, 50), Point(40, 50)]
    found = counted(crop_of(picture), MARGIN, short)
    assert found.count is None
    keys = [one.sentence.key for one in found.refusals]
    assert keys == ["folds.margin.few", "folds.transect.short"]
    assert counted(None, (), short) == Counted()


def _found(source, places, y):
    line = tuple(Point(10.0 * k, y) for k in range(101))
    folds = tuple(Fold(Point(1000 * p, y), p, MAIN, 1.0) for p in places)
    return Found(source, folds, tuple(0.0 for _ in line), line, 1.0)


def test_folds_beyond_those_of_the_margin_are_proposed_as_end_folds():
    margin = _found("margin", (0.3, 0.5, 0.7), 0.0)
    transect = _found("transect", (0.1, 0.3, 0.5, 0.7, 0.9), 20.0)
    more = (transect.folds[0], transect.folds[4])
    count = FoldCount(margin.folds, False, (), more, margin, transect)
    marks = marks_of(count)
    assert [one.kind for one in marks] == [END, MAIN, MAIN, MAIN, END]
    assert [one.point.x for one in marks] == pytest.approx([100, 300, 500, 700, 900])


def test_a_fold_between_those_of_the_margin_is_left_to_the_person():
    margin = _found("margin", (0.3, 0.7), 0.0)
    transect = _found("transect", (0.3, 0.5, 0.7), 20.0)
    count = FoldCount(margin.folds, False, (), (transect.folds[1],), margin, transect)
    assert [one.kind for one in marks_of(count)] == [MAIN, MAIN]


def test_a_refusal_beside_an_answer_leaves_the_answer():
    found = Counted(Refused(MARGIN), _found("transect", (0.3, 0.7), 0.0))
    assert found.count is not None
    assert len(found.refusals) == 1
