"""Windows of a picture file in colour and in lightness, the file decoded once and no more.

::

    file -> decoded once, upright -> strips on disk (or in memory, of a small picture)
                                  -> one reduced copy in memory
    window at a whole step       <- the one or the other

A hundred megapixels are 300 MB; kept in memory they would crowd everything else out. So they
go to a nameless file of the system, from where a window costs as much as its own pixels, and
what was looked at lately is kept by the system for as long as there is room. All work is done
in strips of a few milliseconds that let other threads run in between.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from tempfile import TemporaryFile
from threading import Lock
from time import sleep
from typing import IO, TYPE_CHECKING, Any

from landmarks.geometry import Box, Point
from landmarks.instruments.pixels import Window, window_of

if TYPE_CHECKING:
    from numpy import uint8
    from numpy.typing import NDArray
    from PIL.Image import Image

    from landmarks.instruments.edges import Pixels

IN_MEMORY_BYTES = 64 * 1024 * 1024
"""A picture of up to so many bytes is kept in memory, a larger one on disk."""

REDUCED = 4
"""The reduced copy has one pixel for so many by so many."""

_STRIP_PIXELS = 400_000
_BREATH_S = 0.0005
"""Pause between strips: a thread that keeps letting go for an instant starves all others."""

_MOST_BLOCKS = 256
"""Blocks of 16 MB that Pillow may keep meanwhile: the largest picture it opens, twice."""

_PLAIN = ("RGB", "L")
_SWAPPED = (5, 6, 7, 8)


class Crops:
    """Cuts windows out of a picture file: ``crop(box, step)``, as the edge trace wants them.

    Decoded when the first window is asked for, by the thread that asks; others wait. Use it
    off the thread of the screen, and close it when the picture is put away.

    Parameters
    ----------
    path
        The picture; never written to.
    in_memory_bytes
        The most that is kept in memory at full size.
    """

    def __init__(self, path: Path, in_memory_bytes: int = IN_MEMORY_BYTES) -> None:
        self._path = path
        self._in_memory_bytes = in_memory_bytes
        self._lock = Lock()
        self._full: Pixels | None = None
        self._reduced: Pixels | None = None
        self._file: IO[bytes] | None = None

    def __call__(self, box: Box, step: int) -> tuple[Pixels, Point]:
        """Return pixels (rows, columns, 3) of a box, reduced by a step, and their corner.

        A step of :data:`REDUCED` or a multiple of it starts on a pixel of the reduced copy,
        which may lie a little outside the box; the corner that is returned tells.

        Raises
        ------
        PictureError
            If the file cannot be opened or decoded.
        """
        full, reduced = self._decoded()
        if step % REDUCED == 0:
            small = Box(*(side / REDUCED for side in box))
            pixels, corner = _cut(reduced, small, step // REDUCED)
            return pixels, Point(corner.x * REDUCED, corner.y * REDUCED)
        return _cut(full, box, step)

    @property
    def size(self) -> tuple[int, int]:
        """Return upright width and height, in pixels."""
        full, _ = self._decoded()
        return int(full.shape[1]), int(full.shape[0])

    def light(self, box: Box) -> Window:
        """Return lightness of a box at full size, as the ruler and the folds want it."""
        pixels, corner = self(box, 1)
        return Window(window_of(pixels).light, int(corner.x), int(corner.y))

    def close(self) -> None:
        """Give memory and disk back; asked again, the file is decoded again."""
        with self._lock:
            self._forget()

    def _forget(self) -> None:
        self._full = self._reduced = None
        file, self._file = self._file, None
        if file is not None:
            file.close()

    def _decoded(self) -> tuple[Pixels, Pixels]:
        with self._lock:
            if self._full is None or self._reduced is None:
                try:
                    with _given_back_in_blocks():
                        self._full, self._reduced = self._decode()
                except BaseException:
                    self._forget()
                    raise
            return self._full, self._reduced

    def _decode(self) -> tuple[Pixels, Pixels]:
        from landmarks.picture import opened, orientation, upright

        with opened(self._path) as image:
            turn = 1 if image.format == "TIFF" else orientation(image)
            if image.mode in _PLAIN and "transparency" not in image.info:
                # What needs no conversion is carried over turning, without a second copy.
                # Looking for the orientation may have decoded it already.
                if image.fp is not None:  # type: ignore[attr-defined]
                    image.fp = _Breathing(image.fp)  # type: ignore[attr-defined]
                image.load()
                return self._carried(image, turn)
        return self._carried(upright(self._path), 1)

    def _carried(self, image: Image, turn: int) -> tuple[Pixels, Pixels]:
        """Return a decoded picture carried over strip by strip, and its reduced copy."""
        import numpy as np

        width, height = image.size
        shape = (width, height) if turn in _SWAPPED else (height, width)
        full = self._room((*shape, 3))
        lying = _as_in_file(full, turn)
        rows = max(1, _STRIP_PIXELS // width)
        for top in range(0, height, rows):
            bottom = min(height, top + rows)
            strip = np.asarray(image.crop((0, top, width, bottom)))
            lying[top:bottom] = strip if strip.ndim == 3 else strip[..., None]
            sleep(_BREATH_S)
        whole = Box(0, 0, shape[1], shape[0])
        return full, _cut(full, whole, min(REDUCED, *shape))[0]

    def _room(self, shape: tuple[int, int, int]) -> NDArray[uint8]:
        """Return room for the whole picture: in memory, or in a nameless file."""
        import numpy as np

        if shape[0] * shape[1] * shape[2] > self._in_memory_bytes:
            with suppress(OSError):  # A full disk must not cost the instruments.
                self._file = TemporaryFile(prefix="hingeline-")  # noqa: SIM115 - see close
                return np.memmap(self._file, np.uint8, "w+", shape=shape)
        return np.empty(shape, np.uint8)


class _Breathing:
    """A file that lets other threads run whenever some of it is read."""

    def __init__(self, file: IO[bytes]) -> None:
        self._file = file

    def read(self, n: int = -1) -> bytes:
        sleep(_BREATH_S)
        return self._file.read(n)

    def __getattr__(self, name: str) -> Any:
        return getattr(self._file, name)


@contextmanager
def _given_back_in_blocks() -> Iterator[None]:
    """Let Pillow keep the memory of a picture when it goes, and free it block by block.

    Four hundred megabytes freed in one call kept the interpreter lock for 40 ms.
    """
    from PIL import Image

    core = Image.core  # type: ignore[attr-defined]
    before = core.get_blocks_max()
    core.set_blocks_max(_MOST_BLOCKS)
    try:
        yield
    finally:
        for left in range(int(core.get_stats()["blocks_cached"]) - 1, before - 1, -1):
            core.clear_cache(left)
            sleep(_BREATH_S)
        core.set_blocks_max(before)


def _as_in_file(upright: NDArray[uint8], turn: int) -> NDArray[uint8]:
    """Return a view of upright pixels that lies as the file does (EXIF orientation)."""
    if turn in _SWAPPED:
        upright = upright.transpose(1, 0, 2)
    rows = slice(None, None, -1 if turn in (3, 4, 7, 8) else None)
    columns = slice(None, None, -1 if turn in (2, 3, 6, 7) else None)
    return upright[rows, columns] if turn not in _SWAPPED else upright[columns, rows]


def _cut(pixels: Pixels, box: Box, step: int) -> tuple[Pixels, Point]:
    """Return a box of pixels reduced by a step, and its corner; at least one pixel."""
    import numpy as np

    rows, columns = pixels.shape[:2]
    left = min(max(0, int(box.x)), columns - 1)
    top = min(max(0, int(box.y)), rows - 1)
    right = min(columns, max(left + 1, int(box.x + box.width) + 1))
    bottom = min(rows, max(top + 1, int(box.y + box.height) + 1))
    corner = Point(float(left), float(top))
    if step == 1 or min(right - left, bottom - top) < step:
        return np.array(pixels[top:bottom, left:right]), corner
    tall, wide = (bottom - top) // step, (right - left) // step
    made = np.empty((tall, wide, 3), np.uint8)
    lines = max(1, _STRIP_PIXELS // (wide * step * step))
    for first in range(0, tall, lines):
        last = min(tall, first + lines)
        part = pixels[top + first * step : top + last * step, left : left + wide * step]
        made[first:last] = _mean(part, step)
        if last < tall:
            sleep(_BREATH_S)
    return made, corner


def _mean(pixels: Pixels, step: int) -> Pixels:
    """Return the means of whole blocks of step by step pixels."""
    import numpy as np

    tall, wide = pixels.shape[0] // step, pixels.shape[1] // step
    blocks = pixels[: tall * step, : wide * step].reshape(tall, step, wide, step, 3)
    total = blocks[:, 0].astype(np.uint32)
    for row in range(1, step):
        total += blocks[:, row]
    summed = total[:, :, 0].copy()
    for column in range(1, step):
        summed += total[:, :, column]
    made: Pixels = (summed // (step * step)).astype(np.uint8)
    return made
