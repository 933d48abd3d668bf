"""From a picture of one's own to a saved name, through the real window."""

import shutil

import pytest
from PySide6.QtCore import Qt

from landmarks.specimen import parts_of
from tests.journeys.conftest import DEMO
from tests.truths import truth_of

pytestmark = pytest.mark.journey

NAME = "fluted-valve-outside"
KEYS = {
    "fold_strength": 3,
    "fold_profile": 2,
    "scutes": 4,
    "scute_size": 2,
    "scute_spacing": 2,
    "upper_margin": 3,
}


@pytest.fixture
def truth():
    return truth_of(NAME)


@pytest.fixture
def picture(tmp_path):
    folder = tmp_path / "pictures"
    folder.mkdir()
    return shutil.copy(DEMO / f"{NAME}.jpg", folder / "shell 1.jpg")


def test_opening_without_arguments_shows_a_finished_example(open_window):
    person = open_window()
    assert person.session.example
    assert person.session.specimen.determination is not None
    assert person.session.assessment.answer.candidates[0].name == "Tridacna squamosa"
    assert len(person.window.side.candidates.findChildren(object)) > 0


def test_a_shell_goes_from_picture_to_name_and_is_found_again(
    open_window, own_folder, truth, picture, tmp_path
):
    from pathlib import Path

    original = Path(picture).read_bytes()
    person = open_window()
    session, window = person.session, person.window

    window.files.open_anything([Path(picture)])
    person.wait(lambda: not session.example and session.picture is not None)
    person.wait(lambda: window.canvas.has_picture)
    assert session.path == own_folder / "collection.hingeline"

    person.key(Qt.Key.Key_1, text="1")
    assert session.frame.view == "outside_of_valve"

    # No hand is as fast as this one: the whole picture is there before a ruler is drawn.
    person.wait(lambda: bool(window.canvas.levels))
    person.look_at_picture()
    person.key(Qt.Key.Key_S)
    assert session.tool.kind == "scale"
    person.drag(*truth["ruler"]["ends"])
    person.type(str(truth["ruler"]["length_mm"]))
    person.key(Qt.Key.Key_Return)
    # The person goes on at once; the graduation is fitted meanwhile.
    person.wait(lambda: session.picture.scale is not None)
    assert session.picture.scale.method == "ruler"

    person.look_at_picture()
    person.key(Qt.Key.Key_N)
    for row in ("byssal_end", "ligament_end", "umbo", "upper_margin", "hinge_byssal",
                "hinge_ligament"):  # fmt: skip
        assert session.tool.landmark == row
        person.place(truth["landmarks"][row])
    assert session.tool.landmark == "main_folds"
    for fold in truth["landmarks"]["main_folds"]:
        # Folds that are the ends of the shell too lie under a mark: aim a little inside.
        person.place(_beside(fold, truth["landmarks"]))
    person.key(Qt.Key.Key_Return)
    assert session.tool.landmark == "end_folds"
    for fold in truth["landmarks"]["end_folds"]:
        person.place(fold)
    person.key(Qt.Key.Key_Return)
    assert session.tool is None

    measures = {row.key: row.value for row in session.assessment.measures}
    for key, mm in (
        ("shell_length", "shell_length_mm"),
        ("shell_height", "shell_height_mm"),
    ):
        apart = abs(measures[key].value - truth["measures"][mm])
        assert apart < 3 * measures[key].sigma
    assert measures["main_folds"].value == truth["measures"]["main_folds"]

    person.key(Qt.Key.Key_C)
    for character, number in KEYS.items():
        strip = window.strips.findChild(type(window.strips._made["score"]))
        strip.show_character(character)
        person.key(Qt.Key(ord(str(number))), text=str(number))
    person.key(Qt.Key.Key_Escape)
    seen = {one.character: one.state for one in session.specimen.observations}
    assert set(KEYS) <= set(seen)
    assert session.assessment.answer.candidates[0].taxon == "tridacna_squamosa"

    window.open_strip("name")
    strip = window.strips._made["name"]
    strip.choose_taxon("tridacna_squamosa")
    strip.give_name()
    assert session.specimen.determination.taxa == ("tridacna_squamosa",)

    person.wait_until_saved()
    parts, path = parts_of(session.specimen), session.path
    person.close()

    again = open_window()
    again.wait(lambda: again.session.path == path and again.session.specimen is not None)
    assert parts_of(again.session.specimen) == parts
    assert again.session.pictures[again.session.frame.picture].scale is not None
    assert Path(picture).read_bytes() == original


def test_undo_takes_everything_back_and_redo_does_it_again(open_window, truth, picture):
    from pathlib import Path

    person = open_window()
    session = person.session
    person.window.files.open_anything([Path(picture)])
    person.wait(lambda: not session.example and session.picture is not None)
    person.wait(lambda: person.window.canvas.has_picture)
    person.key(Qt.Key.Key_1, text="1")
    before = parts_of(session.specimen)
    person.look_at_picture()
    person.key(Qt.Key.Key_N)
    person.place(truth["landmarks"]["byssal_end"])
    person.place(truth["landmarks"]["ligament_end"])
    after = parts_of(session.specimen)
    assert str(session.undo_name) == "place ligament end"
    person.key(Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    person.key(Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert parts_of(session.specimen) == before
    shift = Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier
    person.key(Qt.Key.Key_Z, shift)
    person.key(Qt.Key.Key_Z, shift)
    assert parts_of(session.specimen) == after


def test_a_dragged_landmark_moves_measures_and_candidates_before_it_is_let_go(open_window):
    from tests.app import helpers_mouse as mouse

    person = open_window()
    session, canvas = person.session, person.window.canvas
    frame = session.frame
    umbo = session.specimen.placed(frame.id)["umbo"].points[0]
    start = person.at(umbo)
    mouse.move(canvas, start)
    mouse.press(canvas, start)
    mouse.move(canvas, start + type(start)(0, -30), mouse.LEFT)
    assert session.live is not None
    live = {row.key: row.value for row in session.live.measures}
    saved = {row.key: row.value for row in session.assessment.measures}
    assert live["shell_height"].value < saved["shell_height"].value - 2
    mouse.release(canvas, start + type(start)(0, -30))
    assert session.live is None
    assert str(session.undo_name) == "move umbo"
    session.undo()
    assert session.specimen.placed(frame.id)["umbo"].points[0] == umbo


def _beside(raw, landmarks):
    """Return the place of a fold, some pixels aside where another mark lies on it."""
    x, y = raw
    for key in ("byssal_end", "ligament_end", "upper_margin"):
        mark = landmarks[key]
        if abs(mark[0] - x) < 40 and abs(mark[1] - y) < 40:
            return [mark[0], mark[1] + 45]
    return raw
