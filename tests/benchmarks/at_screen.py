"""Instruments at the screen: what the window waits while they work, and the adjusted view.

``python -m tests.benchmarks at_screen``. The pictures are made with a fixed seed: a ruler of
500 mm on sensor noise, 24 and 100 megapixels. Adjusted views are told by the processor time
of their worker, too, which other programs do not lengthen.
"""

from __future__ import annotations

import os
from dataclasses import dataclass
from statistics import median, quantiles
from time import perf_counter, thread_time
from types import SimpleNamespace

from landmarks.geometry import Point
from landmarks.instruments.seeing import Seeing
from tests.benchmarks.canvas import _run_until
from tests.benchmarks.figure import Figure
from tests.benchmarks.gaps import bare, gap_figures, wait

SIZE = (12248, 8165)
PX_PER_MM, LENGTH_MM = 20, 500
LEFT, TOP = 1000, 4000
SCREEN = (1920, 1080)
WAYS = {
    "local contrast": Seeing(local_contrast=0.6),
    "underwater colour": Seeing(underwater=True),
    "brightness": Seeing(brightness=0.66),
    "all three": Seeing(0.6, underwater=True, brightness=0.66),
}


@dataclass(frozen=True, slots=True)
class _Picture:
    size: tuple[int, int]


def measure(n: int = 7) -> list[Figure]:
    """Return all figures; pictures are made with a fixed seed."""
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    from PySide6.QtWidgets import QApplication

    QApplication.instance() or QApplication([])
    figures = ruler_at_work(pictured(2), 2, n)
    levels = pictured()
    figures += ruler_at_work(levels, 1, n)
    return [*figures, *adjusted_views(levels, n), *moving_adjusted(levels)]


def pictured(smaller: int = 1):
    """Return the picture as a pyramid, largest first; so many times smaller."""
    import numpy as np
    from PySide6.QtGui import QImage

    from app.background.decoding import pyramid

    width, height = (side // smaller for side in SIZE)
    image = QImage(width, height, QImage.Format.Format_RGB32)
    image.fill(0)
    flat = np.frombuffer(image.bits(), np.uint8)
    rows = flat.reshape(height, image.bytesPerLine() // 4, 4)
    noise = np.random.default_rng(5).integers(180, 210, (512, width, 1), np.uint8)
    for top in range(0, height, 512):
        rows[top : top + 512] = noise[: height - top]
    first, last = TOP // smaller, LEFT // smaller
    for mark in range(LENGTH_MM + 1):
        left = last + PX_PER_MM // smaller * mark
        tall = (100 if mark % 10 == 0 else 60) // smaller
        rows[first : first + tall, left : left + 4 // smaller] = 20
    return list(pyramid(image))


def ruler_at_work(levels, smaller: int, n: int) -> list[Figure]:
    """What is waited from the typed length to the fit."""
    from app.background.desk import Desk, take_short_turns
    from app.instruments.crop import crop_of_levels
    from app.instruments.ruler import RulerAtWork

    take_short_turns()
    desk = Desk()
    size = levels[0].width(), levels[0].height()
    session = SimpleNamespace(picture=_Picture(size))
    crop = crop_of_levels(levels)
    px_per_mm = PX_PER_MM / smaller
    first = Point((LEFT + 2) / smaller, (TOP + 40) / smaller)
    floors, waits, took = [], [], []
    for run in range(n + 1):
        floors.append(bare())
        end = Point(first.x + px_per_mm * LENGTH_MM - run, first.y)
        ruler = RulerAtWork(session, first, end, lambda: crop, desk)
        start = perf_counter()
        waits.append(
            wait(lambda it=ruler: it.measure(LENGTH_MM), lambda it=ruler: not it.busy)
        )
        took.append((perf_counter() - start) * 1000)
        assert ruler.fit is not None, ruler.refused
        assert abs(ruler.fit.px_per_mm / px_per_mm - 1) < 4e-4
    desk.close()
    # The first run loads what is needed for the first time in a program's life.
    on = f"{round(size[0] * size[1] / 1e6)} megapixels"
    return [
        *gap_figures(f"fitting a ruler on {on}", waits[1:], floors[1:]),
        Figure(f"from the last key of the length to the fit on {on}", "ms",
               tuple(took[1:]), (), "", "150 ms of it wait for a further key"),
    ]  # fmt: skip


def adjusted_views(levels, n: int) -> list[Figure]:
    """Time to adjust what fills the screen, in the background."""
    from PySide6.QtCore import QRectF

    from app.canvas.adjusting import adjust, sample_of

    frame = QRectF(0, 0, *SIZE)
    zoom = SCREEN[0] / SIZE[0]
    part = QRectF(0, 0, SIZE[0], SCREEN[1] / zoom)
    sample = sample_of(levels)
    figures = []
    for name, how in WAYS.items():
        adjust(levels, frame, part, zoom, how, sample)
        values, works = [], []
        for _ in range(2 * n):
            start, worked = perf_counter(), thread_time()
            adjust(levels, frame, part, zoom, how, sample)
            values.append((perf_counter() - start) * 1000)
            works.append((thread_time() - worked) * 1000)
        note = f"{median(works):.0f} ms of processor time"
        figures.append(
            Figure(f"seeing better, {name}, 1920 x 1080", "ms", tuple(values), (),
                   "<= 50 ms", note)
        )  # fmt: skip
    return figures


def moving_adjusted(levels) -> list[Figure]:
    """Frames of a pan over the adjusted view; floor: the same pan over the plain picture."""
    from PySide6.QtCore import QSize
    from PySide6.QtWidgets import QApplication

    from app.canvas.seeing import SeeingCanvas

    canvas = SeeingCanvas()
    canvas.resize(*SCREEN)
    canvas.show()
    canvas.begin_picture(QSize(*SIZE))
    canvas.set_levels(levels)
    canvas.zoom_at(canvas._middle(), 4.0)
    frames = {}
    for name, how in (("plain", Seeing()), ("adjusted", WAYS["all three"])):
        canvas.see(how)
        _run_until(lambda how=how: canvas.shows_adjusted == how.adjusted)
        times = []
        for step in range(80):
            start = perf_counter()
            canvas.pan(25 if step < 40 else -25, 10 if step % 2 else -10)
            QApplication.processEvents()
            times.append((perf_counter() - start) * 1000)
            _run_until(lambda start=start: perf_counter() - start > 0.016)
        frames[name] = tuple(times)
    canvas.stop_seeing()
    canvas.close()
    p95 = {name: quantiles(times, n=20)[-1] for name, times in frames.items()}
    return [
        Figure("pan frame over the adjusted view, 100 megapixels", "ms", frames["adjusted"], (),
               "95 % <= 16 ms", f"plain picture: 95 % {p95['plain']:.1f} ms")
    ]  # fmt: skip
