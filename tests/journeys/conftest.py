"""The real window on settings and folders of its own."""

from pathlib import Path

import pytest

import app.window.files
from app.application import begin, make_window
from app.settings import Settings
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
    """Open windows one after the other, as a person does on one computer."""
    opened = []

    def open_one(*paths, started_before=True):
        settings = Settings(tmp_path / "settings.json")
        if (tmp_path / "settings.json").exists():
            from app.settings import read_settings

            settings = read_settings(tmp_path / "settings.json")
        if started_before:
            settings.set("started_before", "yes")
        window = make_window(qapp, settings)
        window.resize(1600, 1000)
        window.show()
        window.activateWindow()
        with qtbot.waitActive(window, timeout=5000):
            pass
        begin(window, paths)
        person = Person(window, qtbot)
        person.wait_until_readable()
        opened.append(person)
        return person

    yield open_one
    for person in opened:
        person.close()
