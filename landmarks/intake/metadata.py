"""What a picture file says of its maker, its licence, its time and its place.

Read from XMP (a sidecar of the same name before the packet inside), EXIF and the older IPTC
block; where they disagree, in this order, except for the time, which is the camera's own
before all. Bad metadata never costs a picture: what cannot be read is left out and said. A
missing licence stays empty; none is ever assumed.

Tag numbers: CIPA DC-008 and IPTC-IIM 4.2, from memory; precedence is a decision of our own.
"""

from __future__ import annotations

import os
from dataclasses import dataclass, field, replace
from math import isfinite
from pathlib import Path
from typing import TYPE_CHECKING, Any

from landmarks.collection import Rights
from landmarks.intake import xmp
from landmarks.intake.xmp import Properties, XmpError, first, read_xmp, tidy
from landmarks.picture import PictureFile
from landmarks.sentences import Sentence

if TYPE_CHECKING:
    from PIL.Image import Image

ARTIST, COPYRIGHT = 0x013B, 0x8298
IPTC_CREATOR, IPTC_CREDIT, IPTC_COPYRIGHT = (2, 80), (2, 110), (2, 116)
SIDECAR_SUFFIX = ".xmp"


@dataclass(frozen=True, slots=True)
class Metadata:
    """What was read beside the header.

    Attributes
    ----------
    rights
        As the files say; empty fields are unknown.
    captured, zone
        A time from XMP, exactly as it stands there, for a file whose header has none.
    latitude, longitude
        A place from XMP in degrees, for a file whose header has none.
    lens
        From XMP, for a file whose header has none.
    sidecar
        Name of the sidecar that was read, or ``""``.
    notes
        What could not be read.
    """

    rights: Rights = field(default_factory=Rights)
    captured: str = ""
    zone: str = ""
    latitude: float | None = None
    longitude: float | None = None
    lens: str = ""
    sidecar: str = ""
    notes: tuple[Sentence, ...] = ()


def read_metadata(path: Path, image: Image) -> Metadata:
    """Return what the open picture and a sidecar beside it say; nothing is raised."""
    notes: list[Sentence] = []
    inside = _inside(path, image, notes)
    sidecar, beside = _beside(path, notes)
    sources = (beside, inside)
    captured = _of(sources, (xmp.EXIF, "DateTimeOriginal"), (xmp.PHOTOSHOP, "DateCreated"),
                   (xmp.BASIC, "CreateDate"))  # fmt: skip
    latitude, longitude = _place(sources)
    return Metadata(
        rights=_rights(sources, image),
        captured=captured,
        zone=zone_in(captured),
        latitude=latitude,
        longitude=longitude,
        lens=_of(sources, (xmp.AUX, "Lens"), (xmp.EXIF, "LensModel")),
        sidecar=sidecar,
        notes=tuple(notes),
    )


def completed(file: PictureFile, found: Metadata) -> PictureFile:
    """Return what the file says, filled up from XMP where its header says nothing."""
    if not file.captured and found.captured:
        file = replace(file, captured=found.captured, zone=found.zone)
    if file.latitude is None and found.latitude is not None:
        file = replace(file, latitude=found.latitude, longitude=found.longitude)
    return file if file.lens else replace(file, lens=found.lens)


def sidecar_of(path: Path) -> Path | None:
    """Return the sidecar of a picture: ``a.xmp`` or ``a.jpg.xmp`` beside ``a.jpg``."""
    for name in (path.stem, path.name):
        for suffix in (SIDECAR_SUFFIX, SIDECAR_SUFFIX.upper()):
            found = path.with_name(name + suffix)
            # Asked this way, a place that may not be looked into is no fault here.
            if os.path.isfile(found):  # noqa: PTH113
                return found
    return None


def zone_in(captured: str) -> str:
    """Return the offset at the end of an ISO 8601 time, or ``""``.

    >>> zone_in("2024-03-12T10:41:07+11:00"), zone_in("2024-03-12T10:41:07Z")
    ('+11:00', '+00:00')
    >>> zone_in("2024-03-12T10:41:07")
    ''
    """
    _, sep, time = captured.partition("T")
    if not sep:
        return ""
    if time.endswith("Z"):
        return "+00:00"
    found = time[-6:]
    return found if found[:1] in ("+", "-") and found[3:4] == ":" else ""


def degrees_of(words: str) -> float | None:
    """Return degrees of an XMP coordinate, south and west negative, or None.

    ``DDD,MM,SSk`` or ``DDD,MM.mmk``: ISO 16684-2, from memory.

    >>> degrees_of("8,30.738S"), degrees_of("146,15,36E"), degrees_of("8,30")
    (-8.5123, 146.26, None)
    """
    side = words[-1:].upper()
    limit = {"N": 90.0, "S": 90.0, "E": 180.0, "W": 180.0}.get(side)
    try:
        parts = [float(part) for part in words[:-1].split(",")]
    except ValueError:
        return None
    if limit is None or not 1 <= len(parts) <= 3 or any(part < 0 for part in parts):
        return None
    value = sum(part / 60.0**i for i, part in enumerate(parts))
    if not isfinite(value) or value > limit:
        return None
    return round(-value if side in "SW" else value, 9)


# -- where it stands -------------------------------------------------------------------------


def _inside(path: Path, image: Image, notes: list[Sentence]) -> Properties:
    packet = image.info.get("xmp")
    if isinstance(packet, str):
        packet = packet.encode("utf-8", "replace")
    if not isinstance(packet, bytes) or not packet.strip(b"\0 \t\r\n"):
        return {}
    try:
        return read_xmp(packet)
    except XmpError:
        notes.append(Sentence("intake.packet_left_out", {"file": path.name}))
        return {}


def _beside(path: Path, notes: list[Sentence]) -> tuple[str, Properties]:
    sidecar = sidecar_of(path)
    if sidecar is None:
        return "", {}
    try:
        with sidecar.open("rb") as file:
            return sidecar.name, read_xmp(file.read(xmp.MAX_BYTES + 1))
    except (OSError, XmpError):
        notes.append(Sentence("intake.sidecar_left_out", {"file": sidecar.name}))
        return "", {}


def _of(sources: tuple[Properties, ...], *names: tuple[str, str]) -> str:
    return next((found for one in sources if (found := first(one, *names))), "")


def _all_of(sources: tuple[Properties, ...], name: tuple[str, str]) -> str:
    return next(("; ".join(one[name]) for one in sources if one.get(name)), "")


def _rights(sources: tuple[Properties, ...], image: Image) -> Rights:
    exif, iptc = _exif(image), _iptc(image)
    return Rights(
        creator=_all_of(sources, (xmp.DC, "creator"))
        or _of(sources, (xmp.TIFF, "Artist"))
        or _tag(exif, ARTIST)
        or iptc.get(IPTC_CREATOR, ""),
        licence=_of(sources, (xmp.CC, "license"))
        or _of(sources, (xmp.RIGHTS, "UsageTerms"))
        or _of(sources, (xmp.RIGHTS, "WebStatement")),
        rights_holder=_all_of(sources, (xmp.RIGHTS, "Owner")),
        statement=_of(sources, (xmp.DC, "rights"), (xmp.TIFF, "Copyright"))
        or _tag(exif, COPYRIGHT)
        or iptc.get(IPTC_COPYRIGHT, ""),
        credit=_of(sources, (xmp.PHOTOSHOP, "Credit")) or iptc.get(IPTC_CREDIT, ""),
    )


def _place(sources: tuple[Properties, ...]) -> tuple[float | None, float | None]:
    for one in sources:
        latitude = degrees_of(first(one, (xmp.EXIF, "GPSLatitude")))
        longitude = degrees_of(first(one, (xmp.EXIF, "GPSLongitude")))
        fix = first(one, (xmp.EXIF, "GPSStatus")) != "V"
        if fix and latitude is not None and longitude is not None:
            if latitude == longitude == 0:
                continue
            return latitude, longitude
    return None, None


def _exif(image: Image) -> Any:
    try:
        return image.getexif()
    except Exception:  # A damaged tag block says nothing.
        return {}


def _tag(exif: Any, tag: int) -> str:
    """Return a text tag; the two halves of a copyright tag stand with a stroke between."""
    try:
        value = exif.get(tag)
    except Exception:  # See above.
        return ""
    if isinstance(value, bytes):
        value = _decoded(value)
    if not isinstance(value, str):
        return ""
    return " / ".join(filter(None, (tidy(half) for half in value.split("\0"))))


def _iptc(image: Image) -> dict[tuple[int, int], str]:
    from PIL import IptcImagePlugin

    try:
        found = IptcImagePlugin.getiptcinfo(image) or {}  # type: ignore[arg-type]
    except Exception:  # A damaged block says nothing.
        return {}
    said = {}
    for key, value in found.items():
        rows = value if isinstance(value, list) else [value]
        words = [tidy(_decoded(row)) for row in rows]
        said[key] = "; ".join(filter(None, words))
    return said


def _decoded(raw: bytes) -> str:
    try:
        return raw.decode("utf-8")
    except UnicodeDecodeError:
        return raw.decode("cp1252", "replace")
