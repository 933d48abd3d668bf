"""A photographer comes home with a dive: dropped, sorted, taken in, taken back, sorted on."""

import hashlib

import pytest
from PySide6.QtCore import QEvent, QMimeData, QPoint, QPointF, Qt, QUrl
from PySide6.QtGui import QDragEnterEvent, QDropEvent, QHelpEvent
from PySide6.QtWidgets import QApplication

from app.panels import sorting_sheet
from app.panels.rail_card import FRAME
from app.session.entering import entering
from landmarks.scheme import VIEWS
from landmarks.storage import open_sqlite
from tests.app import helpers_mouse as mouse
from tests.journeys.dives import make_dive

pytestmark = pytest.mark.journey

N, EACH = 30, 3
CONTROL, SHIFT = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.ShiftModifier


@pytest.fixture
def dive(tmp_path):
    return make_dive(tmp_path / "dive", N, EACH)


@pytest.fixture
def person(open_window, tmp_path):
    path = tmp_path / "own" / "reef.hingeline"
    path.parent.mkdir()
    open_sqlite(path, create=True).close()
    return open_empty(open_window, path)


def open_empty(open_window, path):
    from tests.journeys.person import Person

    patient = Person.wait_until_readable
    Person.wait_until_readable = lambda one: one.wait(
        lambda: one.session.path == path and not one.session.desk.busy
    )
    try:
        return open_window(path)
    finally:
        Person.wait_until_readable = patient


def drop(person, *paths):
    """Drop files on the canvas, as the window system does."""
    mime = QMimeData()
    mime.setUrls([QUrl.fromLocalFile(str(path)) for path in paths])
    left, none = Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
    bench, copy = person.window, Qt.DropAction.CopyAction
    QApplication.sendEvent(bench, QDragEnterEvent(QPoint(9, 9), copy, mime, left, none))
    QApplication.sendEvent(bench, QDropEvent(QPointF(9, 9), copy, mime, left, none))
    person.deeds += 1


def take_in_all(person, dive):
    """Drop a dive and take its specimens in as they are proposed."""
    drop(person, dive[0].parent)
    person.press(table_of(person).take_in)
    person.wait(lambda: person.session.n_rows == N // EACH)


def table_of(person):
    """Wait until the table stands and everything is read, and return it."""
    person.wait(lambda: person.window.sorting.table is not None)
    table = person.window.sorting.table
    person.wait(lambda: not table.sorting.reading and not person.session.desk.busy)
    return table


def middle(sheet, key):
    """Return the middle of a tile on the screen, scrolled to where it is seen."""
    sheet.show_tile(sheet.places.tile(key))
    place = sheet.places.tile(key).center() - QPointF(0, sheet.verticalScrollBar().value())
    assert sheet.viewport().rect().contains(place.toPoint())
    return place


def names(table):
    return [
        [table.sorting.shots[key].name for key in one.shots] for one in table.sorting.groups
    ]


def test_a_dive_is_sorted_taken_in_and_taken_back(person, dive, tmp_path):
    (tmp_path / "dive" / "notes.jpg").write_text("sea was calm")
    before = {path: hashlib.sha256(path.read_bytes()).hexdigest() for path in dive}
    session = person.session
    drop(person, tmp_path / "dive")
    table = table_of(person)
    sheet, sorting = table.sheet, table.sorting
    assert [len(one.shots) for one in sorting.groups] == [EACH] * (N // EACH)
    assert table.isVisible()
    assert not person.window.canvas.isVisible()
    assert session.store.count() == 0, "nothing is there before it is taken in"
    assert any("notes.jpg" in line for line in sheet.sentences())
    assert sheet.hasFocus()
    assert sheet.current == str(dive[0]), "the keyboard is at the first picture by itself"

    # Two animals were one: selected together and made one by a key.
    mouse.click(sheet, middle(sheet, str(dive[0])))
    first = set(sheet.selected)
    assert first == {str(dive[0])}
    mouse.send(sheet, mouse.Kind.MouseButtonPress, middle(sheet, str(dive[3])), mouse.LEFT,
               mouse.LEFT, CONTROL)  # fmt: skip
    mouse.send(sheet, mouse.Kind.MouseButtonRelease, middle(sheet, str(dive[3])), mouse.LEFT,
               mouse.NO_BUTTON, CONTROL)  # fmt: skip
    assert len(sheet.selected) == 2
    person.key(Qt.Key.Key_M, text="m")
    assert len(sorting.groups) == N // EACH - 1
    assert len(sorting.groups[0].shots) == 2 * EACH

    # The last picture of the next animal is dragged to the one after it.
    moved = str(dive[8])
    mouse.drag(sheet, middle(sheet, moved), middle(sheet, str(dive[9])))
    assert moved in sorting.now.proposal.group_of(str(dive[9])).shots
    # Dragged beside every card it is an animal of its own.
    low = sheet.places.cards[-1].rect
    beside = QPointF(low.right() + 4, low.center().y() - sheet.verticalScrollBar().value())
    if not sheet.viewport().rect().contains(beside.toPoint()):
        sheet.verticalScrollBar().setValue(sheet.verticalScrollBar().maximum())
        beside = QPointF(4, low.top() - sheet.verticalScrollBar().value())
    sheet.select({moved}, moved)
    before_split = len(sorting.groups)
    mouse.drag(sheet, middle(sheet, moved), beside)
    assert len(sorting.groups) == before_split + 1
    assert sorting.now.proposal.group_of(moved).shots == (moved,)

    # Undo and redo act within the table, and the collection's own past is left alone.
    person.key(Qt.Key.Key_Z, CONTROL)
    assert len(sorting.groups) == before_split
    person.key(Qt.Key.Key_Z, CONTROL | SHIFT)
    assert len(sorting.groups) == before_split + 1

    # A view by one key, a number by typing.
    mouse.click(sheet, middle(sheet, str(dive[0])))
    person.key(Qt.Key.Key_1, text="1")
    assert sorting.now.views[str(dive[0])] in VIEWS
    person.key(Qt.Key.Key_N, text="n")
    person.wait(sheet.field.hasFocus)
    person.type("HR-0500")
    person.key(Qt.Key.Key_Return)
    assert sorting.groups[0].number == "HR-0500"
    assert sheet.hasFocus()
    person.key(Qt.Key.Key_N, SHIFT, text="N")
    assert all(one.number for one in sorting.groups)
    assert sorting.groups[1].number == "HR-0501"

    groups, shots = len(sorting.groups), [len(one.shots) for one in sorting.groups]
    person.press(table.take_in)
    person.wait(lambda: person.window.sorting.table is None and session.n_rows == groups)
    person.wait_until_saved()
    assert person.window.canvas.isVisible()
    rows = sorted(session.rows, key=lambda row: row.catalogue_number)
    assert [row.n_pictures for row in rows] == shots
    assert rows[0].catalogue_number == "HR-0500"
    assert session.specimen.frames[0].view == sorting.now.views[str(dive[0])]
    assert session.undo_name.key == "deed.take_in"
    session.undo()
    person.wait(lambda: session.n_rows == 0)
    session.redo()
    person.wait(lambda: session.n_rows == groups)
    assert {p: hashlib.sha256(p.read_bytes()).hexdigest() for p in dive} == before


def test_cancel_takes_nothing_in_and_begins_no_collection(open_window, dive, own_folder):
    person = open_window()
    drop(person, *dive[:4])
    table = table_of(person)
    person.press(table.cancel)
    assert person.window.sorting.table is None
    assert person.window.canvas.isVisible()
    assert person.window.side.isVisible()
    assert person.session.example
    assert list(own_folder.iterdir()) == []
    assert all(path.exists() for path in dive)
    # What was sorted is not lost by one click, until others are dropped.
    person.window.sorting.come_back()
    assert person.window.sorting.table is table
    person.press(table.cancel)
    drop(person, *dive[4:8])
    other = table_of(person)
    assert other is not table
    assert len(other.sorting.shots) == 4


def test_the_window_asks_once_before_it_closes_over_a_sorting(person, dive):
    drop(person, *dive[:6])
    table, shell = table_of(person), person.window.shell
    assert person.window.sorting.may_close(), "what was only proposed is proposed again"
    table.sorting.split([str(dive[0])])
    assert not shell.close()
    assert "6 pictures were sorted and not taken in" in person.said()
    person.window.sorting.come_back()
    assert person.window.sorting.table is table
    assert shell.close()


def test_what_is_dropped_on_an_open_table_is_sorted_with_the_rest(person, dive):
    """A dive comes from two cards, with a file that stands there already, and one later."""
    drop(person, *dive[:10])
    table = table_of(person)
    drop(person, *dive[7:-1])
    person.wait(lambda: len(table.sorting.paths) == N - 1)
    assert table_of(person) is table
    assert [len(one.shots) for one in table.sorting.groups] == [
        *[EACH] * (N // EACH - 1),
        2,
    ]
    # What was changed by hand stays; what comes then stands behind it.
    table.sorting.merge([str(dive[0]), str(dive[EACH])])
    drop(person, dive[-1])
    person.wait(lambda: len(table.sorting.paths) == N)
    assert table_of(person) is table
    assert len(table.sorting.groups[0].shots) == 2 * EACH
    assert str(dive[-1]) in table.sorting.inside
    assert person.session.store.count() == 0


def test_what_a_folder_holds_that_is_not_read_is_said(person, tmp_path):
    (tmp_path / "raw").mkdir()
    (tmp_path / "raw" / "DSC_1.CR2").write_bytes(b"II")
    drop(person, tmp_path / "raw")
    person.wait(lambda: "no format that is read here (.cr2)" in person.said())
    assert person.window.sorting.table is None


def test_from_the_worked_example_taking_in_begins_a_collection(
    open_window, dive, own_folder
):
    person = open_window()
    drop(person, dive[0].parent)
    table = table_of(person)
    person.press(table.take_in)
    person.wait(lambda: person.session.n_rows == N // EACH)
    assert not person.session.example
    assert person.session.path.parent == own_folder
    assert person.session.specimen is not None


def test_where_no_collection_can_be_begun_the_table_stays(
    open_window, dive, own_folder, monkeypatch
):
    import app.window.files

    person = open_window()
    drop(person, dive[0].parent)
    table = table_of(person)
    groups = table.sorting.groups

    def refuse():
        raise PermissionError(13, "Permission denied", "Documents")

    with monkeypatch.context() as withdrawn:
        withdrawn.setattr(app.window.files, "own_folder", refuse)
        person.press(table.take_in)
    assert person.window.sorting.table is table
    assert table.sorting.groups == groups
    assert table.take_in.isEnabled(), "it can be tried again"
    person.press(table.take_in)
    person.wait(lambda: person.session.n_rows == N // EACH)


def test_the_tile_of_a_damaged_picture_says_why_it_is_not_seen(person, dive, monkeypatch):
    cut, content = dive[1], dive[1].read_bytes()
    cut.write_bytes(content[: len(content) // 2])
    drop(person, dive[0].parent)
    sheet, told = table_of(person).sheet, []
    person.wait(lambda: str(cut) in sheet.thumbs.faults)
    show = sorting_sheet.QToolTip
    monkeypatch.setattr(show, "showText", lambda _, words, *_rest: told.append(words))
    for path in (dive[0], cut):
        at = middle(sheet, str(path)).toPoint()
        event = QHelpEvent(QEvent.Type.ToolTip, at, sheet.viewport().mapToGlobal(at))
        QApplication.sendEvent(sheet.viewport(), event)
    assert "damaged" not in told[0]
    assert f"“{cut.name}” is damaged" in told[1]


def test_one_picture_alone_is_taken_in_at_once_with_its_rights(person, tmp_path):
    from PIL import Image

    path = tmp_path / "one.jpg"
    exif = Image.Exif()
    exif[0x013B] = "Ana Reyes"
    Image.new("RGB", (64, 48), "teal").save(path, exif=exif)
    drop(person, path)
    person.wait(lambda: person.session.n_rows == 1)
    assert person.window.sorting.table is None
    assert person.session.picture.rights.creator == "Ana Reyes"


def test_the_gap_is_shown_and_another_one_sorts_anew(person, dive):
    drop(person, dive[0].parent)
    table = table_of(person)
    found = table.how.gap.value()
    assert 7 / 60 < found < 4
    assert table.how.gap.text() in table._counts.text()
    table.how.gap.lineEdit().setText("45,5 s")
    table.how.gap.interpretText()
    assert table.how.gap.value() * 60 == pytest.approx(45.5)
    table.how.gap.setValue(20)
    person.wait(lambda: len(table.sorting.groups) == 1)
    assert table.how.gap.text() == "20 min"
    assert "20 min" in table._counts.text()
    table.how.gap.setValue(25)
    person.press(table.how.found_gap)
    assert not table.how._pause.isActive(), "the last one that is said counts"
    assert len(table.sorting.groups) == N // EACH
    assert table.how.gap.value() == pytest.approx(found)
    table.how.method.setCurrentIndex(table.how.method.findData("none"))
    table.how.method.chosen.emit("none")
    assert len(table.sorting.groups) == N
    assert not table.how.gap.isVisible()


def test_a_label_table_sorts_and_one_that_is_none_is_said(person, dive, tmp_path):
    rows = "\n".join(f"HR-{i // 5:03d};{path.name}" for i, path in enumerate(dive[:20]))
    (tmp_path / "labels.csv").write_text(f"number;file\n{rows}\n")
    drop(person, dive[0].parent)
    table = table_of(person)
    table.sort_by_labels(tmp_path / "labels.csv")
    person.wait(lambda: len(table.sorting.groups) == 4 + 10)
    assert table.sorting.groups[0].number == "HR-000"
    assert len(table.sorting.groups[0].shots) == 5
    (tmp_path / "empty.csv").write_text("")
    before, noticed = table.sorting.now, []
    person.session.noticed.connect(lambda *said: noticed.append(said))
    table.sort_by_labels(tmp_path / "empty.csv")
    person.wait(lambda: "empty.csv" in table._counts.text())
    assert table.sorting.now == before
    assert noticed == [], "what was said here greets nobody at the picture"


def test_what_is_there_already_stands_apart_and_may_get_another_frame(person, dive):
    take_in_all(person, dive)
    person.wait_until_saved()
    more = make_dive(dive[0].parent.parent / "more", 4, 4, first=500)
    drop(person, *more, *dive[:3])
    table = table_of(person)
    person.wait(lambda: set(table.sorting.apart) == {str(one) for one in dive[:3]})
    assert len(table.sorting.now.proposal.shots) == 4
    again = str(dive[0])
    mouse.drag(table.sheet, middle(table.sheet, again), middle(table.sheet, str(more[0])))
    assert len(table.sorting.now.proposal.shots) == 5
    person.press(table.take_in)
    person.wait(lambda: person.window.sorting.table is None)
    person.wait_until_saved()
    store = person.session.store
    assert len(store.documents("picture")) == N + 4, "the picture itself is there once"
    assert max(row.n_pictures for row in store.list()) == 5
    drop(person, *dive[:3])
    table = table_of(person)
    person.wait(lambda: "Nothing here is to be taken in" in table._will.text())


def test_the_keyboard_alone_sorts(person, dive):
    drop(person, dive[0].parent)
    table = table_of(person)
    sheet, sorting = table.sheet, table.sorting
    person.wait(sheet.hasFocus)
    person.key(Qt.Key.Key_Home)
    assert sheet.current == str(dive[0])
    assert "DSC_0001.JPG" in sheet.accessibleDescription()
    person.key(Qt.Key.Key_Right)
    person.key(Qt.Key.Key_B, text="b")
    assert names(table)[:2] == [["DSC_0001.JPG"], ["DSC_0002.JPG", "DSC_0003.JPG"]]
    person.key(Qt.Key.Key_Right, SHIFT)
    assert sheet.selected == {str(dive[1]), str(dive[2])}
    person.key(Qt.Key.Key_BracketLeft, text="[")
    assert len(sorting.groups[0].shots) == 3
    person.key(Qt.Key.Key_Delete)
    person.wait(lambda: len(sorting.apart) == 2)
    assert sheet.current == str(dive[3]), "the keyboard stays where the work is"
    person.key(Qt.Key.Key_End)
    person.key(Qt.Key.Key_Left, SHIFT)
    person.key(Qt.Key.Key_T, text="t")
    assert sorting.apart == ()
    # One alone is made one with the animal after it.
    n = len(sorting.groups)
    person.key(Qt.Key.Key_Home)
    person.key(Qt.Key.Key_M, text="m")
    assert len(sorting.groups) == n - 1
    person.key(Qt.Key.Key_A, CONTROL)
    assert len(sheet.selected) == N
    person.key(Qt.Key.Key_7, text="7")
    assert set(sorting.now.views.values()) == {"living_from_above"}
    person.key(Qt.Key.Key_Return, CONTROL)
    person.wait(lambda: person.session.n_rows > 0 and person.window.sorting.table is None)


def test_a_picture_of_the_rail_is_dropped_on_another_specimen(person, dive):
    take_in_all(person, dive)
    person.wait(lambda: person.session.specimen is not None)
    session, view = person.session, person.window.specimens.list
    frame = session.specimen.frames[1].id
    target = next(row for row in session.rows if row.specimen != session.specimen.id)
    at = person.window.specimens.model.row_of(target.specimen)
    place = view.visualRect(view.model().index(at, 0)).center()
    data = QMimeData()
    data.setData(FRAME, frame.encode())
    move, left = Qt.DropAction.MoveAction, Qt.MouseButton.LeftButton
    none = Qt.KeyboardModifier.NoModifier
    QApplication.sendEvent(view.viewport(), QDragEnterEvent(place, move, data, left, none))
    QApplication.sendEvent(
        view.viewport(), QDropEvent(QPointF(place), move, data, left, none)
    )
    person.wait(
        lambda: session.specimen is not None and session.specimen.id == target.specimen
    )
    assert frame in [one.id for one in session.specimen.frames]
    assert len(session.specimen.frames) == EACH + 1
    assert session.undo_name.key == "deed.move_frames"
    # Two made one, and one made two: each one step back.
    person.window.open_strip("gather")
    strip = person.window.strips._made["gather"]
    person.wait(lambda: strip.chosen() != "")
    person.press(strip.make_one)
    person.wait(lambda: session.n_rows == N // EACH - 1)
    assert person.window.shell.focusWidget() is strip.list, "not the button that parts them"
    person.press(strip.alone)
    person.wait(lambda: session.n_rows == N // EACH)
    assert len(session.specimen.frames) == 1
    session.undo()
    session.undo()
    session.undo()
    person.wait(lambda: all(row.n_pictures == EACH for row in session.rows))
    # Three that are chosen in the list become the one on the bench.
    three = [row.specimen for row in session.rows[:3]]
    session.choose(three[0])
    session.chosen.put(three)
    person.press(strip.make_one)
    person.wait(lambda: session.n_rows == N // EACH - 2)
    assert len(session.specimen.frames) == 3 * EACH
    assert session.undo_name.values == {"n": 3}


def test_clock_and_rights_of_a_whole_dive(person, dive):
    take_in_all(person, dive)
    person.wait(lambda: person.session.picture is not None)
    session, window = person.session, person.window
    window.open_strip("clock")
    clock = window.strips._made["clock"]
    person.wait(lambda: len(clock.meant.pictures) == N)
    person._qtbot.keyClicks(clock.watch, "10:01:07")
    assert "10:01:07" in clock.after.text()
    assert clock.shift.text() == "+0:01:00"
    person._qtbot.keyClicks(clock.zone, "+11")
    person.press(clock.correct)
    person.wait(lambda: "UTC+11:00" in clock.before.text())
    assert window.shell.focusWidget() is clock.watch, "not the button that closes"
    assert session.picture.file.captured == "2024:03:12 10:00:07", "as in the file"
    assert session.undo_name.values == {"n": N}
    window.open_strip("rights")
    rights = window.strips._made["rights"]
    rights.meant.scope.setCurrentIndex(rights.meant.scope.findData("listed"))
    rights.meant.scope.chosen.emit("listed")
    person.wait(lambda: len(rights.meant.pictures) == N)
    person._qtbot.keyClicks(rights.fields["creator"], "Ana Reyes")
    person.press(rights.give)
    assert window.shell.focusWidget() is rights.fields["creator"]
    person.wait_until_saved()
    stored = session.store.load(*session.store.documents("picture"))
    assert {one.parts["rights"]["creator"] for one in stored.values()} == {"Ana Reyes"}
    assert {one.parts["clock"]["zone"] for one in stored.values()} == {"+11:00"}


def test_numbers_count_on_and_a_scanner_types_them(person, dive):
    take_in_all(person, dive)
    person.wait(lambda: person.session.specimen is not None)
    session, window = person.session, person.window
    remembers = entering(session)
    ids = [row.specimen for row in session.rows]
    remembers.give_number("HR-0412")
    remembers.pin("locality", on=True)
    from dataclasses import replace

    from app.session import deeds

    deeds.set_label(session, replace(session.specimen.label, locality="Halverson Reef"))
    person.wait_until_saved()
    session.choose(ids[1])
    person.wait(lambda: session.specimen.id == ids[1])
    assert remembers.suggestion() == "HR-0413"
    person.key(Qt.Key.Key_L, CONTROL | SHIFT)
    assert session.specimen.label.catalogue_number == "HR-0413"
    assert session.specimen.label.locality == "Halverson Reef"
    # A scanner types where nobody writes: keys of the picture stay still.
    session.choose(ids[2])
    person.wait(lambda: session.specimen.id == ids[2])
    window.scanner.turn(on=True)
    person.look_at_picture()
    for sign in "HR-0777":
        person._qtbot.keyClick(window.canvas, sign)
    person._qtbot.keyClick(window.canvas, Qt.Key.Key_Return)
    person.wait(lambda: session.specimen.label.catalogue_number.upper() == "HR-0777")
    assert session.tool is None
    for sign in "HR-0413":
        person._qtbot.keyClick(window.canvas, sign)
    person._qtbot.keyClick(window.canvas, Qt.Key.Key_Return)
    person.wait(lambda: session.specimen.id == ids[1])
    # A single key is a person's, a moment later.
    person._qtbot.keyClick(window.canvas, Qt.Key.Key_S)
    person.wait(lambda: session.tool is not None)
    window.scanner.turn(on=False)


def test_labels_from_a_table_are_seen_before_they_are_written(open_window, tmp_path):
    person = open_window()
    path = tmp_path / "labels.csv"
    path.write_text(
        "Cat. no;Locality;Weather\nPMM 2024.118;Elsewhere;calm\nPMM 2024.119;;wind\n"
        "NONE-1;x;\nnone 1;;\n"
    )
    person.window.labels.open(path)
    page = person.window.labels.page
    person.wait(lambda: page.labelling.joined is not None and not page.labelling.busy)
    counts = page.labelling.counts()
    assert counts["rows_alone"] == 2
    assert counts["differ"] == 1
    assert counts["shared"] == 2
    page.results["shared"].click()
    assert page.lines.item(0, 3).text() == "in line 5 too"
    assert counts["written"] == 2
    page._take(2, "extra:")
    person.wait(lambda: not page.labelling.busy)
    assert page.labelling.matching.targets[2] == "extra:Weather"
    page.wins.click()
    person.wait(lambda: not page.labelling.busy and page.labelling.joined is not None)
    assert any(one.after == "Elsewhere" for one in page.labelling.told("written", 99))
    person.press(page.accept)
    person.wait(lambda: person.window.labels.page is None)
    assert person.session.undo_name.key == "deed.join_labels"
    person.wait(
        lambda: (
            person.session.specimen.label.catalogue_number != "PMM 2024.118"
            or person.session.specimen.label.locality == "Elsewhere"
        )
    )
    before = person.session.store.count()
    person.session.undo()
    assert person.session.store.count() == before
