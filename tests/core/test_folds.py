"""Folds of drawn margins and bands whose counts are known; doubtful ones end unsure."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pytest import approx

from landmarks.geometry import Point, turned
from landmarks.instruments.fold_agreement import FoldCount, count_folds
from landmarks.instruments.folds import (
    CLEAR,
    END,
    MAIN,
    Fold,
    Found,
    _margin_clear,
    folds_of_margin,
    folds_of_transect,
    transect_needed,
)
from landmarks.instruments.pixels import Window
from landmarks.instruments.refusal import Refused
from landmarks.instruments.ridges import Peak, evenly, peaks, rounded, stable_count
from landmarks.instruments.ruler import fit_ruler
from landmarks.outputs.instruments import folds_json, scale_json
from landmarks.sentences import text
from tests.benchmarks.folded import clicked, exact_margin, shell

WIDE = 900.0


def margin(n_folds, *, height=0.03, n=160, sigma=0.0, seed=1, ends=0.0):
    """Return a half-oval margin of 900 px with even folds, and where they are."""
    angle = np.linspace(0.0, np.pi, 2001)
    at = np.linspace(0.12, 0.88, n_folds + 2 * bool(ends)) * np.pi
    tall = np.full(at.size, 1.0)
    if ends:
        tall[[0, -1]] = ends
    gap = at[1] - at[0]
    near = (angle[:, None] - at) / gap
    bumps = (tall * np.where(abs(near) < 0.5, 0.5 + 0.5 * np.cos(2 * np.pi * near), 0)).sum(
        1
    )
    r = 1 + 2 * height * bumps
    x = 500 + WIDE / 2 * r * np.cos(angle)
    y = 700 - 0.6 * WIDE * r * np.sin(angle)
    pick = np.linspace(0, 2000, n).round().astype(int)
    hand = np.random.default_rng(seed)
    off = sigma * hand.standard_normal((n, 2))
    return [Point(*p) for p in np.stack([x[pick], y[pick]], axis=1) + off]


def band(n_folds, *, noise=0.0, seed=1, depth=40.0):
    """Return a window with n shaded folds side by side, and a path over them."""
    _, x = np.mgrid[0:200, 0:900].astype(np.float32) + 0.5
    width = 800 / n_folds
    light = 150 - depth * np.cos(2 * np.pi * (x - 50) / width) + 0.06 * (x - 450)
    hand = np.random.default_rng(seed)
    light += noise * hand.standard_normal(light.shape)
    return Window(light.astype(np.float32)), [
        Point(50, 100),
        Point(450, 98),
        Point(850, 100),
    ]


# -- Margin -----------------------------------------------------------------------------


@pytest.mark.parametrize("n", [5, 6, 7, 9])
@pytest.mark.parametrize("sigma", [0.0, 1.0])
def test_the_folds_of_a_margin_are_counted(n, sigma):
    found = folds_of_margin(margin(n, sigma=sigma, seed=n))
    assert found.n_main == n


def test_marks_stand_on_the_tops():
    line = margin(5)
    found = folds_of_margin(line)
    tops = [one.point for one in found.folds if one.kind == MAIN]
    middle = tops[2]
    assert middle.x == approx(500, abs=4)
    assert middle.y == approx(min(p.y for p in line), abs=3)
    assert [one.place for one in found.folds] == sorted(one.place for one in found.folds)


def test_the_profile_belongs_to_points_of_the_picture():
    found = folds_of_margin(margin(6))
    assert len(found.profile) == len(found.line)
    heights = [one.height for one in found.folds if one.kind == MAIN]
    assert np.median(heights) == approx(1.0, rel=0.05)


@cache
def drawn_shells(n):
    return [
        (one, exact_margin(one)) for one in (shell(seed, stream=41) for seed in range(n))
    ]


def test_margins_of_exact_shells_are_counted_as_the_benchmark_says():
    right = 0
    for one, exact in drawn_shells(20):
        line = clicked(exact, 160, 1.0, np.random.default_rng(one.seed))
        found = folds_of_margin(line)
        right += isinstance(found, Found) and found.n_main == one.n_main
    assert right >= 16


@settings(max_examples=15)
@given(st.floats(-3.1, 3.1), st.floats(0.5, 3.0))
def test_turning_and_enlarging_a_margin_changes_no_count(turn, scale):
    line = [Point(p.x * scale, p.y * scale) for p in margin(6)]
    found = folds_of_margin(turned(line, turn, Point(500, 500)), sigma_px=scale)
    assert found.n_main == 6


def test_a_margin_followed_the_other_way_has_the_same_folds():
    line = margin(7)
    ways = folds_of_margin(line), folds_of_margin(line[::-1])
    places = [[one.place for one in way.folds] for way in ways]
    assert places[0] == approx([1 - place for place in places[1][::-1]], abs=0.01)


def test_an_even_margin_has_no_clear_folds():
    found = folds_of_margin(margin(5, height=0.0, sigma=1.0))
    assert isinstance(found, Refused) or found.clear < 0.3


def test_a_margin_of_few_points_is_refused_with_how_many_it_needs():
    found = folds_of_margin(margin(5)[:10])
    assert isinstance(found, Refused)
    assert "24" in text(found.sentence)


# -- Transect ---------------------------------------------------------------------------


@pytest.mark.parametrize("n", [4, 5, 7, 9])
@pytest.mark.parametrize("noise", [0.0, 12.0])
def test_the_folds_under_a_band_are_counted(n, noise):
    window, path = band(n, noise=noise)
    found = folds_of_transect(window, path)
    assert found.n_main == n


def test_the_part_of_the_picture_that_is_needed_holds_the_whole_band():
    window, path = band(6)
    box = transect_needed(path)
    rows = slice(int(box.y), int(box.y + box.height) + 1)
    columns = slice(max(0, int(box.x)), int(box.x + box.width) + 1)
    part = Window(window.light[rows, columns], columns.start, rows.start)
    whole, cut = folds_of_transect(window, path), folds_of_transect(part, path)
    assert [one.place for one in whole.folds] == [one.place for one in cut.folds]


def test_a_short_line_is_refused():
    window, _ = band(6)
    assert isinstance(folds_of_transect(window, [Point(10, 10), Point(30, 10)]), Refused)


def test_plain_noise_is_never_clear():
    for seed in range(6):
        light = np.random.default_rng(seed).normal(128, 20, (200, 900)).astype(np.float32)
        found = folds_of_transect(Window(light), [Point(50, 100), Point(850, 100)])
        assert isinstance(found, Refused) or found.clear < 0.25


# -- Both -------------------------------------------------------------------------------


def found_at(places, source, clear=1.0):
    folds = tuple(Fold(Point(900 * p, 50), p, MAIN, 1.0) for p in places)
    ends = (Point(0, 500), Point(900, 500))
    return Found(source, folds, (0.0, 0.0), ends, clear)


EVEN = (0.2, 0.35, 0.5, 0.65, 0.8)


def test_two_ways_that_agree_are_sure():
    count = count_folds(found_at(EVEN, "margin"), found_at(EVEN, "transect"))
    assert count.sure
    assert count.check == ()
    assert "agree" in text(count.sentence())


def test_an_unclear_one_is_never_sure():
    count = count_folds(found_at(EVEN, "margin"), found_at(EVEN, "transect", clear=0.1))
    assert not count.sure


def test_an_unclear_margin_asks_to_look_at_its_outermost_folds():
    """A transect shows a fold, but not whether it is a main one."""
    count = count_folds(found_at(EVEN, "margin", clear=0.4), found_at(EVEN, "transect"))
    assert not count.sure
    assert "mark 1 and mark 5" in text(count.sentence())


@pytest.mark.parametrize(("last", "clear"), [(1.0, True), (0.7, False)])
def test_a_margin_is_clear_where_its_outermost_folds_are(last, clear):
    """Even folds are; one that stands much nearer to the next could be an end fold.

    So could one whose likelihood leaves a doubt, or that is low, and a tall end fold could be
    a main one; and worn folds are never clear.
    """
    at = [round(100 + 150 * place) for place in (0.0, 1.0, 2.0, 3.0, 3.0 + last)]
    likely = np.full(5, 0.995)

    def found(likely=likely, first=MAIN, height=9.0, others=9.0):
        kinds = [first, MAIN, MAIN, MAIN, MAIN]
        tall = [height, others, others, others, others]
        kept = [
            (Peak(*each), kind)
            for each, kind in zip(zip(at, tall, tall, strict=True), kinds, strict=True)
        ]
        return _margin_clear(likely, kept, np.zeros(1000), 160, 1000.0, 1.0)

    assert (found() >= CLEAR) is clear
    assert found(np.array([*likely[:4], 0.9])) < CLEAR
    assert found(height=3.0, others=3.0) < CLEAR
    assert found(height=5.0) < CLEAR
    assert found(first=END) < CLEAR
    assert (found(first=END, height=3.0) >= CLEAR) is clear


@pytest.mark.parametrize("lost", range(5))
def test_the_mark_that_only_the_margin_has_is_to_be_checked(lost):
    fewer = tuple(place for i, place in enumerate(EVEN) if i != lost)
    count = count_folds(found_at(EVEN, "margin"), found_at(fewer, "transect"))
    assert not count.sure
    assert count.check == (lost + 1,)
    assert f"mark {lost + 1}" in text(count.sentence())


def test_a_fold_that_only_the_transect_has_is_told():
    fewer = tuple(place for i, place in enumerate(EVEN) if i != 2)
    count = count_folds(found_at(fewer, "margin"), found_at(EVEN, "transect"))
    assert not count.sure
    assert [one.place for one in count.more] == [0.5]
    assert "1 fold more" in text(count.sentence())


def with_ends(places, n_first, n_last, clear=1.0):
    """Return a margin whose first and last folds are end folds."""
    found = found_at(places, "margin", clear)
    last = len(places) - n_last
    folds = tuple(
        replace(one, kind=MAIN if n_first <= k < last else END)
        for k, one in enumerate(found.folds)
    )
    return replace(found, folds=folds)


@pytest.mark.parametrize(("n_first", "n_last"), [(1, 0), (0, 1), (1, 1)])
def test_a_transect_across_the_end_folds_too_agrees_with_all_of_them(n_first, n_last):
    count = count_folds(with_ends(EVEN, n_first, n_last), found_at(EVEN, "transect"))
    assert count.sure
    assert len(count.main) == 5 - n_first - n_last
    assert (count.check, count.more) == ((), ())
    assert "agree" in text(count.sentence())
    unclear = count_folds(
        with_ends(EVEN, n_first, n_last, 0.45), found_at(EVEN, "transect")
    )
    assert not unclear.sure
    assert (unclear.check, unclear.more) == ((), ())


def test_a_transect_across_one_of_two_end_folds_agrees():
    count = count_folds(with_ends(EVEN, 1, 1), found_at(EVEN[1:], "transect"))
    assert count.sure


def test_a_fold_between_the_main_ones_is_no_end_fold():
    main = (0.35, 0.5, 0.65)
    seen = (0.35, 0.43, 0.5, 0.65)
    count = count_folds(with_ends((0.2, *main), 1, 0), found_at(seen, "transect"))
    assert not count.sure


def test_one_way_alone_is_never_sure():
    for pair in ((found_at(EVEN, "margin"), None), (None, found_at(EVEN, "transect"))):
        count = count_folds(*pair)
        assert isinstance(count, FoldCount)
        assert not count.sure
        assert "5 folds" in text(count.sentence())


def test_neither_is_an_error_of_the_caller():
    with pytest.raises(ValueError, match="neither"):
        count_folds(None, None)


def test_small_folds_at_the_ends_are_end_folds():
    found = folds_of_margin(margin(5, ends=0.3))
    kinds = [one.kind for one in found.folds]
    assert kinds.count(MAIN) == 5
    assert END not in kinds[1:-1]


# -- As JSON ------------------------------------------------------------------------------


def test_a_count_in_json_says_what_how_sure_and_why():
    told = folds_json(count_folds(found_at(EVEN, "margin"), found_at(EVEN, "transect")))
    assert told["main_folds"] == 5
    assert told["sure"] is True
    assert told["folds"][0]["point"] == approx([180.0, 50.0])
    refused = folds_json(folds_of_margin(margin(5)[:5]))
    assert refused["main_folds"] is None
    assert refused["message"]
    assert refused.keys() == told.keys()


def test_a_refused_ruler_in_json_is_the_two_clicks():
    blank = Window(np.full((200, 600), 200.0, np.float32))
    ends = Point(20.0, 100.0), Point(520.0, 100.0)
    told = scale_json(fit_ruler(blank, *ends, 100.0), *ends, 100.0, size=(600, 200))
    assert told["method"] == "two_points"
    assert told["px_per_mm"] == approx(5.0)
    assert told["sigma"] > 0
    assert told["sure"] is False


# -- Ridges -----------------------------------------------------------------------------


def test_prominence_is_the_climb_down_to_higher_ground():
    found = peaks(np.array([0.0, 3.0, 1.0, 2.0, 0.5, 5.0, 0.0]))
    assert [(one.at, one.prominence) for one in found] == [(1, 2.5), (3, 1.0), (5, 5.0)]


def test_even_points_are_even():
    line = evenly([Point(0, 0), Point(1, 0), Point(10, 0)], 11)
    assert line[:, 0] == approx(np.arange(11))


def test_a_rounded_path_runs_through_its_clicks():
    clicks = [Point(0, 0), Point(50, 40), Point(100, 0), Point(150, -30)]
    curve = rounded(clicks, 2000)
    for click in clicks:
        assert np.hypot(*(curve - click).T).min() < 0.2


def test_the_stable_count_is_that_of_the_waves_not_of_their_ripple():
    x = np.linspace(0, 1, 900)
    wave = np.sin(2 * np.pi * 6 * x - np.pi / 2) + 0.25 * np.sin(2 * np.pi * 60 * x)
    found, margin_, _ = stable_count(wave, range(3, 15))
    assert len(found) == 6
    assert margin_ > 0.2
