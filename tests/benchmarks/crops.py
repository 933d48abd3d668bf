"""Windows of a file of 100 megapixels: time, memory, and how long another thread must wait.

``python -m tests.benchmarks.crops [MEGAPIXELS]``. The wait is that of a thread which asks for
the clock every millisecond and sleeps, as the loop of a window does, while windows are cut by
another thread; its longest gap beyond the sleep is told. Read it beside the same loop alone.
"""

from __future__ import annotations

import resource
import sys
from collections.abc import Callable
from multiprocessing import Process
from pathlib import Path
from tempfile import TemporaryDirectory
from threading import Thread
from time import perf_counter, sleep

import numpy as np
from PIL import Image

from landmarks.geometry import Box, Point
from landmarks.instruments.crops import Crops
from landmarks.instruments.edges import WINDOW_PX
from landmarks.instruments.trace import Anchor, trace
from tests.benchmarks.figure import Figure, table

TICK_S = 0.001


def longest_wait_ms(work: Callable[[], object]) -> tuple[float, float]:
    """Return the longest gap of a ticking thread, and how long the work took, in ms."""
    done: list[float] = []

    def run() -> None:
        begun = perf_counter()
        work()
        done.append(1000 * (perf_counter() - begun))

    worker = Thread(target=run)
    longest = 0.0
    worker.start()
    while worker.is_alive():
        before = perf_counter()
        sleep(TICK_S)
        longest = max(longest, perf_counter() - before - TICK_S)
    worker.join()
    return 1000 * longest, done[0]


def measure(megapixels: int = 100, n: int = 9) -> list[Figure]:
    """Return the figures for one JPEG of so many megapixels."""
    side = int((megapixels * 1e6 / 1.5) ** 0.5)
    with TemporaryDirectory() as folder:
        path = Path(folder) / "large.jpg"
        # Made by another process: what this one used to make it would blur its memory.
        maker = Process(target=_picture, args=(path, int(1.5 * side), side))
        maker.start()
        maker.join()
        before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
        alone, _ = longest_wait_ms(lambda: sleep(1.5))
        crops = Crops(path)
        decoding, took = longest_wait_ms(lambda: crops(Box(0, 0, 8, 8), 1))
        kept = _resident_mb()
        figures = [
            Figure("wait beside a thread that sleeps", "ms", (alone,)),
            Figure(f"first window of {megapixels} megapixels", "ms", (took,)),
            Figure("  wait meanwhile", "ms", (decoding,), goal="<= 33 ms"),
        ]
        hand = np.random.default_rng(1)
        for step in (1, 2, 4, 8, 16):
            wide = WINDOW_PX * step
            times, waits = [], []
            for _ in range(n):
                x, y = (
                    hand.uniform(0, max(1, 1.5 * side - wide)),
                    hand.uniform(0, max(1, side - wide)),
                )
                box = Box(float(x), float(y), wide, wide)
                wait, ms = longest_wait_ms(lambda box=box, step=step: crops(box, step))
                times.append(ms)
                waits.append(wait)
            note = f"longest wait {max(waits):.1f} ms"
            figures.append(
                Figure(
                    f"window of {WINDOW_PX} px at step {step}",
                    "ms",
                    tuple(times),
                    note=note,
                )
            )
        rim = [_rim(side, angle) for angle in np.linspace(0, 2 * np.pi, 7)[:-1]]
        anchors = [Anchor(one, snap=True) for one in rim]
        wait, ms = longest_wait_ms(lambda: trace(crops, anchors, closed=True))
        figures.append(Figure("whole outline traced from six clicks", "ms", (ms,)))
        figures.append(Figure("  wait meanwhile", "ms", (wait,), goal="<= 33 ms"))
        figures.append(
            Figure("memory while decoding, beyond the start", "MB",
                   ((resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) / 1024,))
        )  # fmt: skip
        figures.append(Figure("memory kept, process", "MB", (kept,)))
        crops.close()
        return figures


def _rim(side: int, angle: float) -> Point:
    return Point(
        float(0.75 * side + 0.5 * side * np.cos(angle)),
        float(0.5 * side + 0.33 * side * np.sin(angle)),
    )


def _picture(path: Path, width: int, height: int) -> None:
    """Write a bright ellipse on a grainy ground, strip by strip."""
    hand = np.random.default_rng(2)
    grain = hand.integers(0, 30, (512, 512, 3), dtype=np.uint8)
    tiled = np.tile(grain, (1, width // 512 + 1, 1))[:, :width]
    image = Image.new("RGB", (width, height))
    across = ((np.arange(width) + 0.5 - 0.75 * height) / (0.5 * height)) ** 2
    for top in range(0, height, 512):
        rows = min(512, height - top)
        down = ((np.arange(top, top + rows) + 0.5 - 0.5 * height) / (0.33 * height)) ** 2
        inside = (across[None, :] + down[:, None]) < 1
        strip = tiled[:rows] + np.where(inside[..., None], 180, 60).astype(np.uint8)
        image.paste(Image.fromarray(strip), (0, top))
    image.save(path, quality=90)


def _resident_mb() -> float:
    for line in Path("/proc/self/status").read_text(encoding="ascii").splitlines():
        if line.startswith("RssAnon"):
            return int(line.split()[1]) / 1024
    return float("nan")


if __name__ == "__main__":
    size = int(sys.argv[1]) if len(sys.argv) > 1 else 100
    figures = measure(size)
    sys.stdout.write(table(figures) + "\n")
