"""Instruments at the screen: what the window waits while they work, and the adjusted view.

``python -m tests.benchmarks at_screen``. The picture is made with a fixed seed: a ruler of
500 mm on sensor noise, 100 megapixels.
"""

from __future__ import annotations

import os
from dataclasses import dataclass
from statistics import quantiles
from time import perf_counter
from types import SimpleNamespace

from landmarks.geometry import Point
from landmarks.instruments.seeing import Seeing
from tests.benchmarks.canvas import _run_until, _worst_gap
from tests.benchmarks.figure import Figure

SIZE = (12248, 8165)
PX_PER_MM, LENGTH_MM = 20, 500
FIRST = Point(1002.0, 4040.0)
SCREEN = (1920, 1080)
WAYS = {
    "local contrast": Seeing(local_contrast=0.6),
    "underwater colour": Seeing(underwater=True),
    "brightness": Seeing(brightness=0.66),
    "all three": Seeing(0.6, underwater=True, brightness=0.66),
}


@dataclass(frozen=True, slots=True)
class _Picture:
    size: tuple[int, int] = SIZE


def measure(n: int = 7) -> list[Figure]:
    """Return all figures; pictures are made with a fixed seed."""
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    from PySide6.QtWidgets import QApplication

    QApplication.instance() or QApplication([])
    levels = pictured()
    return [*ruler_at_work(levels, n), *adjusted_views(levels, n), *moving_adjusted(levels)]


def pictured():
    """Return the picture as a pyramid, largest first."""
    import numpy as np
    from PySide6.QtGui import QImage

    from app.background.decoding import pyramid

    image = QImage(*SIZE, QImage.Format.Format_RGB32)
    image.fill(0)
    flat = np.frombuffer(image.bits(), np.uint8)
    rows = flat.reshape(SIZE[1], image.bytesPerLine() // 4, 4)
    noise = np.random.default_rng(5).integers(180, 210, (512, SIZE[0], 1), np.uint8)
    for top in range(0, SIZE[1], 512):
        rows[top : top + 512] = noise[: SIZE[1] - top]
    for mark in range(LENGTH_MM + 1):
        left = round(FIRST.x) - 2 + PX_PER_MM * mark
        tall = 100 if mark % 10 == 0 else 60
        rows[4000 : 4000 + tall, left : left + 4] = 20
    return list(pyramid(image))


def ruler_at_work(levels, n: int) -> list[Figure]:
    """Worst gap of the event loop from the typed length to the fit; floor: at rest."""
    from PySide6.QtCore import QTimer

    from app.background.desk import Desk
    from app.instruments.crop import crop_of_levels
    from app.instruments.ruler import RulerAtWork

    desk = Desk()
    session = SimpleNamespace(picture=_Picture())
    crop = crop_of_levels(levels)
    timer, ticks = QTimer(), []
    timer.timeout.connect(lambda: ticks.append(perf_counter()))
    timer.start(4)
    worst, floors, took = [], [], []
    for run in range(n + 1):
        ticks.clear()
        _run_until(lambda: len(ticks) > 100)
        rest = _worst_gap(ticks)
        end = Point(FIRST.x + PX_PER_MM * LENGTH_MM - run, FIRST.y)
        ruler = RulerAtWork(session, FIRST, end, lambda: crop, desk)
        ticks.clear()
        start = perf_counter()
        ruler.measure(LENGTH_MM)
        _run_until(lambda ruler=ruler: not ruler.busy)
        took.append((perf_counter() - start) * 1000)
        worst.append(_worst_gap(ticks))
        floors.append(rest)
        assert ruler.fit is not None, ruler.refused
        assert abs(ruler.fit.px_per_mm / PX_PER_MM - 1) < 2e-4
    desk.close()
    # The first run loads what is needed for the first time in a program's life.
    return [
        Figure("worst gap of the event loop, fitting a ruler on 100 megapixels", "ms",
               tuple(worst[1:]), tuple(floors[1:]), "<= 33 ms", f"first ever {worst[0]:.0f} ms"),
        Figure("from the last key of the length to the fit", "ms", tuple(took[1:]), (), "",
               "150 ms of it wait for a further key"),
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
        values = []
        for _ in range(n):
            start = perf_counter()
            adjust(levels, frame, part, zoom, how, sample)
            values.append((perf_counter() - start) * 1000)
        figures.append(
            Figure(
                f"seeing better, {name}, 1920 x 1080", "ms", tuple(values), (), "<= 50 ms"
            )
        )
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
