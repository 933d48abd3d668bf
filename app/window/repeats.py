"""Repeats at the window: begun, gone on with, ended; what stays shut meanwhile."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer

from app.panels.fields import later
from app.session import Aspect, deeds
from app.session.repeating import Due, Repeat, ask_in_turns, own_seed, read_due
from landmarks.repeats import BLIND, EVERY
from landmarks.sentences import Sentence

if TYPE_CHECKING:
    from app.window.bench import Bench

COUNT_AFTER_MS = 4000
MOST_COUNTED = 2000
"""In larger collections what is due is looked for only when somebody asks."""

OPEN_STRIPS = frozenset({"score", "landmarks", "keys", "start"})
"""Strips that neither show nor change the record; those of instruments come by themselves."""

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
        self._n_rows, self._asked = -1, 0
        self._count = later(COUNT_AFTER_MS, self, self._count_due)
        bench.session.changed.connect(self._look)
        bench.specimens.repeats_wanted.connect(lambda: bench.open_strip("repeats"))

    def may_open(self, strip: str) -> bool:
        """Return whether a strip may be opened; where not, it is said why."""
        session = self._bench.session
        if session.repeat is None or strip in OPEN_STRIPS:
            return True
        session.notice(Sentence("repeats.not_now"), "passing")
        return False

    def begin(self, repeat: Repeat) -> None:
        """Begin a repeat: whatever strip is open would be in the way, or tell."""
        self._bench.strips.close_strip()
        self._bench.session.veil.begin(repeat)

    def _look(self, aspects: Aspect) -> None:
        if aspects & (Aspect.COLLECTION | Aspect.ROWS):
            self._look_for_more(aspects)
        if not aspects & Aspect.SELECTION:
            return
        session, before = self._bench.session, self._presented
        repeat = session.repeat
        if repeat is None:
            self._presented = None
            if before is not None and not aspects & Aspect.COLLECTION:
                self._bench.strips.report(before.occasion)
        elif session.specimen is not None and repeat is not before:
            self._presented = repeat
            # Whoever listens to the same change looks at the specimen first.
            QTimer.singleShot(0, self, lambda: self._present(repeat))

    def _look_for_more(self, aspects: Aspect) -> None:
        """Count anew what is due where specimens came or went, or a repeat has ended."""
        session = self._bench.session
        if aspects & Aspect.COLLECTION:
            self._n_rows = -1
            self._bench.specimens.show_due(0)
        ended = session.repeat is None and self._presented is not None
        whole = not session.query.text and not session.query.filters
        if (session.n_rows != self._n_rows and whole) or ended:
            self._n_rows = session.n_rows
            self._count.start()

    def _count_due(self) -> None:
        session = self._bench.session
        store = session.store
        self._asked += 1
        if store is None or session.repeat is not None or self._n_rows > MOST_COUNTED:
            return
        asked = self._asked

        def counted(due: Due) -> None:
            self._bench.specimens.show_due(len(due.lot))

        # Nobody asked for it: where it cannot be read, nothing is said.
        pages = read_due(store, own_seed(session.about.id), EVERY, BLIND, session.person.id)
        ask_in_turns(
            session.desk, pages, counted, lambda _: None, lambda: asked == self._asked
        )

    def _present(self, repeat: Repeat) -> None:
        """Close what stands open of the one before, and arm the first landmark at once."""
        bench = self._bench
        if bench.session.repeat is repeat:
            bench.strips.close_strip()
            deeds.arm(bench.session)
            bench.canvas.setFocus()
