"""Repeats at the window: begun, gone on with, ended; what stays shut meanwhile."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer

from app.session import Aspect, deeds
from app.session.repeating import Repeat
from landmarks.sentences import Sentence

if TYPE_CHECKING:
    from app.window.bench import Bench

SHUT = frozenset({"name", "label", "picture", "scale", "agreement", "repeats"})
"""Strips that would show or change the record while a repeat goes on."""

OPEN_MENUS = frozenset({"landmarks", "view", "help"})
OPEN_ACTIONS = frozenset(
    {
        *("undo", "redo", "next_specimen", "score", "quit"),
        "repeat_stop",
        *("next_frame", "last_frame", "turn", "level", "loupe"),
        *("zoom_in", "zoom_out", "fit", "actual_size"),
    }
)
"""What can be done while a repeat goes on; everything else waits for its end."""

_SHUT_ACTIONS = frozenset({"hide_names"})


def may_be_done(bench: Bench, action: str, menu: str) -> bool:
    """Return whether an action of a menu can be done now, as far as a repeat has a say."""
    if bench.session.repeat is None:
        return True
    return (menu in OPEN_MENUS or action in OPEN_ACTIONS) and action not in _SHUT_ACTIONS


class Repeats(QObject):
    """Puts the next landmark under the pointer, and shows the report at the end."""

    def __init__(self, bench: Bench) -> None:
        super().__init__(bench)
        self._bench = bench
        self._presented: Repeat | None = None
        bench.session.changed.connect(self._look)

    def may_open(self, strip: str) -> bool:
        """Return whether a strip may be opened; where not, it is said why."""
        session = self._bench.session
        if session.repeat is None or strip not in SHUT:
            return True
        session.notice(Sentence("repeats.not_now"))
        return False

    def begin(self, repeat: Repeat) -> None:
        """Begin a repeat: whatever strip is open would be in the way, or tell."""
        self._bench.strips.close_strip()
        self._bench.session.begin_repeat(repeat)

    def _look(self, aspects: Aspect) -> None:
        if not aspects & Aspect.SELECTION:
            return
        session, before = self._bench.session, self._presented
        repeat = session.repeat
        if repeat is None:
            self._presented = None
            if before is not None and not aspects & Aspect.COLLECTION:
                self._bench.open_strip("agreement")
        elif session.specimen is not None and repeat is not before:
            self._presented = repeat
            # Whoever listens to the same change looks at the specimen first.
            QTimer.singleShot(0, self, lambda: self._present(repeat))

    def _present(self, repeat: Repeat) -> None:
        """Close what stands open of the one before, and arm the first landmark at once."""
        bench = self._bench
        if bench.session.repeat is repeat:
            bench.strips.close_strip()
            deeds.arm(bench.session)
            bench.canvas.setFocus()
