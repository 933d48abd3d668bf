"""The only place where the window is put together, and the only one that starts Qt.

Start-up order: the bare shell is painted; then what fills it is loaded and put into it; then
the collection, the species tables and everything heavy come, each off the screen thread.
"""

from __future__ import annotations

import builtins
import gc
import sys
from collections.abc import Sequence
from importlib import import_module
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QApplication

from app.settings import Settings, read_settings
from app.shell import Shell

if TYPE_CHECKING:
    from app.session import Session
    from app.window import Bench
    from landmarks.collection import Person
    from landmarks.sentences import Sentence


def run(paths: Sequence[Path] = ()) -> int:
    """Open the window, on what is named, on the last collection, or on the worked example."""
    application = QApplication(sys.argv[:1])
    application.setApplicationName("Hingeline")
    application.setDesktopFileName("hingeline")
    settings = read_settings()
    shell = make_shell(settings)
    shell.painted.connect(lambda: begin(fill(shell, settings), paths))
    shell.show()
    return application.exec()


def make_shell(settings: Settings) -> Shell:
    """Return the bare window, neither shown nor filled."""
    return Shell(str(settings["colours"]), str(settings["window"]))


def fill(shell: Shell, settings: Settings) -> Bench:
    """Load everything the window needs and put it into the shell."""
    _load_once()
    from app import actions
    from app.background.desk import take_short_turns
    from app.background.tidying import tidy_here
    from app.session import Session
    from app.session.places import Places
    from app.style import fonts, palette
    from app.window import Bench

    application = QApplication.instance()
    assert isinstance(application, QApplication)
    tidy_here(application)
    take_short_turns()
    fonts.set_base_size(float(settings["text_size"]))
    palette.apply(application, settings["colours"])
    session = Session()
    session.person = _person(settings)
    session.places = Places(
        str(settings["picture_folders"]).split("\n"),
        lambda folders: settings.set("picture_folders", folders),
    )
    bench = Bench(session, settings, shell)
    actions.bind(bench)
    shell.setCentralWidget(bench)
    _report_faults(session)
    return bench


def _load_once() -> None:
    """Load the modules of the window without looking for garbage among what stays anyway.

    What is there then is never looked through again either: with it, one look through all
    took some 25 ms of the screen's time.
    """
    if "app.actions" in sys.modules:
        return
    _import_plainly()
    gc.disable()
    import_module("app.actions")
    gc.freeze()


def _import_plainly() -> None:
    """Put Python's own import back, which PySide replaces.

    PySide's reads the source of every module that is loaded after it, to look for a wish
    for other spellings of Qt's names. Nothing here wishes for them, and a quarter of the
    time that loading takes goes by with it. Where PySide keeps no original, all stays.
    """
    builtins.__import__ = getattr(builtins, "__orig_import__", builtins.__import__)


def begin(bench: Bench, paths: Sequence[Path] = ()) -> None:
    """Fill the bench: the collection or the example, then the species tables."""
    from app.window.warming import Warming

    session, settings = bench.session, bench.settings
    bench.canvas.pictured.connect(Warming(bench).begin)
    # The tables come first, so that everything is drawn once, with its candidates.
    _start_guide(bench)

    def opened() -> None:
        # Whatever opens clears what was said before, so this is said last.
        if settings.fault is not None:
            session.notice(settings.fault, "warning")

    bench.files.start(list(paths), opened)
    if not settings["started_before"]:
        settings.set("started_before", "yes")
        bench.open_strip("start")


def _start_guide(bench: Bench) -> None:
    """Read the species tables that were used last; our own where those are faulty now."""
    from app.window.files import read_guide

    session, chosen = bench.session, str(bench.settings["tables"])

    def failed(sentence: Sentence) -> None:
        session.notice(sentence, "error")
        bench.files.use_tables(None)

    folder = Path(chosen) if chosen else None
    session.desk.ask(lambda: read_guide(folder), session.use_guide, failed)


def _person(settings: Settings) -> Person:
    """Return who works here: an id chosen once, a name only where the person gave one."""
    from uuid import uuid4

    from landmarks.collection import Person

    if not settings["person_id"]:
        settings.set("person_id", str(uuid4()))
    return Person(
        str(settings["person_id"]),
        str(settings["person_name"]),
        str(settings["researcher_id"]),
    )


def _report_faults(session: Session) -> None:
    """Tell the person of an unforeseen fault in a sentence; the traceback goes to the log."""
    from landmarks.sentences import Sentence

    telling = False

    def report(
        kind: type[BaseException], fault: BaseException, trace: TracebackType | None
    ) -> None:
        nonlocal telling
        sys.__excepthook__(kind, fault, trace)
        log = _write_log(kind, trace)
        if telling:
            return  # What tells of faults is at fault itself: it would tell for ever.
        values = {"kind": kind.__name__, "what": str(fault)[:160], "log": log}
        telling = True
        try:
            session.notice(Sentence("fault.unforeseen", values), "error")
        finally:
            telling = False

    sys.excepthook = report


def _write_log(kind: type[BaseException], trace: TracebackType | None) -> str:
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
