"""Garbage looked for on the screen thread alone.

Python looks for garbage in whichever thread makes the next object. A widget that is found
there by a worker is destroyed beside the window that still draws, which Qt does not survive.
So workers look for none, and the screen thread does so in short turns of its own.
"""

from __future__ import annotations

import gc
from time import monotonic

from PySide6.QtCore import QCoreApplication, QObject, QTimer
from PySide6.QtGui import QCursor

EVERY_MS = 100
"""Between two looks at how much has been made."""

YOUNG, MIDDLE = 700, 8000
"""So many things made ask for a look through the young, and through those that outlived it.

What is looked through is counted, not how often: so that a look is a few milliseconds long
also while a worker makes ten thousand things a second (half a microsecond each, measured)."""

WHOLE_AFTER_S, WHOLE_AT_LAST_S = 60.0, 300.0
"""Between two looks through everything, which take longest: at the earliest, if all is at rest
then, and at the latest. A worker that makes ten thousand changes holds as many things again
for a moment only, which would be looked through as well."""

SET_ASIDE_AFTER_S = 10.0
"""After the start: what is there by then is the program itself, and looked through no more."""

_NAME = "tidying"


class Tidying(QObject):
    """Looks for garbage now and then, the young first; there is one for the application."""

    def __init__(self, application: QCoreApplication) -> None:
        super().__init__(application)
        self.setObjectName(_NAME)
        self._began = self._whole_at = monotonic()
        self._set_aside = False
        self._outlived = self._old = 0
        self._pointer = QCursor.pos()
        timer = QTimer(self)
        timer.setInterval(EVERY_MS)
        timer.timeout.connect(self.tidy)
        timer.start()

    def tidy(self) -> None:
        """Look through what has been made, and seldom through everything."""
        made = gc.get_count()[0]
        pointer, self._pointer = self._pointer, QCursor.pos()
        at_rest = pointer == self._pointer and made <= YOUNG
        if self._old > MIDDLE and self._is_time_for_all(at_rest=at_rest):
            self._whole_at = monotonic()
            self._outlived = self._old = 0
            gc.collect()
        elif self._outlived + made > MIDDLE:
            self._old += self._outlived + made
            self._outlived = 0
            gc.collect(1)
        elif made > YOUNG:
            self._outlived += made
            gc.collect(0)
        if not self._set_aside and monotonic() - self._began > SET_ASIDE_AFTER_S:
            self._set_aside = True
            gc.freeze()

    def _is_time_for_all(self, *, at_rest: bool) -> bool:
        since = monotonic() - self._whole_at
        return since > (WHOLE_AFTER_S if at_rest else WHOLE_AT_LAST_S)


def tidy_here(application: QCoreApplication) -> None:
    """Let garbage be looked for on this thread alone, from now on."""
    gc.disable()
    if application.findChild(Tidying, _NAME) is None:
        Tidying(application)
