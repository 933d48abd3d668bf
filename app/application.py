"""The only place where the window is put together, and the only one that starts Qt.

Start-up order: window, first paint, then the collection, the species tables and everything
heavy, each off the screen thread.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from types import TracebackType

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication

from app import actions
from app.session import Session
from app.session.session import new_id
from app.settings import Settings, read_settings
from app.style import fonts, palette
from app.window import Window
from landmarks.collection import Person
from landmarks.identification import Guide
from landmarks.sentences import Sentence


def run(paths: Sequence[Path] = ()) -> int:
    """Open the window, on what is named, on the last collection, or on the worked example."""
    application = QApplication(sys.argv[:1])
    settings = read_settings()
    window = make_window(application, settings)
    window.show()
    QTimer.singleShot(0, lambda: begin(window, paths))
    code = application.exec()
    window.session.close()
    return code


def make_window(application: QApplication, settings: Settings) -> Window:
    """Return a window that is put together but neither shown nor filled."""
    application.setApplicationName("Hingeline")
    application.setDesktopFileName("hingeline")
    fonts.set_base_size(float(settings["text_size"]))
    palette.apply(application, settings["colours"])
    session = Session()
    session.person = _person(settings)
    window = Window(session, settings)
    actions.bind(window)
    _report_faults(window)
    return window


def begin(window: Window, paths: Sequence[Path] = ()) -> None:
    """Fill the window after its first paint: collection or example, then the tables."""
    session, settings = window.session, window.settings
    session.desk.ask(_read_guide, session.use_guide, lambda s: session.notice(s, "error"))
    if paths:
        window.files.open_last()
        window.files.open_anything(list(paths))
    else:
        window.files.open_last()
    if settings.fault is not None:
        session.notice(settings.fault, "caution")
    if not settings["started_before"]:
        settings.set("started_before", "yes")
        window.open_strip("start")


def _read_guide() -> Guide:
    from landmarks.identification import compile_tables
    from landmarks.tables import read_tables

    return compile_tables(read_tables())


def _person(settings: Settings) -> Person:
    """Return who works here: an id chosen once, a name only where the person gave one."""
    if not settings["person_id"]:
        settings.set("person_id", new_id())
    person = Person(str(settings["person_id"]))
    return replace(
        person,
        name=str(settings["person_name"]),
        researcher_id=str(settings["researcher_id"]),
    )


def _report_faults(window: Window) -> None:
    """Tell the person of an unforeseen fault in a sentence; the traceback goes to the log."""

    def report(
        kind: type[BaseException], fault: BaseException, trace: TracebackType | None
    ) -> None:
        sys.__excepthook__(kind, fault, trace)
        log = _write_log(kind, fault, trace)
        values = {"kind": kind.__name__, "what": str(fault)[:160], "log": log}
        window.session.notice(Sentence("fault.unforeseen", values), "error")

    sys.excepthook = report


def _write_log(
    kind: type[BaseException], fault: BaseException, trace: TracebackType | None
) -> str:
    """Add version and traceback to the log; no picture, label or place ever enters it."""
    from datetime import UTC, datetime
    from traceback import extract_tb, format_list

    from platformdirs import user_log_path

    from landmarks import __version__

    path = user_log_path("Hingeline", appauthor=False) / "faults.log"
    moment = datetime.now(UTC).isoformat(timespec="seconds")
    lines = [
        f"{moment} Hingeline {__version__} {kind.__name__}\n",
        *format_list(extract_tb(trace)),
    ]
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with path.open("a", encoding="utf-8") as file:
            file.writelines(lines)
    except OSError:
        return "-"
    return str(path)
