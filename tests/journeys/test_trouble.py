"""What goes wrong at the window: one sentence each, and what was open stays unharmed."""

import shutil
import struct
import zlib
from pathlib import Path

import pytest
from PySide6.QtCore import QMimeData, QPoint, QPointF, Qt, QUrl
from PySide6.QtGui import QDragEnterEvent, QDropEvent
from PySide6.QtWidgets import QApplication, QFileDialog, QLabel

from app.session import deeds
from app.shell import Shell
from landmarks.changes import Document
from landmarks.errors import StoreError
from landmarks.geometry import Point
from landmarks.specimen import Label, parts_of
from landmarks.storage import open_sqlite
from landmarks.storage.contract import FORMAT
from tests.journeys.conftest import DEMO
from tests.journeys.person import Person

pytestmark = pytest.mark.journey


@pytest.fixture
def shell(tmp_path):
    folder = tmp_path / "pictures"
    folder.mkdir()
    return Path(shutil.copy(DEMO / "fluted-valve-outside.jpg", folder / "shell 1.jpg"))


@pytest.fixture
def person(open_window, shell):
    """Somebody with a collection of their own, one shell in it, seen from outside."""
    person = open_window(shell)
    person.wait(
        lambda: person.session.picture is not None and person.window.canvas.has_picture
    )
    deeds.set_view(person.session, "outside_of_valve")
    person.wait_until_saved()
    put_notices_away(person)
    return person


def band(person):
    """Return what the band above the picture says, or nothing where it is not there."""
    band = person.window.band.band
    if not band.isVisible():
        return ""
    return "\n".join(
        one.text() for one in band.findChildren(QLabel) if one.isVisibleTo(band)
    )


def put_notices_away(person):
    while person.window.band._away.isVisible():
        person.window.band.put_away()


def opens(person, *paths):
    """Open files as a drop does, and wait until everything about them was said."""
    put_notices_away(person)
    person.window.files.open_anything([Path(one) for one in paths])
    person.wait(
        lambda: not person.window.files._reader.busy and not person.session.desk.busy
    )


def stored(person):
    store = person.session.store
    return {one: dict(read.parts) for one, read in store.load(
        *store.documents("specimen"), *store.documents("picture")).items()}  # fmt: skip


def drop(widget, *paths):
    """Drop files on a widget as the window system does: on the one that takes them."""
    mime = QMimeData()
    mime.setUrls([QUrl.fromLocalFile(str(path)) for path in paths])
    place, copy = QPoint(20, 20), Qt.DropAction.CopyAction
    left, none = Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
    while widget is not None:
        if widget.acceptDrops():
            entering = QDragEnterEvent(place, copy, mime, left, none)
            QApplication.sendEvent(widget, entering)
            if entering.isAccepted():
                event = QDropEvent(QPointF(place), copy, mime, left, none)
                QApplication.sendEvent(widget, event)
                return event.isAccepted()
        place, widget = widget.mapToParent(place), widget.parentWidget()
    return False


# -- files that are no pictures ------------------------------------------------------------


def bad_files(folder):
    """Make every kind of bad file; return them with a word that must be said of each."""
    empty = folder / "empty.jpg"
    empty.touch()
    words = folder / "words.jpg"
    words.write_text("Dear diary, today I dived.")
    huge = folder / "huge.png"
    huge.write_bytes(_claims(30_000, 30_000))
    header = folder / "header.jpg"
    header.write_bytes((DEMO / "fluted-valve-outside.jpg").read_bytes()[:40])
    sea = folder / "sea"
    sea.mkdir()
    (sea / "notes.txt").write_text("no pictures here")
    return {
        empty: "is empty (0 bytes)",
        words: "is not a picture",
        huge: "has more than 400 megapixels",
        header: "header.jpg",
        sea: "There are no pictures in “sea”",
        folder / "gone.jpg": "is not in",
    }


def _claims(width, height):
    """Return a PNG that claims a size and brings no pixels (ISO/IEC 15948, from memory)."""

    def chunk(name, content):
        check = zlib.crc32(name + content)
        return struct.pack(">I", len(content)) + name + content + struct.pack(">I", check)

    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    pixels = zlib.compress(b"\0" * 1000)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", pixels)


def test_bad_pictures_are_one_sentence_each_and_change_nothing(person, tmp_path):
    before, path = stored(person), person.session.path
    folder = tmp_path / "bad"
    folder.mkdir()
    for file, said in bad_files(folder).items():
        opens(person, file)
        assert said in band(person), file.name
        assert file.name in band(person)
        assert stored(person) == before
    assert person.session.path == path
    assert person.session.picture is not None


def test_a_picture_that_may_not_be_read_says_so(person, shell, monkeypatch):
    other = Path(shutil.copy(shell, shell.with_name("locked.jpg")))
    really_open = Path.open

    def refuse(path, *args, **kwargs):
        if path == other:
            raise PermissionError(13, "Permission denied", str(path))
        return really_open(path, *args, **kwargs)

    monkeypatch.setattr(Path, "open", refuse)
    before = stored(person)
    opens(person, other)
    assert "“locked.jpg” may not be read by you" in band(person)
    assert stored(person) == before


def test_good_pictures_beside_bad_ones_are_taken_in(person, tmp_path):
    folder = tmp_path / "dive"
    folder.mkdir()
    bad_files(folder)
    shutil.copy(DEMO / "living-from-above.jpg", folder / "clam.jpg")
    (folder / "._clam.jpg").write_bytes(b"what another system leaves beside files")
    opens(person, folder)
    # The table is on screen before the first files are looked at.
    person.wait(lambda: person.session.store.count() == 2)
    assert "And 3 files more were left out." in band(person)


def test_a_picture_cut_short_says_so_and_shows_what_is_left(person, tmp_path):
    whole = (DEMO / "elongate-valve-outside.jpg").read_bytes()
    cut = tmp_path / "cut.jpg"
    cut.write_bytes(whole[: len(whole) * 6 // 10])
    opens(person, cut)
    person.wait(lambda: person.window.canvas.has_picture)
    assert "“cut.jpg” is damaged or cut short" in band(person)
    shown = person.window.canvas.grab().toImage()
    colours = {
        shown.pixelColor(x, y).name()
        for x in range(shown.width() // 3, shown.width() * 2 // 3, 9)
        for y in range(shown.height() // 4, shown.height() // 2, 9)
    }
    assert len(colours) > 50, "the upper half of the shell is on the canvas"


# -- pictures that are not there any more --------------------------------------------------


@pytest.fixture
def next_morning(person, open_window, monkeypatch):
    """Close the window, and open it again without waiting for a picture to be shown."""

    def come_back():
        person.wait_until_saved()
        person.close()
        with monkeypatch.context() as patient:
            patient.setattr(Person, "wait_until_readable", until_assessed)
            return open_window()

    def until_assessed(one):
        one.wait(lambda: one.session.assessment is not None and not one.session.desk.busy)

    return come_back


def test_a_picture_moved_away_is_missed_and_found_again_by_taking_it_in(
    person, next_morning, shell, tmp_path
):
    specimen, picture = person.session.specimen, person.session.picture
    moved = shell.rename(tmp_path / "elsewhere.jpg")
    person = next_morning()
    person.wait(lambda: "is not in" in band(person))
    assert "shell 1.jpg" in band(person)
    assert person.session.specimen == specimen
    opens(person, moved)
    person.wait(lambda: person.window.canvas.has_picture)
    assert person.session.store.documents("picture") == (Document("picture", picture.id),)
    assert person.session.places.file_of(person.session.picture) == moved
    person.session.choose(specimen.id)
    person.wait(lambda: person.window.canvas.has_picture)
    assert person.session.picture.id == picture.id


def test_another_picture_in_its_place_is_noticed_and_not_shown(person, next_morning, shell):
    before = stored(person)
    shutil.copy(DEMO / "elongate-valve-outside.jpg", shell)
    person = next_morning()
    person.wait(lambda: "is not the picture it was" in band(person))
    assert "“shell 1.jpg”" in band(person)
    assert not person.window.canvas.has_picture
    assert stored(person) == before


def test_a_picture_taken_in_again_is_not_a_second_picture(person, next_morning, shell):
    """Also where the first one is not on the bench: it is known by its content."""
    opens(person, shutil.copy(DEMO / "living-from-above.jpg", shell.with_name("clam.jpg")))
    person.wait(lambda: person.session.store.count() == 2)
    person = next_morning()
    person.wait(lambda: person.window.canvas.has_picture)
    copies = [shutil.copy(one, one.with_name(f"copy of {one.name}"))
              for one in sorted(shell.parent.glob("*.jpg"))]  # fmt: skip
    opens(person, *copies)
    table = person.window.sorting.table
    assert not table.sorting.groups, "both are there already"
    person.wait(lambda: len(table.sorting.apart) == 2)
    table.sheet.select(table.sorting.apart, table.sorting.apart[0])
    person.press(table.deeds["take_along"])
    person.press(table.take_in)
    person.wait(lambda: person.window.sorting.table is None)
    person.wait_until_saved()
    assert person.session.store.count() == 2 + len(table.sorting.groups)
    assert len(person.session.store.documents("picture")) == 2


# -- files that are no collections ---------------------------------------------------------


def bad_collections(folder):
    """Make every kind of bad collection; return them with a word that must be said."""
    folder.mkdir()
    text_file = folder / "words.hingeline"
    text_file.write_text("Dear diary, today I dived. " * 50)
    empty = folder / "empty.hingeline"
    empty.touch()
    inside = folder / "folder.hingeline"
    inside.mkdir()
    newer = folder / "newer.hingeline"
    open_sqlite(newer, create=True).close()
    _make_newer(newer)
    return {
        text_file: "is not a collection of this program",
        empty: "is empty (0 bytes)",
        inside: "is a folder",
        newer: "written by a newer version",
        folder / "gone.hingeline": "There is no collection gone.hingeline",
    }


def _make_newer(path):
    import sqlite3
    from contextlib import closing

    with closing(sqlite3.connect(path)) as file:
        version = file.execute("PRAGMA user_version").fetchone()[0]
        assert version == FORMAT
        file.execute("PRAGMA user_version = 9")
        file.commit()


def test_a_bad_collection_is_one_sentence_and_the_one_that_is_open_stays(person, tmp_path):
    session = person.session
    before, path, specimen = stored(person), session.path, session.specimen
    for file, said in bad_collections(tmp_path / "bad").items():
        content = file.read_bytes() if file.is_file() else None
        opens(person, file)
        assert said in band(person), file.name
        assert session.path == path
        assert session.specimen == specimen
        assert content is None or file.read_bytes() == content, "it is left as it was"
    deeds.set_label(session, Label(catalogue_number="PMM 7"))
    person.wait_until_saved()
    assert stored(person) != before
    assert session.store.check() == ()


def test_a_bad_collection_at_the_start_shows_the_example_and_says_why(
    open_window, tmp_path
):
    bad = bad_collections(tmp_path / "bad")
    file = next(one for one in bad if one.stem == "newer")
    person = open_window(file)
    assert person.session.example
    assert bad[file] in band(person)


def test_the_last_collection_that_is_gone_is_said_and_the_example_shown(
    person, open_window
):
    person.wait_until_saved()
    path = person.session.path
    person.close()
    path.rename(path.with_name("renamed.hingeline"))
    person = open_window()
    assert person.session.example
    assert f"There is no collection {path.name}" in band(person)


@pytest.fixture
def locked(person, monkeypatch):
    """Make the collection that is open one that may only be read, from its next opening."""
    import landmarks.storage

    really = landmarks.storage.open_sqlite
    locked_path = person.session.path

    def only_read(path, **how):
        if Path(path) == locked_path and not how.get("read_only"):
            values = {"file": path.name, "folder": str(path.parent)}
            raise StoreError("store.cannot_write", **values)
        return really(path, **how)

    monkeypatch.setattr(landmarks.storage, "open_sqlite", only_read)
    return locked_path


def test_a_collection_that_may_only_be_read_is_shown_and_work_goes_on_in_a_copy(
    person, next_morning, locked, tmp_path, monkeypatch
):
    person = next_morning()
    person.wait(lambda: person.window.canvas.has_picture)
    session = person.session
    assert session.path == locked
    assert "opened for reading only" in band(person)
    content = locked.read_bytes()
    deeds.set_label(session, Label(catalogue_number="PMM 7"))
    person.wait(lambda: session.saving.state == "failed")
    assert "Not saved yet: your work is kept here" in band(person)
    assert "Save a copy to work on it" in band(person)
    copy = tmp_path / "copy.hingeline"
    monkeypatch.setattr(
        QFileDialog, "getSaveFileName", lambda *_: (str(copy), "collections")
    )
    (way,) = person.window.band.band.buttons()
    person.press(way)
    person.wait(lambda: session.path == copy and session.specimen is not None)
    assert session.specimen.label.catalogue_number == "PMM 7"
    assert "You work in the copy now" in band(person)
    person.wait_until_saved()
    assert locked.read_bytes() == content
    deeds.set_label(session, Label(catalogue_number="PMM 8"))
    person.wait_until_saved()


def test_a_copy_holds_what_could_not_be_saved_here(person, monkeypatch, tmp_path):
    session = person.session
    really, full = session.store.commit, [True]

    def commit(*deed):
        if full[0]:
            raise StoreError("store.disk_full", file=session.path.name)
        return really(*deed)

    monkeypatch.setattr(session.store, "commit", commit)
    deeds.set_label(session, Label(catalogue_number="PMM 7"))
    deeds.set_part(session, "left_valve")
    person.wait(lambda: session.saving.state == "failed")
    assert "disk" in band(person)
    words = [one.text() for one in person.window.band.band.buttons()]
    assert words == ["Try again", "Save a copy"]
    specimen = session.specimen.id
    copy = tmp_path / "copy.hingeline"
    person.window.files.save_copy(copy)
    person.wait(lambda: session.path == copy and session.specimen is not None)
    person.wait_until_saved()
    assert session.specimen.id == specimen
    assert session.specimen.label.catalogue_number == "PMM 7"
    assert session.frame.part == "left_valve"
    assert session.store.check() == ()


# -- scales and points ---------------------------------------------------------------------


def scale_strip(person):
    return person.window.strips._made["scale"]


def draw_scale(person, start, end):
    person.look_at_picture()
    person.key(Qt.Key.Key_S)
    person.drag(start, end)


def test_a_scale_that_cannot_be_is_refused_with_a_sentence(person):
    session = person.session
    for typed, said in (
        ("-20", "−20 is not a length"),
        ("0", "0 is not a length"),
        ("twelve", "“twelve” is not a number"),
        ("", "is not a number"),
        ("nan", "is not"),
        ("1e400", "is not"),
    ):
        draw_scale(person, (300, 300), (900, 300))
        strip = scale_strip(person)
        strip.form.length.setText(typed)
        strip.form.length.setFocus()
        person.key(Qt.Key.Key_Return)
        assert said in strip.form.trouble.text(), typed
        assert strip.form.trouble.isVisible()
        assert session.picture.scale is None
        person.key(Qt.Key.Key_Escape)
    assert session.store.load(Document("picture", session.picture.id))


def test_both_ends_of_a_scale_on_one_place_are_refused(person):
    session = person.session
    deeds.set_scale(session, Point(300, 300), Point(320, 300), 150.0)
    old = session.picture.scale
    canvas = person.window.canvas
    canvas.dropped.emit(session.picture.id, 1, Point(300, 300), 1.0)
    assert "Both ends of the scale are the same pixel (x 300, y 300)" in band(person)
    assert session.picture.scale == old


def test_a_point_beside_the_picture_is_refused(person):
    session, canvas = person.session, person.window.canvas
    before = parts_of(session.specimen)
    person.look_at_picture()
    person.key(Qt.Key.Key_N)
    armed = session.tool
    width, height = session.picture.size
    # A hundred picture pixels to the right of the picture, with a real click.
    canvas.zoom_out()
    canvas.zoom_out()
    person.place((width + 100, height / 2))
    assert "lies outside the picture" in band(person)
    assert parts_of(session.specimen) == before
    assert session.tool == armed


def test_a_mark_stays_on_the_picture_however_it_is_moved(person):
    session, canvas = person.session, person.window.canvas
    person.look_at_picture()
    person.key(Qt.Key.Key_N)
    person.place((2, 600))
    person.key(Qt.Key.Key_Escape)
    canvas.zoom_out()
    canvas.zoom_out()
    person.drag((2, 600), (-150, 600))
    placing = session.specimen.placings[0]
    assert placing.points[0].x == 0
    person.key(Qt.Key.Key_Left)
    assert "lies outside the picture" in band(person)
    assert session.specimen.placings == (placing,)


# -- drops and arguments -------------------------------------------------------------------


PLACES = {
    "canvas": lambda window: window.canvas.viewport(),
    "specimens": lambda window: window.specimens.list.viewport(),
    "rail": lambda window: window.rail,
    "side": lambda window: window.side,
    "steps": lambda window: window.steps,
    "header": lambda window: window.header,
}


def test_files_and_folders_can_be_dropped_anywhere(person, tmp_path):
    folder = tmp_path / "dive"
    folder.mkdir()
    shutil.copy(DEMO / "living-from-above.jpg", folder / "a.jpg")
    shutil.copy(DEMO / "elongate-valve-outside.jpg", folder / "b.jpg")
    single = shutil.copy(DEMO / "paired-valves-hinge-edge.jpg", tmp_path / "hinge.jpg")
    n = 1
    for name, place in PLACES.items():
        assert drop(place(person.window), folder, single), name
        person.wait(lambda: person.window.sorting.table is not None)
        table = person.window.sorting.table
        person.wait(lambda table=table: not table.sorting.reading)
        person.wait(lambda: not person.session.desk.busy)
        if n == 1:
            table.sorting.propose("none")
        else:
            person.wait(lambda table=table: len(table.sorting.apart) == 3)
            table.sheet.select(table.sorting.apart, table.sorting.apart[0])
            person.press(table.deeds["take_along"])
        found = len(table.sorting.groups)
        n += found
        person.press(table.take_in)
        person.wait(lambda n=n: person.session.n_rows == n)
        three = 3 if n == 1 + found else 0
        assert person.session.undo_name.values == {"n": three, "specimens": found}
    assert len(person.session.store.documents("picture")) == 4


def test_a_collection_dropped_on_the_window_is_opened(person, tmp_path):
    other = tmp_path / "other.hingeline"
    open_sqlite(other, create=True).close()
    assert drop(person.window.specimens, other)
    person.wait(lambda: person.session.path == other)


def test_words_and_addresses_that_are_dropped_are_not_taken(person):
    mime = QMimeData()
    mime.setUrls([QUrl("https://reef.example/clam.jpg")])
    none = Qt.KeyboardModifier.NoModifier
    event = QDragEnterEvent(
        QPoint(9, 9), Qt.DropAction.CopyAction, mime, Qt.MouseButton.LeftButton, none
    )
    event.ignore()
    QApplication.sendEvent(person.window, event)
    assert not event.isAccepted()


def test_a_collection_and_a_picture_named_together_go_together(
    person, open_window, tmp_path, own_folder
):
    person.wait_until_saved()
    last = person.session.path
    person.close()
    other = tmp_path / "other.hingeline"
    open_sqlite(other, create=True).close()
    clam = Path(shutil.copy(DEMO / "living-from-above.jpg", tmp_path / "clam.jpg"))
    person = open_window(other, clam)
    person.wait(lambda: person.session.n_rows == 1)
    assert person.session.path == other
    person.wait_until_saved()
    person.close()
    person = open_window(last)
    assert person.session.path == last
    assert person.session.n_rows == 1
    person.close()

    # A picture by itself goes to the collection that was open last.
    person = open_window(clam)
    person.wait(lambda: person.session.n_rows == 2)
    assert person.session.path == last
    assert [one.name for one in own_folder.iterdir() if one.suffix == ".hingeline"] == [
        last.name
    ]


def test_a_picture_named_at_the_very_first_start_begins_a_collection(
    open_window, shell, own_folder
):
    person = open_window(shell)
    person.wait(lambda: person.session.n_rows == 1)
    assert person.session.path == own_folder / "collection.hingeline"
    assert str(person.session.path) in band(person)


# -- coming back ---------------------------------------------------------------------------


def test_everything_is_found_as_it_was_sizes_of_the_window_included(
    person, open_window, monkeypatch
):
    window, session = person.window, person.session
    deeds.set_label(session, Label(catalogue_number="PMM 7", locality="Halverson Reef"))
    deeds.arm(session, "umbo")
    deeds.place(session, Point(400, 300), 1.0)
    window.shell.resize(1333, 877)
    window.use_colours("dark")
    window.text_size(2)
    sizes = window.splitter.sizes()
    window.splitter.setSizes([sizes[0] + 20, sizes[1] - 60, sizes[2] + 40])
    window.splitter.splitterMoved.emit(0, 1)
    sizes = window.splitter.sizes()
    person.wait_until_saved()
    kept, path = stored(person), session.path
    geometry = bytes(window.shell.saveGeometry().data())
    person.close()

    # The screen of a test is smaller than the window: what is given back is looked at.
    given_back = []
    monkeypatch.setattr(
        Shell, "restoreGeometry", lambda _, words: given_back.append(bytes(words.data()))
    )
    again = open_window()
    try:
        assert again.session.path == path
        assert stored(again) == kept
        assert given_back == [geometry]
        assert again.window.splitter.sizes()[::2] == sizes[::2], "both sides"
        assert again.window.settings["colours"] == "dark"
        assert again.window.settings["text_size"] == 16
    finally:
        again.window.use_colours("light")
        again.window.text_size(-2)


def test_a_broken_preference_file_is_said_once_the_window_is_there(open_window, tmp_path):
    (tmp_path / "settings.json").write_text("{broken")
    person = open_window()
    assert "The preferences could not be read" in band(person)
    assert (tmp_path / "settings.broken").exists()


# -- disks, permissions and clocks while somebody works ------------------------------------


def lose(person):
    """Do a deed that cannot be saved now, and wait until that was said."""
    deeds.set_label(person.session, Label(catalogue_number="PMM 7"))
    person.wait(lambda: person.session.saving.state == "failed")
    return band(person)


@pytest.mark.parametrize(
    "key",
    ["disk_full", "disk_fault", "cannot_write", "no_permission", "locked", "gone"],
)
def test_whatever_hinders_saving_is_said_and_saved_once_it_is_over(
    person, monkeypatch, key
):
    session = person.session
    really, trouble = session.store.commit, [True]

    def commit(*deed):
        if trouble[0]:
            values = {"file": session.path.name, "folder": str(session.path.parent)}
            raise StoreError(f"store.{key}", **values)
        return really(*deed)

    monkeypatch.setattr(session.store, "commit", commit)
    words = lose(person)
    assert "Not saved yet" in words
    assert session.path.name in words
    deeds.set_part(session, "left_valve")
    person.press(person.window.hints.retry)
    person.wait(lambda: session.saving.state == "failed")
    assert session.saving.n_waiting == 2
    assert session.specimen.label.catalogue_number == "PMM 7", "the bench keeps all of it"
    trouble[0] = False
    person.press(person.window.hints.retry)
    person.wait_until_saved()
    (found,) = (one for kind, one in stored(person).items() if kind.kind == "specimen")
    assert found["label"] == {"catalogue_number": "PMM 7"}
    assert session.store.check() == ()


def test_a_collection_deleted_while_it_is_open_is_said_and_rescued_by_a_copy(
    person, tmp_path
):
    session = person.session
    lost = session.path
    lost.unlink()
    words = lose(person)
    assert "Not saved yet" in words
    assert lost.name in words
    copy = tmp_path / "rescued.hingeline"
    person.window.files.save_copy(copy)
    person.wait(lambda: session.path == copy and session.specimen is not None)
    person.wait_until_saved()
    assert session.specimen.label.catalogue_number == "PMM 7"
    assert session.store.check() == ()


def test_a_collection_that_another_program_writes_is_saved_once_it_lets_go(person):
    import sqlite3
    from contextlib import closing

    session = person.session
    with closing(sqlite3.connect(session.path, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        deeds.set_label(session, Label(catalogue_number="PMM 7"))
        person.wait(lambda: session.saving.state == "failed", timeout=20_000)
        assert "Another program is writing" in band(person)
        other.execute("ROLLBACK")
    person.press(person.window.hints.retry)
    person.wait_until_saved()
    assert session.store.check() == ()


def test_a_clock_set_back_changes_no_order_and_loses_nothing(
    person, open_window, monkeypatch
):
    session = person.session
    deeds.determine(session, "free_text", [], name="the first name")
    person.wait_until_saved()
    for module in ("values", "session", "deeds.seen", "deeds.scale", "deeds.landmarks"):
        monkeypatch.setattr(f"app.session.{module}.now", lambda: "2001-01-01T00:00:00Z")
    deeds.determine(session, "free_text", [], name="the second name")
    assert "The clock of this computer is behind" in band(person)
    deeds.set_label(session, Label(catalogue_number="PMM 7"))
    person.wait_until_saved()
    assert session.specimen.determination.name == "the second name"
    past = session.store.history()
    assert [one.sequence for one in past] == sorted(
        (one.sequence for one in past), reverse=True
    )
    person.wait(lambda: session.rows[0].name == "the second name")
    person.close()
    again = open_window()
    assert again.session.specimen.determination.name == "the second name"
    again.session.undo()
    assert again.session.store.check() == ()
