"""Two people at one file, each at a window: other parts come together, the same is asked."""

import pytest
from PySide6.QtCore import Qt

from app.session import deeds
from landmarks.demo import example_store
from landmarks.geometry import Point
from landmarks.specimen import Label
from tests.journeys.conftest import DEMO

pytestmark = pytest.mark.journey


@pytest.fixture
def two(open_window, tmp_path):
    """Two windows on one collection with one shell on both benches."""
    folder = tmp_path / "museum"
    folder.mkdir()
    path = folder / "drawers.hingeline"
    example_store().copy_to(path)
    for picture in DEMO.glob("*.jpg"):
        (folder / picture.name).symlink_to(picture)
    first = open_window(path)
    second = open_window(path)
    shell = next(row.specimen for row in first.session.rows if row.taxa)
    for one in (first, second):
        one.session.choose(shell)
        one.wait(lambda it=one: it.session.specimen.id == shell)
        one.wait_until_readable()
        # From here on each looks when the test says so, whichever window is in front.
        one.window.keeping.others.stop()
        one.window.keeping.others._active = lambda: True
        one.window.keeping.others.look()
        one.wait(lambda it=one: it.window.keeping.others._known is not None)
        one.look_at_picture()
    return first, second


def look(person):
    others = person.window.keeping.others
    others.look()
    person.wait(lambda: not others._asking)
    person.wait(lambda: not person.session.desk.busy)


def state(person, character):
    found = [one for one in person.session.specimen.recorded if one.character == character]
    return found[-1].state if found else ""


def test_what_the_other_saved_appears_without_saving_first(two):
    first, second = two
    deeds.score(first.session, "scutes", "absent")
    first.wait_until_saved()
    assert state(second, "scutes") != "absent"
    look(second)
    assert state(second, "scutes") == "absent"
    assert second.session.saving.fault is None
    assert second.session.undo_name is None, "it was not this window's deed"


def test_the_list_follows_what_the_other_did_elsewhere(two):
    first, second = two
    other = next(
        row.specimen
        for row in first.session.rows
        if row.specimen != first.session.specimen.id
    )
    first.session.choose(other)
    first.wait(lambda: first.session.specimen.id == other)
    deeds.set_label(first.session, Label("PMM 9999"))
    first.wait_until_saved()
    look(second)
    second.wait(
        lambda: any(row.catalogue_number == "PMM 9999" for row in second.session.rows)
    )


def test_own_deeds_make_nobody_read_again(two, monkeypatch):
    first, _ = two
    read = []
    monkeypatch.setattr(first.session.reader, "again", read.append)
    deeds.score(first.session, "scutes", "absent")
    first.wait_until_saved()
    look(first)
    assert read == []


def test_nothing_comes_in_while_something_is_dragged_or_written(two):
    first, second = two
    deeds.score(first.session, "scutes", "absent")
    first.wait_until_saved()
    second.session.preview(second.session.specimen)
    look(second)
    assert state(second, "scutes") != "absent"
    second.session.preview(None)
    second.key(Qt.Key.Key_L, Qt.KeyboardModifier.ControlModifier)
    field = second.window.strips.made("label").fields["habitat"]
    field.setFocus()
    second.type("reef flat")
    look(second)
    assert state(second, "scutes") != "absent"
    assert field.text().endswith("reef flat")
    second.key(Qt.Key.Key_Return)
    second.wait_until_saved()
    second.look_at_picture()
    look(second)
    assert state(second, "scutes") == "absent"
    assert second.session.specimen.label.habitat.endswith("reef flat")


def test_different_parts_come_together_silently(two):
    first, second = two
    deeds.score(first.session, "scutes", "absent")
    first.wait_until_saved()
    deeds.score(second.session, "fold_profile", "triangular")
    second.wait_until_saved()
    second.wait(lambda: state(second, "scutes") == "absent")
    assert state(second, "fold_profile") == "triangular"
    assert second.session.saving.fault is None
    look(first)
    assert state(first, "fold_profile") == "triangular"


@pytest.fixture
def clash(two):
    """The same label changed in both windows; the second has to choose."""
    first, second = two
    here = first.session.specimen.label
    number = here.catalogue_number
    deeds.set_label(first.session, Label(number, locality="Outer bank"))
    first.wait_until_saved()
    deeds.set_label(second.session, Label(number, locality="Inner lagoon"))
    second.wait(lambda: second.session.saving.state == "failed")
    return first, second


def test_the_same_part_shows_what_it_was_and_both_sides(clash):
    _, second = clash
    words = second.said()
    assert "Outer bank" in words
    assert "Inner lagoon" in words
    assert "\nYours: " in words
    assert "\nTheirs: " in words
    second.window.band.band.buttons()[0].click()
    second.wait_until_saved()
    assert second.session.specimen.label.locality == "Inner lagoon"


def test_taking_theirs_leaves_the_work_of_the_other(clash):
    first, second = clash
    second.window.band.band.buttons()[1].click()
    second.wait_until_saved()
    second.wait(lambda: second.session.specimen.label.locality == "Outer bank")
    look(first)
    assert first.session.specimen.label.locality == "Outer bank"


def test_names_of_a_conflict_stay_hidden_while_names_are(two):
    first, second = two
    second.session.hide_names(True)
    deeds.determine(first.session, "species", ["tridacna_maxima"], determiner="A. Quill")
    first.wait_until_saved()
    deeds.set_label(first.session, Label("PMM 1", locality="Outer bank"))
    first.wait_until_saved()
    deeds.set_label(second.session, Label("PMM 2", locality="Inner lagoon"))
    second.wait(lambda: second.session.saving.state == "failed")
    assert "Outer bank" not in second.said()


def test_a_mark_that_is_being_placed_is_left_alone(two):
    first, second = two
    deeds.score(first.session, "scutes", "absent")
    first.wait_until_saved()
    deeds.arm(second.session, "umbo")
    tool = second.session.tool
    look(second)
    assert second.session.tool == tool
    deeds.place(second.session, Point(400, 300), 1.0)
    second.wait_until_saved()
    assert second.session.specimen.placed(second.session.frame.id)["umbo"].points == (
        Point(400, 300),
    )
    assert state(second, "scutes") == "absent"
