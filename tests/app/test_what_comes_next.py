"""The band above the picture: what it offers first, and what it says in passing."""

import shutil
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from landmarks.sentences import say
from tests.journeys.conftest import DEMO, open_window, own_folder  # noqa: F401 - fixtures


@pytest.fixture
def person(open_window):  # noqa: F811
    return open_window()


def open_picture(person, tmp_path, name, view):
    made = Path(shutil.copy(DEMO / f"{name}.jpg", tmp_path / f"{name}.jpg"))
    person.window.files.open_anything([made])
    session = person.session
    person.wait(lambda: not session.example and session.picture is not None)
    person.wait(lambda: session.picture.path.endswith(made.name))
    person.wait_until_readable()
    person.key(getattr(Qt.Key, f"Key_{view}"), text=view)
    person.wait_until_readable()


def said(person):
    return [one.text() for one in person.window.band.band.buttons()]


def test_a_living_picture_is_looked_at_before_it_is_measured(person, tmp_path):
    open_picture(person, tmp_path, "living-from-above", "7")
    assert person.session.frame.view == "living_from_above"
    assert said(person) == [say("band.score"), say("band.give_scale")]


def test_a_shell_is_given_its_scale_first(person, tmp_path):
    open_picture(person, tmp_path, "fluted-valve-outside", "1")
    assert said(person)[0] == say("band.give_scale")


def test_what_cannot_be_done_here_is_said_at_once_and_gives_way(person):
    window, band = person.window, person.window.band.band
    person.look_at_picture()
    window.taking_up.compare_margins()
    told = band.accessibleDescription()
    assert told == say("margins.not_here")
    window.taking_up.click_series()
    if person.session.instrument is None:
        assert band.accessibleDescription() == say("series.not_here")
    window.lay_plane()
    assert band.accessibleDescription() not in (told, say("series.not_here"))


def test_the_picture_stands_still_when_a_second_button_comes(person, tmp_path):
    window = person.window
    window.shell.resize(1120, 760)
    open_picture(person, tmp_path, "fluted-valve-outside", "1")
    person.look_at_picture()
    person.key(Qt.Key.Key_N)
    for x, y in ((900, 300), (300, 420), (600, 800), (600, 80), (700, 700), (400, 700)):
        person.place((x, y))
    assert person.session.tool.landmark == "main_folds"
    before = window.canvas.height()
    person.place((500, 300))
    assert len(said(person)) == 2
    assert window.canvas.height() == before


def test_a_view_said_by_key_leaves_the_keyboard_with_the_picture(person, tmp_path):
    for name in ("fluted-valve-outside", "deep-folded-valve-outside"):
        open_picture(person, tmp_path, name, "1")
        assert person.session.frame.view == "outside_of_valve"
        assert QApplication.focusWidget() is person.window.canvas, name


def test_what_is_drawn_on_the_picture_has_the_room_of_the_first_question(person, tmp_path):
    window, views = person.window, person.window.band.views
    window.shell.resize(1120, 760)
    made = Path(shutil.copy(DEMO / "fluted-valve-outside.jpg", tmp_path / "new.jpg"))
    window.files.open_anything([made])
    person.wait(lambda: not person.session.example and views.isVisible())
    person.wait_for_picture()
    assert window.hints.context() == "picture", "1 is the actual size while it has the keys"
    asked = window.canvas.height()
    person.key(Qt.Key.Key_S)
    person.wait(lambda: window.canvas.height() > 1.5 * asked)
    person.drag((308, 956), (1491, 925))
    assert not views.isVisible()
    person.type("150")
    person.key(Qt.Key.Key_Return)
    person.wait(lambda: person.session.picture.scale is not None)
    person.wait(lambda: window.hints.context() == "views")
    person.key(Qt.Key.Key_1, text="1")
    assert person.session.frame.view == "outside_of_valve"


def test_before_the_view_is_said_no_character_is_called_unseen(person, tmp_path):
    made = Path(shutil.copy(DEMO / "fluted-valve-outside.jpg", tmp_path / "new.jpg"))
    session, characters = person.session, person.window.side.characters
    person.window.files.open_anything([made])
    person.wait(lambda: not session.example and session.picture is not None)
    person.wait_until_readable()
    assert not session.frame.view
    assert characters.shown() == ()
    assert characters.summary() == say("side.characters.view_first")
    person.key(Qt.Key.Key_1, text="1")
    person.wait_until_readable()
    assert characters.shown()
