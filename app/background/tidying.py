"""Garbage looked for on the screen thread alone.

Python looks for garbage in whichever thread makes the next object. A widget that is found
there by a worker is destroyed beside the window that still draws, which Qt does not survive.
So workers look for none, and the screen thread does so in short turns of its own.
"""

from __future__ import annotations

import gc
from time import monotonic

from PySide6.QtCore import QCoreApplication, QObject, QTimer

EVERY_MS = 250
"""Between two looks at how much has been made."""

WHOLE_AFTER_S = 60.0
"""Between two looks through everything, which take longest."""

_NAME = "tidying"


class Tidying(QObject):
    """Looks for garbage now and then, the young first; there is one for the application."""

    def __init__(self, application: QCoreApplication) -> None:
        super().__init__(application)
        self.setObjectName(_NAME)
        self._whole_at = monotonic()
        timer = QTimer(self)
        timer.setInterval(EVERY_MS)
        timer.timeout.connect(self.tidy)
        timer.start()

    def tidy(self) -> None:
        """Look through the generation that Python itself would look through now."""
        young, middle, old = (
            made > least
            for made, least in zip(gc.get_count(), gc.get_threshold(), strict=True)
        )
        if old and monotonic() - self._whole_at > WHOLE_AFTER_S:
            self._whole_at = monotonic()
            gc.collect()
        elif middle:
            gc.collect(1)
        elif young:
            gc.collect(0)


def tidy_here(application: QCoreApplication) -> None:
    """Let garbage be looked for on this thread alone, from now on."""
    gc.disable()
    if application.findChild(Tidying, _NAME) is None:
        Tidying(application)
