"""Every preference: its default, what it may be, and the sentence that explains it.

Kept as plain JSON in the person's configuration folder. A broken file is set aside and
reported; a broken value falls back to its default.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from landmarks.sentences import Sentence


@dataclass(frozen=True, slots=True)
class Preference:
    """One preference: its key, default, and what it may be."""

    key: str
    default: Any
    allowed: Callable[[Any], bool]


def _text(value: Any) -> bool:
    return isinstance(value, str) and len(value) < 4_000


def _one_of(*words: str) -> Callable[[Any], bool]:
    return lambda value: value in words


def _between(low: float, high: float) -> Callable[[Any], bool]:
    return lambda value: (
        isinstance(value, (int, float))
        and not isinstance(value, bool)
        and low <= value <= high
    )


# fmt: off
PREFERENCES = {row.key: row for row in (
    Preference("colours",         "system", _one_of("system", "light", "dark")),
    Preference("text_size",       14,       _between(10, 28)),
    Preference("person_id",       "",       _text),
    Preference("person_name",     "",       _text),
    Preference("researcher_id",   "",       _text),
    Preference("last_collection", "",       _text),
    Preference("tables",          "",       _text),
    Preference("last_folder",     "",       _text),
    Preference("picture_folders", "",       _text),
    Preference("started_before",  "",       _one_of("", "yes")),
    Preference("window",          "",       _text),
    Preference("splitter",        "",       _text),
    Preference("scanner",         "",       _one_of("", "yes")),
    Preference("table_columns",   "",       _text),
    Preference("table_as",        "table",  _one_of("table", "thumbnails")),
)}
# fmt: on


@dataclass
class Settings:
    """The preferences of one person on one computer."""

    path: Path
    values: dict[str, Any] = field(default_factory=dict)
    fault: Sentence | None = None

    def __getitem__(self, key: str) -> Any:
        """Return a preference, its default where it was never set."""
        return self.values.get(key, PREFERENCES[key].default)

    def set(self, key: str, value: Any) -> None:
        """Set a preference and write the file at once.

        Raises
        ------
        ValueError
            If the preference may not have this value.
        """
        if not PREFERENCES[key].allowed(value):
            raise ValueError(f"{key} cannot be {value!r}")
        if self[key] == value:
            return
        self.values[key] = value
        self._write()

    def _write(self) -> None:
        text = json.dumps(self.values, indent=1)
        try:
            self.path.parent.mkdir(parents=True, exist_ok=True)
            fresh = self.path.with_suffix(".new")
            fresh.write_text(text, encoding="utf-8")
            fresh.replace(self.path)
        except OSError as fault:
            # Preferences are a comfort: work goes on without them, and the person is told.
            self.fault = Sentence("settings.not_written", {"reason": fault.strerror})


def read_settings(path: Path | None = None) -> Settings:
    """Return the preferences in a file (the person's own unless told)."""
    path = path or _own_file()
    try:
        raw = json.loads(path.read_text(encoding="utf-8"))
        if not isinstance(raw, dict):
            raise ValueError
    except FileNotFoundError:
        return Settings(path)
    except (OSError, ValueError, RecursionError):
        return _set_aside(path)
    # What a later version prefers is none of our business, and is written back as it is.
    good = {
        key: value
        for key, value in raw.items()
        if key not in PREFERENCES or PREFERENCES[key].allowed(value)
    }
    return Settings(path, good)


def _own_file() -> Path:
    from platformdirs import user_config_path

    return user_config_path("Hingeline", appauthor=False) / "settings.json"


def _set_aside(path: Path) -> Settings:
    aside = path.with_suffix(".broken")
    try:
        path.replace(aside)
    except OSError:
        aside = path
    return Settings(path, {}, Sentence("settings.broken", {"file": str(aside)}))
