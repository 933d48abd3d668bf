"""A curator at the screen with 100,000 specimens: table, thumbnails, many at once.

Answers are timed by the clock, and beside it by the processor time of the whole program, which
other programs do not add to; a turn of the screen thread by its own processor time. A turn is
everything that one look at the waiting events does.
"""

from __future__ import annotations

import os
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from statistics import median
from typing import Any

from landmarks.finding import parse_filter
from landmarks.many import Edits
from tests.benchmarks.figure import Figure

SIZE = (1600, 1000)
N_PAGES, N_DRAGS, N_MANY = 40, 40, 10_000
CONDITIONS = (
    ("shell_length > 80",),
    ("region is halverson_reef", "missing is scale"),
    ("number contains 4711",),
)
TURN = "<= 15 ms a turn"


class Screen:
    """The real window on a collection, and how long its turns take."""

    def __init__(self, path: Path) -> None:
        os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
        from PySide6.QtWidgets import QApplication

        from app.application import begin, fill, make_shell
        from app.settings import Settings

        self.application = QApplication.instance() or QApplication([])
        settings = Settings(Path(tempfile.mkdtemp()) / "settings.json")
        settings.set("started_before", "yes")
        self.shell = make_shell(settings)
        self.shell.resize(*SIZE)
        self.shell.show()
        self.bench: Any = fill(self.shell, settings)
        begin(self.bench)
        self.session = self.bench.session
        self.turns: list[float] = []
        self.busy: list[float] = []
        self.wait(lambda: self.session.today is not None and self.session.n_rows > 0)
        self.rest()
        self.path = path

    def wait(self, done: Callable[[], bool], limit_s: float = 120) -> float:
        """Look at events until something is so; return how long that was, in ms."""
        begun = time.perf_counter()
        while not done():
            assert time.perf_counter() - begun < limit_s, "it takes too long"
            self.turn()
            time.sleep(0.0005)
        return (time.perf_counter() - begun) * 1000

    def turn(self) -> None:
        """Look at the waiting events once."""
        begun = time.thread_time()
        self.application.processEvents()
        self.turns.append((time.thread_time() - begun) * 1000)

    def do(self, deed: Callable[[], Any], done: Callable[[], bool]) -> float:
        """Do something and wait until it is there; its own turn counts like any other."""
        start, begun, worked = time.perf_counter(), time.thread_time(), time.process_time()
        deed()
        self.turns.append((time.thread_time() - begun) * 1000)
        self.turn()
        self.wait(done)
        self.busy.append((time.process_time() - worked) * 1000)
        return (time.perf_counter() - start) * 1000

    def rest(self, seconds: float = 1.0) -> None:
        """Let time pass, and what was asked come; what is stale may go on being derived."""
        end, session = time.perf_counter() + seconds, self.session
        self.wait(
            lambda: (
                time.perf_counter() > end
                and (session.listing.deriving or not session.desk.busy)
            )
        )

    def figure(
        self, name: str, times: list[float], goal: str = "", note: str = ""
    ) -> Figure:
        """Return a figure with the worst turn since the last one."""
        worst, self.turns = max(self.turns, default=0.0), []
        worked, self.busy = median(self.busy or [0.0]), []
        said = f"worst turn {worst:.0f} ms, processor {worked:.0f} ms"
        said += f"; {note}" if note else ""
        goals = ", ".join(filter(None, (goal, TURN)))
        return Figure(name, "ms", tuple(times), goal=goals, note=said)


def measure_on(path: Path) -> list[Figure]:
    """Return what a curator waits for on this collection, which is changed and changed back."""
    screen = Screen(path)
    figures = [_opened(screen), _table_opened(screen)]
    figures += _scrolled(screen)
    figures += _sorted(screen)
    figures += _filtered(screen)
    figures += _chosen(screen)
    screen.bench.close()
    screen.shell.close()
    return figures


def _opened(screen: Screen) -> Figure:
    session = screen.session
    store, open_one = session.store, screen.bench.files.open_collection
    screen.turns.clear()
    took = screen.do(
        lambda: open_one(screen.path), lambda: session.store is not store and session.rows
    )
    made = screen.figure("open the collection at the screen", [took], "<= 300 ms")
    # What is loaded once in a program's life is none of what is measured here.
    screen.rest(8)
    screen.turns.clear()
    return made


def _table_opened(screen: Screen) -> Figure:
    tabling = screen.bench.tabling
    took = screen.do(
        tabling.toggle, lambda: tabling.is_open and tabling.table.model.row(0) is not None
    )
    figure = screen.figure("open the table (Ctrl+T)", [took], "<= 300 ms")
    screen.rest()
    return figure


def _scrolled(screen: Screen) -> list[Figure]:
    from PySide6.QtCore import Qt
    from PySide6.QtTest import QTest

    table = screen.bench.tabling.table
    figures = []
    for which in ("table", "thumbnails"):
        table.show_as(which)
        view = table.grid if which == "thumbnails" else table.table
        view.setFocus()
        table.show_place(0)
        screen.rest()
        screen.turns.clear()
        paged = [
            screen.do(
                lambda view=view: QTest.keyClick(view, Qt.Key.Key_PageDown),
                lambda view=view: _in_sight(view, table),
            )
            for _ in range(N_PAGES)
        ]
        figures.append(screen.figure(f"{which}: a page on", paged, "<= 100 ms"))
        bar = view.verticalScrollBar()
        places = [bar.maximum() * (i * 37 % N_DRAGS) // N_DRAGS for i in range(N_DRAGS)]
        dragged = [
            screen.do(
                lambda at=at, bar=bar: bar.setValue(at),
                lambda view=view: _in_sight(view, table),
            )
            for at in places
        ]
        figures.append(screen.figure(f"{which}: dragged to a place", dragged, "<= 100 ms"))
    table.show_as("table")
    return figures


def _in_sight(view: Any, table: Any) -> bool:
    """Return whether every row that can be seen has come."""
    first = view.place(view.indexAt(view.viewport().rect().topLeft()))
    last = view.place(view.indexAt(view.viewport().rect().bottomLeft()))
    last = table.model.rowCount() - 1 if last < 0 else last
    return all(table.model.row(at) is not None for at in range(max(first, 0), last + 1))


def _sorted(screen: Screen) -> list[Figure]:
    from app.panels.table_columns import order_of

    session, table = screen.session, screen.bench.tabling.table
    times = {}
    for at, key in enumerate(table.model.columns):
        if not order_of(key):
            continue
        for _ in range(2):
            took = screen.do(lambda at=at: table._sort(at), lambda: _here(screen))
            times[f"{key}{' down' if session.query.descending else ''}"] = took
            screen.rest(0.2)
    slowest = max(times, key=lambda one: times[one])
    note = f"each column both ways; slowest by {slowest}"
    return [screen.figure("table: sorted anew", list(times.values()), "<= 100 ms", note)]


def _here(screen: Screen) -> bool:
    """Return whether the rows in sight are those of the query that was asked last."""
    query, table = screen.session.query, screen.bench.tabling.table
    asked = replace(query, offset=0, limit=None, columns=())
    return table.model._query == asked and _in_sight(table.table, table)


def _filtered(screen: Screen) -> list[Figure]:
    from app.session.finding import find, find_missing, show_all

    session = screen.session
    figures = []
    for words in CONDITIONS:
        filters = tuple(map(parse_filter, words))
        times = []
        for _ in range(3):
            show_all(session)
            screen.wait(lambda: _here(screen))
            screen.rest(0.2)
            screen.turns.clear()
            times.append(
                screen.do(
                    lambda it=filters: find(session, filters=it), lambda: _here(screen)
                )
            )
        name, note = f"table: {' and '.join(words)}", f"{session.n_rows:,} found"
        figures.append(screen.figure(name, times, "<= 100 ms", note))
    show_all(session)
    screen.wait(lambda: _here(screen))
    screen.rest()
    screen.turns.clear()
    found: list[object] = []
    times = []
    for n in range(1, 8):
        asked = lambda: find_missing(session, found.append)  # noqa: E731
        times.append(screen.do(asked, lambda n=n: len(found) == n))
    return [*figures, screen.figure("next missing step", times, "<= 100 ms")]


def _chosen(screen: Screen) -> list[Figure]:
    session, bench = screen.session, screen.bench
    n = session.n_rows
    took = screen.do(session.chosen.everything, lambda: len(session.chosen) == n)
    figures = [screen.figure("choose all (Ctrl+A)", [took], "", f"{n:,} chosen")]
    many = min(N_MANY, n)
    took = screen.do(
        lambda: session.chosen.stretch(0, many - 1), lambda: len(session.chosen) == many
    )
    figures.append(screen.figure(f"choose {many:,} of them with Shift", [took]))
    bench.open_strip("many")
    strip = bench.strips.made("many")
    took = screen.wait(lambda: strip._shared.n == many)
    figures.append(
        screen.figure(f"what {many:,} share (Ctrl+E)", [took], "", "with progress")
    )
    ids = session.chosen.ids
    name = f"one deed over {many:,}, until it is saved"
    figures.append(_changed(screen, name, ids, Edits({"habitat": "outer reef flat"})))
    screen.rest()
    screen.turns.clear()
    for name, deed in (("undo", session.undo), ("redo", session.redo)):
        took = screen.do(deed, lambda: session.saving.state == "saved")
        figures.append(
            screen.figure(f"{name} of it, until it is saved", [took], "<= 2000 ms")
        )
        screen.rest()
        screen.turns.clear()
    name = f"one over {many:,} that summaries rest on, until it is saved"
    figures.append(_changed(screen, name, ids, Edits({"region": "port_maren"})))
    return [*figures, _median_turn(screen)]


def _changed(screen: Screen, name: str, ids: tuple[str, ...], edits: Edits) -> Figure:
    from app.session.many import change_many

    session, ended = screen.session, list[object]()
    took = screen.do(
        lambda: change_many(session, ids, edits, lambda *_: None, ended.append),
        lambda: bool(ended),
    )
    assert ended[0], "it was not saved"
    return screen.figure(name, [took], "<= 2000 ms")


def _median_turn(screen: Screen) -> Figure:
    """Return what a turn costs while everything changed is derived anew in the background."""
    screen.rest(3)
    return Figure(
        "a turn of the screen thread while summaries are derived anew",
        "ms",
        tuple(screen.turns) or (0.0,),
        goal=TURN,
        note=f"median {median(screen.turns or [0.0]):.2f} ms",
    )
