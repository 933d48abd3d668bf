"""The edge trace in the real window: what the event loop waits while a margin is followed.

``python -m tests.benchmarks tracing``. The picture is the worked example's, enlarged; the
pointer goes along the true margin in steps of about 8 ms and clicks nine times, then the line
is followed anew and accepted, on a specimen with measures and candidates. The floor is a bare
loop's gap in the same run; the same way of the pointer with a point armed stands beside it.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from itertools import pairwise
from pathlib import Path
from tempfile import TemporaryDirectory
from time import perf_counter

from landmarks.geometry import Point
from tests.benchmarks.canvas import _run_until
from tests.benchmarks.figure import Figure
from tests.benchmarks.gaps import Wait, bare, gap_figures, longest_hold, wait
from tests.truths import truth_of

SIZES_MP = (24, 100)
LINE = "upper_margin_line"
N_CLICKS = 9
DEMO = Path(__file__).parents[2] / "demo_images"
NAME = "fluted-valve-outside"


def measure(n: int = 9) -> list[Figure]:
    """Return all figures."""
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    from PySide6.QtWidgets import QApplication

    QApplication.instance() or QApplication([])
    figures: list[Figure] = []
    for megapixels in SIZES_MP:
        with TemporaryDirectory() as folder:
            figures += traced(Path(folder), megapixels, n)
    return figures


def traced(folder: Path, megapixels: int, n: int) -> list[Figure]:
    """What is waited while one margin is drawn, followed anew and accepted, n times over."""
    from app.session import deeds

    path, share = enlarged(folder, megapixels)
    truth = truth_of(NAME)
    margin = [Point(x * share, y * share) for x, y in truth["more_landmarks"][LINE]]
    floors, pointing, drawing, following, accepting, took = [], [], [], [], [], []
    with window_on(path, folder) as window:
        session = window.session
        for _ in range(n + 1):
            floors.append(bare())
            deeds.arm(session, "umbo")
            pointing.append(_wait_along(window, margin, clicks=False))
            deeds.arm(session, LINE)
            drawing.append(_wait_along(window, margin, clicks=True))
            trace = session.instrument
            begun = perf_counter()
            following.append(wait(trace.accept, lambda it=trace: not it.busy))
            took.append((perf_counter() - begun) * 1000)
            accepting.append(wait(trace.accept, lambda: session.instrument is None))
            assert session.specimen.placed(session.frame.id)[LINE].points
            deeds.clear_landmark(session, LINE)
        held = _held(window, margin, n)
    # The first run loads what is needed for the first time in a program's life.
    on = f"{megapixels} megapixels"
    figures: list[Figure] = []
    for what, waits in (
        ("the pointer over the picture", pointing),
        ("drawing a trace", drawing),
        ("following it anew", following),
        ("accepting it", accepting),
    ):
        figures += gap_figures(f"{what}, {on}", waits[1:], floors[1:])
    figures.append(Figure(f"longest hold of the lock by the worker, {on}", "ms", held))
    name = f"from Enter to the line that has been followed anew, {megapixels} megapixels"
    return [*figures, Figure(name, "ms", tuple(took[1:]), note=f"{N_CLICKS} clicks")]


def _held(window, margin: list[Point], n: int) -> tuple[float, ...]:
    """Return for how long the worker keeps the lock while a line is drawn and followed."""
    from app.instruments.ahead import look_ahead, snap, step_of
    from app.instruments.crop import crop_of_levels
    from landmarks.instruments.trace import Anchor, again, follow

    crop, step = crop_of_levels(window.canvas.levels), step_of(window.canvas.zoom)
    stops = [margin[round(k * (len(margin) - 1) / (N_CLICKS - 1))] for k in range(N_CLICKS)]

    def drawn() -> None:
        for here, there in pairwise(stops):
            ahead = look_ahead(crop, snap(crop, here, step), there, step, lambda: True)
            assert ahead is not None

    def followed() -> None:
        again(crop, follow(crop, [Anchor(one) for one in stops]))

    longest_hold(drawn)
    return tuple(longest_hold(work) for _ in range(n) for work in (drawn, followed))


def enlarged(folder: Path, megapixels: int) -> tuple[Path, float]:
    """Return the example picture at another size, and by how much it was enlarged."""
    from PIL import Image

    with Image.open(DEMO / f"{NAME}.jpg") as image:
        share = (megapixels * 1e6 / (image.width * image.height)) ** 0.5
        size = round(image.width * share), round(image.height * share)
        path = folder / f"{megapixels}.jpg"
        image.convert("RGB").resize(size, Image.Resampling.BICUBIC).save(path, quality=88)
    return path, share


@contextmanager
def window_on(path: Path, folder: Path) -> Iterator:
    """Give the real window with a picture of one's own on the bench, read whole."""
    import app.window.files
    from app.application import begin, fill, make_shell
    from app.session import deeds
    from app.settings import Settings

    usual = app.window.files.own_folder
    app.window.files.own_folder = lambda: folder
    settings = Settings(folder / "settings.json")
    settings.set("started_before", "yes")
    shell = make_shell(settings)
    shell.resize(1600, 1000)
    shell.show()
    window = fill(shell, settings)
    try:
        begin(window)
        _run_until(lambda: window.session.specimen is not None)
        window.files.open_anything([path])
        _run_until(
            lambda: not window.session.example and window.session.picture is not None
        )
        _run_until(lambda: bool(window.canvas.levels))
        deeds.set_view(window.session, "outside_of_valve")
        _run_until(lambda: window.session.saving.state == "saved")
        yield window
    finally:
        app.window.files.own_folder = usual
        shell.close()
        shell.deleteLater()


def _wait_along(window, margin: list[Point], *, clicks: bool) -> Wait:
    """Return what is waited while the pointer goes along a line, clicking now and then."""
    from PySide6.QtCore import QTimer

    from tests.app import helpers_mouse as mouse

    canvas = window.canvas
    stops = {round(k * (len(margin) - 1) / (N_CLICKS - 1)) for k in range(N_CLICKS)}
    way: list[tuple[Point, bool]] = []
    for at, (a, b) in enumerate(pairwise(margin)):
        way += [(Point(a.x + (b.x - a.x) * k / 3, a.y + (b.y - a.y) * k / 3),
                 clicks and k == 0 and at in stops) for k in range(3)]  # fmt: skip
    way.append((margin[-1], clicks))
    steps = iter(way)
    done: list[bool] = []

    def step() -> None:
        point, click = next(steps, (None, False))
        if point is None:
            done.append(True)
        elif click:
            mouse.click(canvas, canvas.place_of(point))
        else:
            mouse.move(canvas, canvas.place_of(point))

    mover = QTimer()
    mover.timeout.connect(step)
    waited = wait(lambda: mover.start(8), lambda: bool(done))
    mover.stop()
    return waited
