"""The table of what can be done: words, keys, menus, and that each row does something."""

from collections import Counter

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import QFileDialog, QLabel

from app.actions import ACTIONS, MENUS, PICTURE, WINDOW
from app.panels.hints import HINTS
from app.panels.key_sheet import PLACES
from app.style.icons import icon
from app.style.widgets.keycap import KeyCap
from landmarks.sentences import known, say
from tests.journeys.conftest import open_window, own_folder  # noqa: F401 - fixtures

ASKING = ("getOpenFileName", "getOpenFileNames", "getSaveFileName")


@pytest.fixture
def person(open_window, monkeypatch):  # noqa: F811
    """Somebody at the example who answers no question for files."""
    for name in ASKING:
        monkeypatch.setattr(QFileDialog, name, lambda *_: ("", ""))
    monkeypatch.setattr(QFileDialog, "getExistingDirectory", lambda *_: "")
    return open_window()


def menu_actions(window):
    return {
        action.objectName(): action
        for menu in window.shell.menuBar().actions()
        for action in menu.menu().actions()
        if not action.isSeparator()
    }


@pytest.mark.parametrize("row", ACTIONS, ids=lambda row: row.key)
def test_every_row_has_words_a_menu_and_an_icon_that_is_there(row, qapp):
    assert known(f"action.{row.key}")
    assert say(f"action.{row.key}").strip()
    assert row.menu in MENUS
    assert row.context in (WINDOW, PICTURE)
    if row.icon:
        assert not icon(row.icon).isNull()
    if row.keys:
        assert not QKeySequence(row.keys).isEmpty()
        written = QKeySequence(row.keys).toString(QKeySequence.SequenceFormat.PortableText)
        assert written == row.keys, "written as Qt writes it"


def test_keys_of_rows_are_their_own():
    """Window keys act on the picture too, so they may not stand there a second time."""
    assert [key for key, n in Counter(row.key for row in ACTIONS).items() if n > 1] == []
    keys = Counter(row.keys for row in ACTIONS if row.keys)
    assert [key for key, n in keys.items() if n > 1] == []


def test_every_menu_is_there_in_order_and_not_empty(person):
    bar = person.window.shell.menuBar()
    assert [one.text() for one in bar.actions()] == [say(f"menu.{name}") for name in MENUS]
    for one in bar.actions():
        assert not one.menu().isEmpty()
    letters = [one.text()[one.text().index("&") + 1].lower() for one in bar.actions()]
    assert len(set(letters)) == len(letters), "one letter opens one menu"
    assert set(menu_actions(person.window)) == {row.key for row in ACTIONS}


def test_each_row_runs_on_the_example(person, qtbot):
    window, session = person.window, person.session
    for row in ACTIONS:
        if row.key == "quit":
            continue
        person.wait(lambda: not session.desk.busy)
        if session.specimen is None or not session.example:
            session.choose(session.rows[0].specimen)
            person.wait(lambda: session.specimen is not None)
        placings = [one for one in session.specimen.placings if one.points]
        session.hand.choose_mark((placings[0].id, 0) if placings else None)
        row.run(window)
        qtbot.wait(1)
        if row.checked is not None:
            assert isinstance(row.checked(window), bool)
    window.use_colours("light")
    if session.names_hidden:
        session.hide_names(False)
    person.wait(lambda: not session.desk.busy)


def test_each_row_that_can_be_chosen_runs_with_nothing_open(
    qapp, qtbot, monkeypatch, tmp_path
):
    from app.application import fill, make_shell
    from app.settings import Settings

    for name in ASKING:
        monkeypatch.setattr(QFileDialog, name, lambda *_: ("", ""))
    monkeypatch.setattr(QFileDialog, "getExistingDirectory", lambda *_: "")
    shell = make_shell(Settings(tmp_path / "settings.json"))
    window = fill(shell, shell_settings := Settings(tmp_path / "settings.json"))
    assert shell_settings.fault is None
    for row in ACTIONS:
        if row.key not in ("quit", "worked_example") and row.enabled(window):
            row.run(window)
    able = {row.key for row in ACTIONS if row.enabled(window)}
    assert not able & {"undo", "scale", "next_landmark", "name", "save_copy", "delete_mark"}
    shell.close()
    shell.deleteLater()


def test_what_cannot_be_done_now_is_dimmed(person):
    actions = menu_actions(person.window)
    assert not actions["undo"].isEnabled()
    assert not actions["delete_mark"].isEnabled()
    assert actions["save_copy"].isEnabled()
    person.session.hand.choose_mark((person.session.specimen.placings[0].id, 0))
    assert actions["delete_mark"].isEnabled()


def test_undo_is_named_and_an_ampersand_stays_one(person):
    from app.session import deeds

    actions, session = menu_actions(person.window), person.session
    deeds.determine(session, "free_text", [], name="Reef & Rubble clam")
    assert actions["undo"].text() == "Undo name it Reef && Rubble clam"
    session.hide_names(True)
    assert "Reef" not in actions["undo"].text()
    session.hide_names(False)
    session.undo()
    assert actions["redo"].text() == "Redo name it Reef && Rubble clam"
    assert actions["undo"].text() == "Undo"


def test_the_key_sheet_lists_every_key(person):
    person.window.open_strip("keys")
    sheet = person.window.strips._made["keys"]
    caps = Counter(one.accessibleName() for one in sheet.findChildren(KeyCap))
    words = Counter(one.text() for one in sheet.findChildren(QLabel))
    for row in ACTIONS:
        if row.keys:
            native = QKeySequence(row.keys).toString(QKeySequence.SequenceFormat.NativeText)
            assert caps[native], row.key
            assert words[say(f"action.{row.key}")], row.key
    places = [hint for place in PLACES for hint in HINTS[place]]
    assert sum(caps.values()) == (
        sum(bool(row.keys) for row in ACTIONS) + sum(len(keys) for keys, _ in places)
    )
    assert all(words[say(does)] for _, does in places)


def test_the_key_sheet_is_as_wide_as_its_place(person, qtbot):
    person.window.shell.resize(1120, 760)
    person.window.open_strip("keys")
    sheet = person.window.strips._made["keys"]
    qtbot.waitUntil(lambda: sheet._area.verticalScrollBar().maximum() > 0)
    assert sheet._area.horizontalScrollBar().maximum() == 0
    assert sheet.height() <= 0.5 * person.window.shell.height()
    person.key(Qt.Key.Key_PageDown)
    assert sheet._area.verticalScrollBar().value() > 0
    person.key(Qt.Key.Key_Escape)
    assert not person.window.strips.current


def test_quitting_closes_the_window(person):
    closed = []
    person.window.shell.closing.connect(lambda: closed.append(1))
    next(row for row in ACTIONS if row.key == "quit").run(person.window)
    assert closed
    assert not person.window.shell.isVisible()
    person.gone = True
    person.window.shell.deleteLater()
