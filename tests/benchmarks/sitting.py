"""A photographer at the sorting table: how soon pictures are there, and what a turn works.

Part of ``python -m tests.benchmarks intake``. Work is processor time of the screen thread
in one turn of the event loop, garbage looked for included; the gap is the same turn by the
clock, so that a busy machine and the worker's hold of the interpreter lock count as well.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path
from time import perf_counter, sleep, thread_time
from typing import Any

from tests.benchmarks.at_table import Screen
from tests.benchmarks.figure import Figure

N_SMALL = 2000
SIZE = (1920, 1080)
WORK, GAP = "<= 15 ms", "<= 33 ms"
STARTED_S = 6.0
"""After so long a window has loaded what is loaded while nobody waits."""


@dataclass
class Turns:
    """The longest turn of each deed, as work and by the clock, in ms."""

    works: list[float] = field(default_factory=list)
    gaps: list[float] = field(default_factory=list)

    def figures(self, what: str) -> list[Figure]:
        """Return them as figures."""
        work, gap = (
            "most work of the screen thread in a turn",
            "worst gap of the event loop",
        )
        return [
            Figure(f"{work}, {what}", "ms", tuple(self.works), (), WORK),
            Figure(f"{gap}, {what}", "ms", tuple(self.gaps), (), GAP),
        ]


class Sitting(Screen):
    """The window with an empty collection, its turns told by work and by the clock."""

    def __init__(self, folder: Path) -> None:
        self.gaps: list[float] = []
        super().__init__(folder)
        self.shell.resize(*SIZE)
        path = folder / "reef.hingeline"
        self.bench.files.new_collection(path)
        self.wait(lambda: self.session.path == path)
        self.rest(STARTED_S)

    def turn(self) -> None:
        """Look at the waiting events once."""
        self._timed(self.application.processEvents)

    def tell(
        self, turns: Turns, deed: Callable[[], object], done: Callable[[], Any]
    ) -> float:
        """Do something, keep its longest turn, and return how long it took, in ms."""
        self.turns.clear()
        self.gaps.clear()
        start = perf_counter()
        self._timed(deed)
        self.turn()
        self.wait(done)
        took = (perf_counter() - start) * 1000
        self._for(0.15)
        turns.works.append(max(self.turns))
        turns.gaps.append(max(self.gaps))
        return took

    def _for(self, seconds: float) -> None:
        end = perf_counter() + seconds
        while perf_counter() < end:
            self.turn()
            sleep(0.0005)

    def _timed(self, deed: Callable[[], object]) -> None:
        start, begun = perf_counter(), thread_time()
        deed()
        self.turns.append((thread_time() - begun) * 1000)
        self.gaps.append((perf_counter() - start) * 1000)


def sittings(dive: Path, folder: Path) -> list[Figure]:
    """Return the figures of a dive of 400 large pictures, and of 2,000 small ones."""
    small = folder / "small"
    make_small(small)
    figures = _sitting(dive, folder / "a", "400 pictures of 24 megapixels", thumbnails=True)
    return figures + _sitting(
        small, folder / "b", f"{N_SMALL:,} pictures", thumbnails=False
    )


def make_small(folder: Path) -> None:
    """Write many small pictures with the times that a camera writes, five of each animal."""
    from PIL import Image

    folder.mkdir()
    now = datetime(2024, 3, 12, 9, 0, 0)
    for i in range(N_SMALL):
        now += timedelta(seconds=90 if i % 5 == 0 else 6)
        exif = Image.Exif()
        exif[0x0110] = "Reef Eye 3"
        exif[0x8769] = {0x9003: now.strftime("%Y:%m:%d %H:%M:%S")}
        image = Image.new("RGB", (320, 240), (i % 256, i // 256 * 20, 120))
        image.save(folder / f"IMG_{i:04}.JPG", exif=exif)


def _sitting(dive: Path, own: Path, name: str, *, thumbnails: bool) -> list[Figure]:
    own.mkdir()
    screen = Sitting(own)
    desk, reading = screen.bench.sorting, Turns()
    first = screen.tell(
        reading,
        lambda: screen.bench.files.open_anything([dive]),
        lambda: desk.table is not None and len(desk.table.sorting.groups) > 1,
    )
    table = desk.table
    read = first + screen.tell(reading, int, lambda: not table.sorting.reading)
    figures = [
        Figure(
            f"{name} dropped, the first can be sorted", "ms", (first,), (), "<= 2000 ms"
        ),
        Figure(f"{name} dropped, all are read and sorted", "ms", (read,), ()),
        *reading.figures(f"reading {name}"),
    ]
    if thumbnails:
        small = Turns()
        n = len(table.sorting.shots)
        took = screen.tell(small, int, lambda: len(table.sheet.thumbs.made) == n)
        figures.append(
            Figure(
                f"{name} dropped, all thumbnails", "ms", (read + took,), (), "<= 30000 ms"
            )
        )
        figures += small.figures(f"thumbnails of {name}")
    else:
        screen.rest(3)
    figures += _by_hand(screen, table).figures(f"changing {name} by hand")
    figures += _anew(screen, table).figures(f"sorting {name} anew")
    figures += _scrolled(screen, table).figures(f"scrolling through {name}")
    return figures + _taken_in(screen, table, name)


def _by_hand(screen: Sitting, table: Any) -> Turns:
    from PySide6.QtCore import Qt
    from PySide6.QtTest import QTest

    turns, sheet = Turns(), table.sheet
    none, control = Qt.KeyboardModifier.NoModifier, Qt.KeyboardModifier.ControlModifier
    keys = Qt.Key
    sheet.setFocus()
    for step in (
        (keys.Key_Home, none), (keys.Key_M, none), (keys.Key_Right, none),
        (keys.Key_B, none), (keys.Key_S, none), (keys.Key_BracketRight, none),
        (keys.Key_A, control), (keys.Key_7, none), (keys.Key_M, none), (keys.Key_Z, control),
        (keys.Key_End, none), (keys.Key_Delete, none), (keys.Key_Z, control),
    ):  # fmt: skip
        screen.tell(turns, lambda step=step: QTest.keyClick(sheet, *step), lambda: True)
    return turns


def _anew(screen: Sitting, table: Any) -> Turns:
    turns, sorting = Turns(), table.sorting
    for how in (("time", 100.0), ("name",), ("none",), ("time",)):
        before = sorting.now
        screen.tell(
            turns,
            lambda how=how: sorting.propose(*how),
            lambda before=before: sorting.now is not before,
        )
    return turns


def _scrolled(screen: Sitting, table: Any) -> Turns:
    turns, bar = Turns(), table.sheet.verticalScrollBar()
    bar.setValue(0)
    screen.rest(0.3)
    for _ in range(8):
        screen.tell(turns, lambda: bar.setValue(bar.value() + bar.pageStep()), lambda: True)
    return turns


def _taken_in(screen: Sitting, table: Any, name: str) -> list[Figure]:
    session, desk = screen.session, screen.bench.sorting
    n = len(table.sorting.groups)
    taking, listed = Turns(), Turns()
    took = screen.tell(taking, table.take_in.click, lambda: desk.table is None)

    def settled(rows: int) -> bool:
        return session.n_rows == rows and session.saving.state == "saved"

    took += screen.tell(listed, int, lambda: settled(n) and session.specimen is not None)
    screen.rest(2)
    back = Turns()
    screen.tell(back, session.undo, lambda: settled(0))
    screen.tell(back, session.redo, lambda: settled(n))
    screen.rest(1)
    screen.bench.close()
    screen.shell.close()
    return [
        Figure(
            f"{name} taken in, saved and listed", "ms", (took,), (), "", f"{n} specimens"
        ),
        *taking.figures(f"taking in {name}"),
        *listed.figures(f"the bench and the list after {name}"),
        *back.figures(f"taking {name} back and in again"),
    ]
