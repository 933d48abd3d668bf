"""Pictures opened and decoded in a process of their own, which may die or be ended.

A decoder that dies costs one picture, and a sentence; one that gives no answer is ended; and
what is not wanted any more is given up. The pixels come through a pipe, strip by strip, so
that nothing is left behind on disk or in shared memory however either side ends.
"""

from __future__ import annotations

import atexit
import os
from collections.abc import Iterator
from contextlib import contextmanager, nullcontext
from dataclasses import dataclass
from pathlib import Path
from threading import BoundedSemaphore, Lock, Timer
from time import monotonic
from typing import TYPE_CHECKING, Any

from landmarks.errors import PictureError
from landmarks.picture.child import (
    DYING_S,
    LONGER_S,
    LOOK_S,
    Child,
    Minder,
    Watch,
    still_wanted,
)
from landmarks.picture.exchange import rows_of_strip
from landmarks.picture.opening import MAX_PIXELS

if TYPE_CHECKING:
    from landmarks.picture.lazily import ApartImage

PATIENCE_S = 20.0
"""Seconds for the header of a picture or a reduced one: a slow drive, a busy machine."""

PATIENCE_S_A_MEGAPIXEL = 1.0
"""Seconds more for its pixels; some thirty times what decoding them took."""

AT_ONCE = 2
"""Pictures that are decoded at once: each may hold as much memory as is allowed for one."""

FIRST_PACE = 20e6
"""Pixels a second that are expected before any were seen."""

LARGE = 4_000_000
"""Pixels from which on a picture tells the pace; in smaller ones all else takes the time."""

KEPT = 2
IDLE_S = 60.0
"""How many processes are kept for the next pictures, and for how many seconds."""


@dataclass(frozen=True, slots=True)
class Strips:
    """Pixels on their way: what they are, and the strips to take them from, once.

    ``raw`` says how the bytes of a pixel follow each other, ``each`` how many they are.
    """

    mode: str
    raw: str
    width: int
    height: int
    each: int
    child: Child

    def __iter__(self) -> Iterator[tuple[int, bytearray]]:
        """Yield the first row and the bytes of each strip, from the top."""
        rows = rows_of_strip(self.width, self.each)
        for top in range(0, self.height, rows):
            strip = bytearray(min(rows, self.height - top) * self.width * self.each)
            self.child.fill(memoryview(strip))
            yield top, strip


@contextmanager
def opened_apart(path: Path, watch: Watch = still_wanted) -> Iterator[ApartImage]:
    """Open a picture apart; a context that gives it as Pillow does, its pixels when asked for.

    Parameters
    ----------
    watch
        As for :func:`strips_apart`.

    Raises
    ------
    PictureError
        If it cannot be opened, its decoder dies or gives no answer, or it is not wanted.
    """
    from landmarks.picture.lazily import ApartImage

    with _child_for(path, PATIENCE_S, watch) as child:
        words, parts = child.ask(_question("header", path, PATIENCE_S))
    yield ApartImage(path, words, parts)


@contextmanager
def strips_apart(
    path: Path,
    n_pixels: int,
    *,
    task: str = "pixels",
    raw: str = "",
    upright: bool = False,
    room: int = 0,
    watch: Watch = still_wanted,
) -> Iterator[Strips | None]:
    """Give the pixels of a picture that is decoded apart.

    Parameters
    ----------
    n_pixels
        How many its header says, for the patience.
    task
        ``pixels``, or ``reduced``: a small picture in the file, None where it has none.
    raw
        The order of bytes that is wanted; as the picture is, where none is named.
    upright
        Whether the pixels are to be made upright RGB first.
    room
        Longer side that a reduced picture should have, in pixels.
    watch
        Called now and then with the seconds that have passed; returns whether the pixels are
        still wanted. When it says no, the process is ended.

    Raises
    ------
    PictureError
        If it cannot be decoded, its decoder dies or gives no answer, or is not wanted.
    """
    patience_s = PATIENCE_S
    if task == "pixels":
        patience_s += PATIENCE_S_A_MEGAPIXEL * n_pixels / 1e6
    asked = _question(task, path, patience_s) | {
        "raw": raw,
        "upright": upright,
        "room": room,
    }
    waits_for_others = _turn(path, watch) if task == "pixels" else nullcontext()
    with waits_for_others, _child_for(path, patience_s, watch) as child:
        begun = monotonic()
        words, _ = child.ask(asked)
        if "none" in words:
            yield None
            return
        width, height = words["size"]
        if not 0 < width * height <= MAX_PIXELS or not 0 < words["each"] <= 16:
            raise EOFError
        child.owed = width * height * words["each"]
        mode = str(words["mode"])
        yield Strips(mode, raw or mode, width, height, words["each"], child)
        if not child.owed and width * height >= LARGE:
            _PACE[0] = (_PACE[0] + width * height / (monotonic() - begun)) / 2


def expected_s(n_pixels: int) -> float:
    """Return how many seconds decoding a picture will take, as the last ones went."""
    return n_pixels / _PACE[0]


def end_all() -> None:
    """End the processes that are kept for the next pictures."""
    with _LOCK:
        idle, _IDLE[:] = list(_IDLE), []
    for child, timer in idle:
        timer.cancel()
        child.end()


@contextmanager
def _turn(path: Path, watch: Watch) -> Iterator[None]:
    """Wait until no more than :data:`AT_ONCE` pictures are decoded."""
    begun = monotonic()
    while not _DECODING.acquire(timeout=LOOK_S):
        if not watch(monotonic() - begun):
            raise PictureError("picture.given_up", file=path.name)
    try:
        yield
    finally:
        _DECODING.release()


@contextmanager
def _child_for(path: Path, patience_s: float, watch: Watch) -> Iterator[Child]:
    """Give a process for one question, watched over, and say in a sentence how it failed."""
    child = _taken(path)
    minder = Minder(child, patience_s, watch)
    try:
        yield child
    except PictureError:
        minder.stop()
        _put_back(child, minder)
        raise
    except (OSError, EOFError):
        minder.stop()
        raise _fault(path, child.end(DYING_S), minder.verdict, patience_s) from None
    except BaseException:
        minder.stop()
        child.end()
        raise
    minder.stop()
    _put_back(child, minder)


def _question(task: str, path: Path, patience_s: float) -> dict[str, Any]:
    where = os.path.abspath(path)  # noqa: PTH100 - links stay as they are
    return {"task": task, "path": where, "patience_s": patience_s + LONGER_S}


def _fault(path: Path, ended: str, verdict: str, patience_s: float) -> PictureError:
    if verdict == "unwanted":
        return PictureError("picture.given_up", file=path.name)
    if verdict == "silent":
        return PictureError(
            "picture.decoder_silent", file=path.name, seconds=round(patience_s)
        )
    return PictureError("picture.decoder_stopped", file=path.name, reason=ended)


_PACE = [FIRST_PACE]
_DECODING = BoundedSemaphore(AT_ONCE)
_LOCK = Lock()
_IDLE: list[tuple[Child, Timer]] = []
_OF_OTHERS: list[tuple[Child, Timer]] = []


def _taken(path: Path) -> Child:
    """Return a process that waits for a question: an idle one, or a new one."""
    while True:
        with _LOCK:
            if not _IDLE:
                break
            child, timer = _IDLE.pop()
        timer.cancel()
        if child.is_alive:
            return child
        child.end()
    try:
        return Child()
    except OSError as fault:
        raise PictureError(
            "picture.no_decoder", file=path.name, reason=fault.strerror or str(fault)
        ) from None


def _put_back(child: Child, minder: Minder) -> None:
    """Keep a process for the next picture, for a while; end it where it is not at rest."""
    timer = Timer(IDLE_S, _end_idle, [child])
    timer.daemon = True
    with _LOCK:
        keep = not (minder.verdict or child.owed) and len(_IDLE) < KEPT
        if keep:
            _IDLE.append((child, timer))
            timer.start()
    if not keep:
        child.end()


def _end_idle(child: Child) -> None:
    with _LOCK:
        waiting = [one for one in _IDLE if one[0] is child]
        _IDLE[:] = [one for one in _IDLE if one[0] is not child]
    for one, _ in waiting:
        one.end()


def _leave_to_parent() -> None:
    """Let a forked copy of the program leave the processes of the original alone."""
    global _LOCK, _DECODING
    _LOCK, _DECODING = Lock(), BoundedSemaphore(AT_ONCE)
    _OF_OTHERS.extend(_IDLE)
    _IDLE.clear()


atexit.register(end_all)
if hasattr(os, "register_at_fork"):
    os.register_at_fork(after_in_child=_leave_to_parent)
