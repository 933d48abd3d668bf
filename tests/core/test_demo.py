"""The example pictures: their exact truth found again by measuring, and the worked example."""

import pytest

from landmarks.codec import read_json
from landmarks.demo import FOLDER, example_store, worked_example
from landmarks.documents import read_collection, write_collection
from landmarks.errors import DocumentError
from landmarks.geometry import Point
from landmarks.measures import Measured, measure
from landmarks.measures.catalogue import PIXELS
from landmarks.picture import read_picture
from landmarks.placing import Placing
from landmarks.progress import next_landmark
from landmarks.scale import Setting, two_points
from landmarks.scheme import VIEWS
from landmarks.specimen import specimen_of
from tests.truths import frames_of

NAMES = [path.stem for path in sorted((FOLDER / "truth").glob("*.json"))]
SIGMAS = 3.0


def ruler_of(raw):
    if "ruler" not in raw:
        return None
    first, second = (Point(*end) for end in raw["ruler"]["ends"])
    size = (raw["width_px"], raw["height_px"])
    return two_points(first, second, raw["ruler"]["length_mm"], size=size)


def exact_marks(view, marks):
    """Return the true landmarks as a person would place them who never errs."""
    for key, at in marks.items():
        if view.landmark(key) is not None and at:
            points = at if isinstance(at[0], list) else [at]
            yield Placing(key, "f", key, tuple(Point(*p) for p in points))


def true_values(told):
    """Return the true measures by our keys; lengths are told in millimetres."""
    known = {key.removesuffix("_mm"): value for key, value in told.items()}
    if "byssal_opening_length" in known:
        known["byssal_ratio"] = known["byssal_opening_length"] / known["shell_length"]
    return known


def apart(found, known):
    """Return by how many standard uncertainties each measure is off its truth."""
    return {
        one.key: abs(one.value.value - known[one.key]) / one.value.sigma
        for one in found
        if isinstance(one, Measured) and one.key in known
    }


# -- The truth found again ---------------------------------------------------------------------


@pytest.mark.parametrize("camera", ["told", "unknown"])
@pytest.mark.parametrize("name", NAMES)
def test_exact_marks_give_the_truth_within_three_doubts(name, camera):
    """Every measure of every frame, with the camera's distance typed and with it unknown."""
    raw, frames = frames_of(name)
    scale = ruler_of(raw)
    distance = raw["scale"].get("camera_distance_mm") if camera == "told" else None
    setting = Setting("p", raw["width_px"], raw["height_px"], scale, distance)
    for frame in frames:
        view = VIEWS[frame.get("view", raw["view"])]
        found = measure(setting, view, exact_marks(view, frame["landmarks"]), "f")
        missing = [one for one in found if not isinstance(one, Measured)]
        assert all(
            (scale is None and one.measure.unit in PIXELS)
            or not frame["landmarks"].keys() >= {*one.measure.needs}
            for one in missing
        )
        off = apart(found, true_values(frame["measures"]))
        assert max(off.values(), default=0.0) <= SIGMAS, off


@pytest.mark.parametrize("name", [name for name in NAMES if "ruler" in frames_of(name)[0]])
def test_the_doubt_that_holds_the_truth_is_small_enough_to_be_of_use(name):
    """One hand-held picture is good for half a per cent to one at best; a pair, whose ends
    stand anywhere about the ruler, for two.
    """
    raw, frames = frames_of(name)
    setting = Setting(
        "p",
        raw["width_px"],
        raw["height_px"],
        ruler_of(raw),
        raw["scale"]["camera_distance_mm"],
    )
    for frame in frames:
        view = VIEWS[frame.get("view", raw["view"])]
        found = measure(setting, view, exact_marks(view, frame["landmarks"]), "f")
        for one in found:
            if one.key == "shell_length":
                assert 0.003 < one.value.relative < 0.02


@pytest.mark.parametrize(
    "specimen", worked_example().specimens, ids=lambda one: one.label.catalogue_number
)
def test_the_marks_of_the_worked_example_give_the_truth_within_three_doubts(specimen):
    pictures = {one.id: one for one in worked_example().pictures}
    for frame in specimen.frames:
        picture = pictures[frame.picture]
        _, frames = frames_of(picture.path.removesuffix(".jpg"))
        known = next(one for one in frames if one["part"] == frame.part or len(frames) == 1)
        placed = specimen.placed(frame.id).values()
        found = measure(picture.setting, VIEWS[frame.view], placed, frame.id)
        if placed:
            off = apart(found, true_values(known["measures"]))
            assert max(off.values(), default=0.0) <= SIGMAS, off


# -- The worked example ------------------------------------------------------------------


def test_there_are_two_outsides_a_hinge_edge_and_a_living_clam():
    views = [frame.get("view", raw["view"]) for raw, (frame, *_) in map(frames_of, NAMES)]
    assert views.count("outside_of_valve") >= 2
    assert {"hinge_edge", "living_from_above"} <= set(views)


@pytest.mark.parametrize("picture", worked_example().pictures, ids=lambda one: one.path)
def test_the_worked_example_knows_its_pictures_as_they_are(picture):
    assert read_picture(FOLDER / picture.path) == picture.file


def test_the_worked_example_is_written_as_it_is_read():
    raw = read_json((FOLDER / "worked-example.json").read_bytes(), "worked-example.json")
    assert write_collection(read_collection(raw)) == raw


def test_the_worked_example_opens_as_a_collection_in_memory():
    store = example_store()
    example = worked_example()
    found = store.load(*store.documents("specimen"))
    specimens = {one.id: specimen_of(one.id, loaded.parts) for one, loaded in found.items()}
    assert specimens == {one.id: one for one in example.specimens}
    assert len(store.documents("picture")) == len(example.pictures)
    assert list(store.check()) == []


def test_the_first_specimen_of_the_worked_example_is_finished():
    first = worked_example().specimens[0]
    assert first.determination is not None
    assert next_landmark(first, first.frames[0]) is None
    assert len(first.observations) >= 6


def test_every_mark_lies_on_its_picture():
    example = worked_example()
    pictures = {one.id: one for one in example.pictures}
    for specimen in example.specimens:
        for placing in specimen.placings:
            picture = pictures[specimen.frame(placing.frame).picture]
            assert all(
                0 <= p.x <= picture.file.width and 0 <= p.y <= picture.file.height
                for p in placing.points
            )


def test_without_its_folder_the_worked_example_says_so(tmp_path):
    with pytest.raises(DocumentError, match="cannot be read"):
        worked_example(tmp_path)
