"""The real window on settings and folders of its own."""

from pathlib import Path

import pytest

import app.window.files
from app.application import begin, fill, make_shell
from app.settings import Settings
from landmarks.sentences import text
from tests.journeys.person import Person

DEMO = Path(__file__).parents[2] / "demo_images"


@pytest.fixture
def own_folder(tmp_path, monkeypatch):
    folder = tmp_path / "Documents"
    folder.mkdir()
    monkeypatch.setattr(app.window.files, "own_folder", lambda: folder)
    return folder


@pytest.fixture
def open_window(qapp, qtbot, tmp_path, own_folder):
    """Open windows one after the other, as a person does on one computer.

    A fault that nobody foresaw fails the journey, also where its words waited behind others.
    """
    opened, unforeseen = [], []

    def noticed(sentence, _kind):
        if sentence.key == "fault.unforeseen":
            unforeseen.append(text(sentence))

    def open_one(*paths, started_before=True):
        settings = Settings(tmp_path / "settings.json")
        if (tmp_path / "settings.json").exists():
            from app.settings import read_settings

            settings = read_settings(tmp_path / "settings.json")
        if started_before:
            settings.set("started_before", "yes")
        shell = make_shell(settings)
        shell.resize(1600, 1000)
        shell.show()
        window = fill(shell, settings)
        window.session.noticed.connect(noticed)
        shell.activateWindow()
        with qtbot.waitActive(shell, timeout=20_000):
            pass
        begin(window, paths)
        person = Person(window, qtbot)
        person.wait_until_readable()
        opened.append(person)
        return person

    yield open_one
    for person in opened:
        person.close()
    assert unforeseen == []


@pytest.fixture
def person(open_window):
    """Somebody who looks at the first picture of the worked example."""
    person = open_window()
    person.wait_for_picture()
    return person
