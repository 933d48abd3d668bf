"""One of Qt's readers, watched from beside while it decodes, and cut off from its file.

Qt holds locks of its own while it looks for the decoder of a file. A file that Python made
asks for the interpreter lock in there, if only to learn that Python changed nothing of it;
the window, which holds that lock and waits for Qt to read an icon, then waits for ever. So
the file is made by Qt, and nothing of Python is called by it.

Nor is Qt asked what a file is: some of its decoders connect signals to find that out, under
a lock that the window may hold while it waits for the interpreter lock, which the worker
keeps meanwhile. The first bytes tell it as well.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path
from threading import Event, Thread

from PySide6.QtCore import QFileDevice
from PySide6.QtGui import QImage, QImageReader

LOOK_S = 0.01
"""Seconds between two looks at how far the file was read."""

SMALL = 2_000_000
"""Pixels up to which a picture is decoded before anybody could want it no more."""


_BEGINNINGS = (
    (b"\xff\xd8\xff", "jpeg"),
    (b"\x89PNG\r\n\x1a\n", "png"),
    (b"P1", "pbm"),
    (b"P4", "pbm"),
    (b"P2", "pgm"),
    (b"P5", "pgm"),
    (b"P3", "ppm"),
    (b"P6", "ppm"),
)


def format_of(path: Path) -> str:
    """Return which of the formats that are trusted to Qt a file begins as.

    Empty where it is none of them, or cannot be read, which the core says in a sentence.

    JPEG by ISO/IEC 10918-1, PNG by its specification, WebP by RFC 9649, the others by the
    pages of Netpbm, all from memory. BMP and GIF Qt shows half without a word, and a TIFF it
    maps into memory, where a drive that goes away would take the program with it.
    """
    try:
        with path.open("rb") as file:
            beginning = file.read(12)
    except OSError:
        return ""
    if beginning[:4] == b"RIFF" and beginning[8:] == b"WEBP":
        return "webp"
    return next((name for sign, name in _BEGINNINGS if beginning.startswith(sign)), "")


def reader_of(path: Path) -> QImageReader:
    """Return a reader for what a file begins as, whatever it is called; else it reads none."""
    reader = QImageReader(str(path), format_of(path).encode())
    reader.setAutoDetectImageFormat(False)
    return reader


def read_watched(
    reader: QImageReader, path: Path, watch: Callable[[float], bool]
) -> QImage | None:
    """Return what a reader decodes; None where it was not wanted any more.

    Parameters
    ----------
    reader
        One of :func:`reader_of`, told what is wanted of the picture.
    watch
        Called now and then, on a thread of its own, with the share of the file that was
        read; returns whether to go on. After a no, nothing stands behind the file any more,
        and the decoder finds its end there. Where the system does not tell which file is
        open (Windows), only the beginning and the end are told, and decoding goes on.
    """
    if not watch(0.0):
        return None
    done, unwanted = Event(), Event()
    n_bytes = max(1, path.stat().st_size)
    handle = _handle_of(reader)

    def look() -> None:
        while not done.wait(LOOK_S):
            if not watch(min(1.0, os.lseek(handle, 0, os.SEEK_CUR) / n_bytes)):
                unwanted.set()
                _cut_off(handle)
                return

    looking = Thread(target=look, name="watched reader", daemon=True)
    if handle >= 0:
        looking.start()
    try:
        image = reader.read()
    finally:
        done.set()
        if handle >= 0:
            looking.join()
    return None if unwanted.is_set() or not watch(1.0) else image


def _handle_of(reader: QImageReader) -> int:
    """Return the number under which the system has the file of a large picture, or -1."""
    size = reader.size()  # Only now is it opened.
    if size.width() * size.height() <= SMALL:
        return -1
    device = reader.device()
    return device.handle() if isinstance(device, QFileDevice) else -1


def _cut_off(handle: int) -> None:
    nothing = os.open(os.devnull, os.O_RDONLY)
    os.dup2(nothing, handle, inheritable=False)
    os.close(nothing)
