"""The process that decodes: it answers one question after the other, and may die of them.

It is started by :mod:`~.apart` and ends with the program that started it, however that ends:
its questions come through a pipe that then is shut. A decoding that outlasts its patience
is ended from within as well, should nobody be left to do it from without.
"""

from __future__ import annotations

import faulthandler
import os
import signal
import sys
from collections.abc import Callable
from contextlib import suppress
from io import BytesIO
from pathlib import Path
from queue import SimpleQueue
from threading import Thread
from typing import TYPE_CHECKING, Any, BinaryIO, NoReturn

from landmarks.errors import HingelineError
from landmarks.heif import in_whole_blocks, thumbnails_first
from landmarks.picture.exchange import hear, rows_of_strip, tell
from landmarks.picture.opening import opened_here
from landmarks.picture.pixels import (
    MEMORY_LIMIT,
    check_memory,
    eight_bits,
    n_pictures,
    turned_upright,
)

if TYPE_CHECKING:
    from PIL.Image import Image

BESIDE_BYTES = 2_000_000_000
"""Address space beside the pixels: the program itself, and the stacks and pools of threads."""

LARGEST_FILE = 500_000_000
"""Bytes of a file that is looked through for a reduced picture."""

_Said = tuple[dict[str, Any], dict[str, bytes]]

SAME_SHAPE = 0.02
"""How far the shape of a reduced picture may be off; else it shows something else."""


def work() -> NoReturn:
    """Answer questions until the program that asks them ends."""
    answers = _prepared()
    questions: SimpleQueue[dict[str, Any]] = SimpleQueue()
    Thread(target=_listen, args=(questions,), daemon=True).start()
    with Path(os.devnull).open("wb") as nowhere:
        while True:
            asked = questions.get()
            # Counts down in a thread that needs no interpreter lock, and then ends it all.
            faulthandler.dump_traceback_later(asked["patience_s"], exit=True, file=nowhere)
            try:
                _answer(asked, answers)
            except OSError:
                os._exit(0)  # Nobody listens any more.
            faulthandler.cancel_dump_traceback_later()


def _prepared() -> BinaryIO:
    """Set the limits of this process; return the pipe for its answers."""
    answers = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)  # What a decoder itself writes must not stand between the answers.
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # The program decides what Ctrl+C ends.
    if sys.platform == "win32":
        import msvcrt

        # No box on the screen that waits until somebody has read of the crash.
        msvcrt.SetErrorMode(msvcrt.SEM_FAILCRITICALERRORS | msvcrt.SEM_NOGPFAULTERRORBOX)
    else:
        import resource

        for kind, most in (
            (resource.RLIMIT_AS, MEMORY_LIMIT + BESIDE_BYTES),
            (resource.RLIMIT_CORE, 0),
        ):
            # Not every system knows every limit, and none may be raised again.
            with suppress(ValueError, OSError):
                _, hard = resource.getrlimit(kind)
                least = most if hard == resource.RLIM_INFINITY else min(most, hard)
                resource.setrlimit(kind, (least, least))
    return answers


def _listen(questions: SimpleQueue[dict[str, Any]]) -> None:
    try:
        # Not by sys.stdin, which a program without a console need not have.
        with os.fdopen(os.dup(0), "rb") as pipe:
            while True:
                questions.put(hear(pipe)[0])
    finally:
        os._exit(0)


def _answer(asked: dict[str, Any], answers: BinaryIO) -> None:
    path = Path(asked["path"])
    try:
        found: Image | _Said = _QUESTIONS[asked["task"]](path, asked)
    except HingelineError as fault:
        sentence = fault.sentence
        tell(answers, {"refused": sentence.key, "values": dict(sentence.values)})
        return
    except MemoryError:
        tell(answers, {"refused": "picture.no_memory", "values": {"file": path.name}})
        return
    except Exception as fault:  # Whatever a stranger's file brings about is said.
        values = {"file": path.name, "reason": str(fault)[:120] or type(fault).__name__}
        tell(answers, {"refused": "picture.damaged", "values": values})
        return
    if isinstance(found, tuple):
        tell(answers, *found)
    else:
        _hand_over(found, str(asked["raw"]), answers)


def _header(path: Path, _asked: dict[str, Any]) -> _Said:
    """Return what is known of a picture before its pixels, and what its tags are read from."""
    with opened_here(path) as image:
        known = {str(name): value for name, value in image.info.items()}
        words = {
            "mode": image.mode,
            "size": image.size,
            "format": str(image.format),
            "n_frames": n_pictures(image),
            "info": {
                name: value
                for name, value in known.items()
                if isinstance(value, str | int | float | bool)
            },
        }
        parts = {name: value for name, value in known.items() if isinstance(value, bytes)}
    return words, parts


def _pixels(path: Path, asked: dict[str, Any]) -> Image:
    with opened_here(path) as image:
        if asked["upright"]:
            return eight_bits(turned_upright(image))
        check_memory(image)
        image.load()
        return _kept(image)


def _kept(image: Image) -> Image:
    """Return the pixels of an open picture, which outlive its file, without copying them."""
    return image._new(image.im)


def _reduced(path: Path, asked: dict[str, Any]) -> Image | _Said:
    """Return the smallest picture in a HEIC file that is large enough, or the largest."""
    room = int(asked["room"])
    found = sorted(_thumbnails(path), key=lambda one: _unfit(max(one[0].size), room))
    for small, content in found:
        with suppress(Exception):  # One that cannot be decoded is none.
            return eight_bits(turned_upright(small))
        with suppress(Exception):
            blocks, box = in_whole_blocks(content, *small.size)
            return eight_bits(turned_upright(_opened_heif(blocks)).crop(box))
    return {"none": True}, {}


def _thumbnails(path: Path) -> list[tuple[Image, bytes]]:
    """Return the reduced pictures of a HEIC file that have the shape of the large one."""
    with opened_here(path) as image:
        shape = image.width / image.height
        if image.format != "HEIF" or path.stat().st_size > LARGEST_FILE:
            return []
    found = []
    for content in thumbnails_first(path.read_bytes()):
        with suppress(Exception):  # One that cannot be opened is none.
            small = _opened_heif(content)
            if abs(small.width / small.height / shape - 1) < SAME_SHAPE:
                found.append((small, content))
    return found


def _opened_heif(content: bytes) -> Image:
    from PIL.Image import open as open_picture

    return open_picture(BytesIO(content), formats=["HEIF"])


def _unfit(longer: int, room: int) -> tuple[bool, int]:
    return (False, longer) if longer >= room else (True, -longer)


def _hand_over(image: Image, raw: str, answers: BinaryIO) -> None:
    """Say what the pixels are, then write them strip by strip, from the top."""
    raw = raw or image.mode
    width, height = image.size
    each = len(image.crop((0, 0, 1, 1)).tobytes("raw", raw))
    tell(answers, {"mode": image.mode, "size": image.size, "each": each})
    rows = rows_of_strip(width, each)
    for top in range(0, height, rows):
        strip = image.crop((0, top, width, min(height, top + rows)))
        answers.write(strip.tobytes("raw", raw))
    answers.flush()


_QUESTIONS: dict[str, Callable[[Path, dict[str, Any]], Image | _Said]] = {
    "header": _header,
    "pixels": _pixels,
    "reduced": _reduced,
}
