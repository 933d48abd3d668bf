"""Work beside the screen: threads that give way to the one that draws it."""

from __future__ import annotations

import os
import sys
import threading

GIVES_WAY_BY = 10
"""Steps of priority, of the twenty that Linux has, that a thread stands back."""


def give_way() -> None:
    """Let the calling thread wait for its core where somebody more urgent wants it.

    A thread cannot come back from there, so only one that never has urgent work may ask.
    Linux alone gives a thread a priority of its own (``setpriority(2)``); elsewhere, and where
    it is not allowed, nothing happens.
    """
    if sys.platform == "linux":
        # The thread that a process begins with stands for the whole process.
        if threading.current_thread() is threading.main_thread():
            return
        own = threading.get_native_id()
        try:
            stands = os.getpriority(os.PRIO_PROCESS, own)
            os.setpriority(os.PRIO_PROCESS, own, max(stands, GIVES_WAY_BY))
        except OSError:
            return
