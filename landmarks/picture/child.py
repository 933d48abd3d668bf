"""One process that decodes, as the program sees it: started, asked, watched over, ended."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from threading import Event, Thread
from time import monotonic
from typing import Any

from landmarks.errors import PictureError
from landmarks.picture.exchange import DECODE, hear, tell

LOOK_S = 0.05
"""Seconds between two looks at whether an answer is still wanted."""

GRACE_S = 0.25
"""Seconds that an unwanted answer may still take: ending and starting anew takes longer."""

DYING_S = 1.0
"""Seconds that one which has shut its pipe may take to end and to tell how."""

LONGER_S = 15.0
"""Seconds after its patience at which a child that nobody ends, ends itself."""

Watch = Callable[[float], bool]
"""Called with the seconds that have passed; returns whether the answer is still wanted."""


def still_wanted(_seconds: float) -> bool:
    """Return that an answer is still wanted."""
    return True


class Child:
    """A process that decodes, and the two pipes to it.

    ``owed`` are the bytes of pixels that it is still to hand over.

    Raises
    ------
    OSError
        If it cannot be started.
    """

    def __init__(self) -> None:
        self._process = subprocess.Popen(
            _command(),
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            creationflags=getattr(subprocess, "CREATE_NO_WINDOW", 0),
        )
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        self._questions, self._answers = self._process.stdin, self._process.stdout
        self.owed = 0

    @property
    def pid(self) -> int:
        """Return the number of the process."""
        return self._process.pid

    @property
    def is_alive(self) -> bool:
        """Return whether it can be asked."""
        return self._process.poll() is None

    def ask(self, words: dict[str, object]) -> tuple[dict[str, Any], dict[str, bytes]]:
        """Return its answer: words, and parts.

        Raises
        ------
        PictureError
            If it refuses the picture.
        OSError, EOFError
            If it has ended.
        """
        tell(self._questions, words)
        answer, parts = hear(self._answers)
        if "refused" in answer:
            raise PictureError(str(answer["refused"]), **answer["values"])
        return answer, parts

    def fill(self, room: memoryview) -> None:
        """Fill room with the bytes that follow its answer.

        Raises
        ------
        EOFError
            If it ends before.
        """
        done = 0
        while done < len(room):
            more = self._answers.readinto(room[done:])  # type: ignore[attr-defined]
            if not more:
                raise EOFError
            done += more
            self.owed -= more

    def kill(self) -> None:
        """End it at once; whoever waits for its answer waits no more."""
        with suppress(OSError):
            self._process.kill()

    def end(self, grace_s: float = 0.0) -> str:
        """End it where it does not within so many seconds, clear up, and return how it ended."""
        with suppress(subprocess.TimeoutExpired):
            self._process.wait(grace_s)
        self.kill()
        code = self._process.wait()
        for pipe in (self._questions, self._answers):
            with suppress(OSError):  # What was not written yet is not written any more.
                pipe.close()
        with suppress(ValueError):
            return signal.Signals(-code).name
        return str(code)


class Minder:
    """Watches over a child from a thread of its own: ends it where it is too slow or unwanted.

    ``verdict`` is why it was ended: ``silent``, ``unwanted``, or nothing.
    """

    def __init__(self, child: Child, patience_s: float, watch: Watch) -> None:
        self.verdict = ""
        self._child, self._patience_s, self._watch = child, patience_s, watch
        self._done = Event()
        self._thread = Thread(target=self._mind, name="minder", daemon=True)
        self._thread.start()

    def stop(self) -> None:
        """Let the child go on."""
        self._done.set()
        self._thread.join()

    def _mind(self) -> None:
        begun = monotonic()
        unwanted: float | None = None
        while not self._done.wait(LOOK_S):
            now = monotonic()
            if unwanted is None and not self._watch(now - begun):
                unwanted = now
            if now - begun > self._patience_s:
                self.verdict = "silent"
            elif unwanted is not None and now - unwanted > GRACE_S:
                self.verdict = "unwanted"
            if self.verdict:
                self._child.kill()
                return


def _command() -> list[str]:
    """Return how the process is started; it finds its modules where this one does."""
    if getattr(sys, "frozen", False):
        return [sys.executable, DECODE]
    if not sys.executable:
        raise OSError("no interpreter")
    here = str(Path(__file__).parents[2])
    places = [os.path.abspath(place) for place in sys.path if place]  # noqa: PTH100
    return [sys.executable, "-I", "-c", _BEGIN, *places, here]


_BEGIN = (
    "import sys; sys.path[:] = sys.argv[1:]; "
    "from landmarks.picture.decoder import work; work()"
)
