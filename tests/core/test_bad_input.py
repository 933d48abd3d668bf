"""Bad input gets one clear sentence: what was found, where, the way out; nothing is lost."""

import json
import re
from dataclasses import replace

import pytest
from PIL import Image

from landmarks.changes import ChangeSet, Document, difference
from landmarks.codec import MAX_DEPTH, read_json
from landmarks.demo import FOLDER, worked_example
from landmarks.documents import FORMAT, read_collection, read_record, write_collection
from landmarks.errors import (
    DocumentError,
    HingelineError,
    NewerFormatError,
    PictureError,
    PlacingError,
    ScaleError,
    UnknownWordError,
)
from landmarks.geometry import Point
from landmarks.picture import read_picture
from landmarks.placing import check_inside
from landmarks.scale import two_points
from landmarks.scheme import view
from landmarks.sentences import Sentence, catalogue, text
from landmarks.specimen import parts_of
from landmarks.storage import open_sqlite
from tests.core.shells import SIZE
from tests.core.test_sentences import calls, is_key, says


def scale(a, b, length_mm):
    return two_points(Point(*a), Point(*b), length_mm, size=SIZE)


def record(**fields):
    return read_record({"format": FORMAT, **fields}, "shell.json")


def parsed(content):
    return read_record(read_json(content, "shell.json"), "shell.json")


def picture(content):
    def read(folder):
        path = folder / "shell.jpg"
        path.write_bytes(content)
        return read_picture(path)

    return read


WRONG = {
    # name: (what is done, the error it is, words its sentence must have)
    "a scale whose ends are equal": (
        lambda _: scale((100, 100), (100, 100), 50), ScaleError, ("x 100", "y 100", "drag")),
    "a scale of a negative length": (
        lambda _: scale((0, 0), (100, 0), -50), ScaleError, ("−50", "more than 0")),
    "a scale of no length": (
        lambda _: scale((0, 0), (100, 0), 0), ScaleError, ("0 is not a length",)),
    "a scale end outside the picture": (
        lambda _: scale((0, 0), (2000, 0), 50), ScaleError, ("x 2000", "1800 × 1200 px")),
    "a point outside the picture": (
        lambda _: check_inside((Point(5, 5), Point(-1, 5)), *SIZE),
        PlacingError, ("x −1", "y 5", "1800 × 1200 px")),
    "a point that is nowhere": (
        lambda _: check_inside((Point(float("nan"), 5),), *SIZE), PlacingError, ("x ?",)),
    "a view nobody knows": (
        lambda _: view("outside_of_the_valve"), UnknownWordError, ("outside_of_valve",)),
    "a text for a picture": (picture(b"hello"), PictureError, ("shell.jpg", "JPEG, PNG or TIFF")),
    "an empty picture": (picture(b""), PictureError, ("shell.jpg", "0 bytes")),
    "a folder for a picture": (read_picture, PictureError, ("folder",)),
    "a picture that is gone": (
        lambda folder: read_picture(folder / "gone.jpg"), PictureError, ("gone.jpg",)),
    "no JSON": (lambda _: parsed("{"), DocumentError, ("shell.json",)),
    "JSON that ends early": (lambda _: parsed('{"format": 1'), DocumentError, ("shell.json",)),
    "JSON that is no object": (lambda _: parsed("[]"), DocumentError, ("shell.json",)),
    "JSON that is no text": (lambda _: parsed(b"\xff\xfe{}"), DocumentError, ("shell.json",)),
    "JSON of odd numbers": (
        lambda _: parsed('{"format": Infinity}'), DocumentError, ("shell.json", "Infinity")),
    "JSON without end": (
        lambda _: parsed("[" * 100_000), DocumentError, ("shell.json", str(MAX_DEPTH))),
    "a record without a format": (lambda _: read_record({}, "shell.json"), DocumentError,
        ("shell.json", "format")),
    "a record of a newer format": (
        lambda _: read_record({"format": FORMAT + 1}, "shell.json"),
        NewerFormatError, ("shell.json", str(FORMAT + 1))),
    "a collection of a newer format": (
        lambda _: read_collection({"format": FORMAT + 1}, "museum.json"),
        NewerFormatError, ("museum.json", str(FORMAT + 1))),
    "a negative length": (lambda _: record(shell_length_mm=-5), DocumentError,
        ("shell.json", "shell_length_mm", "−5")),
    "a length of words": (lambda _: record(shell_length_mm="long"), DocumentError,
        ("shell.json", "shell_length_mm")),
    "a sigma that is negative": (
        lambda _: record(shell_length_mm={"value": 5, "sigma": -1}),
        DocumentError, ("sigma", "−1")),
    "an observation that says two things": (
        lambda _: record(observations={"scutes": {"state": "absent", "value": 1}}),
        DocumentError, ("shell.json", "scutes")),
    "an observation that says nothing": (
        lambda _: record(observations={"scutes": {}}), DocumentError, ("shell.json", "scutes")),
}  # fmt: skip


@pytest.mark.parametrize("name", list(WRONG))
def test_bad_input_gets_one_sentence_with_what_where_and_the_way_out(name, tmp_path):
    done, error, words = WRONG[name]
    with pytest.raises(error) as fault:
        done(tmp_path)
    said = text(fault.value.sentence)
    assert said == str(fault.value)
    assert "\n" not in said
    for one in words:
        assert one in said


def test_what_lies_on_the_border_of_the_picture_is_inside():
    check_inside((Point(0, 0), Point(1800, 1200), Point(900, 600)), *SIZE)
    check_inside((), *SIZE)


def test_every_error_says_what_is_wrong_and_what_to_do():
    """As a sentence of two parts at least: what was found, and the way out."""
    short = []
    for where, node, name in calls():
        if name.endswith("Error") and says(name) and node.args and is_key(node.args[0]):
            words = catalogue()[node.args[0].value]
            for form in words if isinstance(words, tuple) else (words,):
                parts = re.split(r"[:;,.?] ", form)
                if len(parts) < 2 or not form.endswith((".", "?", ")")):
                    short.append(f"{where}: {form}")
    assert short == []


def test_every_error_can_be_shown_to_a_person():
    """The tree of errors carries sentences, never bare text."""
    with pytest.raises(KeyError):
        text(HingelineError("no.such.key").sentence)
    for kind in (PictureError, ScaleError, PlacingError, DocumentError, NewerFormatError):
        assert issubclass(kind, HingelineError)
        assert str(kind("plain", words="x")) == "x"


# -- Nothing is lost -----------------------------------------------------------------------------


def test_a_record_of_a_newer_format_is_not_touched(tmp_path):
    path = tmp_path / "shell.json"
    path.write_text(json.dumps({"format": FORMAT + 1, "new": True}), encoding="utf-8")
    before = path.read_bytes()
    with pytest.raises(NewerFormatError):
        parsed(path.read_bytes())
    assert path.read_bytes() == before


def test_a_collection_is_unharmed_by_a_deed_that_cannot_be(tmp_path):
    example = worked_example()
    one, path = example.specimens[0], tmp_path / "museum.hingeline"
    store = open_sqlite(path, create=True, about=example.about)
    words = Sentence("plain", {"words": "x"})
    document = Document("specimen", one.id)
    store.commit(ChangeSet("first", words, tuple(difference(document, {}, parts_of(one)))))
    before, faults = store.load(document), list(store.check())
    for wrong in WRONG.values():
        with pytest.raises(wrong[1]):
            wrong[0](tmp_path)
    assert store.load(document) == before
    assert list(store.check()) == faults
    store.close()


def test_a_picture_that_cannot_be_read_is_left_as_it_is(tmp_path):
    path = tmp_path / "shell.jpg"
    Image.new("RGB", (40, 30)).save(path)
    path.write_bytes(path.read_bytes()[:100])
    before, when = path.read_bytes(), path.stat().st_mtime_ns
    with pytest.raises(PictureError):
        read_picture(path)
    assert (path.read_bytes(), path.stat().st_mtime_ns) == (before, when)
    assert [one.name for one in tmp_path.iterdir()] == ["shell.jpg"]


def test_what_a_later_version_added_is_kept_and_written_back():
    raw = json.loads((FOLDER / "worked-example.json").read_text(encoding="utf-8"))
    raw["mood"] = "hopeful"
    raw["specimens"][0]["mood"] = {"of": ["the curator"]}
    raw["specimens"][0]["frames"][0]["mood"] = 3
    assert write_collection(read_collection(raw)) == raw


def test_one_wrong_specimen_is_named_by_its_place():
    raw = json.loads((FOLDER / "worked-example.json").read_text(encoding="utf-8"))
    raw["specimens"][2]["frames"] = 5
    with pytest.raises(DocumentError, match=r"museum\.json: specimens\[2\]"):
        read_collection(raw, "museum.json")


def test_two_specimens_of_one_id_are_refused_rather_than_one_lost():
    raw = json.loads((FOLDER / "worked-example.json").read_text(encoding="utf-8"))
    raw["specimens"][1] = {**raw["specimens"][1], "id": raw["specimens"][0]["id"]}
    with pytest.raises(DocumentError):
        read_collection(raw)


def test_values_are_frozen_so_that_nothing_changes_behind_one_s_back():
    one = worked_example().specimens[0]
    with pytest.raises(AttributeError):
        one.label = None
    assert replace(one, frames=()).frames == ()
    assert one.frames
