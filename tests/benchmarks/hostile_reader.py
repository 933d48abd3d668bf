"""A process that reads pictures which may kill it, and who watches it.

The child reads one path a line and answers each stage with a line of JSON; the parent
lets no stage use more processor time than it was told to, and starts another child where
one died or hangs. Time of the processor, because a busy machine is no hanging file; that of
the process which decodes apart counts with it, and so does its memory.
"""

from __future__ import annotations

import json
import os
import select
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from threading import Event, Thread
from typing import Any

ROOT = Path(__file__).parents[2]
COUNTS_FROM = 8_000_000
"""Announced bytes from which measured memory is compared."""
NEAR = 12.0
ALIKE = 0.9
COMPARING_S = 60.0
USUAL_PIXELS = 24_000_000
"""Pictures above this get more patience, in proportion: decoding them is work, no hanging."""
LEFT_FROM = 4_000_000
"""Pixels from which a picture is also left in the middle, to see how soon that is answered."""
LEFT_AFTER_S = 0.3
BARE_DECODER = 60_000_000
"""Bytes that a process which decodes holds before it does; it may be a new one."""
ROOM = (1600, 1000)
"""Device pixels of the canvas, for the first sight of a picture."""
ASLEEP_S = 300.0
"""Wall time after which a child that uses no processor hangs as well."""


@dataclass
class Asked:
    """What came of one file."""

    refused: str = ""
    crashed: str = ""
    raised: str = ""
    hung: str = ""
    wrong: str = ""
    slowest: float = 0.0
    seen: float = 0.0
    left: float = 0.0
    ratio: float = 0.0


class Reader:
    """The parent: asks a child for one file after the other."""

    def __init__(self, patience_s: float, *, compare: bool = True) -> None:
        self._patience_s, self._compare = patience_s, compare
        self._child: subprocess.Popen[bytes] | None = None
        self._heard = b""

    def __enter__(self) -> Reader:
        return self

    def __exit__(self, *_: object) -> None:
        self._end()

    def ask(self, path: Path) -> Asked:
        """Let a file be read; return what came of it."""
        child = self._child or self._begun()
        assert child.stdin is not None
        asked = [str(path), self._compare]
        child.stdin.write(json.dumps(asked).encode() + b"\n")
        child.stdin.flush()
        found = Asked()
        stage, patience = "header", self._patience_s
        while True:
            answer = self._answer(patience)
            if isinstance(answer, str):
                if answer == "silent":
                    found.hung = f"at {stage}, for more than {patience:.0f} s"
                else:
                    found.crashed = f"at {stage}, {answer}"
                self._end()
                return found
            if answer.get("done"):
                return found
            stage = answer.pop("stage", stage)
            pixels = answer.pop("pixels", 0)
            for name, value in answer.items():
                known = getattr(found, name)
                most = name in ("slowest", "ratio", "seen", "left")
                setattr(found, name, max(known, value) if most else known or value)
            patience = COMPARING_S if stage == "comparing" else self._patience_s
            patience *= max(1.0, pixels / USUAL_PIXELS)

    def _begun(self) -> subprocess.Popen[bytes]:
        self._child = subprocess.Popen(
            [sys.executable, "-m", "tests.benchmarks.hostile_reader"],
            cwd=ROOT,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
        )
        self._heard = b""
        ready = self._answer(COMPARING_S)
        assert isinstance(ready, dict), ready
        return self._child

    def _answer(self, patience: float) -> dict[str, Any] | str:
        child = self._child
        assert child is not None
        assert child.stdout is not None
        used, asleep = float("inf"), time.monotonic() + ASLEEP_S
        while b"\n" not in self._heard:
            if not select.select([child.stdout], [], [], 0.25)[0]:
                spent = _processor_s(child.pid, _children(child.pid))
                used = min(used, spent + patience)
                if spent > used or time.monotonic() > asleep:
                    return "silent"
                continue
            more = os.read(child.stdout.fileno(), 65536)
            if not more:
                return f"ended with {child.wait()}"
            self._heard += more
        line, self._heard = self._heard.split(b"\n", 1)
        return dict(json.loads(line))

    def _end(self) -> None:
        if self._child is not None:
            self._child.kill()
            self._child.wait()
            for pipe in (self._child.stdin, self._child.stdout):
                assert pipe is not None
                pipe.close()
        self._child = None


def _processor_s(process: int, children: Sequence[int]) -> float:
    """Return the processor time of a process and of its children, in seconds.

    By Linux's own account; of the children that have ended as well.
    """
    ticks = 0
    for one in (process, *children):
        words = _account(one)
        ticks += sum(int(word) for word in words[11:15])
    return ticks / os.sysconf("SC_CLK_TCK")


def _children(process: int) -> list[int]:
    every = (int(one.name) for one in Path("/proc").iterdir() if one.name.isdecimal())
    return [one for one in every if _account(one)[1:2] == [str(process)]]


def _account(process: int) -> list[str]:
    """Return what Linux says of a process, after its name; nothing if there is none."""
    try:
        return Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()
    except OSError:
        return []


def quiet() -> None:
    """Give the rest of this machine precedence."""
    os.nice(5)


_DECODERS: list[int] = []
"""The processes that decode for this one, also those that have ended."""


# -- the child -----------------------------------------------------------------------------


def read(path: Path, say: Callable[..., None], *, compare: bool) -> None:
    """Read one file every way we read pictures, and say what came of each."""
    from PySide6.QtCore import QSize

    from app.background import decoding
    from landmarks.errors import HingelineError
    from landmarks.picture import memory_to_decode, opened, read_picture, upright

    announced = pixels = 0

    def announce() -> None:
        nonlocal announced, pixels
        with opened(path) as image:
            announced, pixels = memory_to_decode(image), image.width * image.height

    kept: dict[str, Any] = {}
    refused: dict[str, str] = {}
    stages: tuple[tuple[str, Callable[[], Any]], ...] = (
        ("header", lambda: read_picture(path)),
        ("announcing", announce),
        ("look", lambda: decoding.look(path)),
        ("sight", lambda: decoding.first_sight(path, kept["look"], QSize(*ROOM))),
        ("whole", lambda: decoding.whole(path, kept["look"])),
        ("thumbnail", lambda: decoding.thumbnail(path, QSize(256, 256))),
        ("core", lambda: upright(path)),
        ("leaving", lambda: _leave(path, kept["look"])),
    )
    seen, is_seen = 0.0, False
    for stage, work in stages:
        say(stage=stage, pixels=pixels)
        if stage in ("sight", "whole", "leaving") and "look" not in kept:
            continue
        if stage == "leaving" and pixels < LEFT_FROM:
            continue
        begun = _processor_s(os.getpid(), _DECODERS)
        with _peak() as peak:
            try:
                kept[stage] = work()
            except HingelineError as fault:
                str(fault)  # The sentence must stand in the tables of sentences.
                refused[stage] = fault.sentence.key
            except Exception as fault:
                say(raised=f"at {stage}, {type(fault).__name__}: {str(fault)[:90]}")
        took = _processor_s(os.getpid(), _DECODERS) - begun
        used = {"slowest": took if stage != "leaving" else 0.0}
        if stage in ("look", "sight", "whole") and not is_seen:
            seen += took
            used["seen"] = seen
            is_seen = stage in refused or (stage != "look" and kept.get(stage) is not None)
        if stage == "leaving" and stage in kept:
            used["left"] = kept.pop(stage)
        if stage in ("whole", "core") and announced >= COUNTS_FROM and stage in kept:
            # The picture of the screen itself comes on top of what the core announces.
            used["ratio"] = peak[0] / (announced + 4 * pixels * (stage == "whole"))
        say(**used)
    say(stage="comparing", pixels=pixels)
    if refused:
        last = next(reversed(refused.values()))
        say(refused=refused.get("whole", refused.get("look", last)))
    if compare and (wrong := _wrong(path, kept, refused)):
        say(wrong=wrong)


def _leave(path: Path, header: Any) -> float:
    """Begin to decode, want it no more, and return the seconds until that is answered."""
    from app.background import decoding
    from landmarks.errors import PictureError

    begun = time.monotonic()

    def watch(_share: float) -> bool:
        return time.monotonic() - begun < LEFT_AFTER_S

    with suppress(PictureError):
        decoding.whole(path, header, watch)
    return max(0.0, time.monotonic() - begun - LEFT_AFTER_S)


@contextmanager
def _peak() -> Iterator[list[int]]:
    """Give how many bytes more than before were held at most, by both processes at once.

    By Linux's own account: the peak of each, and what both hold together, looked at some
    fifty times a second.
    """
    peak, me = [0], os.getpid()
    family = [me, *_DECODERS]
    bare = {one: _status("VmRSS", one) for one in family}
    bare |= {one: max(bare[one], BARE_DECODER) for one in family[1:]}
    for one in family:
        with suppress(OSError):
            Path(f"/proc/{one}/clear_refs").write_text("5")
    done = Event()

    def look() -> None:
        while not done.wait(0.02):
            now = {one: _status("VmRSS", one) for one in (me, *_DECODERS)}
            held = sum(n - bare.get(one, BARE_DECODER) for one, n in now.items() if n)
            peak[0] = max(peak[0], held)

    looking = Thread(target=look)
    looking.start()
    try:
        yield peak
    finally:
        done.set()
        looking.join()
    for one in (me, *_DECODERS):
        peak[0] = max(peak[0], _status("VmHWM", one) - bare.get(one, BARE_DECODER))


def _status(name: str, process: int) -> int:
    with suppress(OSError):
        for line in Path(f"/proc/{process}/status").read_text().splitlines():
            if line.startswith(name):
                return int(line.split()[1]) * 1024
    return 0


def _wrong(path: Path, kept: dict[str, Any], refused: dict[str, str]) -> str:
    """Return how what we show differs from what Pillow decodes, or nothing."""
    import numpy as np
    from PIL import Image, ImageOps

    from landmarks.heif import is_heif, odd_item
    from landmarks.picture import FORMATS, MAX_PIXELS, eight_bits
    from landmarks.picture.opening import _heif_decoder

    if path.stat().st_size and is_heif(path) and odd_item(path):
        return ""  # Pillow would not survive it.
    assert _heif_decoder()
    try:
        with Image.open(path, formats=(*FORMATS, "HEIF")) as image:
            if image.width * image.height > MAX_PIXELS:
                return ""
            profile = bool(image.info.get("icc_profile"))
            made = eight_bits(ImageOps.exif_transpose(image))
    except Exception:  # Whatever Pillow says of it, it does not open it.
        made = None
    shown = kept.get("whole")
    if made is None:
        return ""
    if shown is None:
        return f"Pillow opens it; we say {refused or 'nothing'}"
    if made.size != (shown.width(), shown.height()):
        return f"{shown.width()} x {shown.height()}, by Pillow {made.size}"
    header = kept.get("header")
    if header is not None and (header.width, header.height) != made.size:
        return f"the header says {header.width} x {header.height}, Pillow {made.size}"
    ours = np.frombuffer(shown.constBits(), np.uint8)
    ours = ours.reshape(shown.height(), shown.bytesPerLine())[:, : shown.width() * 4]
    ours = ours.reshape(shown.height(), shown.width(), 4)[..., 2::-1]
    every = 1 + made.width * made.height // 4_000_000  # Rows enough of a huge picture.
    theirs = np.asarray(made)[::every].astype(np.float32)
    ours = ours[::every].astype(np.float32)
    apart = float(np.abs(ours - theirs).mean())
    if apart <= NEAR:
        return ""
    wide = image.mode in ("I", "F") or image.mode.startswith("I;16")
    if (profile or wide) and _alike(ours, theirs):
        return ""
    return f"{apart:.0f} of 255 apart from Pillow ({image.format}, {image.mode})"


def _alike(ours: Any, theirs: Any) -> bool:
    import numpy as np

    pair = [one.mean(axis=2).ravel() for one in (ours, theirs)]
    if min(one.std() for one in pair) < 1:
        return bool(np.abs(pair[0] - pair[1]).mean() < 40)
    return bool(np.corrcoef(*pair)[0, 1] > ALIKE)


def _work() -> None:
    import resource
    import warnings

    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    warnings.simplefilter("ignore")
    out = os.dup(1)
    os.dup2(2, 1)  # What a decoder itself writes must not stand between the answers.

    def say(**words: object) -> None:
        os.write(out, json.dumps(words).encode() + b"\n")

    from PySide6.QtGui import QGuiApplication

    application = QGuiApplication([])
    assert application is not None
    from app.background import decoding
    from landmarks.picture import apart, upright

    class Noted(apart.Child):
        def __init__(self) -> None:
            super().__init__()
            _DECODERS.append(self.pid)

    apart.Child = Noted  # type: ignore[misc]
    decoding.prepare()
    # A burst of memory ends this process and not the machine.
    resource.setrlimit(resource.RLIMIT_AS, (12 * 2**30, 12 * 2**30))
    for picture in sorted((ROOT / "demo_images").glob("*.jpg"))[:2]:
        upright(picture)  # What is loaded only once must not count for the first file.
        decoding.whole(picture, decoding.look(picture))
    say(ready=True)
    for line in sys.stdin:
        path, compare = json.loads(line)
        read(Path(path), say, compare=compare)
        say(done=True)


if __name__ == "__main__":
    _work()
