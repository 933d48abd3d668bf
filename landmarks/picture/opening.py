"""A picture file opened with our own limits; every fault becomes a sentence.

What begins as HEIC and AVIF do is opened in a process of its own (:mod:`~.apart`): their
decoders have died of hostile files, and cannot be interrupted.
"""

from __future__ import annotations

import struct
import warnings
import zlib
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager, suppress
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from landmarks.errors import PictureError
from landmarks.heif import is_boxed, is_heif, odd_item
from landmarks.picture.pixels import eight_bits, turned_upright

if TYPE_CHECKING:
    from PIL.Image import Image

MAX_PIXELS = 400_000_000
"""Pictures above this are refused: museums publish 150 megapixels, bombs are larger."""

FORMATS = ("JPEG", "PNG", "TIFF", "WEBP", "AVIF", "BMP", "GIF", "PPM")
"""What is tried, by its decoder's name; a file of several pictures (MPO) opens as JPEG."""

SUFFIXES = (
    ".jpg", ".jpeg", ".jpe", ".png", ".tif", ".tiff", ".webp", ".bmp", ".gif", ".mpo",
    ".ppm", ".pgm", ".heic", ".heif", ".hif", ".avif",
)  # fmt: skip
"""What is taken from a folder, by its name; a file that is named itself is always tried."""


def opened(
    path: Path, watch: Callable[[float], bool] | None = None
) -> AbstractContextManager[Image]:
    """Open a picture, here or apart; a context that gives it as Pillow does.

    Parameters
    ----------
    watch
        Called now and then with the seconds that have passed, where opening it takes time;
        returns whether it is still wanted.

    Raises
    ------
    PictureError
        If the file is no picture of a known format, damaged, or above :data:`MAX_PIXELS`;
        or if its decoder dies or gives no answer, or it is not wanted.
    """
    if is_read_apart(path):
        from landmarks.picture.apart import opened_apart
        from landmarks.picture.child import still_wanted

        return _told(path, lambda: opened_apart(path, watch or still_wanted))
    return opened_here(path)


def opened_here(path: Path) -> AbstractContextManager[Image]:
    """Open a picture in this process, whatever its decoder may do to it; see :func:`opened`."""
    return _told(path, lambda: _limited(path))


def is_read_apart(path: Path) -> bool:
    """Return whether a file is read in a process of its own, by how it begins."""
    with suppress(OSError):  # What hinders the reading is said when it is opened.
        return is_boxed(path)
    return False


def upright(path: Path) -> Image:
    """Return the whole picture, decoded and upright, as RGB.

    Raises
    ------
    PictureError
        If it cannot be opened or is cut short.
    """
    with opened(path) as image:
        return eight_bits(turned_upright(image))


def withheld(path: Path, fault: OSError) -> PictureError:
    """Return in a sentence why the system does not give a file."""
    match fault:
        case FileNotFoundError():
            folder = str(path.parent)
            return PictureError("picture.missing", file=path.name, folder=folder)
        case IsADirectoryError():
            return PictureError("picture.is_folder", file=path.name)
        case PermissionError():
            return PictureError("picture.no_permission", file=path.name)
        case _:
            reason = fault.strerror or str(fault)
            return PictureError("picture.cannot_read", file=path.name, reason=reason)


@contextmanager
def _limited(path: Path) -> Iterator[Image]:
    from PIL import Image

    Image.MAX_IMAGE_PIXELS = MAX_PIXELS
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        formats = (*FORMATS, "HEIF") if _reads_heif(path) else FORMATS
        with Image.open(path, formats=formats) as image:
            if image.width * image.height > MAX_PIXELS:
                raise Image.DecompressionBombError
            yield image


@contextmanager
def _told(
    path: Path, opening: Callable[[], AbstractContextManager[Image]]
) -> Iterator[Image]:
    """Say in a sentence whatever goes wrong while a picture is opened and used."""
    from PIL import Image, UnidentifiedImageError

    try:
        with opening() as image:
            yield image
    except (FileNotFoundError, IsADirectoryError, PermissionError) as fault:
        raise withheld(path, fault) from None
    except Image.DecompressionBombError:
        raise PictureError(
            "picture.too_large", file=path.name, limit=MAX_PIXELS // 1_000_000
        ) from None
    except UnidentifiedImageError:
        raise PictureError("picture.not_a_picture", file=path.name) from None
    except (
        OSError,
        SyntaxError,
        ValueError,
        EOFError,
        KeyError,
        IndexError,
        TypeError,
        OverflowError,
        RuntimeError,
        struct.error,
        zlib.error,
    ) as fault:
        raise PictureError(
            "picture.damaged", file=path.name, reason=str(fault)[:120]
        ) from None
    except MemoryError:
        raise PictureError("picture.no_memory", file=path.name) from None


def _reads_heif(path: Path) -> bool:
    """Return whether the file begins as HEIC does, its decoder is there and survives it."""
    if not is_heif(path) or not _heif_decoder():
        return False
    if odd := odd_item(path):
        raise PictureError("picture.damaged", file=path.name, reason=odd)
    return True


@cache
def _heif_decoder() -> bool:
    """Make the decoder of HEIC known to Pillow; it turns pictures upright by itself."""
    try:
        import pi_heif
    except ImportError:
        return False
    pi_heif.register_heif_opener(thumbnails=False, depth_images=False, aux_images=False)
    return True
