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
from functools import cache
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING, Any

from landmarks.errors import PictureError
from landmarks.heif import is_heif, odd_item

if TYPE_CHECKING:
    from PIL.Image import Image

MAX_PIXELS = 400_000_000
"""Pictures above this are refused: museums publish 150 megapixels, bombs are larger."""

TURNED = (5, 6, 7, 8)
"""EXIF orientations that swap width and height (CIPA DC-008, from memory)."""

MEMORY_LIMIT = 4_000_000_000
"""Bytes that decoding one picture may hold; what would need more is refused undecoded."""

FORMATS = ("JPEG", "PNG", "TIFF", "WEBP", "AVIF", "BMP", "GIF", "PPM")
"""What is tried, by its decoder's name; a file of several pictures (MPO) opens as JPEG."""

SUFFIXES = (
    ".jpg", ".jpeg", ".jpe", ".png", ".tif", ".tiff", ".webp", ".bmp", ".gif", ".mpo",
    ".ppm", ".pgm", ".heic", ".heif", ".hif", ".avif",
)  # fmt: skip
"""What is taken from a folder, by its name; a file that is named itself is always tried."""


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
    lens, focal_mm
        Model of the lens as in the file, and its own focal length in mm, or None.
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
    lens: str = ""
    focal_mm: float | None = None
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
        return described(image, digest, n_bytes)


def described(image: Image, digest: str, n_bytes: int) -> PictureFile:
    """Return what the header of an open picture says, beside its hash and size in bytes."""
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
        camera=" ".join(filter(None, (_words(exif.get(0x010F)), _words(exif.get(0x0110))))),
        focal_35mm=_positive(details.get(0xA405)),
        format=str(image.format or ""),
        lens=_words(details.get(0xA434)),
        focal_mm=_positive(details.get(0x920A)),
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
        if path.exists() and not path.is_file():
            # Reading a pipe or a device may never end.
            raise PictureError("picture.not_a_picture", file=path.name)
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
            formats = (*FORMATS, "HEIF") if _reads_heif(path) else FORMATS
            with Image.open(path, formats=formats) as image:
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
        RuntimeError,
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
    """Return a picture as RGB: wide grey values are stretched, transparent parts white.

    Grey values of more than eight bits are stretched over the range they use: Pillow by
    itself clips them at 255, which leaves nothing but white.
    """
    if image.mode in _WIDE or image.mode.startswith("I;16"):
        wide = image.convert("F")
        low, high = wide.getextrema()
        step = 255.0 / ((high - low) or 1.0)  # type: ignore[operator]
        image = wide.point(lambda value: value * step - low * step).convert("L")  # type: ignore[operator]
    if image.mode == "LAB":
        return _from_lab(image)
    if image.has_transparency_data:
        from PIL.Image import alpha_composite, new

        seen = image.convert("RGBA")
        ground = new("RGBA", seen.size, (255, 255, 255, 255))
        return alpha_composite(ground, seen).convert("RGB")
    return image if image.mode == "RGB" else image.convert("RGB")


def memory_to_decode(image: Image) -> int:
    """Return how many bytes an open picture holds at most while it is made upright RGB.

    Counted from how Pillow keeps pixels (1, 2 or 4 bytes each, from memory of its sources):
    the decoded picture, its turned copy, and what :func:`eight_bits` makes in between.
    """
    wide = image.mode in _WIDE or image.mode.startswith("I;16")
    each = 1 if image.mode in ("1", "L", "P") else 2 if image.mode.startswith("I;16") else 4
    between = 0 if image.mode == "RGB" else 13 if wide else 4
    if image.has_transparency_data:
        between = 12
    # Beside the pixels a decoder holds planes of its own, those of HEIC two bytes wide from
    # ten bits on; measured over test files of others (tests/benchmarks/hostile.md).
    deep = image.info.get("bit_depth", 8) > 8
    decoder = {"HEIF": 18 if deep else 12, "TIFF": 9}.get(str(image.format), 0)
    return image.width * image.height * max(2 * each + between, each + decoder)


def n_pictures(image: Image) -> int:
    """Return how many pictures an open file holds: pages, frames, or views of a pair."""
    try:
        return max(int(getattr(image, "n_frames", 1)), 1)
    except Exception:  # A damaged second page must not cost the first.
        return 1


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
    need = memory_to_decode(image)
    if need > MEMORY_LIMIT:
        raise PictureError(
            "picture.too_much_memory",
            file=Path(getattr(image, "filename", "")).name,
            need=round(need / 1e9, 1),
            limit=round(MEMORY_LIMIT / 1e9, 1),
        )
    image.load()
    return image.copy() if turn is None else image.transpose(turn)


_WIDE = ("F", "I")


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


def _from_lab(image: Image) -> Image:
    from PIL import ImageCms

    lab, srgb = ImageCms.createProfile("LAB"), ImageCms.createProfile("sRGB")
    made = ImageCms.profileToProfile(image, lab, srgb, outputMode="RGB")
    assert made is not None
    return made


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
    # V tells that there was no fix (CIPA DC-008, from memory): the place is a leftover.
    if _words(gps.get(9)).upper() == "V":
        return None, None
    latitude = _degrees(gps.get(2), gps.get(1), "NS", 90)
    longitude = _degrees(gps.get(4), gps.get(3), "EW", 180)
    if latitude is None or longitude is None or latitude == longitude == 0:
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
