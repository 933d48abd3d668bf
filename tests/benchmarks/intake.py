"""Taking in a dive: 400 pictures of 24 megapixels read, sorted, saved and shown small."""

from __future__ import annotations

import os
from concurrent.futures import ThreadPoolExecutor
from datetime import datetime, timedelta
from pathlib import Path
from statistics import mean
from tempfile import TemporaryDirectory
from time import perf_counter
from uuid import uuid4

from tests.benchmarks.canvas import make_picture
from tests.benchmarks.figure import Figure, table, worst_gap
from tests.benchmarks.sitting import sittings

N_PICTURES, MEGAPIXELS = 400, 24
N_DIFFERENT = 4
TIMEOUT_S = 300.0
REST_MS = 3000


def measure(n: int = 3) -> list[Figure]:
    """Return how soon the list and the thumbnails of a dive are there."""
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    with TemporaryDirectory() as name:
        folder = Path(name)
        dive = folder / "dive"
        dive.mkdir()
        size = make_dive(dive)
        return [
            *list_usable(dive, folder, size, n),
            *thumbnails(dive),
            *sittings(dive, folder),
        ]


def main() -> None:
    """Print the table."""
    print(table(measure()))  # noqa: T201


def make_dive(folder: Path) -> float:
    """Write 400 pictures as a camera does, every one another content; return MB of each."""
    from PIL import Image

    exif = Image.Exif()
    contents: list[bytes] = []
    for seed in range(N_DIFFERENT):
        path = make_picture(folder / "made.jpg", MEGAPIXELS, seed)
        with Image.open(path) as image:
            image.save(path, quality=78)
        contents.append(path.read_bytes())
        path.unlink()
    now = datetime(2024, 3, 12, 9, 0, 0)
    for i in range(N_PICTURES):
        now += timedelta(seconds=90 if i % 5 == 0 else 6)
        exif[0x010F], exif[0x0110] = "Inventor Works", "Reef Eye 3"
        exif[0x8769] = {0x9003: now.strftime("%Y:%m:%d %H:%M:%S"), 0xA405: 60}
        block = b"Exif\0\0" + exif.tobytes().removeprefix(b"Exif\0\0")
        segment = b"\xff\xe1" + (len(block) + 2).to_bytes(2, "big") + block
        content = contents[i % N_DIFFERENT]
        (folder / f"IMG_{i:04}.JPG").write_bytes(content[:2] + segment + content[2:])
    return mean(len(one) for one in contents) / 1e6


def list_usable(dive: Path, folder: Path, size_mb: float, n: int) -> list[Figure]:
    """Time until 400 pictures are read, sorted into animals and saved; floor: hashing alone."""
    from landmarks import intake
    from landmarks.picture import hash_file
    from landmarks.storage import open_sqlite

    paths = intake.files_in([dive])
    floors, reading, whole = [], [], []
    n_groups = 0
    for i in range(n):
        begun = perf_counter()
        with ThreadPoolExecutor(2) as pool:
            list(pool.map(hash_file, paths))
        floors.append((perf_counter() - begun) * 1000)
        begun = perf_counter()
        found, _ = intake.read_all(intake.files_in([dive]))
        reading.append((perf_counter() - begun) * 1000)
        proposal = intake.by_time(intake.shots_of(found))
        n_groups = len(proposal.groups)
        made = intake.take_in(
            intake.recognise(found, ()), proposal, new_id=lambda: str(uuid4())
        )
        store = open_sqlite(folder / f"{i}.hingeline", create=True)
        store.commit(made.deed.change_set(id=str(uuid4()), at="2024-03-12T00:00:00Z"))
        rows = store.list()
        whole.append((perf_counter() - begun) * 1000)
        store.close()
        assert len(rows) == n_groups
    name = f"{N_PICTURES} pictures of {MEGAPIXELS} megapixels"
    note = f"{size_mb:.1f} MB each, files in memory; floor: hashing alone on two threads"
    return [
        Figure(f"{name} read", "ms", tuple(reading), tuple(floors), note=note),
        Figure(
            f"{name} read, sorted and saved",
            "ms",
            tuple(whole),
            tuple(floors),
            "<= 2000 ms",
            f"{n_groups} specimens in one change set; floor as above",
        ),
    ]


def thumbnails(folder: Path) -> list[Figure]:
    """Time until all thumbnails are there, in the window's own loader, and its worst gap."""
    from PySide6.QtCore import QEventLoop, QTimer
    from PySide6.QtWidgets import QApplication

    from app.background.pictures import PictureLoader
    from app.window.thumbnails import SIZE
    from landmarks.intake import files_in

    QApplication.instance() or QApplication([])
    loader, loop = PictureLoader(), QEventLoop()
    paths = files_in([folder])
    come: list[float] = []
    ticks: list[float] = []
    begun = perf_counter()

    def arrived(*_: object) -> None:
        come.append((perf_counter() - begun) * 1000)
        if len(come) == len(paths):
            loop.quit()

    loader.thumbnailed.connect(arrived)
    loader.failed.connect(arrived)
    timer, limit = QTimer(), QTimer()
    timer.timeout.connect(lambda: ticks.append(perf_counter()))
    timer.start(4)
    limit.timeout.connect(loop.quit)
    limit.start(REST_MS)
    loop.exec()
    at_rest = worst_gap(ticks)
    ticks.clear()
    limit.start(round(TIMEOUT_S * 1000))
    begun = perf_counter()
    for path in paths:
        loader.want_thumbnail(path, SIZE)
    loop.exec()
    loader.close()
    if len(come) < len(paths):
        raise RuntimeError(f"{len(paths) - len(come)} thumbnails did not come")
    name = f"thumbnails of {len(paths)} pictures of {MEGAPIXELS} megapixels"
    return [
        Figure(f"{name}, the last one", "ms", (come[-1],), goal="<= 30000 ms"),
        Figure(f"{name}, the first screen of 40", "ms", (come[39],)),
        Figure(
            f"{name}, worst gap of the event loop",
            "ms",
            (worst_gap(ticks),),
            (at_rest,),
            "<= 33 ms",
            "a tick comes every 4 ms; floor: three seconds at rest",
        ),
    ]


if __name__ == "__main__":
    main()
