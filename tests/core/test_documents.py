"""Records and whole collections as JSON: short forms are understood, full forms are exact."""

import json
from itertools import count

import pytest
from hypothesis import given
from hypothesis import strategies as st

from landmarks.codec import read_json, write_json
from landmarks.documents import (
    FORMAT,
    Whole,
    read_collection,
    read_record,
    write_collection,
    write_record,
)
from landmarks.errors import DocumentError, NewerFormatError
from landmarks.observations import Condition
from landmarks.specimen import Observation, Specimen
from tests import strategies as some
from tests.short_record import SHORT

wholes = st.builds(
    Whole,
    about=some.abouts,
    people=some.rows(some.people),
    pictures=some.rows(some.pictures),
    specimens=some.rows(some.specimens),
    extra=some.extras,
)


def numbered():
    """Ids that a test can foresee."""
    numbers = count(1)
    return lambda: f"id{next(numbers)}"


def read(raw):
    return read_record({"format": 1, **raw}, new_id=numbered())[0]


def only(raw):
    (one,) = read(raw).observations
    return one


def test_the_short_form_means_what_it_says():
    specimen, pictures = read_record(SHORT)
    seen = {one.character: one for one in specimen.observations}
    assert pictures == ()
    assert specimen.where.region == "coral_triangle"
    assert specimen.where.condition == (Condition("worn"),)
    length = seen["shell_length"]
    assert (length.value, length.sigma, length.unit) == (152, 2, "mm")
    assert length.method == "calliper"
    assert seen["incurrent_margin"].state == "smooth"
    assert (seen["main_folds"].value, seen["main_folds"].sigma) == (5, None)
    assert (seen["hinge_ratio"].value, seen["hinge_ratio"].sigma) == (0.48, 0.01)
    assert (seen["scutes"].state, seen["scutes"].sure) == ("absent", False)
    assert len(seen) == len(specimen.observations) == 5


@pytest.mark.parametrize(
    ("found", "value", "at_least"),
    [(152, 152, False), (152.5, 152.5, False), ({"at_least": 85}, 85, True)],
)
def test_a_length_may_be_a_number_or_one_sided(found, value, at_least):
    one = only({"shell_length_mm": found})
    assert (one.character, one.value, one.at_least, one.unit) == (
        "shell_length",
        value,
        at_least,
        "mm",
    )


def test_every_name_ending_in_mm_is_a_length():
    assert only({"hinge_line_mm": 70}).character == "hinge_line"
    assert only({"byssal_opening_length_mm": 0}).value == 0


def test_several_values_of_one_character_are_a_list():
    specimen = read({"observations": {"main_folds": [5, {"value": 6, "sigma": 1}]}})
    assert sorted(one.value for one in specimen.observations) == [5, 6]


def test_what_cannot_be_seen_has_its_reason():
    one = only({"observations": {"scutes": {"hidden": "worn"}}})
    assert (one.hidden, one.state, one.value) == ("worn", "", None)


def test_views_without_pictures_become_frames():
    specimen = read({"views": ["hinge_edge", "underside"]})
    assert [(one.view, one.picture, one.number) for one in specimen.frames] == [
        ("hinge_edge", "", 0),
        ("underside", "", 1),
    ]


def test_conditions_may_name_their_zone():
    where = read({"condition": ["worn", {"kind": "broken", "zone": "umbo"}]}).where
    assert where.condition == (Condition("worn"), Condition("broken", "umbo"))


def test_unknown_keys_are_kept_and_written_back():
    raw = {"format": 1, "id": "s", "later": {"a": [1, None]}, "label": {"drawer": 3}}
    assert write_record(*read_record(raw)) == raw


def test_a_short_record_is_written_in_full_and_then_stays_as_it_is():
    full = write_record(*read_record(SHORT))
    assert write_record(*read_record(full)) == full
    assert all(isinstance(found, list) for found in full["observations"].values())
    assert "shell_length_mm" not in full


@given(some.specimens, some.rows(some.pictures))
def test_a_record_reads_back_exactly(specimen, pictures):
    text = write_json(write_record(specimen, pictures))
    assert read_record(read_json(text, "")) == (specimen, pictures)


@given(wholes)
def test_a_collection_reads_back_exactly(whole):
    raw = write_collection(whole)
    text = write_json(raw)
    assert read_collection(read_json(text, "")) == whole
    assert write_json(write_collection(read_collection(json.loads(text)))) == text


@given(
    st.dictionaries(
        st.sampled_from(("format", "views", "hinge_mm", "extra", "id")), st.just(1)
    )
)
def test_an_unknown_entry_that_bears_one_of_our_names_survives(extra):
    specimen = Specimen("s", extra=extra)
    assert read_record(write_record(specimen)) == (specimen, ())


@pytest.mark.parametrize(
    ("raw", "words"),
    [
        ({"format": FORMAT + 1}, "newer version"),
        ({"format": 0}, "above zero"),
        ({"format": "1"}, "a whole number"),
        ({}, "which format"),
        ([], "an object"),
        ({"format": 1, "specimens": [{}, {}]}, "whole collection with 2 specimens"),
        ({"format": 1, "observations": []}, "an object"),
        ({"format": 1, "observations": {"scutes": True}}, "scutes"),
        ({"format": 1, "observations": {"scutes": None}}, "scutes"),
        ({"format": 1, "observations": {"scutes": {}}}, "exactly one"),
        (
            {"format": 1, "observations": {"scutes": {"state": "a", "value": 1}}},
            "exactly one",
        ),
        ({"format": 1, "observations": {"n": {"value": 1, "sigma": -1}}}, "zero or more"),
        ({"format": 1, "observations": {"n": {"value": 1, "at_least": 2}}}, "same thing"),
        ({"format": 1, "observations": {"n": [1, "a", []]}}, r"observations\.n\[2\]"),
        ({"format": 1, "shell_length_mm": -152}, "zero or more"),
        ({"format": 1, "shell_length_mm": 0}, "above zero"),
        ({"format": 1, "shell_length_mm": "152"}, "number of millimetres"),
        ({"format": 1, "shell_length_mm": [150, -2]}, r"shell_length_mm\[1\]"),
        ({"format": 1, "region": 5}, "a text"),
        ({"format": 1, "region": "a", "where": {"region": "b"}}, "same thing"),
        ({"format": 1, "condition": "worn"}, "a list"),
        ({"format": 1, "views": ["a", 2]}, "a text"),
        ({"format": 1, "frames": [{"id": "f"}]}, "picture"),
        ({"format": 1, "id": ""}, "id"),
        (
            {"format": 1, "frames": [{"id": "f", "picture": "", "view": "v"}] * 2},
            "stands twice",
        ),
        ({"format": 1, "pictures": [{"id": "p", "path": "a.jpg"}]}, "file"),
        ({"format": 1, "extra": 3}, "an object"),
    ],
)
def test_a_faulty_record_is_refused_with_its_name_and_place(raw, words):
    with pytest.raises(DocumentError, match=words) as caught:
        read_record(raw, "shell.json")
    assert "shell.json" in str(caught.value)


def test_a_newer_record_says_so_by_its_kind():
    with pytest.raises(NewerFormatError):
        read_record({"format": FORMAT + 1})


@pytest.mark.parametrize(
    ("raw", "words"),
    [
        ({"format": 1}, "collection"),
        ({"format": 1, "collection": {"id": "c"}, "specimens": 3}, "a list"),
        ({"format": 1, "collection": {"id": "c"}, "specimens": [{}]}, r"specimens\[0\]"),
        (
            {"format": 1, "collection": {"id": "c"}, "specimens": [{"id": "s"}] * 2},
            "stands twice",
        ),
        ({"format": 9, "collection": {"id": "c"}}, "newer"),
    ],
)
def test_a_faulty_collection_is_refused_with_its_place(raw, words):
    with pytest.raises(DocumentError, match=words):
        read_collection(raw, "drawer.json")


def test_records_in_a_collection_may_be_short():
    raw = {
        "format": 1,
        "collection": {"id": "c"},
        "specimens": [{"id": "s", "observations": {"main_folds": 5}}],
    }
    (specimen,) = read_collection(raw).specimens
    (one,) = specimen.observations
    assert one == Observation(one.id, "main_folds", value=5.0)
