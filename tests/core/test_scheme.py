"""The views and their schemes: letters, names, what can be none, and what lives."""

import ast
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from landmarks import scheme
from landmarks.errors import UnknownWordError
from landmarks.measures import MEASURES
from landmarks.placing import TRUE_ZEROS
from landmarks.scheme import POINT, SERIES, VIEWS, view
from landmarks.tables import read_tables

SCHEMES = [one for one in VIEWS.values() if one.landmarks]
ROWS = [(one.key, row) for one in SCHEMES for row in one.landmarks]


def test_there_are_the_eleven_views_of_the_trade():
    assert list(VIEWS) == [
        "outside_of_valve", "inside_of_valve", "upper_margin", "hinge_edge", "underside", "end",
        "living_from_above", "living_from_side", "living_inhalant_opening", "living_mantle_edge",
        "label",
    ]  # fmt: skip


def test_outside_hinge_edge_and_living_from_above_have_schemes():
    schemes = {one.key for one in SCHEMES}
    assert {"outside_of_valve", "hinge_edge", "living_from_above"} <= schemes


@pytest.mark.parametrize("one", SCHEMES, ids=lambda one: one.key)
def test_letters_and_keys_of_a_view_are_all_different(one):
    letters = [row.letter for row in one.landmarks]
    keys = [row.key for row in one.landmarks]
    assert len(set(letters)) == len(letters)
    assert len(set(keys)) == len(keys)
    assert all(len(letter) == 1 and letter.isupper() for letter in letters)


def test_a_landmark_has_the_same_letter_in_every_view():
    letters: dict[str, set[str]] = {}
    for _, row in ROWS:
        letters.setdefault(row.key, set()).add(row.letter)
    assert all(len(found) == 1 for found in letters.values())


def test_the_letters_of_the_outside_stand_in_the_drawing():
    drawing = ast.get_docstring(
        ast.parse(Path(scheme.__file__).read_text(encoding="utf-8"))
    )
    shown = {one.key: one.letter for one in VIEWS["outside_of_valve"].landmarks}
    for key in (
        *MEASURES["height_ratio"].needs,
        *MEASURES["hinge_line"].needs,
        "main_folds",
    ):
        assert f" {shown[key]}" in drawing or f"_{shown[key]}" in drawing


@pytest.mark.parametrize(("where", "row"), ROWS, ids=lambda one: getattr(one, "key", one))
def test_a_landmark_has_a_kind_a_possible_height_and_a_view_that_fits(where, row):
    assert row.kind in (POINT, SERIES, "path", "outline")
    assert abs(row.height) <= 0.5  # no clam is half as high above its margin as it is long
    assert 0 < row.height_sigma <= 0.2
    assert row.may_be_none in ("", *TRUE_ZEROS)
    assert row.living == VIEWS[where].living


def test_what_may_be_none_is_what_makes_a_measure_zero():
    by_key = {row.key: row for _, row in ROWS}
    for one in MEASURES.values():
        for key in one.zero_when:
            assert by_key[key].may_be_none


@pytest.mark.parametrize("key", list(MEASURES))
def test_every_measure_can_be_had_in_some_view(key):
    needs = set(MEASURES[key].needs)
    assert any(needs <= {row.key for row in one.landmarks} for one in SCHEMES)


def test_what_is_counted_is_a_series_and_what_is_spanned_are_points():
    kinds = {row.key: row.kind for _, row in ROWS}
    for key in ("main_folds", "end_folds"):
        assert [kinds[one] for one in MEASURES[key].needs] == [SERIES]
    for key in ("shell_length", "shell_height", "hinge_ratio", "byssal_ratio"):
        assert {kinds[one] for one in MEASURES[key].needs} == {POINT}


def test_the_tables_know_the_same_views():
    known = {one.key for one in read_tables().views}
    assert known <= set(VIEWS)
    used = {key for row in read_tables().characters for key in row.views}
    assert used <= set(VIEWS)


@pytest.mark.parametrize("one", list(VIEWS.values()), ids=lambda one: one.key)
def test_living_views_are_called_so(one):
    assert one.living == one.key.startswith("living")


def test_a_landmark_is_found_by_its_key_or_is_none():
    assert VIEWS["hinge_edge"].landmark("byssal_opening_far").letter == "P"
    assert VIEWS["hinge_edge"].landmark("umbo") is None


@pytest.mark.parametrize(
    ("found", "nearest"),
    [
        ("outside_of_the_valve", "outside_of_valve"),
        ("hinge", "hinge_edge"),
        ("living_above", "living_from_above"),
        ("labels", "label"),
    ],
)
def test_a_view_that_nobody_knows_names_the_nearest(found, nearest):
    with pytest.raises(UnknownWordError, match=f"nearest is “{nearest}”"):
        view(found)


@given(st.text(max_size=30))
def test_any_word_is_a_view_or_a_sentence(found):
    if found in VIEWS:
        assert view(found).key == found
    else:
        with pytest.raises(UnknownWordError):
            view(found)
