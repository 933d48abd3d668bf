"""What the window waits: gaps between the ticks of a timer, and the work in one turn.

A gap is told by the clock, so that other programs and the interpreter lock count; work is
told by the processor time of the screen thread, so that they do not. On a machine that is
busy with other things gaps say little, and the bare loop's gap of the same run says so. How
long a worker keeps the lock is told by its processor time as well (not on Windows).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from threading import Thread
from time import clock_gettime, perf_counter, pthread_getcpuclockid, sleep, thread_time

from tests.benchmarks.canvas import _run_for, _run_until
from tests.benchmarks.figure import Figure

TICK_MS = 4
BARE_S = 1.0
LOOK_S = 0.0003
GOAL = "every one <= 33 ms"


@dataclass(frozen=True, slots=True)
class Wait:
    """The longest gap between two ticks, and the most work of the screen thread in one."""

    gap_ms: float
    work_ms: float


def wait(begin: Callable[[], object], done: Callable[[], bool]) -> Wait:
    """Return what the window waited from a beginning until something is so."""
    from PySide6.QtCore import QTimer

    ticks: list[tuple[float, float]] = []

    def tick() -> None:
        ticks.append((perf_counter(), thread_time()))

    timer = QTimer()
    timer.timeout.connect(tick)
    timer.start(TICK_MS)
    _run_until(lambda: len(ticks) > 2)
    del ticks[:-1]
    begin()
    so_far = len(ticks)
    _run_until(lambda: done() and len(ticks) > so_far)
    timer.stop()
    gaps = [(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(ticks)]
    return Wait(*(max(one) * 1000 for one in zip(*gaps, strict=True)))


def bare() -> Wait:
    """Return what it waits while nothing at all is done."""
    return wait(lambda: _run_for(BARE_S), lambda: True)


def longest_hold(work: Callable[[], object]) -> float:
    """Return for how long a worker keeps the interpreter lock at most, in ms.

    Another thread wants the lock all the time; what the worker worked between two of its
    turns is the longest that it can have kept it.
    """
    thread = Thread(target=work)
    thread.start()
    clock = pthread_getcpuclockid(thread.ident or 0)
    longest = last = 0.0
    while thread.is_alive():
        sleep(LOOK_S)
        try:
            now = clock_gettime(clock)
        except OSError:  # It has ended meanwhile.
            break
        longest, last = max(longest, now - last), now
    thread.join()
    return longest * 1000


def gap_figures(what: str, waits: Sequence[Wait], floors: Sequence[Wait]) -> list[Figure]:
    """Return the gaps beside those of a bare loop, and the work of one turn."""
    gaps, works = tuple(one.gap_ms for one in waits), tuple(one.work_ms for one in waits)
    bare_gaps = tuple(one.gap_ms for one in floors)
    return [
        Figure(f"worst gap of the event loop, {what}", "ms", gaps, bare_gaps, GOAL),
        Figure(f"most work of the screen thread in a turn, {what}", "ms", works),
    ]
