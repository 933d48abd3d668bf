"""Export, restore, check and backups through the window, with what goes wrong with them."""

import csv
import shutil
from contextlib import closing
from pathlib import Path

import pytest
from PySide6.QtCore import Qt

from app.panels.export_strip import CHOSEN, FOUND, JSON, Wish
from app.session import deeds
from app.session.finding import find
from landmarks.changes import Document
from landmarks.demo import example_store
from landmarks.sentences import Sentence, text
from landmarks.storage import open_sqlite
from landmarks.storage.backups import BackedUp, backups_of
from landmarks.storage.whole import whole_of
from tests.journeys.conftest import DEMO
from tests.journeys.test_sorting import open_empty

pytestmark = pytest.mark.journey


@pytest.fixture
def museum(tmp_path):
    """A collection in a file of its own, its pictures beside it."""
    folder = tmp_path / "museum"
    folder.mkdir()
    example_store().copy_to(folder / "drawers.hingeline")
    for picture in DEMO.glob("*.jpg"):
        shutil.copy(picture, folder)
    return folder


@pytest.fixture
def person(open_window, museum):
    return open_window(museum / "drawers.hingeline")


def opened(person, name):
    person.window.open_strip(name)
    return person.window.strips.made(name)


def idle(person):
    person.wait(lambda: not person.window.keeping.at_work, timeout=60_000)
    person.wait(lambda: not person.session.desk.busy)


def rows(folder, table):
    with (folder / f"{table}.csv").open(encoding="utf-8-sig", newline="") as file:
        return list(csv.DictReader(file))


# -- export --------------------------------------------------------------------------------


def test_the_whole_collection_goes_out_as_tables_with_coarse_places(person, tmp_path):
    strip, out = opened(person, "export"), tmp_path / "out"
    assert "coarsened" in strip.places.text()
    person.window.keeping.export_to(out, strip.wish(), strip)
    idle(person)
    found = rows(out, "specimens")
    assert len(found) == person.session.n_rows
    assert "coarsened" in {row["place"] for row in found}
    assert str(out) in strip.done.text()
    assert "--" not in strip.done.text(), "there are no switches in a window"


def test_exact_places_are_written_only_where_somebody_says_so(person, tmp_path):
    strip, out = opened(person, "export"), tmp_path / "out"
    strip.exact.click()
    assert "with care" in strip.places.text()
    person.window.keeping.export_to(out, strip.wish(), strip)
    idle(person)
    assert "coarsened" not in {row["place"] for row in rows(out, "specimens")}


def test_what_is_found_and_what_is_chosen_go_out_alone(person, tmp_path):
    strip = opened(person, "export")
    find(person.session, text="HR-")
    person.wait(lambda: 0 < person.session.n_rows < 20)
    numbers = [row.catalogue_number for row in person.session.rows]
    person.session.chosen.stretch(0, 1)
    assert [strip.what.itemData(i) for i in range(3)] == ["all", FOUND, CHOSEN]
    for what, wanted in ((FOUND, numbers), (CHOSEN, numbers[:2])):
        person.window.keeping.export_to(tmp_path / what, Wish(what), strip)
        idle(person)
        found = [row["catalogue_number"] for row in rows(tmp_path / what, "specimens")]
        assert found == wanted


def test_json_goes_out_and_becomes_the_same_collection_again(person, tmp_path):
    strip, out = opened(person, "export"), tmp_path / "out"
    before, told = whole_of(person.session.store), []
    person.session.noticed.connect(lambda sentence, _kind: told.append(text(sentence)))
    person.window.keeping.export_to(out, Wish(form=JSON), strip)
    idle(person)
    assert (out / "history.jsonl").exists()
    person.window.keeping.restore_to(out, tmp_path / "again", strip)
    idle(person)
    again = tmp_path / "again.hingeline"
    person.wait(lambda: person.session.path == again)
    assert whole_of(person.session.store) == before
    assert any("was restored" in one or "were restored" in one for one in told)


def test_a_folder_that_stands_already_is_not_written_over(person, tmp_path):
    strip, out = opened(person, "export"), tmp_path / "out"
    out.mkdir()
    (out / "mine.txt").write_text("mine")
    person.window.keeping.export_to(out, strip.wish(), strip)
    idle(person)
    assert [one.name for one in out.iterdir()] == ["mine.txt"]
    assert "out" in person.said()
    assert strip.write.isEnabled()


def test_an_export_that_is_given_up_leaves_nothing_behind(person, tmp_path, monkeypatch):
    strip, keeping = opened(person, "export"), person.window.keeping
    real = keeping._progress

    def given_up_at_once(key):
        keeping.give_up()
        return real(key)

    # What begins sets the flag back, so that it is set again by the first specimen.
    monkeypatch.setattr(
        keeping, "_progress", lambda key: lambda *_: given_up_at_once(key)(1, 2)
    )
    keeping.export_to(tmp_path / "out", strip.wish(), strip)
    idle(person)
    assert [one.name for one in tmp_path.iterdir() if "out" in one.name] == []
    assert strip.done.text() == ""


# -- check ---------------------------------------------------------------------------------


def checked(person, strip):
    person.press(strip.start)
    idle(person)


def test_a_sound_collection_is_found_sound(person):
    strip = opened(person, "check")
    assert "nothing is changed" in strip.said.text()
    person.wait(lambda: strip.start.height() >= strip.start.sizeHint().height())
    checked(person, strip)
    person.wait(lambda: "Nothing is wrong" in strip.said.text())
    assert not strip.accept.isVisible()


def test_moved_pictures_are_found_and_noted_in_one_step(person, museum, tmp_path):
    session = person.session
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    gone = sorted(museum.glob("*.jpg"))[:3]
    for one in gone:
        shutil.move(one, elsewhere / f"renamed {one.name}")
    strip, sequence = opened(person, "check"), session.store.latest()
    checked(person, strip)
    lines = [strip.list.item(i).text() for i in range(strip.list.count())]
    assert sum("is not where it was" in one for one in lines) == 3
    assert not any("--" in one for one in lines)
    person.window.keeping.check([tmp_path], strip)
    idle(person)
    assert strip.accept.text() == "Note where 3 pictures are now"
    person.press(strip.accept)
    person.wait_until_saved()
    idle(person)
    assert session.store.latest() == sequence + 1
    person.wait(lambda: "Nothing is wrong" in strip.said.text())
    session.undo()
    person.wait_until_saved()
    documents = session.store.documents("picture")
    paths = {doc.parts["path"] for doc in session.store.load(*documents).values()}
    assert {one.name for one in gone} <= paths


def test_a_picture_whose_new_place_is_noted_is_seen_at_once(open_window, museum, tmp_path):
    (tmp_path / "elsewhere").mkdir()
    for one in museum.glob("*.jpg"):
        shutil.move(one, tmp_path / "elsewhere")
    person = open_empty(open_window, museum / "drawers.hingeline")
    window, session = person.window, person.session
    person.wait(lambda: "look for it by its content" in person.said())
    picture = session.frame.picture
    window.thumbnails(picture)
    person.wait(lambda: any(key[0] == picture for key in window.thumbnails._missing))
    assert not window.canvas.has_picture
    strip = opened(person, "check")
    window.keeping.check([tmp_path], strip)
    idle(person)
    person.press(strip.accept)
    person.wait(lambda: window.canvas.has_picture)
    person.wait(lambda: window.thumbnails(picture) is not None)
    idle(person)


def test_what_is_stale_is_worked_out_anew(person):
    session = person.session
    person.wait(lambda: not session.listing.deriving)
    row = session.rows[5]
    session.store.keep_cache()
    document = Document("specimen", row.specimen)
    label = session.store.load(document)[document].parts["label"]
    session.choose(row.specimen)
    person.wait(lambda: session.specimen.id == row.specimen)
    from app.session.many import change_many
    from landmarks.many import Edits

    change_many(session, [session.rows[7].specimen], Edits({"habitat": "x"}), _no, _no)
    person.wait_until_saved()
    strip = opened(person, "check")
    checked(person, strip)
    if strip.renew.isVisible():
        person.press(strip.renew)
        idle(person)
    person.wait(lambda: "Nothing is wrong" in strip.said.text())
    assert not strip.renew.isVisible()
    assert label


def _no(*_):
    """Nobody listens."""


# -- backups -------------------------------------------------------------------------------


def test_a_copy_is_made_after_work_and_opens_as_a_copy(person, museum):
    backing = person.window.keeping.backups
    path = museum / "drawers.hingeline"
    backing.look()
    assert backups_of(path) == (), "nothing was done yet"
    deeds.score(person.session, "scutes", "absent")
    person.wait_until_saved()
    latest = person.session.store.latest()
    backing.look()
    person.wait(lambda: len(backups_of(path)) == 1)
    strip = opened(person, "backups")
    person.wait(lambda: strip.list.count() == 1)
    assert strip.open.isEnabled()
    copy = museum / "drawers as they were.hingeline"
    person.window.keeping.open_backup_at(backups_of(path)[0], copy)
    person.wait(lambda: person.session.path == copy)
    assert person.session.store.latest() == latest
    assert "unharmed" in person.said()
    with closing(open_sqlite(path, read_only=True)) as store:
        assert store.latest() == latest


def test_a_copy_can_be_made_at_once(person, museum):
    strip = opened(person, "backups")
    person.wait(lambda: "no copy yet" in strip.nothing.text())
    strip.now.setFocus()
    person.press(strip.now)
    person.wait(lambda: strip.list.count() == 1)
    assert strip.now.isEnabled()
    held = person.window.shell.focusWidget()
    assert held is strip.now, "not the button that opens one, nor the one that closes"


def test_a_fault_of_a_copy_is_said_once(person, monkeypatch):
    import landmarks.storage.backups as module

    fault = Sentence(
        "backup.disk_full", {"file": "drawers", "fault": Sentence("told.there")}
    )
    asked = []

    def fails(store, now, **_):
        asked.append(now)
        return BackedUp(fault=fault)

    monkeypatch.setattr(module, "back_up", fails)
    noticed = []
    person.session.noticed.connect(lambda one, _: noticed.append(one))
    backing = person.window.keeping.backups
    for n in (1, 2):
        deeds.score(person.session, "scutes", ("absent", "all_over")[n - 1])
        person.wait_until_saved()
        backing.look()
        person.wait(lambda n=n: len(asked) == n and not backing._at_work)
    assert noticed.count(fault) == 1
    # Whoever asked for it is told each time, and may ask again.
    strip = opened(person, "backups")
    person.wait(strip.now.isEnabled)
    person.press(strip.now)
    person.wait(lambda: noticed.count(fault) == 2)
    person.wait(strip.now.isEnabled)
    monkeypatch.setattr(module, "back_up", lambda *_, **__: BackedUp())
    person.press(strip.now)
    person.wait(lambda: "may only be read" in str(noticed[-1]))
    person.wait(strip.now.isEnabled)


def test_the_example_has_no_copies(open_window):
    person = open_window()
    strip = opened(person, "backups")
    person.wait(lambda: "no file" in strip.nothing.text())
    assert not strip.now.isEnabled()


def test_menus_open_each_of_them(person):
    person.look_at_picture()
    keys = Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier
    person.key(Qt.Key.Key_E, keys)
    assert person.window.strips.current == "export"
    assert isinstance(person.window.strips.made("export").wish(), Wish)
    assert Path(person.session.path).exists()
