"""What was left out for a quick start is loaded while nobody waits: no first key stalls."""

from __future__ import annotations

from importlib import import_module

from PySide6.QtCore import QObject, QTimer

from app.window.late import Late
from app.window.strips import INSTRUMENTS, STRIPS

FIRST_MS, NEXT_MS = 400, 20
"""How long after the picture the first module is loaded, and between two of them."""

AT_WORK = (
    "app.instruments.ruler",
    "app.instruments.edge_trace",
    "app.instruments.series",
    "app.instruments.folds",
    "app.instruments.plane",
    "app.instruments.margins",
)
"""Instruments, those first that are taken up most."""

OTHERS = (
    "app.panels.key_sheet",
    "app.panels.specimen_table",
    "app.panels.sorting_table",
    "landmarks.intake.grouping",
    "landmarks.intake.taking",
)
"""Pages in the place of the picture, and what taking in one picture needs."""


def late_modules() -> tuple[str, ...]:
    """Return every module that is loaded late, in the order in which it is warmed up."""
    strips = (*STRIPS.values(), *INSTRUMENTS.values())
    named = [one.module for one in strips if isinstance(one, Late)]
    # A strip before its instrument: the strip needs parts of it alone.
    return tuple(dict.fromkeys((*named, *AT_WORK, *OTHERS)))


class Warming(QObject):
    """Loads one module a turn of the event loop, so that nothing waits for more than one."""

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self._left = list(late_modules())
        self._timer = QTimer(self, singleShot=True)
        self._timer.timeout.connect(self._load_next)

    @property
    def is_warming(self) -> bool:
        """Return whether there is still something to load after it has begun."""
        return self._timer.isActive()

    def begin(self) -> None:
        """Begin once what is on the bench can be read."""
        if self._left and not self._timer.isActive():
            self._timer.start(FIRST_MS)

    def _load_next(self) -> None:
        import_module(self._left.pop(0))
        if self._left:
            self._timer.start(NEXT_MS)
