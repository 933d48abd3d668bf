"""Preferences: what is broken is set aside and said, and never stands in the way."""

import json

import pytest

from app.settings import PREFERENCES, Settings, read_settings


@pytest.fixture
def file(tmp_path):
    return tmp_path / "Hingeline" / "settings.json"


def write(file, words):
    file.parent.mkdir(exist_ok=True)
    file.write_bytes(words if isinstance(words, bytes) else words.encode())
    return read_settings(file)


def test_without_a_file_everything_is_usual_and_nothing_is_said(file):
    settings = read_settings(file)
    assert settings.fault is None
    assert {key: settings[key] for key in PREFERENCES} == {
        key: row.default for key, row in PREFERENCES.items()
    }
    assert not file.exists()


@pytest.mark.parametrize(
    "words", ['{"colours": ', "[1, 2]", '"dark"', b"\xff\xfe\x00", "", "[" * 100_000]
)
def test_a_broken_file_is_set_aside_and_said(file, words):
    settings = write(file, words)
    assert settings["colours"] == "system"
    aside = file.with_suffix(".broken")
    assert aside.exists()
    assert not file.exists()
    assert str(aside) in str(settings.fault)
    settings.set("colours", "dark")
    assert read_settings(file)["colours"] == "dark"


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("colours", "sepia"),
        ("colours", None),
        ("colours", ["dark"]),
        ("text_size", 3),
        ("text_size", 1e9),
        ("text_size", "large"),
        ("text_size", True),
        ("text_size", float("nan")),
        ("person_name", 7),
        ("person_name", "x" * 5000),
        ("window", {"width": 3}),
    ],
)
def test_a_broken_value_falls_back_and_leaves_the_others(file, key, value):
    settings = write(file, json.dumps({key: value, "last_folder": "/reef"}))
    assert settings[key] == PREFERENCES[key].default
    assert settings["last_folder"] == "/reef"
    assert settings.fault is None
    with pytest.raises(ValueError, match=key):
        settings.set(key, value)


def test_what_a_later_version_prefers_is_no_fault(file):
    settings = write(file, '{"tide_table": "on", "colours": "dark"}')
    assert settings.fault is None
    assert settings["colours"] == "dark"


def test_what_a_later_version_prefers_is_kept(file):
    settings = write(file, '{"tide_table": "on", "colours": "dark"}')
    settings.set("colours", "light")
    assert json.loads(file.read_text())["tide_table"] == "on"


def test_a_preference_is_on_the_disk_at_once(file):
    settings = Settings(file)
    settings.set("text_size", 16)
    assert read_settings(file)["text_size"] == 16
    assert [one.name for one in file.parent.iterdir()] == ["settings.json"]


def test_where_nothing_can_be_written_work_goes_on_and_it_is_said(tmp_path):
    blocked = tmp_path / "a file"
    blocked.write_text("in the way")
    settings = Settings(blocked / "settings.json")
    settings.set("text_size", 16)
    assert settings["text_size"] == 16
    assert "could not be written" in str(settings.fault)


def test_what_cannot_be_encoded_stays_a_preference(file):
    """A folder named in bytes that are no text reaches the program as a lone surrogate."""
    settings = Settings(file)
    settings.set("last_folder", "/reef/\udcff")
    assert settings["last_folder"] == "/reef/\udcff"
    assert read_settings(file).fault is None
