"""A person repeats shells blind in the real window, and reads how far the repeats agree."""

from dataclasses import replace

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QAbstractButton, QLabel, QWidget

from app.session.repeating import read_repeats
from app.settings import Settings
from landmarks.assessment import measure_rows
from landmarks.changes import Document
from landmarks.codec import encode
from landmarks.repeats import BLIND, SECOND, measures_repeated
from landmarks.scheme import VIEWS
from landmarks.specimen import specimen_of
from landmarks.storage import open_sqlite
from tests.app.repeated import ABOUT, ANN, TOLD, fill, shells
from tests.journeys.dives import make_dive

N = 24
EVERY = 4


@pytest.fixture
def drawer(tmp_path):
    """Return a collection of two dozen shells that Ann recorded."""
    path = tmp_path / "drawer.hingeline"
    store = open_sqlite(path, create=True, about=ABOUT)
    fill(store, shells(N))
    store.close()
    return path


@pytest.fixture
def ann(open_window, drawer, tmp_path):
    settings = Settings(tmp_path / "settings.json")
    settings.set("person_id", ANN.id)
    settings.set("person_name", ANN.name)
    return open_window(drawer)


def _choose(person):
    """Open the strip of repeats and wait until it says what is due."""
    person.look_at_picture()
    person.key(Qt.Key.Key_R, Qt.KeyboardModifier.ControlModifier)
    strip = person.window.strips._made["repeats"]
    strip.every.setValue(EVERY)
    person.wait(lambda: strip.due() is not None and strip.begin.isEnabled())
    return strip


def _begin(person):
    strip = _choose(person)
    person.deeds = 0
    person.press(strip.begin)
    _presented(person, 0)
    return strip.due().lot


def _presented(person, at):
    session = person.session
    person.wait(lambda: session.repeat is not None and session.repeat.at == at)
    person.wait(lambda: session.specimen is not None and session.tool is not None)
    person.wait_until_readable()


def _place_all(person):
    """Place every landmark of the view where the record has it, two pixels to the right."""
    session = person.session
    true = shells(N)[int(session.specimen.id[-3:])].placed(session.frame.id)
    view = VIEWS[session.frame.view]
    while session.tool is not None:
        row = view.landmark(session.tool.landmark)
        for point in true[row.key].points:
            person.place((point.x + 2, point.y))
        if row.grows:
            person.key(Qt.Key.Key_Return)


def _stored(person, number):
    document = Document("specimen", f"shell-{number:03}")
    found = person.session.store.load(document)[document]
    return specimen_of(document.id, found.parts)


def _said(window):
    """Return every word that the window shows or tells a screen reader."""
    words = [window.shell.windowTitle()]
    for widget in window.shell.findChildren(QWidget):
        if not widget.isVisible():
            continue
        words += [widget.accessibleName(), widget.accessibleDescription(), widget.toolTip()]
        if isinstance(widget, QLabel | QAbstractButton):
            words.append(widget.text())
    words += [one.text() for one in window.shell.findChildren(QAction)]
    return words


def test_what_is_half_done_is_told_before_the_window_closes(ann, tmp_path):
    ann.wait_for_picture()
    ann.key(Qt.Key.Key_E)
    for place in ((400.0, 300.0), (600.0, 200.0)):
        ann.place(place)
    # It is told where it can be seen, also while pictures are sorted in front of it.
    ann.window.files.open_anything(make_dive(tmp_path / "dive", 2, 1))
    ann.wait(lambda: ann.window.sorting.table is not None)
    ann.wait(lambda: ann.window.pages.page is ann.window.sorting.table)
    ann.window.shell.close()
    assert ann.window.shell.isVisible()
    assert "“Edge trace” was begun on “fluted-valve-outside.jpg”" in ann.said()
    ann.look_at_picture()
    ann.key(Qt.Key.Key_E)
    assert ann.session.instrument.n_clicks == 2
    assert "was begun" not in ann.said()
    ann.window.shell.close()
    assert ann.window.shell.isVisible()
    ann.close()
    assert not ann.window.shell.isVisible()


def test_in_a_repeat_nothing_tells_what_was_recorded(ann):
    session, window = ann.session, ann.window
    session.choose("shell-003")
    ann.wait_until_readable()
    assert any(TOLD in words for words in _said(window))
    lot = _begin(ann)
    marks = [row.id for row in shells(N)[int(lot[0][-3:])].placings]
    assert session.specimen.id == lot[0]
    assert all(window.canvas.place_of_mark(one, 0) is None for one in marks)
    assert session.names_hidden
    assert not window.specimens.list.isVisible()
    told = [words for words in _said(window) if TOLD in words or "PMM" in words]
    assert told == []
    assert "Repeat 1 of" in " ".join(_said(window))
    steps = {step.key: step.has for step in session.steps}
    assert (steps["landmarks"], steps["characters"], steps["name"]) == ("none",) * 3
    assert not window.side.measures.lines


def test_strips_and_actions_that_would_tell_stay_shut(ann):
    _begin(ann)
    window = ann.window
    for name in ("name", "label", "picture", "scale", "agreement"):
        window.open_strip(name)
        assert window.strips.current == ""
    actions = {one.objectName(): one for one in window.shell.findChildren(QAction)}
    for key in ("name", "label", "remove_frame", "scale", "carry_over_scale", "hide_names"):
        assert not actions[key].isEnabled(), key
    for key in ("next_landmark", "next_specimen", "repeat_stop", "score", "fit", "hidden"):
        assert actions[key].isEnabled(), key
    window.stepping.step("name")
    window.stepping.step("picture")
    assert window.strips.current == ""


def test_a_blind_repeat_from_its_beginning_to_the_report(ann):
    session = ann.session
    lot = _begin(ann)
    number = int(lot[0][-3:])
    before = _stored(ann, number)
    measured = measure_rows(before, session.pictures)
    _place_all(ann)
    ann.press(ann.window.specimens.repeat.next)
    n_deeds = ann.deeds
    # Begin, six points, two series of seven marks with their two ends, next.
    assert n_deeds == 1 + 6 + 7 + 2 + 1
    _presented(ann, 1)
    ann.wait_until_saved()
    after = _stored(ann, number)
    again = after.placed(before.frames[0].id, BLIND)
    assert again.keys() == before.placed(before.frames[0].id).keys()
    assert all(one.names_hidden and one.person == ANN.id for one in again.values())
    assert measure_rows(after, session.pictures) == measured
    kept = replace(after, placings=[row for row in after.placings if row.occasion != BLIND])
    assert encode(kept) == encode(before)

    ann.look_at_picture()
    ann.key(Qt.Key.Key_Down, Qt.KeyboardModifier.ControlModifier)
    _presented(ann, 2)
    ann.press(ann.window.specimens.repeat.stop)
    ann.wait(lambda: session.specimen is not None and session.repeat is None)
    strip = ann.window.strips._made["agreement"]
    assert ann.window.strips.current == "agreement"
    ann.wait(lambda: strip.report() is not None)
    assert ann.window.specimens.list.isVisible()
    *_, found = read_repeats(session.store)
    expected = measures_repeated(found.specimens, found.pictures, person=ANN.id)
    assert {row.key: row for row in strip.report().measures} == {
        row.key: row for row in expected
    }
    assert {row.key for row in expected} >= {"shell_length", "shell_height", "hinge_line"}


def test_what_was_repeated_is_due_no_more(ann):
    lot = _begin(ann)
    _place_all(ann)
    ann.press(ann.window.specimens.repeat.stop)
    ann.wait(lambda: ann.session.repeat is None)
    ann.wait_until_saved()
    assert set(_choose(ann).due().lot) == set(lot) - {lot[0]}


def test_record_and_repeat_are_shown_together_after_the_repeat(ann):
    lot = _begin(ann)
    _place_all(ann)
    ann.press(ann.window.specimens.repeat.stop)
    strip = ann.window.strips._made["agreement"]
    ann.wait(lambda: strip.chosen_pair() is not None and strip.both.isVisible())
    ann.press(strip.both)
    session, canvas = ann.session, ann.window.canvas
    ann.wait(lambda: session.veil.beside is not None and session.specimen.id == lot[0])
    ann.wait_until_readable()
    repeated = [row for row in session.specimen.placings if row.occasion == BLIND]
    # They are looked at, not taken hold of.
    assert repeated
    assert all(canvas.place_of_mark(row.id, 0) is None for row in repeated)
    both = canvas.grab().toImage()
    ann.press(strip.both)
    assert session.veil.beside is None
    assert canvas.grab().toImage() != both


def test_a_second_observer_measures_under_another_name(ann):
    strip = _choose(ann)
    strip.occasion.show_key(SECOND)
    strip.occasion.activated.emit(1)
    ann.wait(lambda: not strip.begin.isEnabled())
    strip.name.setFocus()
    ann.type("Ben Sound")
    ann.wait(strip.begin.isEnabled)
    ann.press(strip.begin)
    _presented(ann, 0)
    shown = ann.session.specimen.id
    _place_all(ann)
    ann.press(ann.window.specimens.repeat.stop)
    ann.wait(lambda: ann.session.repeat is None)
    ann.wait_until_saved()
    placed = _stored(ann, int(shown[-3:])).placed(f"frame-{shown[-3:]}", SECOND)
    (ben,) = {row.person for row in placed.values()}
    people = {one.id: one.name for one in ann.session.store.people()}
    assert people[ben] == "Ben Sound"
    assert ann.session.person.id == ANN.id
    # The report that opens at the end is about what was just repeated.
    report = ann.window.strips._made["agreement"]
    ann.wait(lambda: report.report() is not None and len(report.report().measures) > 0)
    assert report.report().occasion == SECOND
    assert report.table.isVisible()


def test_the_list_says_below_it_what_is_due(ann):
    panel = ann.window.specimens
    ann.wait(panel.due.isVisible)
    assert panel.due.text() == "One repeat is due"
    ann.press(panel.due)
    assert ann.window.strips.current == "repeats"
