"""The program as it starts, with one thread that answers where things are on the screen.

Questions come as lines on standard input, answers go as JSON lines to standard output, so
that another program can move the real pointer to the right place.
"""

import json
import sys
import threading
from pathlib import Path

from PySide6.QtCore import QObject, QPointF, Signal
from PySide6.QtWidgets import QApplication

import app.window.files
from app.application import begin, fill, make_shell
from app.settings import read_settings
from landmarks.geometry import Point


class Ears(QObject):
    """Brings lines of standard input to the screen thread."""

    heard = Signal(str)

    def listen(self):
        for line in sys.stdin:
            self.heard.emit(line.strip())


def main():
    folder = Path(sys.argv[1])
    app.window.files.own_folder = lambda: folder
    application = QApplication(sys.argv[:1])
    settings = read_settings(folder / "settings.json")
    settings.set("started_before", "yes")
    shell = make_shell(settings)
    shell.resize(1400, 900)
    made = []

    def painted():
        bench = fill(shell, settings)
        made.append(bench)
        begin(bench, [Path(one) for one in sys.argv[2:]])

    def heard(line):
        word, *rest = line.split()
        answer = ANSWERS[word](made[0], *rest) if made else None
        sys.stdout.write(json.dumps(answer) + "\n")
        sys.stdout.flush()

    ears = Ears()
    ears.heard.connect(heard)
    shell.painted.connect(painted)
    threading.Thread(target=ears.listen, daemon=True).start()
    shell.show()
    shell.activateWindow()
    sys.exit(application.exec())


def where(bench, x, y):
    """Return the place on the screen of a place on the picture."""
    place = bench.canvas.place_of(Point(float(x), float(y)))
    there = bench.canvas.viewport().mapToGlobal(QPointF(place))
    return [round(there.x()), round(there.y())]


def state(bench):
    """Return what is on the bench."""
    session = bench.session
    found = {} if session.assessment is None else session.assessment.measures
    return {
        "ready": bool(session.frame and not session.example and bench.canvas.has_picture),
        "view": session.frame.view if session.frame else "",
        "tool": session.tool.landmark or session.tool.kind if session.tool else "",
        "measures": {row.key: row.value.value for row in found if row.value is not None},
        "undo": str(session.undo_name or ""),
        "saved": session.saving.state == "saved",
        "focus": type(QApplication.focusWidget()).__name__,
        "path": str(session.path),
    }


ANSWERS = {"where": where, "state": state}

if __name__ == "__main__":
    main()
