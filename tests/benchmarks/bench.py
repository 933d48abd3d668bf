"""The whole window at work: a landmark under the pointer, a long list, a full record."""

from __future__ import annotations

import tempfile
import time
from pathlib import Path

from tests.benchmarks.figure import Figure


def measure(n: int = 60) -> list[Figure]:
    """Return what a pointer move costs until measures and candidates are repainted."""
    from PySide6.QtWidgets import QApplication

    from app.application import begin, fill, make_shell
    from app.session import deeds
    from app.settings import Settings
    from landmarks.geometry import Point

    application = QApplication.instance() or QApplication([])
    settings = Settings(Path(tempfile.mkdtemp()) / "settings.json")
    settings.set("started_before", "yes")
    shell = make_shell(settings)
    shell.show()
    bench = fill(shell, settings)
    begin(bench)
    session = bench.session
    end = time.monotonic() + 30
    while time.monotonic() < end and not (session.assessment and bench.canvas.has_picture):
        application.processEvents()
    for _ in range(200):
        application.processEvents()
        time.sleep(0.005)
    frame = session.frame
    umbo = session.specimen.placed(frame.id)["umbo"]
    times = []
    for step in range(n):
        place = Point(umbo.points[0].x + step % 7, umbo.points[0].y - step % 11)
        begun = time.perf_counter()
        session.preview(deeds.moved(session.specimen, umbo.id, 0, place))
        application.processEvents()
        times.append((time.perf_counter() - begun) * 1000)
    session.preview(None)
    shell.close()
    return [
        Figure(
            "pointer move with a landmark to repainted picture, measures and candidates",
            "ms",
            tuple(times),
            goal="95 % <= 16 ms",
        )
    ]
