"""The window as a whole: hidden names, sizes of type, colours, and the way between steps."""

from dataclasses import replace

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor
from PySide6.QtWidgets import QApplication, QLabel, QWidget

from app.session import Tool, deeds
from app.shell import LEAST
from app.style import palette
from landmarks.geometry import Box, Point
from landmarks.sentences import say
from tests.app.helpers_strips import open_strip
from tests.journeys.conftest import open_window, own_folder  # noqa: F401 - fixtures

STRIPS = ("start", "picture", "scale", "landmarks", "score", "label", "keys", "gather",
          "rights", "clock")  # fmt: skip


@pytest.fixture
def person(open_window):  # noqa: F811
    person = open_window()
    yield person
    if not person.gone:
        person.window.use_colours("light")
        person.window.text_size(14 - int(person.window.settings["text_size"]))


def picture_of(window):
    QApplication.processEvents()
    return window.shell.grab().toImage()


# -- names hidden --------------------------------------------------------------------------


def renamed(guide):
    """Return the same guide with other names, so that a name on screen makes a difference."""
    taxa = tuple(
        replace(one, name=f"Xenia ignota {n}", genus="Xenia", english=(), synonyms=())
        for n, one in enumerate(guide.tables.taxa)
    )
    return replace(guide, tables=replace(guide.tables, taxa=taxa))


def all_words(window):
    """Return everything that is said on screen or by a screen reader."""
    words = [window.shell.windowTitle()]
    for one in window.shell.findChildren(QWidget):
        if one.isVisible():
            words += [one.accessibleName(), one.accessibleDescription(), one.toolTip()]
            words += [one.text()] if isinstance(one, QLabel) else []
    for menu in window.shell.menuBar().actions():
        words += [one.text() for one in menu.menu().actions()]
    return words


def names_in(window, guide):
    found = " | ".join(all_words(window))
    epithets = [one.name.split()[-1] for one in guide.tables.taxa]
    return [one for one in epithets if one in found]


def settle(person):
    person.wait(lambda: not person.session.desk.busy)
    QApplication.processEvents()


def test_hidden_names_are_nowhere_said(person):
    window, session = person.window, person.session
    guide = session.guide
    deeds.determine(session, "species", ["tridacna_squamosa"])
    settle(person)
    assert names_in(window, guide), "shown, they are there"
    session.hide_names(True)
    settle(person)
    assert names_in(window, guide) == []
    for row in session.rows:
        session.choose(row.specimen)
        settle(person)
        assert names_in(window, guide) == [], row.catalogue_number
        for strip in STRIPS:
            open_strip(window, strip)
            assert names_in(window, guide) == [], strip
        window.strips.close_strip()


def test_hidden_names_are_nowhere_drawn(person):
    """With names hidden the same window is drawn, whatever the species are called."""
    window, session = person.window, person.session
    known, other = session.guide, renamed(session.guide)
    settle(person)

    def drawn(guide):
        session.use_guide(guide)
        person.wait(lambda: window.canvas.has_picture)
        last = None
        while (now := picture_of(window)) != last:
            # Small copies of pictures come a moment later.
            last = now
            person._qtbot.wait(300)
            settle(person)
        return now

    assert drawn(known) != drawn(other), "shown, names make a difference"
    session.hide_names(True)
    named = [row for row in session.rows if row.taxa]
    not_named = [row for row in session.rows if not row.taxa]
    assert named
    for row in (named[0], *not_named[:1]):
        session.choose(row.specimen)
        assert drawn(known) == drawn(other), row.catalogue_number


def test_dragging_with_names_hidden_tells_nothing(person):
    session = person.session
    session.hide_names(True)
    settle(person)
    placing = next(one for one in session.specimen.placings if one.points)
    point = placing.points[0]
    session.preview(
        deeds.moved(session.specimen, placing.id, 0, Point(point.x + 30, point.y))
    )
    assert names_in(person.window, session.guide) == []
    session.preview(None)


# -- type and colours ----------------------------------------------------------------------


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_largest_type_leaves_the_window_its_least_size(person, scheme):
    window = person.window
    window.use_colours(scheme)
    window.text_size(28 - int(window.settings["text_size"]))
    assert window.settings["text_size"] == 28
    window.text_size(1)
    assert window.settings["text_size"] == 28, "larger there is not"
    window.shell.resize(*LEAST)
    settle(person)
    assert (window.shell.width(), window.shell.height()) == LEAST
    assert window.shell.minimumSize().width() == LEAST[0]
    for strip in (*STRIPS, "name"):
        open_strip(window, strip)
        assert (window.shell.width(), window.shell.height()) == LEAST, strip
        assert window.canvas.isVisible(), strip
    window.strips.close_strip()
    settle(person)
    assert window.canvas.height() > 150
    assert window.canvas.width() > 200
    for button in (window.header.undo, window.header.names, window.header.keys):
        right = button.mapTo(window, button.rect().bottomRight())
        assert window.rect().contains(right), "no button lies outside the window"
    # A strip and the picture share the room of what can be spared, and nothing is cut.
    window.shell.resize(1280, 800)
    settle(person)
    for strip in (*STRIPS, "name", "find", "seeing", "export"):
        open_strip(window, strip)
        assert window.canvas.height() > 150 or strip == "keys", strip
        assert window.specimens.isVisible() is (strip == "find")
        area = getattr(window.strips.made(strip), "_area", None)
        assert area is None or area.horizontalScrollBar().maximum() == 0, strip
    window.strips.close_strip()
    assert window.specimens.isVisible()
    assert window.side.isVisible()
    page = QWidget()
    window.pages.open_page(page)
    assert not window.specimens.isVisible(), "nor is the list beside a page"
    window.pages.close_page(page)
    assert window.specimens.isVisible()


def test_dark_is_dark_everywhere_and_light_again(person):
    window = person.window
    window.use_colours("dark")
    assert palette.is_dark()
    shown = picture_of(window)
    for x, y in ((5, 60), (60, 400), (shown.width() - 8, 600), (400, 90)):
        assert QColor(shown.pixel(x, y)).lightness() < 110, (x, y)
    window.text_size(-99)
    assert window.settings["text_size"] == 10, "smaller there is not"
    window._other_colours()
    assert not palette.is_dark()
    assert QColor(picture_of(window).pixel(60, 400)).lightness() > 180


# -- the way between steps -----------------------------------------------------------------


def test_each_step_goes_to_what_it_is_about(person):
    window, session = person.window, person.session
    for step, strip in (("picture", "picture"), ("name", "name"), ("characters", "score")):
        window.stepping.step(step)
        assert window.strips.current == strip
    if session.picture.scale is None:
        deeds.set_scale(session, Point(0, 0), Point(1000, 0), 100.0)
    window.stepping.step("scale")
    assert window.strips.current == "scale"
    window.strips.close_strip()
    deeds.remove_scale(session)
    window.stepping.step("scale")
    assert session.tool == Tool("scale")
    placing = next(one for one in session.specimen.placings if one.points)
    deeds.clear_landmark(session, placing.landmark)
    window.stepping.step("landmarks")
    assert session.tool == Tool("landmark", placing.landmark)
    deeds.cannot_place(session, "worn", placing.landmark)
    session.hand.take_tool(Tool("landmark", "end_folds"))
    window.true_zero()
    assert session.specimen.placed(session.frame.id)["end_folds"].reason == "none"


def test_next_and_last_specimen_and_frame(person):
    window, session = person.window, person.session
    ids = [row.specimen for row in session.rows]
    session.choose(ids[0])
    settle(person)
    window.stepping.specimen(-1)
    settle(person)
    assert session.specimen.id == ids[0]
    window.stepping.specimen(1)
    settle(person)
    assert session.specimen.id == ids[1]
    deeds.add_specimen_on_picture(session, Box(10, 10, 300, 300))
    settle(person)
    window.stepping.frame(1)
    window.stepping.frame(-1)
    assert session.frame == session.specimen.frames[0]


def test_the_first_start_shows_the_cautions_and_the_second_does_not(open_window):  # noqa: F811
    first = open_window(started_before=False)
    assert first.window.strips.current == "start"
    first.close()
    second = open_window(started_before=False)
    assert second.window.strips.current == ""


def test_the_title_says_what_is_open(person, tmp_path):
    from landmarks.storage import open_sqlite

    assert person.window.shell.windowTitle() == say("window.title_example")
    other = tmp_path / "reef survey.hingeline"
    open_sqlite(other, create=True).close()
    person.window.files.open_anything([other])
    person.wait(lambda: person.session.path == other)
    assert person.window.shell.windowTitle() == "reef survey · Hingeline"


def test_esc_disarms_every_tool(person):
    person.look_at_picture()
    for key in (Qt.Key.Key_S, Qt.Key.Key_F, Qt.Key.Key_D, Qt.Key.Key_N):
        person.key(key)
        assert person.session.tool is not None
        person.key(Qt.Key.Key_Escape)
        assert person.session.tool is None
        assert person.window.canvas.arming is None


def test_species_tables_of_another_folder_reason_from_now_on(person, tmp_path):
    import shutil

    from landmarks.tables import SHIPPED

    session, files = person.session, person.window.files
    folder = tmp_path / "tables"
    shutil.copytree(SHIPPED, folder)
    cells = (folder / "cells.csv").read_text(encoding="utf-8")
    before = session.guide.tables.hash
    (folder / "cells.csv").write_text(cells.replace("always", "often"), encoding="utf-8")
    files.use_tables(folder)
    person.wait(lambda: session.guide.tables.hash != before)
    person.wait(lambda: person.window.settings["tables"] == str(folder))
    assert session.assessment.answer.tables_hash == session.guide.tables.hash

    changed = session.guide.tables.hash
    (folder / "cells.csv").write_text("nonsense", encoding="utf-8")
    told = []
    session.noticed.connect(lambda sentence, kind: told.append((str(sentence), kind)))
    files.use_tables(folder)
    person.wait(lambda: bool(told))
    assert told[0][1] == "error"
    assert "cells.csv" in told[0][0]
    assert session.guide.tables.hash == changed
