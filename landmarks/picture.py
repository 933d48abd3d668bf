"""One picture file: its hash, its upright size, when and where it was taken.

Only the header is read here. Files are never written to; a density tag of a camera is never
taken for a scale.
"""

from __future__ import annotations

import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
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

FORMATS = ("JPEG", "PNG", "TIFF", "WEBP", "BMP", "GIF", "PPM", "MPO")


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
        orientation = exif.get(0x0112, 1)
        if orientation not in range(1, 9):
            orientation = 1
        width, height = image.size
        if orientation in TURNED:
            width, height = height, width
        details = _ifd(exif, 0x8769)
        latitude, longitude = _place(_ifd(exif, 0x8825))
        return PictureFile(
            sha256=digest,
            n_bytes=n_bytes,
            width=width,
            height=height,
            orientation=int(orientation),
            captured=_words(details.get(0x9003) or exif.get(0x0132)),
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
                n_pixels = image.width * image.height
                if n_pixels > MAX_PIXELS:
                    raise Image.DecompressionBombError
                if n_pixels == 0:
                    raise PictureError("picture.zero_size", file=path.name)
                yield image
    except PictureError:
        raise
    except FileNotFoundError:
        raise PictureError(
            "picture.missing", file=path.name, folder=str(path.parent)
        ) from None
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
    from PIL import ImageOps

    with opened(path) as image:
        made = ImageOps.exif_transpose(image)
        return made if made.mode == "RGB" else made.convert("RGB")


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


def _positive(value: object) -> float | None:
    try:
        found = float(value)  # type: ignore[arg-type]
    except (TypeError, ValueError, ZeroDivisionError):
        return None
    return found if 0 < found < 10_000 else None


def _place(gps: Any) -> tuple[float | None, float | None]:
    latitude = _degrees(gps.get(2), gps.get(1), "S", 90)
    longitude = _degrees(gps.get(4), gps.get(3), "W", 180)
    if latitude is None or longitude is None:
        return None, None
    return latitude, longitude


def _degrees(parts: object, reference: object, negative: str, limit: float) -> float | None:
    try:
        degrees, minutes, seconds = (float(part) for part in parts)  # type: ignore[attr-defined]
    except (TypeError, ValueError, ZeroDivisionError):
        return None
    value = degrees + minutes / 60 + seconds / 3600
    if not 0 <= value <= limit:
        return None
    return -value if _words(reference).upper().startswith(negative) else value
