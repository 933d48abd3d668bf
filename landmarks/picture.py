"""One picture file: its hash, its upright size, when and where it was taken.

Only the header is read here. Files are never written to; a density tag of a camera is never
taken for a scale.
"""

from __future__ import annotations

import struct
import warnings
import zlib
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING, Any

from landmarks.errors import PictureError

if TYPE_CHECKING:
    from PIL.Image import Image

MAX_PIXELS = 400_000_000
"""Pictures above this are refused: museums publish 150 megapixels, bombs are larger."""

TURNED = (5, 6, 7, 8)
"""EXIF orientations that swap width and height (CIPA DC-008, from memory)."""

FORMATS = ("JPEG", "PNG", "TIFF", "WEBP", "BMP", "GIF", "PPM")
"""What is tried, by its decoder's name; a file of several pictures opens as JPEG too."""


@dataclass(frozen=True, slots=True)
class PictureFile:
    """What a picture file says of itself.

    Attributes
    ----------
    sha256, n_bytes
        Of the whole file: pictures are known by their content.
    width, height
        Of the upright picture, in pixels.
    orientation
        The EXIF orientation that makes it upright, 1 to 8.
    captured, zone
        Capture time exactly as in the file, and its offset (``""``: zone unknown).
    latitude, longitude
        Degrees, south and west negative, or None.
    camera
        Make and model, as in the file.
    focal_35mm
        Focal length as on a 36 x 24 mm frame, in mm, or None.
    """

    sha256: str
    n_bytes: int
    width: int
    height: int
    orientation: int = 1
    captured: str = ""
    zone: str = ""
    latitude: float | None = None
    longitude: float | None = None
    camera: str = ""
    focal_35mm: float | None = None
    format: str = ""
    extra: Mapping[str, object] = field(default_factory=dict, hash=False)


def read_picture(path: Path) -> PictureFile:
    """Return what the header of a picture says, and the hash of the file.

    Raises
    ------
    PictureError
        If the file is missing, empty, no picture, damaged or too large; the file is named.
    """
    digest, n_bytes = hash_file(path)
    with opened(path) as image:
        exif = _exif(image)
        width, height = upright_size(image)
        details = _ifd(exif, 0x8769)
        latitude, longitude = _place(_ifd(exif, 0x8825))
        return PictureFile(
            sha256=digest,
            n_bytes=n_bytes,
            width=width,
            height=height,
            orientation=orientation(image),
            captured=_time(details.get(0x9003)),
            zone=_words(details.get(0x9011)),
            latitude=latitude,
            longitude=longitude,
            camera=" ".join(
                filter(None, (_words(exif.get(0x010F)), _words(exif.get(0x0110))))
            ),
            focal_35mm=_positive(details.get(0xA405)),
            format=str(image.format or ""),
        )


def hash_file(path: Path) -> tuple[str, int]:
    """Return the SHA-256 (hexadecimal) and the size in bytes of a file.

    Raises
    ------
    PictureError
        If it is missing, empty or cannot be read.
    """
    digest, n_bytes = sha256(), 0
    try:
        if path.is_dir():
            raise PictureError("picture.is_folder", file=path.name)
        with path.open("rb") as file:
            while block := file.read(1 << 20):
                digest.update(block)
                n_bytes += len(block)
    except FileNotFoundError:
        raise PictureError(
            "picture.missing", file=path.name, folder=str(path.parent)
        ) from None
    except PermissionError:
        raise PictureError("picture.no_permission", file=path.name) from None
    except OSError as fault:
        raise PictureError(
            "picture.cannot_read", file=path.name, reason=fault.strerror or str(fault)
        ) from None
    if n_bytes == 0:
        raise PictureError("picture.empty", file=path.name)
    return digest.hexdigest(), n_bytes


@contextmanager
def opened(path: Path) -> Iterator[Image]:
    """Open a picture with our own limits; every fault becomes a sentence.

    Raises
    ------
    PictureError
        If the file is no picture of a known format, damaged, or above :data:`MAX_PIXELS`.
    """
    from PIL import Image, UnidentifiedImageError

    Image.MAX_IMAGE_PIXELS = MAX_PIXELS
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            with Image.open(path, formats=FORMATS) as image:
                if image.width * image.height > MAX_PIXELS:
                    raise Image.DecompressionBombError
                yield image
    except FileNotFoundError:
        raise PictureError(
            "picture.missing", file=path.name, folder=str(path.parent)
        ) from None
    except IsADirectoryError:
        raise PictureError("picture.is_folder", file=path.name) from None
    except PermissionError:
        raise PictureError("picture.no_permission", file=path.name) from None
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
        struct.error,
        zlib.error,
    ) as fault:
        raise PictureError(
            "picture.damaged", file=path.name, reason=str(fault)[:120]
        ) from None
    except MemoryError:
        raise PictureError("picture.no_memory", file=path.name) from None


def upright(path: Path) -> Image:
    """Return the whole picture, decoded and upright, as RGB.

    Raises
    ------
    PictureError
        If it cannot be opened or is cut short.
    """
    with opened(path) as image:
        return eight_bits(turned_upright(image))


def eight_bits(image: Image) -> Image:
    """Return a picture as RGB; wider grey values are stretched over the range they use.

    Pillow by itself clips 16-bit grey at 255, which leaves nothing but white.
    """
    if image.mode in ("F", "I") or image.mode.startswith("I;16"):
        wide = image.convert("F")
        low, high = wide.getextrema()
        step = 255.0 / ((high - low) or 1.0)  # type: ignore[operator]
        image = wide.point(lambda value: value * step - low * step).convert("L")  # type: ignore[operator]
    return image if image.mode == "RGB" else image.convert("RGB")


def orientation(image: Image) -> int:
    """Return the EXIF orientation of an open picture, 1 where it says none."""
    found = _exif(image).get(0x0112, 1)
    return int(found) if found in range(1, 9) else 1


def upright_size(image: Image) -> tuple[int, int]:
    """Return width and height of an open picture once it stands upright, in pixels."""
    width, height = image.size
    # The decoder of TIFF turns by itself, and says the upright size from the beginning.
    if image.format != "TIFF" and orientation(image) in TURNED:
        return height, width
    return width, height


def turned_upright(image: Image) -> Image:
    """Return an open picture decoded and upright; its other tags, however odd, do not count."""
    from PIL.Image import Transpose

    turns = {
        2: Transpose.FLIP_LEFT_RIGHT,
        3: Transpose.ROTATE_180,
        4: Transpose.FLIP_TOP_BOTTOM,
        5: Transpose.TRANSPOSE,
        6: Transpose.ROTATE_270,
        7: Transpose.TRANSVERSE,
        8: Transpose.ROTATE_90,
    }
    turn = None if image.format == "TIFF" else turns.get(orientation(image))
    image.load()
    return image.copy() if turn is None else image.transpose(turn)


def _exif(image: Image) -> Any:
    try:
        return image.getexif()
    except Exception:  # A damaged tag block must not cost the picture itself.
        return {}


def _ifd(exif: Any, tag: int) -> Any:
    try:
        return exif.get_ifd(tag)
    except Exception:  # See above.
        return {}


def _words(value: object) -> str:
    """Return a text tag without padding; anything else is nothing."""
    if isinstance(value, bytes):
        value = value.decode("ascii", "replace")
    return value.replace("\0", "").strip() if isinstance(value, str) else ""


def _time(value: object) -> str:
    """Return a time as it stands in the file; one of blanks or noughts is unknown."""
    words = _words(value)
    return words if any(sign in "123456789" for sign in words) else ""


def _positive(value: object) -> float | None:
    try:
        found = float(value)  # type: ignore[arg-type]
    except (TypeError, ValueError, ZeroDivisionError):
        return None
    return found if 0 < found < 10_000 else None


def _place(gps: Any) -> tuple[float | None, float | None]:
    latitude = _degrees(gps.get(2), gps.get(1), "NS", 90)
    longitude = _degrees(gps.get(4), gps.get(3), "EW", 180)
    if latitude is None or longitude is None:
        return None, None
    return latitude, longitude


def _degrees(parts: object, reference: object, sides: str, limit: float) -> float | None:
    """Return degrees, or None where a part or the side of the globe is not told."""
    try:
        degrees, minutes, seconds = (float(part) for part in parts)  # type: ignore[attr-defined]
    except (TypeError, ValueError, ZeroDivisionError):
        return None
    value = degrees + minutes / 60 + seconds / 3600
    side = _words(reference).upper()
    if side not in tuple(sides) or not 0 <= value <= limit:
        return None
    return value if side == sides[0] else -value
