"""Several shells in one picture: a frame round each, and the way from one to the other."""

import shutil

import pytest
from PySide6.QtCore import Qt

from landmarks.figures import FrameBox
from landmarks.geometry import Point
from landmarks.sentences import text
from tests.journeys.conftest import DEMO
from tests.truths import truth_of

pytestmark = pytest.mark.journey

NAME = "three-valves-on-tray"


@pytest.fixture
def boxes():
    """The corners of the frame round each of the three shells, left to right."""
    truth = truth_of(NAME)
    frames = (one["frame"] for one in truth["frames"])
    return [((x, y), (x + width, y + height)) for x, y, width, height in frames]


@pytest.fixture
def person(open_window, tmp_path):
    """Somebody who has just taken the picture of three valves in."""
    picture = shutil.copy(DEMO / f"{NAME}.jpg", tmp_path / "tray.jpg")
    person = open_window(picture)
    person.wait(
        lambda: person.session.picture is not None and person.window.canvas.has_picture
    )
    person.key(Qt.Key.Key_1, text="1")
    assert person.session.frame.view == "outside_of_valve"
    # The specimen that was taken in is saved, and then listed.
    person.wait(lambda: person.session.n_rows == 1)
    person.wait_until_saved()
    return person


def frame_it(person, box, key=Qt.Key.Key_F):
    person.look_at_picture()
    person.key(key)
    assert person.session.tool.kind == "frame"
    person.drag(*box)
    assert person.session.tool is None


def on_border(box):
    """Return a place on the upper border, clear of its label and of the other frames."""
    (left, top), (right, _) = box
    return ((left + 3 * right) / 4, top)


def frames_shown(person):
    """Return what each frame on the canvas is called, and whether it is the one at hand."""
    marks = person.window.canvas._figure.marks
    return {text(one.name): one.current for one in marks if isinstance(one, FrameBox)}


def label_it(person, number):
    from app.session import deeds
    from landmarks.specimen import Label

    deeds.set_label(person.session, Label(catalogue_number=number))


def test_the_second_of_two_specimens_on_one_picture(person, boxes):
    session, canvas = person.session, person.window.canvas
    label_it(person, "PMM 1")
    first = session.specimen.id
    frame_it(person, boxes[0], Qt.Key.Key_D)
    assert session.specimen.id == first
    assert session.frame.region.x == pytest.approx(boxes[0][0][0], abs=2)

    frame_it(person, boxes[1])
    second = session.specimen.id
    assert second != first
    assert session.frame.picture == next(iter(session.pictures))
    assert session.frame.view == "outside_of_valve", "it is seen as the first one is"
    label_it(person, "PMM 2")
    assert frames_shown(person) == {"PMM 1": False, "PMM 2": True}

    canvas.fit()
    person.place(on_border(boxes[0]))
    assert session.specimen.id == first
    assert frames_shown(person) == {"PMM 1": True, "PMM 2": False}
    canvas.fit()
    person.place(on_border(boxes[1]))
    assert session.specimen.id == second

    person.wait_until_saved()
    assert session.store.count() == 2
    assert len(session.store.documents("picture")) == 1


def test_landmarks_of_each_stay_with_it_and_share_the_scale(person, boxes):
    session, canvas = person.session, person.window.canvas
    frame_it(person, boxes[0], Qt.Key.Key_D)
    frame_it(person, boxes[1])
    person.look_at_picture()
    person.key(Qt.Key.Key_N)
    middle = Point(*(sum(pair) / 2 for pair in zip(*boxes[1], strict=True)))
    person.place((middle.x, middle.y))
    assert len(session.specimen.placings) == 1
    canvas.fit()
    person.key(Qt.Key.Key_Escape)
    person.place(on_border(boxes[0]))
    assert session.specimen.placings == ()
    from app.session import deeds

    deeds.set_scale(session, Point(0, 0), Point(1000, 0), 100.0)
    other = next(one for one, _ in session.neighbours if one.id != session.specimen.id)
    assert session.pictures[other.frames[0].picture].scale.length_mm == 100.0


def test_one_without_a_number_is_labelled_so(person, boxes):
    frame_it(person, boxes[0], Qt.Key.Key_D)
    assert frames_shown(person) == {"no number yet": True}


def test_a_frame_that_was_begun_by_mistake_is_given_up(person):
    person.look_at_picture()
    person.key(Qt.Key.Key_F)
    person.key(Qt.Key.Key_Escape)
    assert person.session.tool is None
    assert person.session.n_rows == 1


def test_undo_takes_the_second_specimen_away_and_goes_back_to_the_first(person, boxes):
    session = person.session
    frame_it(person, boxes[0], Qt.Key.Key_D)
    first = session.specimen.id
    frame_it(person, boxes[1])
    person.wait_until_saved()
    person.key(Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    person.wait(lambda: session.specimen is not None and session.specimen.id == first)
    person.wait_until_saved()
    assert session.store.count() == 1


def test_a_frame_is_stretched_by_its_corners_and_moved_by_its_plate(person, boxes):
    box = boxes[0]
    frame_it(person, box, Qt.Key.Key_D)
    canvas, session = person.window.canvas, person.session
    right, bottom = box[1]
    person.drag((right, bottom), (right - 120, bottom - 60))
    wide, high = box[1][0] - box[0][0], box[1][1] - box[0][1]
    shown = session.frame.region
    assert (shown.x, shown.y) == pytest.approx(box[0], abs=3)
    assert (shown.width, shown.height) == pytest.approx((wide - 120, high - 60), abs=6)
    assert session.undo_name.key == "deed.set_region"

    per_px = 1 / canvas.zoom
    plate = (shown.x + 20 * per_px, shown.y + 18 * per_px)
    person.drag(plate, (plate[0] + 90, plate[1] + 40))
    moved = session.frame.region
    assert (moved.x - shown.x, moved.y - shown.y) == pytest.approx((90, 40), abs=6)
    assert (moved.width, moved.height) == (shown.width, shown.height)

    person.place((moved.x + moved.width, moved.y + moved.height))
    person.key(Qt.Key.Key_Right)
    assert session.frame.region.width == pytest.approx(moved.width + 1)
    session.undo()
    session.undo()
    session.undo()
    whole = session.frame.region
    assert (whole.width, whole.height) == pytest.approx((wide, high), abs=6)
