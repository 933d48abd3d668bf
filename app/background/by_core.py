"""Pictures that the core decodes for the screen: here, or in a process of its own.

What may die is decoded apart, and so is what is large, so that it can be given up and never
holds the interpreter lock for long.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QSize
from PySide6.QtGui import QImage

from app.background.carrying import ROWS, filled
from landmarks.errors import PictureError
from landmarks.picture import (
    eight_bits,
    is_read_apart,
    opened,
    turned_upright,
    upright_size,
)

if TYPE_CHECKING:
    from PIL.Image import Image

LARGE = 16_000_000
"""Pixels above which no decoder that cannot be interrupted works in this process."""


@dataclass(frozen=True, slots=True)
class Header:
    """What is known of a picture before its pixels.

    ``width`` and ``height`` are those of the upright picture; ``reducible`` tells whether a
    small copy costs less than the whole; ``by_qt`` who decodes it; ``orientation`` is what is
    left to be applied after Qt's own reading (1: nothing); ``apart`` whether the core decodes
    it in a process of its own.
    """

    width: int
    height: int
    reducible: bool
    by_qt: bool
    orientation: int = 1
    apart: bool = False

    @property
    def size(self) -> QSize:
        """Return the upright size."""
        return QSize(self.width, self.height)


def go_on(_share: float) -> bool:
    """Return that a picture is still wanted."""
    return True


def look(path: Path, watch: Callable[[float], bool]) -> Header:
    """Return what the core says of a picture.

    Raises
    ------
    PictureError
        If it is missing, empty, no picture, damaged, above our limit of pixels, or not
        wanted any more.
    """
    with suppress(OSError):  # Whatever hinders a look at the file is said by the core.
        if path.is_dir():
            raise PictureError("picture.is_folder", file=path.name)
        if path.stat().st_size == 0:
            raise PictureError("picture.empty", file=path.name)
    with opened(path, lambda _seconds: watch(0.0)) as image:
        return header_of(path, *upright_size(image))


def header_of(path: Path, width: int, height: int) -> Header:
    """Return the header of a picture of this upright size that the core decodes."""
    apart = is_read_apart(path) or width * height > LARGE
    return Header(width, height, reducible=False, by_qt=False, apart=apart)


def whole(path: Path, header: Header, watch: Callable[[float], bool]) -> QImage:
    """Decode by the core, here or apart, and carry the pixels over strip by strip."""
    n_pixels = header.width * header.height
    if header.apart or n_pixels > LARGE:
        from landmarks.picture.apart import expected_s, strips_apart

        expected = expected_s(n_pixels)
        with strips_apart(
            path,
            n_pixels,
            raw="BGRX",
            upright=True,
            watch=lambda seconds: watch(min(seconds / expected, _NEARLY)),
        ) as strips:
            assert strips is not None
            return filled(strips, QSize(strips.width, strips.height), path)
    with opened(path) as image:
        made = eight_bits(turned_upright(image))
        return filled(_cut(made), QSize(*made.size), path)


def reduced(
    path: Path, header: Header, room: QSize, watch: Callable[[float], bool]
) -> QImage | None:
    """Return the reduced picture that a file holds beside the large one, or nothing."""
    from landmarks.picture.apart import strips_apart

    # Where its decoder dies of the reduced one, the large one may still be as it should.
    with (
        suppress(PictureError),
        strips_apart(
            path,
            header.width * header.height,
            task="reduced",
            raw="BGRX",
            room=max(room.width(), room.height()),
            watch=lambda _seconds: watch(0.0),
        ) as strips,
    ):
        if strips is not None:
            return filled(strips, QSize(strips.width, strips.height), path)
    return None


def _cut(image: Image) -> Iterator[tuple[int, bytes]]:
    """Yield the strips of a decoded picture, 32 bits a pixel and blue first."""
    for top in range(0, image.height, ROWS):
        strip = image.crop((0, top, image.width, min(top + ROWS, image.height)))
        yield top, strip.tobytes("raw", "BGRX")


_NEARLY = 0.98
"""Share of the work that is done when it takes longer than expected."""
