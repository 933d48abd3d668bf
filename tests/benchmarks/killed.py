"""``python -m tests.benchmarks.killed``: SIGKILL at random moments of scripted work.

950 times in the core and 50 times through the real window; after each the file is opened, and
every deed that was acknowledged must be in it. What came of it is in ``killed.md``.
"""

from __future__ import annotations

import argparse
import os
import random
import shutil
import statistics
import tempfile
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

from landmarks.errors import HingelineError
from landmarks.storage import open_sqlite
from tests.benchmarks.__main__ import machine
from tests.benchmarks.rates import Rate
from tests.core.killing import PRELOADED, kill_in_core, kill_window, processes

RESULTS = Path(__file__).with_name("killed.md")
DEMO = Path(__file__).parents[2] / "demo_images"
IN_CORE, AT_WINDOW = 950, 50


@dataclass
class Kills:
    """What the kills at one place came to."""

    where: str
    lost: list[str] = field(default_factory=list)
    unopened: list[str] = field(default_factory=list)
    seconds: list[float] = field(default_factory=list)
    acknowledged: int = 0

    def times(self, n: int, kill: Callable[[], int]) -> Kills:
        """Kill so many times."""
        for number in range(n):
            begun = time.perf_counter()
            try:
                self.acknowledged += kill()
            except HingelineError as fault:
                self.unopened.append(f"kill {number + 1}: {fault}")
            except AssertionError as fault:
                self.lost.append(f"kill {number + 1}: {fault}")
            self.seconds.append(time.perf_counter() - begun)
        return self

    @property
    def row(self) -> str:
        """Return the row of the table."""
        n = len(self.seconds)
        return (
            f"| {self.where} | {n} | {self.acknowledged} | {Rate(n - len(self.lost), n)} "
            f"| {Rate(n - len(self.unopened), n)} | {statistics.median(self.seconds):.2f} s |"
        )


def in_core(folder: Path, n: int) -> Kills:
    """Kill a process that counts a collection on."""
    collection = folder / "counted.hingeline"
    open_sqlite(collection, create=True).close()
    chance, kind = random.Random(950), processes("tests.core.storage_work")
    counted = 0

    def kill() -> int:
        nonlocal counted
        before, counted = counted, kill_in_core(collection, kind, chance)
        return counted - before

    return Kills("core").times(n, kill)


def at_window(folder: Path, n: int) -> Kills:
    """Kill a window that somebody works at."""
    collection = folder / "drawer.hingeline"
    open_sqlite(collection, create=True).close()
    picture = Path(shutil.copy(DEMO / "fluted-valve-outside.jpg", folder / "shell.jpg"))
    chance, kind = random.Random(50), processes(*PRELOADED)
    settings = folder / "settings.json"
    return Kills("window").times(
        n, lambda: kill_window(collection, picture, settings, kind, chance)
    )


def report(kills: Sequence[Kills]) -> str:
    """Return the results as Markdown."""
    lines = [
        "# Killed",
        "",
        f"Written on {date.today().isoformat()} by `python -m tests.benchmarks.killed`: "
        f"{machine()}. SIGKILL after a random number of acknowledged deeds and a random "
        "pause (core up to 6 ms, window up to 50 ms). In the core every deed counts two "
        "documents on; at the window somebody places, moves, removes, scores, names and takes "
        "back without a pause. After each kill the file is opened (which verifies the structure "
        "of files up to 64 MB), and every acknowledged deed must be in it; after those of the "
        "window every document must also be what the history makes of it, and the check of the "
        "whole collection must find nothing. Shares with Wilson's 95 % "
        "interval.",
        "",
        "| where | killed | deeds acknowledged | nothing lost | file opens | one kill, median |",
        "| --- | --- | --- | --- | --- | --- |",
        *(one.row for one in kills),
        "",
        "## What went wrong",
        "",
    ]
    faults = [f"* {one.where}, {what}" for one in kills for what in one.lost + one.unopened]
    return "\n".join([*lines, *(faults or ["Nothing."]), ""])


def main(words: Sequence[str] | None = None) -> None:
    """Kill, and write the table."""
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    asked.add_argument("--core", type=int, default=IN_CORE)
    asked.add_argument("--window", type=int, default=AT_WINDOW)
    told = asked.parse_args(words)
    with tempfile.TemporaryDirectory() as folder:
        kills = [
            kill(Path(folder), n)
            for kill, n in ((in_core, told.core), (at_window, told.window))
            if n
        ]
    written = report(kills)
    if (told.core, told.window) == (IN_CORE, AT_WINDOW):
        RESULTS.write_text(written, encoding="utf-8")
    print(written)  # noqa: T201 - this is what the command is for


if __name__ == "__main__":
    main()
