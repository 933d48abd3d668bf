"""The one thread that talks to the store: questions and deeds in order, each acknowledged."""

from __future__ import annotations

import sys
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from typing import Any, TypeVar

from PySide6.QtCore import QObject, Qt, QTimer, Signal

from landmarks.errors import HingelineError
from landmarks.sentences import Sentence

T = TypeVar("T")

TURN_S = 0.001
"""A worker gives the interpreter lock up after so long when the window waits for it.

Python's own five milliseconds are too long: the window asks for the lock again after every
call into Qt, several times in one turn of its own."""

PUT_OFF_MS = 60
"""So long after a deed all that it changed is painted, also what comes in a turn of its own."""


def take_short_turns() -> None:
    """Let no worker keep the window waiting for long, from now on."""
    sys.setswitchinterval(TURN_S)


class Desk(QObject):
    """Runs functions on one worker thread, in order, and brings answers to the screen thread.

    A fault that a person can mend comes back as its sentence; any other goes to the
    program's exception hook on the screen thread.
    """

    _answered = Signal(object, object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._pool = ThreadPoolExecutor(max_workers=1, thread_name_prefix="desk")
        self._open = 0
        self._closed = False
        self._put_off: Callable[[], None] | None = None
        self._screen_has_had_its_turns = QTimer(self, singleShot=True, interval=PUT_OFF_MS)
        self._screen_has_had_its_turns.timeout.connect(self._ask_what_was_put_off)
        # Queued also where the worker was quicker than whoever asked: an answer never comes
        # in the middle of the deed that asked for it.
        self._answered.connect(self._bring, Qt.ConnectionType.QueuedConnection)

    @property
    def busy(self) -> bool:
        """Return whether something asked is not yet answered."""
        return self._open > 0

    def ask(
        self,
        question: Callable[[], T],
        then: Callable[[T], None],
        failed: Callable[[Sentence], None],
    ) -> None:
        """Run ``question`` on the worker; then one of the two others on the screen thread.

        Once the desk is closed, nothing is asked any more.
        """
        self._ask_what_was_put_off()
        if self._closed:
            return
        self._open += 1
        future = self._pool.submit(question)
        future.add_done_callback(lambda done: self._hand_over(done, then, failed))

    def put_off(self, asking: Callable[[], None]) -> None:
        """Call what asks once the screen has had its turns, or before the next question.

        So what a deed changed on screen is painted first, while the worker leaves the lock of
        the interpreter alone, and whatever is asked later is answered later.
        """
        self._ask_what_was_put_off()
        self._put_off = asking
        self._screen_has_had_its_turns.start()

    def close(self) -> None:
        """Finish everything that was asked, then stop the worker; nobody is answered then."""
        self._ask_what_was_put_off()
        self._closed = True
        self._pool.shutdown(wait=True)

    def _ask_what_was_put_off(self) -> None:
        asking, self._put_off = self._put_off, None
        if asking is not None:
            asking()

    def _hand_over(
        self,
        done: Future[T],
        then: Callable[[T], None],
        failed: Callable[[Sentence], None],
    ) -> None:
        fault = done.exception()
        if isinstance(fault, HingelineError):
            sentence = fault.sentence
            self._answered.emit(lambda _: failed(sentence), None)
        elif fault is not None:
            self._answered.emit(_raiser(fault), None)
        else:
            self._answered.emit(then, done.result())

    def _bring(self, then: Callable[[Any], None], answer: Any) -> None:
        self._open -= 1
        if not self._closed:
            then(answer)


def _raiser(fault: BaseException) -> Callable[[Any], None]:
    def raise_it(_: Any) -> None:
        raise fault

    return raise_it
