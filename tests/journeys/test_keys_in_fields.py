"""Where the keyboard is when a strip opens, and what undo means while a field has it."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

pytestmark = pytest.mark.journey

CTRL, SHIFT = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.ShiftModifier


def test_undo_takes_the_writing_back_first_and_then_the_deed(person):
    session = person.session
    collector = session.specimen.label.collector
    person.key(Qt.Key.Key_L, CTRL)
    fields = person.window.strips.made("label").fields
    field = fields["collector"]
    field.setFocus()
    person.type("Q")
    written = field.text()
    person.key(Qt.Key.Key_Z, CTRL)
    assert field.text() == collector
    assert session.undo_name is None, "nothing was done yet"
    person.key(Qt.Key.Key_Z, CTRL | SHIFT)
    assert field.text() == written
    # Handed on it is a deed, whichever field has the keyboard then.
    fields["depth"].setFocus()
    assert session.specimen.label.collector == written
    person.key(Qt.Key.Key_Z, CTRL)
    assert session.specimen.label.collector == collector
    assert field.text() == collector
    person.key(Qt.Key.Key_Z, CTRL | SHIFT)
    assert session.specimen.label.collector == written
    field.setFocus()
    person.key(Qt.Key.Key_Z, CTRL)
    assert session.specimen.label.collector == collector


def test_undo_takes_a_clock_back_from_the_field_it_was_typed_in(person):
    session = person.session
    frame = next(one for one in session.specimen.frames
                 if session.pictures[one.picture].file.captured)  # fmt: skip
    session.choose_frame(frame.id)
    before = session.picture.clock
    person.key(Qt.Key.Key_T, CTRL | SHIFT)
    strip = person.window.strips.made("clock")
    person.wait(lambda: bool(strip.meant.pictures))
    strip.shift.setFocus()
    person.type("+0:10:00")
    person.key(Qt.Key.Key_Return)
    assert session.picture.clock.add_s == before.add_s + 600
    assert QApplication.focusWidget() is strip.watch
    person.key(Qt.Key.Key_Z, CTRL)
    assert session.picture.clock == before


def test_a_strip_that_closes_the_table_has_the_keyboard(person):
    person.key(Qt.Key.Key_T, CTRL)
    person.wait(lambda: person.window.tabling.is_open)
    person.key(Qt.Key.Key_C, CTRL | SHIFT)
    assert not person.window.tabling.is_open
    strip = person.window.strips.made("rights")
    assert QApplication.focusWidget() is strip.fields["creator"]


def test_a_number_that_another_specimen_has_is_said_to_be(person):
    session = person.session
    taken = next(row.catalogue_number for row in session.rows
                 if row.specimen != session.specimen.id)  # fmt: skip
    person.key(Qt.Key.Key_L, CTRL)
    strip = person.window.strips.made("label")
    number = strip.fields["catalogue_number"]
    own = number.text()
    assert not strip.others.isVisible()
    number.selectAll()
    person.type(taken.lower())
    person.key(Qt.Key.Key_Return)
    person.wait(strip.others.isVisible)
    assert strip.others.text() == "1 other specimen has this number"
    person.key(Qt.Key.Key_Z, CTRL)
    assert session.specimen.label.catalogue_number == own
    person.wait(lambda: not strip.others.isVisible())
