"""Pictures on their way to the screen, and moving about in them with many marks."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from math import cos, pi, sin
from pathlib import Path
from tempfile import TemporaryDirectory
from time import perf_counter
from typing import Any

from landmarks.figures import Dot, Mark, Outline
from landmarks.figures import Figure as Drawing
from landmarks.geometry import Point
from landmarks.sentences import Sentence
from tests.benchmarks.figure import Figure, table, worst_gap

VIEW = (1600, 1000)
SIZES_MP = (24, 50, 100)
N_LANDMARKS, N_OUTLINES, N_POINTS = 500, 5, 2000
TIMEOUT_S = 60.0


def measure(n: int = 7) -> list[Figure]:
    """Return all figures of the canvas; pictures are made with a fixed seed."""
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    from PySide6.QtWidgets import QApplication

    QApplication.instance() or QApplication([])
    figures: list[Figure] = []
    with TemporaryDirectory() as folder:
        for megapixels in SIZES_MP:
            path = make_picture(Path(folder) / f"{megapixels}.jpg", megapixels)
            figures += first_view(path, megapixels, n)
            if megapixels == max(SIZES_MP):
                figures.append(event_loop_gap(path, megapixels, n))
                figures += moving_about(path, megapixels)
            path.unlink()
    return figures


def main() -> None:
    """Print the table."""
    print(table(measure()))  # noqa: T201


def make_picture(path: Path, megapixels: int, seed: int = 20) -> Path:
    """Write a photograph-like JPEG: bent ribs, light and shade, the noise of a sensor."""
    import numpy as np
    from PIL import Image

    width = round((megapixels * 1.5e6) ** 0.5)
    height = round(width / 1.5)
    noise = np.random.default_rng(seed).integers(0, 24, (512, width, 3), dtype=np.uint8)
    image = Image.new("RGB", (width, height))
    x = np.arange(width)[None, :]
    for top in range(0, height, 512):
        y = np.arange(top, min(top + 512, height))[:, None]
        ribs = np.sin(x / 37 + y / 91)
        shade = np.sin((x - width / 2) * (y - height / 2) / (width * 300))
        grey = 110 + 60 * ribs + 40 * shade
        strip = np.stack([grey, grey * 0.9 + 8, grey * 0.8], -1).astype(np.uint8)
        image.paste(Image.fromarray(strip + noise[: len(y)]), (0, top))
    image.save(path, quality=92)
    return path


def first_view(path: Path, megapixels: int, n: int) -> list[Figure]:
    """Time from the call to the painted preview, and to the painted whole picture.

    The floors are the bare decoders of the same sizes, alternating with the program.
    """
    previews, wholes, preview_floors, whole_floors = [], [], [], []
    with _stage() as (canvas, loader):
        _load(canvas, loader, path)  # Wakes fonts, threads and the file's place in memory.
        for _ in range(n):
            preview_floors.append(_bare(path, reduced=True))
            whole_floors.append(_bare(path, reduced=False))
            preview, whole = _load(canvas, loader, path)
            previews.append(preview)
            wholes.append(whole)
    name = f"of a {megapixels} megapixel JPEG"
    return [
        Figure(
            f"first view {name}",
            "ms",
            tuple(previews),
            tuple(preview_floors),
            "ratio <= 1.3" if megapixels == 50 else "",
        ),
        Figure(f"whole picture {name}", "ms", tuple(wholes), tuple(whole_floors)),
    ]


def event_loop_gap(path: Path, megapixels: int, n: int) -> Figure:
    """Worst time the event loop was held up while a picture loads; floor: at rest."""
    from PySide6.QtCore import QTimer

    worst, floors = [], []
    with _stage() as (canvas, loader):
        timer = QTimer()
        ticks: list[float] = []
        timer.timeout.connect(lambda: ticks.append(perf_counter()))
        timer.start(4)
        for _ in range(n):
            ticks.clear()
            _run_until(lambda: len(ticks) > 200)
            floors.append(worst_gap(ticks))
            ticks.clear()
            _load(canvas, loader, path)
            worst.append(worst_gap(ticks))
    return Figure(
        f"worst gap of the event loop, loading {megapixels} megapixels",
        "ms",
        tuple(worst),
        tuple(floors),
        "every one <= 33 ms",
        f"worst of all {max(worst):.0f} ms; a tick comes every 4 ms",
    )


def moving_about(path: Path, megapixels: int, n: int = 120) -> list[Figure]:
    """Frames of panning and zooming, and pointer moves that move one mark."""
    from PySide6.QtCore import QPointF
    from PySide6.QtWidgets import QApplication

    with _stage() as (canvas, loader):
        _load(canvas, loader, path)
        drawing = crowded_drawing(canvas.picture_size.width(), canvas.picture_size.height())
        canvas.show_figure(drawing)
        canvas.repaint()
        viewport = canvas.viewport()

        def zoom(step: int) -> None:
            canvas.zoom_at(QPointF(700, 450), 1.12 if step % 40 < 20 else 1 / 1.12)
            viewport.repaint()

        def pan(step: int) -> None:
            canvas.pan(-7 if step % 60 < 30 else 7, -3)
            QApplication.processEvents()

        figures = [
            Figure(
                f"{what}, {megapixels} megapixels with {N_LANDMARKS} landmarks and "
                f"{N_OUTLINES} outlines of {N_POINTS} points",
                "ms",
                tuple(_times(frame, n)),
                goal="95 % <= 16 ms",
                note=f"{VIEW[0]} × {VIEW[1]}, ratio {canvas.devicePixelRatioF():g}",
            )
            for what, frame in (("zoom frame", zoom), ("pan frame", pan))
        ]
        canvas.fit()
        _run_for(0.3)
        whole = [_timed(viewport.repaint) for _ in range(20)]
        figures.append(
            Figure("the same at rest, everything in sight drawn anew", "ms", tuple(whole))
        )
        figures.append(_pointer_moves(canvas, drawing, n))
        return figures


def crowded_drawing(width: int, height: int) -> Drawing:
    """Return a figure with many landmarks and long outlines."""
    dots = tuple(
        Dot(
            f"dot {i}",
            f"mark {i}",
            Point(
                width * (0.05 + 0.9 * (i % 25) / 24), height * (0.05 + 0.9 * (i // 25) / 19)
            ),
            "M",
            Sentence("plain", {"words": "mark"}),
        )
        for i in range(N_LANDMARKS)
    )
    outlines = tuple(
        Outline(f"outline {k}", f"margin {k}", _ring(width, height, 0.16 + 0.06 * k), True)
        for k in range(N_OUTLINES)
    )
    return Drawing(width, height, (*outlines, *dots), 0.02)


def _ring(width: int, height: int, share: float) -> tuple[Point, ...]:
    turns = (i * 2 * pi / N_POINTS for i in range(N_POINTS))
    return tuple(
        Point(
            width / 2 + share * width * cos(t) * (1 + 0.04 * sin(9 * t)),
            height / 2 + share * width * sin(t) * (1 + 0.04 * sin(9 * t)),
        )
        for t in turns
    )


def _pointer_moves(canvas: Any, drawing: Drawing, n: int) -> Figure:
    """Move one mark at every pointer move, as a drag does, and paint."""
    from PySide6.QtWidgets import QApplication

    at = N_OUTLINES + N_LANDMARKS // 2
    figures = []
    for step in range(n):
        marks: list[Mark] = list(drawing.marks)
        moved = marks[at]
        assert isinstance(moved, Dot)
        point = Point(moved.point.x + 20 * step, moved.point.y + 10 * step)
        marks[at] = replace(moved, point=point)
        # As the session does, every other mark is made anew too, though it is the same.
        marks = [replace(mark) for mark in marks]
        figures.append(replace(drawing, marks=tuple(marks)))

    def move(step: int) -> None:
        canvas.show_figure(figures[step])
        QApplication.processEvents()

    return Figure(
        f"pointer move with one of {N_LANDMARKS} landmarks, figure and paint",
        "ms",
        tuple(_times(move, n)),
        goal="95 % <= 16 ms with measures and candidates",
    )


@contextmanager
def _stage() -> Iterator[tuple[Any, Any]]:
    """Give a canvas on the screen and a loader."""
    from app.background.pictures import PictureLoader
    from app.canvas import PictureCanvas

    canvas, loader = PictureCanvas(), PictureLoader()
    canvas.resize(*VIEW)
    canvas.show()
    try:
        yield canvas, loader
    finally:
        loader.close()
        canvas.close()


def _load(canvas: Any, loader: Any, path: Path) -> tuple[float, float]:
    """Return the milliseconds from the call to the painted preview and the painted whole."""
    from PySide6.QtCore import QSize

    done: dict[str, float] = {}

    def show(name: str, levels: list[Any]) -> None:
        canvas.set_levels(levels)
        canvas.viewport().repaint()
        done[name] = perf_counter()

    links = [
        loader.opened.connect(lambda _token, size: canvas.begin_picture(size)),
        loader.previewed.connect(lambda _token, image: show("preview", [image])),
        loader.levels.connect(lambda _token, levels: show("whole", levels)),
        loader.failed.connect(lambda _token, why: done.update(failed=1.0, whole=1.0)),
    ]
    begun = perf_counter()
    loader.load(path, QSize(*VIEW))
    _run_until(lambda: "whole" in done)
    for link in links:
        loader.disconnect(link)
    if "failed" in done:
        raise RuntimeError(f"{path} was not loaded")
    return (done["preview"] - begun) * 1000, (done["whole"] - begun) * 1000


def _bare(path: Path, *, reduced: bool) -> float:
    """Return the milliseconds of Qt's decoder alone."""
    from PySide6.QtCore import QSize, Qt
    from PySide6.QtGui import QImageReader

    begun = perf_counter()
    reader = QImageReader(str(path))
    if reduced:
        room = QSize(*VIEW)
        reader.setScaledSize(reader.size().scaled(room, Qt.AspectRatioMode.KeepAspectRatio))
    if reader.read().isNull():
        raise RuntimeError(reader.errorString())
    return (perf_counter() - begun) * 1000


def _run_until(done: Callable[[], bool]) -> None:
    """Let the event loop turn as it does in the program, until something is so."""
    from PySide6.QtCore import QEventLoop, QTimer

    loop, timer = QEventLoop(), QTimer()
    begun = perf_counter()

    def look() -> None:
        if done() or perf_counter() - begun > TIMEOUT_S:
            loop.quit()

    timer.timeout.connect(look)
    timer.start(2)
    loop.exec()
    timer.stop()
    if not done():
        raise TimeoutError


def _run_for(seconds: float) -> None:
    begun = perf_counter()
    _run_until(lambda: perf_counter() - begun > seconds)


def _times(work: Callable[[int], None], n: int) -> list[float]:
    return [_timed(lambda step=step: work(step)) for step in range(n)]  # type: ignore[misc]


def _timed(work: Callable[[], None]) -> float:
    begun = perf_counter()
    work()
    return (perf_counter() - begun) * 1000


if __name__ == "__main__":
    main()
