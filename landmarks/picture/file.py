"""One picture file: its hash, its upright size, when and where it was taken.

Only the header is read here. Files are never written to; a density tag of a camera is never
taken for a scale.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING, Any

from landmarks.errors import PictureError
from landmarks.picture.opening import opened, withheld
from landmarks.picture.pixels import exif_of, orientation, upright_size

if TYPE_CHECKING:
    from PIL.Image import Image


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
    exif = exif_of(image)
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
    except OSError as fault:
        raise withheld(path, fault) from None
    if n_bytes == 0:
        raise PictureError("picture.empty", file=path.name)
    return digest.hexdigest(), n_bytes


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
