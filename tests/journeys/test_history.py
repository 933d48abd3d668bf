"""The history in the window: read, an earlier state brought back, one step taken back."""

import pytest
from PySide6.QtCore import Qt

from app.session import deeds
from landmarks.changes import Document

pytestmark = pytest.mark.journey


@pytest.fixture
def person(open_window):
    """Somebody who scored a character of the worked example, and then another one."""
    person = open_window()
    deeds.score(person.session, "scutes", "absent")
    deeds.score(person.session, "fold_profile", "triangular")
    person.wait_until_saved()
    return person


@pytest.fixture
def strip(person):
    person.look_at_picture()
    person.key(Qt.Key.Key_Y, Qt.KeyboardModifier.ControlModifier)
    strip = person.window.strips._made["history"]
    person.wait(lambda: strip.list.topLevelItemCount() == 3)
    return strip


def state(person, character):
    found = [one for one in person.session.specimen.recorded if one.character == character]
    return found[-1].state


def test_it_tells_what_was_done_and_what_it_changed(strip):
    first = strip.list.topLevelItem(0)
    assert first.text(2) == "Score Fold profile"
    assert "Fold profile: Rounded \N{RIGHTWARDS ARROW} Triangular" in first.child(0).text(0)
    assert strip.list.topLevelItem(2).text(2).startswith("Begin the collection")
    assert first.child(0).toolTip(0) == first.child(0).text(0), "also where it is cut"
    assert not strip.bring_back.isEnabled(), "the newest state is the one there is"
    assert strip._close.x() > strip.bring_back.x() > strip.whose.x(), "closing comes last"


def test_an_earlier_state_comes_back_as_a_new_step(person, strip):
    session, before = person.session, person.session.store.latest()
    strip.list.setCurrentItem(strip.list.topLevelItem(2))
    person.press(strip.bring_back)
    person.wait(lambda: state(person, "scutes") == "all_over")
    assert state(person, "fold_profile") == "rounded"
    person.wait_until_saved()
    assert session.store.latest() > before
    assert len(session.store.history(Document("specimen", session.specimen.id))) == 4
    person.wait(lambda: strip.list.topLevelItemCount() == 4)
    begun = strip.list.topLevelItem(3)
    assert strip.list.currentItem() is begun, "the same step, a line further down"
    assert person.window.shell.focusWidget() is strip.list
    session.undo()
    assert state(person, "scutes") == "absent"


def test_one_step_is_taken_back_and_the_later_ones_stay(person, strip):
    strip.list.setCurrentItem(strip.list.topLevelItem(1))
    person.press(strip.take_back)
    person.wait(lambda: state(person, "scutes") == "all_over")
    assert state(person, "fold_profile") == "triangular"


def test_a_step_that_was_worked_over_is_not_taken_back(person, strip):
    deeds.score(person.session, "scutes", "upper_half")
    person.wait_until_saved()
    person.wait(lambda: strip.list.topLevelItemCount() == 4)
    told = []
    person.session.noticed.connect(lambda sentence, _kind: told.append(sentence.key))
    strip.list.setCurrentItem(strip.list.topLevelItem(2))
    person.press(strip.take_back)
    person.wait(lambda: bool(told))
    assert told == ["change.part_moved_on"]
    assert state(person, "scutes") == "upper_half"


def test_a_removed_specimen_comes_back_from_the_history_of_the_collection(person, strip):
    session = person.session
    gone, n = session.specimen.id, session.n_rows
    deeds.remove_specimen(session)
    person.wait(lambda: session.n_rows == n - 1)
    strip.whose.show_key("collection")
    strip.whose.chosen.emit("collection")
    person.wait(lambda: strip.list.topLevelItem(0).text(2).startswith("Take the specimen"))
    person.press(strip.take_back)
    person.wait(lambda: session.n_rows == n)
    session.choose(gone)
    person.wait(lambda: session.specimen is not None and session.specimen.id == gone)
    assert state(person, "scutes") == "absent"


def test_hidden_names_are_not_told_by_the_history(person, strip):
    person.session.hide_names(True)
    assert strip.list.topLevelItemCount() == 0
    assert "hidden" in strip.nothing.text()
    assert strip.more.isHidden()


def test_what_was_done_to_the_picture_is_told_and_brought_back(person, strip):
    """Scale, clock and rights are the picture's, which other specimens may share."""
    session = person.session
    before = session.picture.scale
    assert before is not None
    deeds.remove_scale(session)
    person.wait_until_saved()
    assert session.picture.scale is None
    strip.whose.show_key("picture")
    strip.whose.chosen.emit("picture")
    person.wait(lambda: strip.list.topLevelItemCount() == 2)
    assert "scale" in strip.list.topLevelItem(0).text(2)
    strip.list.setCurrentItem(strip.list.topLevelItem(1))
    person.press(strip.bring_back)
    person.wait(lambda: session.picture.scale == before)
    session.undo()
    assert session.picture.scale is None
