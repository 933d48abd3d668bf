"""Values to JSON and back; what strangers write is limited and said."""

import json
from typing import Any

import pytest
from hypothesis import example, given

from landmarks.codec import MAX_DEPTH, decode, encode, read_json, write_json
from landmarks.collection import About, Person, Picture
from landmarks.errors import DocumentError
from landmarks.geometry import Box, Point
from landmarks.placing import Placing
from landmarks.specimen import Determination, Frame, Label, Observation, Where
from tests import strategies as some

KINDS = {
    Label: some.labels,
    Where: some.wheres,
    Frame: some.frames,
    Placing: some.placings,
    Observation: some.observations(),
    Determination: some.determinations,
    Picture: some.pictures,
    Person: some.people,
    About: some.abouts,
}


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.__name__)
def test_writing_and_reading_gives_the_same_value(kind):
    @given(KINDS[kind])
    def law(value):
        assert decode(kind, read_json(write_json(encode(value)), "")) == value

    law()


@given(some.json_values)
def test_the_text_of_json_reads_back(raw):
    assert read_json(write_json(raw), "") == raw


@given(some.labels, some.extras)
def test_unknown_fields_survive_an_older_version(label, more):
    raw = {**encode(label), **more}
    assert encode(decode(Label, raw)) == raw


def test_defaults_are_not_written():
    assert encode(Label()) == {}
    assert encode(Frame("f", "p", "hinge_edge")) == {
        "id": "f",
        "picture": "p",
        "view": "hinge_edge",
    }


def test_points_and_boxes_are_plain_lists():
    assert encode(Placing("i", "f", "umbo", (Point(1.0, 2.5),)))["points"] == [[1, 2.5]]
    assert encode(Frame("f", "p", "v", Box(0, 1, 2, 3)))["region"] == [0, 1, 2, 3]


@pytest.mark.parametrize(
    ("kind", "raw", "words"),
    [
        (Label, [], "an object in braces"),
        (Label, {"locality": 3}, "a text"),
        (Frame, {"id": "f", "picture": "p"}, "view"),
        (Frame, {"id": "f", "picture": "p", "view": "v", "region": [1, 2]}, "four numbers"),
        (
            Placing,
            {"id": "i", "frame": "f", "landmark": "l", "points": [[1, True]]},
            "pair",
        ),
        (Placing, {"id": "i", "frame": "f", "landmark": "l", "points": 5}, "a list"),
        (Placing, {"id": "i", "frame": "f", "landmark": "l", "names_hidden": 1}, "true or"),
        (Frame, {"id": "f", "picture": "p", "view": "v", "number": 1.5}, "a whole number"),
        (Frame, {"id": "f", "picture": "p", "view": "v", "number": True}, "a whole number"),
        (Observation, {"id": "o", "character": "c", "value": "12"}, "a number"),
    ],
)
def test_a_wrong_type_is_named_with_its_place(kind, raw, words):
    with pytest.raises(DocumentError, match=words) as caught:
        decode(kind, raw, "the label")
    assert "the label" in str(caught.value)


@pytest.mark.parametrize(
    ("content", "words"),
    [
        ("{", "line 1"),
        ('{"a": 1,\n "b" 2}', "line 2, column 6"),
        (b"\xff\xfe\xff", "UTF-8"),
        ("[NaN]", "NaN"),
        ("[-Infinity]", "-Infinity"),
        ("[1e999]", "1e999"),
        ("[1" + "0" * 400 + "]", "100000"),
        ("[" * 100_000, "deep"),
        ("[" * (MAX_DEPTH + 1) + "]" * (MAX_DEPTH + 1), "deep"),
        ('{"a": 1, "a": 2}', "twice"),
        ('["\\ud800"]', "ud800"),
        ('{"\\udfff": 1}', "udfff"),
        ("", "line 1"),
    ],
)
def test_a_strangers_json_is_refused_with_one_sentence(content, words):
    with pytest.raises(DocumentError, match=words) as caught:
        read_json(content, "shells.json")
    assert str(caught.value).startswith("shells.json")


def test_json_above_the_limit_is_not_even_parsed(monkeypatch):
    monkeypatch.setattr("landmarks.codec.MAX_BYTES", 1000)
    with pytest.raises(DocumentError, match="MB"):
        read_json("[" + "1," * 600 + "1]", "big.json")


def test_json_at_the_limits_is_read():
    assert read_json("[" * MAX_DEPTH + "]" * MAX_DEPTH, "")
    assert read_json('"\\ud83d\\ude00 \u00e9"', "") == "\U0001f600 é"


@given(some.json_values)
@example({"b": 1, "a": [1.5, None]})
def test_equal_json_has_one_text(raw):
    again: Any = json.loads(json.dumps(raw))
    assert write_json(again) == write_json(raw)
