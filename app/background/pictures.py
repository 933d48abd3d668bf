"""Opens pictures for the canvas: a small copy first, then the whole as a pyramid."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import nullcontext
from dataclasses import dataclass
from itertools import count
from pathlib import Path
from threading import Lock
from time import monotonic
from typing import Any

from PySide6.QtCore import QObject, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QImage
from shiboken6 import isValid

from app.background import decoding
from app.background.by_core import Header
from landmarks.errors import PictureError
from landmarks.geometry import Box
from landmarks.picture import is_read_apart
from landmarks.sentences import Sentence
from landmarks.threads import give_way

USUAL_ROOM = QSize(1600, 1000)

_PREVIEW_SHARE = 0.2
_WHOLE_SHARE = 0.85
_LEAST_SHARE = 0.02

_PAINTED = "painted"
"""What is done once all that was told before has been painted."""

SAID_AFTER_S = 1.0
"""Seconds after which the expected time is said, if it is a long one."""

LONG_S = 4.0
"""Seconds that are long: somebody who waits for them wants to know of what and till when."""


@dataclass(frozen=True, slots=True)
class _Ahead:
    """The first view of the picture that probably comes next; ``stamp`` knows the file."""

    path: Path
    room: QSize
    stamp: tuple[int, int]
    header: Header
    preview: QImage


class PictureLoader(QObject):
    """Loads one picture at a time in the background; the last one asked for wins.

    Every answer carries the token that :meth:`load` or :meth:`want_thumbnail` returned;
    answers of an abandoned picture are dropped. Nothing of a picture is kept here once it
    was handed over, but for the reduced copy of the one that probably comes next.

    Signals: ``opened(token, QSize)`` gives the upright full size, ``previewed(token,
    QImage)`` a reduced copy, ``levels(token, list[QImage])`` the pyramid with the largest
    first, ``progressed(token, share)`` 0 to 1, ``waiting(token, Sentence)`` why the whole
    takes long and till when, ``thumbnailed(token, QImage)``, and ``failed(token, Sentence)``
    what is wrong and the way out.
    """

    opened = Signal(int, QSize)
    previewed = Signal(int, object)
    levels = Signal(int, object)
    progressed = Signal(int, float)
    waiting = Signal(int, object)
    thumbnailed = Signal(int, object)
    failed = Signal(int, object)

    _arrived = Signal(str, int, object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        decoding.prepare()
        self._tokens = count(1)
        self._current = 0
        self._unseen = 0
        self._wanted_thumbnails: set[int] = set()
        # Two threads, so that a preview need not wait for a whole picture that was abandoned;
        # the lock sees to it that never two whole pictures are decoded at once.
        self._views = ThreadPoolExecutor(2, "picture")
        # Nobody waits for small copies as for the screen itself.
        self._thumbnails = ThreadPoolExecutor(1, "thumbnail", initializer=give_way)
        self._one_whole = Lock()
        self._ahead: _Ahead | None = None
        self._closed = False
        self._arrived.connect(self._deliver, Qt.ConnectionType.QueuedConnection)

    def load(self, path: Path, size_hint: QSize | None = None) -> int:
        """Load a picture, abandoning the one before; return its token.

        ``size_hint`` is the room for the first view, in device pixels.
        """
        token = self._current = self._unseen = next(self._tokens)
        room = QSize(size_hint or USUAL_ROOM)
        self._views.submit(
            self._guarded, token, path, lambda: self._load(token, path, room)
        )
        return token

    @property
    def is_awaited(self) -> bool:
        """Return whether nothing can be seen yet of the picture being loaded."""
        return self._unseen == self._current != 0

    def prepare(self, path: Path, room: QSize) -> None:
        """Make the reduced copy of the picture that probably comes next, and keep it.

        What is wrong with it is said when it is loaded.
        """
        if not self._closed and (self._ahead is None or self._ahead.path != path):
            token = self._current
            self._views.submit(self._look_ahead, token, path, QSize(room))

    def release(self) -> None:
        """Abandon the picture being loaded, if any."""
        self._current = next(self._tokens)

    def want_thumbnail(self, path: Path, box: QSize, region: Box | None = None) -> int:
        """Ask for a small copy of a picture or of a region (box in device pixels)."""
        token = next(self._tokens)
        self._wanted_thumbnails.add(token)

        def work() -> None:
            if token in self._wanted_thumbnails:
                # What is decoded apart holds its memory there, and lets others go on.
                with nullcontext() if is_read_apart(path) else self._one_whole:
                    image = decoding.thumbnail(
                        path, box, region, lambda _share: token in self._wanted_thumbnails
                    )
                if not image.isNull():
                    self._tell("thumbnailed", token, image)

        self._thumbnails.submit(self._guarded, token, path, work)
        return token

    def forget_thumbnails(self) -> None:
        """Drop the small copies that were asked for and have not come yet."""
        self._wanted_thumbnails.clear()

    def close(self) -> None:
        """Abandon everything and wait for the threads to end."""
        self._closed = True
        self.release()
        self.forget_thumbnails()
        self._views.shutdown(cancel_futures=True)
        self._thumbnails.shutdown(cancel_futures=True)

    def _load(self, token: int, path: Path, room: QSize) -> None:
        if token != self._current:
            return
        ahead, self._ahead = self._ahead, None
        if ahead is not None and (ahead.path, ahead.room) == (path, room):
            if ahead.stamp == _stamp(path):
                self._tell("opened", token, ahead.header.size)
                self._tell("previewed", token, ahead.preview)
            else:
                ahead = None
        else:
            ahead = None
        watch = self._until_seen(token, path)
        header = decoding.look(path, watch)
        seen = ahead is not None
        if not seen:
            self._tell("opened", token, header.size)
            if token == self._current:
                first = decoding.first_sight(path, header, room, watch)
                if first is not None and not first.isNull():
                    seen = True
                    self._tell("previewed", token, first)
        self._tell("progressed", token, _PREVIEW_SHARE)

        def whole() -> None:
            with self._one_whole:
                if token == self._current:
                    self._load_whole(token, path, header, room, seen=seen)

        if seen:
            # The first view is on the screen before the whole takes a core of its own.
            self._tell(_PAINTED, token, lambda: self._go_on(token, path, whole))
        else:
            whole()

    def _go_on(self, token: int, path: Path, work: Callable[[], None]) -> None:
        if not self._closed:
            self._views.submit(self._guarded, token, path, work)

    def _look_ahead(self, token: int, path: Path, room: QSize) -> None:
        if token != self._current:
            return
        try:
            stamp, header = _stamp(path), decoding.look(path, self._wants(token))
            preview = decoding.first_sight(path, header, room, self._wants(token))
            if preview is not None and not preview.isNull():
                self._ahead = _Ahead(path, room, stamp, header, preview)
        except (PictureError, OSError, MemoryError):
            self._ahead = None

    def _load_whole(
        self, token: int, path: Path, header: Header, room: QSize, *, seen: bool
    ) -> None:
        said, begun, patience_s = _PREVIEW_SHARE, monotonic(), SAID_AFTER_S

        def watch(share: float) -> bool:
            nonlocal said, patience_s
            passed = monotonic() - begun
            if passed > patience_s:
                expected = passed / max(share, _LEAST_SHARE)
                patience_s = max(2 * passed, expected)
                if expected > LONG_S or not seen:
                    self._tell("waiting", token, _waiting(path, header, expected))
            now = _PREVIEW_SHARE + share * (_WHOLE_SHARE - _PREVIEW_SHARE)
            if now - said > 0.02:
                said = now
                self._tell("progressed", token, now)
            return token == self._current

        image = decoding.whole(path, header, watch)
        if token != self._current:
            return
        if not header.reducible and image.width() > room.width():
            self._tell("previewed", token, decoding.sample(image, room))
        made = []
        for level in decoding.pyramid(image):
            if token != self._current:
                return
            made.append(level)
        self._tell("progressed", token, 1.0)
        self._tell("levels", token, made)

    def _until_seen(self, token: int, path: Path) -> Callable[[float], bool]:
        """Return what tells whether a picture is still wanted, and says if it takes time."""
        begun, said = monotonic(), False

        def watch(_share: float) -> bool:
            nonlocal said
            if not said and monotonic() - begun > SAID_AFTER_S:
                said = True
                self._tell(
                    "waiting", token, Sentence("picture.takes_time", {"file": path.name})
                )
            return token == self._current

        return watch

    def _wants(self, token: int) -> Callable[[float], bool]:
        """Return what tells a decoder whether its picture is still wanted."""
        return lambda _share: token == self._current

    def _guarded(self, token: int, path: Path, work: Callable[[], None]) -> None:
        """Do the work; whatever goes wrong becomes one sentence."""
        try:
            work()
        except PictureError as fault:
            self._tell("failed", token, fault.sentence)
        except MemoryError:
            self._tell("failed", token, Sentence("picture.no_memory", {"file": path.name}))
        except (
            Exception
        ) as fault:  # A stranger's file may do anything but stop the program.
            values = {"file": path.name, "reason": str(fault)[:120]}
            self._tell("failed", token, Sentence("picture.cannot_read", values))

    def _tell(self, what: str, token: int, value: object) -> None:
        if isValid(self):
            self._arrived.emit(what, token, value)

    def _deliver(self, what: str, token: int, value: Any) -> None:
        """Hand an answer on, in the thread of the window, if it is still wanted."""
        if what in ("thumbnailed", "failed") and token in self._wanted_thumbnails:
            self._wanted_thumbnails.discard(token)
        elif token != self._current:
            return
        elif what == _PAINTED:
            QTimer.singleShot(0, self, value)
            return
        elif what in ("previewed", "levels", "failed"):
            self._unseen = 0
        getattr(self, what).emit(token, value)


def _waiting(path: Path, header: Header, expected_s: float) -> Sentence:
    """Return why the whole picture takes long, and how long."""
    mega = round(header.width * header.height / 1e6)
    values = {"file": path.name, "mega": mega, "seconds": round(expected_s)}
    return Sentence("picture.takes_long", values)


def _stamp(path: Path) -> tuple[int, int]:
    """Return what changes where the file is written again."""
    found = path.stat()
    return found.st_mtime_ns, found.st_size
