"""The table of specimens, several chosen, and one deed for all of them, through the window."""

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QToolButton

from app.panels.table_columns import USUAL
from landmarks.changes import Document
from landmarks.many import FOR_MANY
from landmarks.specimen import specimen_of

pytestmark = pytest.mark.journey

CTRL, SHIFT = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.ShiftModifier


@pytest.fixture
def person(open_window):
    person = open_window()
    person.wait(lambda: not person.session.listing.deriving)
    return person


@pytest.fixture
def table(person):
    person.look_at_picture()
    person.key(Qt.Key.Key_T, CTRL)
    table = person.window.tabling.table
    person.wait(lambda: table.model.row(0) is not None)
    return table


@pytest.fixture
def strip(person, table):
    """The strip for many, with the first four of the table chosen."""
    click(person, table.table, 0)
    click(person, table.table, 3, SHIFT)
    person.key(Qt.Key.Key_E, CTRL)
    strip = person.window.strips.made("many")
    read(person, strip)
    return strip


def click(person, view, at, keys=Qt.KeyboardModifier.NoModifier):
    index = view.model().index(at, 0)
    QTest.mouseClick(
        view.viewport(), Qt.MouseButton.LeftButton, keys, view.visualRect(index).center()
    )


def read(person, strip):
    n = len(person.session.chosen)
    person.wait(lambda: strip._shared.n == n and strip._work is None)


def stored(person, ids):
    store = person.session.store
    found = store.load(*(Document("specimen", one) for one in ids))
    return [specimen_of(one.id, doc.parts) for one, doc in found.items()]


def test_it_takes_the_place_of_the_picture_and_gives_it_back(person, table):
    window = person.window
    assert table.isVisible()
    assert not window.canvas.isVisible()
    assert table.model.columns == USUAL
    assert table.model.rowCount() == person.session.n_rows
    person.key(Qt.Key.Key_Escape)
    assert window.canvas.isVisible()
    assert window.canvas.hasFocus()


def test_columns_share_the_width_but_for_those_that_a_person_drew(person, table):
    shown, header = table.table, table.table.horizontalHeader()
    table.use_columns(("number", "name", "region"))
    assert header.length() == shown.viewport().width(), "nothing is left empty"
    table.use_columns(USUAL)
    assert header.length() >= shown.viewport().width()
    numbers = [header.sectionSize(USUAL.index(key)) for key in ("certainty", "fit")]
    person.window.shell.resize(1920, 1080)
    person.wait(lambda: header.length() == shown.viewport().width())
    assert [header.sectionSize(USUAL.index(key)) for key in ("certainty", "fit")] == numbers
    assert header.sectionSize(USUAL.index("missing")) > 300, "words have what is left"
    table.use_columns(("number", "name"))
    edge = QPoint(header.sectionViewportPosition(1) - 1, 8)
    view, left = header.viewport(), Qt.MouseButton.LeftButton
    QTest.mousePress(view, left, pos=edge)
    QTest.mouseMove(view, edge - QPoint(150, 0))
    QTest.mouseRelease(view, left, pos=edge - QPoint(150, 0))
    drawn = header.sectionSize(0)
    person.window.shell.resize(1700, 1000)
    person.wait(lambda: shown.viewport().width() == header.length())
    assert header.sectionSize(0) == drawn
    table.use_columns(USUAL)
    assert header.sectionSize(0) == drawn, "whatever else is shown"


def test_enter_puts_a_specimen_on_the_bench(person, table):
    table.table.setFocus()
    table.show_place(3)
    wanted = table.model.row(3).specimen
    person.key(Qt.Key.Key_Return)
    person.wait(lambda: person.session.specimen.id == wanted)
    assert not person.window.tabling.is_open


def test_a_click_on_a_header_sorts_and_another_turns_it_round(person, table):
    at = table.model.columns.index("shell_length")
    header = table.table.horizontalHeader()
    table.table.horizontalScrollBar().setValue(table.table.horizontalScrollBar().maximum())

    def lengths():
        rows = [table.model.row(i) for i in range(table.model.rowCount())]
        if None in rows:
            return []
        facts = [fact for row in rows for fact in row.facts]
        return [fact.number for fact in facts if fact.field == "shell_length"]

    for descending in (False, True):
        place = header.sectionViewportPosition(at) + 20
        QTest.mouseClick(header.viewport(), Qt.MouseButton.LeftButton, pos=QPoint(place, 8))
        query = person.session.query
        person.wait(lambda: len(lengths()) > 5)
        person.wait(
            lambda turned=descending: lengths() == sorted(lengths(), reverse=turned)
        )
        assert person.session.query.order == "shell_length"
        assert person.session.query.descending == descending
        assert query is not None


def test_a_column_that_can_have_several_values_sorts_nothing(person, table):
    before = person.session.query
    table._sort(table.model.columns.index("missing"))
    assert person.session.query == before


def test_chosen_columns_are_remembered(person, table, open_window):
    table._toggle("habitat", shown=True)
    table._toggle("fit", shown=False)
    person.close()
    other = open_window()
    other.window.tabling.open()
    columns = other.window.tabling.table.model.columns
    assert "habitat" in columns
    assert "fit" not in columns


def test_words_are_shown_as_they_were_written(person, table):
    table.use_columns(("number", "locality"))
    person.wait(lambda: table.model.row(0) is not None)
    shown = {table.model.cell(table.model.row(i), "locality") for i in range(6)}
    written = {one.label.locality for one in stored(person, ids_of(table, 6))}
    assert shown == written


def ids_of(table, n):
    return [table.model.row(i).specimen for i in range(n)]


def test_names_hidden_hide_what_follows_from_candidates(person, table):
    def certainty():
        return table.model.cell(table.model.row(4), "certainty")

    person.wait(lambda: certainty() != "")
    person.session.hide_names(True)
    assert certainty() == ""
    assert table.model.cell(table.model.row(4), "number")


def test_thumbnails_show_the_same_specimens_and_go_to_the_bench(person, table):
    table.show_as("thumbnails")
    grid = table.grid
    n = person.session.n_rows
    places = [
        grid.place(grid.model().index(line, column))
        for line in range(grid.model().rowCount())
        for column in range(grid.model().columnCount())
    ]
    assert [one for one in places if one >= 0] == list(range(n))
    grid.setFocus()
    table.show_place(5)
    wanted = table.model.row(5).specimen
    person.key(Qt.Key.Key_Return)
    person.wait(lambda: person.session.specimen.id == wanted)


def test_ctrl_shift_and_ctrl_a_choose_several_in_table_and_list(person, table):
    chosen, view = person.session.chosen, table.table
    click(person, view, 1)
    assert len(chosen) == 0
    click(person, view, 3, CTRL)
    assert chosen.ids == (table.model.row(1).specimen, table.model.row(3).specimen)
    click(person, view, 3, CTRL)
    click(person, view, 1)
    click(person, view, 4, SHIFT)
    assert list(chosen.ids) == ids_of(table, 5)[1:]
    view.setFocus()
    person.key(Qt.Key.Key_Down, SHIFT)
    assert len(chosen) == 5
    person.key(Qt.Key.Key_A, CTRL)
    assert len(chosen) == person.session.n_rows
    person.key(Qt.Key.Key_Down)
    assert len(chosen) == 0
    panel = person.window.specimens
    click(person, panel.list, 0)
    click(person, panel.list, 2, SHIFT)
    assert list(chosen.ids) == ids_of(table, 3)
    assert panel.chosen.text().startswith("3 chosen")


def test_fields_that_differ_are_several_and_stay_so(person, strip):
    before = {one.id: one for one in stored(person, person.session.chosen.ids)}
    localities = {one.label.locality for one in before.values()}
    field = strip.words["locality"]
    assert (field.text() == "") == (len(localities) > 1)
    assert field.placeholderText() == ("several" if len(localities) > 1 else "")
    assert not strip.change.isEnabled()
    strip.words["habitat"].setText("outer reef flat")
    strip.change.setFocus()
    person.press(strip.change)
    person.wait_until_saved()
    person.wait(lambda: strip._work is None)
    # Not the button that closes.
    person.wait(strip.region.hasFocus)
    after = stored(person, before)
    assert {one.label.habitat for one in after} == {"outer reef flat"}
    for one in after:
        assert one.label.locality == before[one.id].label.locality


def test_what_differs_is_emptied_for_all_only_on_purpose_and_undo_brings_it_back(
    person, strip
):
    session, ids = person.session, person.session.chosen.ids
    before = stored(person, ids)
    strip.words["collector"].setText("Ada Quill")
    person.press(strip.change)
    person.wait(lambda: strip._work is None)
    view, field = person.window.tabling.table.table, strip.words["collector"]
    click(person, view, 4, CTRL)
    read(person, strip)
    person.wait(lambda: field.placeholderText() == "several")
    assert strip.edits().words == {}
    field.setFocus()
    person.key(Qt.Key.Key_Delete)
    assert field.placeholderText() == "will be empty"
    assert strip.edits().words == {"collector": ""}
    person.key(Qt.Key.Key_Escape)
    assert strip.edits().words == {}
    clear = field.findChild(QToolButton)
    assert clear.accessibleName() == "Empty Collector in all of them (Delete)"
    clear.click()
    assert clear.accessibleName() == "Leave Collector as it is in each (Esc)"
    person.press(strip.change)
    person.wait(lambda: strip._work is None)
    assert session.saving.state == "saved", "it is said to be done once it is on the disk"
    assert {one.label.collector for one in stored(person, session.chosen.ids)} == {""}
    for _ in range(2):
        session.undo()
        person.wait_until_saved()
    assert stored(person, ids) == before


def test_many_are_changed_in_one_step_that_undo_takes_back(person, strip):
    session = person.session
    ids = session.chosen.ids
    before, sequence = stored(person, ids), session.store.latest()
    region = strip._regions[2][0]
    strip.region.show_key(region)
    strip.region.chosen.emit(region)
    strip.origin.show_key("farmed")
    strip.words["licence"].setText("CC-BY-4.0")
    strip.words["licence"].textEdited.emit("CC-BY-4.0")
    person.press(strip.change)
    person.wait(lambda: strip._work is None)
    person.wait_until_saved()
    assert session.store.latest() == sequence + 1
    assert {(one.where.region, one.where.origin) for one in stored(person, ids)} == {
        (region, "farmed")
    }
    pictures = {frame.picture for one in before for frame in one.frames}
    found = session.store.load(*(Document("picture", one) for one in pictures))
    assert {doc.parts["rights"]["licence"] for doc in found.values()} == {"CC-BY-4.0"}
    person.look_at_picture()
    session.undo()
    person.wait_until_saved()
    assert stored(person, ids) == before
    session.redo()
    person.wait_until_saved()
    assert {one.where.region for one in stored(person, ids)} == {region}


def test_a_state_for_many_wants_a_word_first_and_says_so_in_the_record(person, strip):
    session = person.session
    ids = session.chosen.ids
    before = {one.id: len(one.observations) for one in stored(person, ids)}
    key = next(
        one
        for one in (
            "hinge_line",
            "colour_pattern",
            *(c.key for c in session.guide.tables.characters),
        )
        if strip.character.findData(one) > 0
        and not any(o.character == one for s in stored(person, ids) for o in s.observations)
    )
    strip.character.show_key(key)
    strip.character.chosen.emit(key)
    assert "Nobody looks at each of these specimens" in strip.caution.text()
    assert not strip.change.isEnabled(), "nothing was agreed to"
    strip.agree.click()
    assert strip.change.isEnabled()
    person.press(strip.change)
    person.wait(lambda: strip._work is None)
    person.wait_until_saved()
    for one in stored(person, ids):
        new = [it for it in one.observations if it.character == key]
        assert [(it.method, it.sure) for it in new] == [(FOR_MANY, False)]
        assert len(one.observations) == before[one.id] + 1


def test_one_key_says_which_view_the_frames_of_all_chosen_show(person, table):
    click(person, table.table, 5)
    click(person, table.table, 7, SHIFT)
    ids = person.session.chosen.ids
    sequence = person.session.store.latest()
    table.table.setFocus()
    person.key(Qt.Key.Key_2, text="2")
    person.wait(lambda: person.session.store.latest() == sequence + 1)
    from app.panels.view_choice import VIEW_KEYS

    views = {frame.view for one in stored(person, ids) for frame in one.frames}
    assert views == {VIEW_KEYS["2"]}


def test_a_repeat_shuts_the_table(person, table):
    from app.session.repeating import Repeat

    assert person.window.tabling.is_open
    person.window.tabling.close()
    person.session.veil.repeat = Repeat.__new__(Repeat)
    person.window.tabling.open()
    person.session.veil.repeat = None
    assert not person.window.tabling.is_open


def test_a_deed_over_many_is_taken_back_from_the_history(person, strip, monkeypatch):
    from app.session import past

    monkeypatch.setattr(past, "MOST_READ", 2)
    session = person.session
    ids = session.chosen.ids
    before = stored(person, ids)
    strip.words["habitat"].setText("outer reef flat")
    person.press(strip.change)
    person.wait(lambda: strip._work is None)
    person.wait_until_saved()
    steps = []
    past.read_past(session, None, steps.extend)
    person.wait(lambda: bool(steps))
    past.take_back(session, steps[0])
    person.wait_until_saved()
    person.wait(lambda: stored(person, ids) == before)
