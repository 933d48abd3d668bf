"""From starting the process to the first paint, and to the worked example being readable.

Every start is one after the first: Python has translated our modules already and kept the
translation, in a folder of this run alone, whatever the surroundings say about writing it.
"""

from __future__ import annotations

import atexit
import json
import os
import shutil
import subprocess
import sys
import tempfile
from functools import cache
from pathlib import Path
from typing import Any

from tests.benchmarks.figure import Figure

ROOT = Path(__file__).parents[2]

FLOOR = """
import json, time
from PySide6.QtWidgets import QApplication, QMainWindow
from PySide6.QtCore import QTimer
class Bare(QMainWindow):
    def paintEvent(self, event):
        QTimer.singleShot(0, application.quit)
application = QApplication([])
window = Bare()
window.resize(1600, 1000)
window.show()
application.exec()
told = {"painted": time.time(), "spent": time.process_time()}
print(json.dumps(told), flush=True)
import os; os._exit(0)
"""

PROGRAM = """
import json, sys, tempfile, time
from pathlib import Path
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication
from app.application import begin, fill, make_shell
from app.settings import Settings
told = {}
def painted():
    global bench
    told["painted"] = time.time()
    told["modules"] = sorted(sys.modules)
    bench = fill(shell, settings)
    bench.session.changed.connect(changed)
    bench.canvas.pictured.connect(lambda: changed(None))
    begin(bench)
def changed(aspects):
    ready = bench.session.assessment is not None and bench.canvas.has_picture
    if ready and "readable" not in told:
        told["readable"] = -1
        QTimer.singleShot(0, readable)
def readable():
    bench.repaint()
    told.update(readable=time.time(), spent=time.process_time())
    print(json.dumps(told), flush=True)
    import os; os._exit(0)
application = QApplication([])
settings = Settings(Path(tempfile.mkdtemp()) / "settings.json")
shell = make_shell(settings)
shell.painted.connect(painted)
shell.show()
application.exec()
"""

HEAVY = ("numpy", "PIL", "scipy", "skimage", "shapely", "sqlalchemy")


def measure(n: int = 9) -> list[Figure]:
    """Return first paint and readable example, each beside the bare window of the same run."""
    _run(PROGRAM)
    runs = [(_run(FLOOR), _run(PROGRAM)) for _ in range(n)]
    bare = tuple(floor["painted"] for floor, _ in runs)
    modules = runs[-1][1]["modules"]
    heavy = sorted({one.split(".")[0] for one in modules} & set(HEAVY))
    note = f"{len(modules)} modules loaded, of the heavy ones: {', '.join(heavy) or 'none'}"
    return [
        Figure(
            "first paint of the window",
            "ms",
            tuple(told["painted"] for _, told in runs),
            bare,
            "ratio <= 1.6",
            note,
        ),
        Figure(
            "worked example readable",
            "ms",
            tuple(told["readable"] for _, told in runs),
            bare,
            "ratio <= 5",
        ),
        Figure(
            "worked example readable, processor time",
            "ms",
            tuple(told["spent"] for _, told in runs),
            tuple(floor["spent"] for floor, _ in runs),
            note="all threads; the picture is decoded beside the screen thread",
        ),
    ]


@cache
def _translated() -> str:
    """Return the folder where this run keeps what Python translated."""
    folder = tempfile.mkdtemp(prefix="translated-")
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    return folder


def _run(script: str) -> dict[str, Any]:
    """Return what a start tells: its moments from its beginning and its work, in ms."""
    import time

    environment = {
        **os.environ,
        "QT_QPA_PLATFORM": "offscreen",
        "PYTHONPATH": str(ROOT),
        "PYTHONDONTWRITEBYTECODE": "",
        "PYTHONPYCACHEPREFIX": _translated(),
    }
    begun = time.time()
    done = subprocess.run(
        [sys.executable, "-c", script],
        capture_output=True,
        text=True,
        env=environment,
        cwd=ROOT,
        timeout=60,
        check=False,
    )
    if not done.stdout:
        raise RuntimeError(done.stderr)
    told = json.loads(done.stdout.splitlines()[-1])
    since = {"painted": begun, "readable": begun, "spent": 0.0}
    for key, start in since.items():
        if key in told:
            told[key] = (told[key] - start) * 1000
    return told
