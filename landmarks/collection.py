"""What belongs to the collection rather than to one specimen: pictures and people."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from landmarks.codec import decode, encode
from landmarks.own_doubt import OwnDoubt
from landmarks.picture import PictureFile
from landmarks.scale import Scale, Setting
from landmarks.specimen import Parts


@dataclass(frozen=True, slots=True)
class Rights:
    """Who made the picture and under which licence.

    ``statement`` is the copyright line and ``credit`` the credit line, as the file has them.
    """

    creator: str = ""
    licence: str = ""
    rights_holder: str = ""
    statement: str = ""
    credit: str = ""
    extra: Mapping[str, object] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Camera:
    """What the person knows of the set-up: the distance of the lens, in mm, and its name.

    Pictures of one named ``setup`` were taken with the camera standing still.
    """

    distance_mm: float | None = None
    setup: str = ""
    extra: Mapping[str, object] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Clock:
    """How far the camera's clock was off, kept beside the time that the file says.

    Attributes
    ----------
    add_s
        Seconds to add to the time in the file; a clock that was ahead has them negative.
    zone
        True offset from UTC of the time so corrected, ``"+11:00"``; ``""`` leaves the file's.
    """

    add_s: float = 0.0
    zone: str = ""
    extra: Mapping[str, object] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Picture:
    """One picture of the collection; the file itself stays where it is, untouched.

    Attributes
    ----------
    path
        Where the file was last seen, relative to the collection (posix), or absolute.
    file
        What its header says; the hash tells it from every other.
    scale, camera, rights, clock
        What people added.
    """

    id: str
    path: str
    file: PictureFile
    scale: Scale | None = None
    camera: Camera = field(default_factory=Camera)
    rights: Rights = field(default_factory=Rights)
    clock: Clock = field(default_factory=Clock)
    extra: Mapping[str, object] = field(default_factory=dict)

    @property
    def size(self) -> tuple[int, int]:
        """Return upright width and height, in pixels."""
        return self.file.width, self.file.height

    @property
    def setting(self) -> Setting:
        """Return what measuring needs to know of this picture."""
        return Setting(
            self.id,
            self.file.width,
            self.file.height,
            self.scale,
            self.camera.distance_mm,
            self.file.focal_35mm,
            self.camera.setup,
        )


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody who works in the collection: chosen once, never the login name.

    ``doubt`` is the person's own placing doubt, once repeats have told it.
    """

    id: str
    name: str = ""
    researcher_id: str = ""
    doubt: OwnDoubt | None = None
    extra: Mapping[str, object] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class About:
    """The collection itself."""

    id: str
    name: str = ""
    created: str = ""
    extra: Mapping[str, object] = field(default_factory=dict)


_PICTURE_PARTS: Mapping[str, Any] = {
    "path": str,
    "file": PictureFile,
    "scale": Scale,
    "camera": Camera,
    "rights": Rights,
    "clock": Clock,
}


def picture_parts(picture: Picture) -> dict[str, Any]:
    """Return the picture as named parts of plain JSON; empty parts are left out."""
    parts: dict[str, Any] = {"exists": True}
    for name in (*_PICTURE_PARTS, "extra"):
        value = getattr(picture, name)
        raw = encode(value) if value is not None else None
        if raw:
            parts[name] = raw
    return parts


def picture_of(picture_id: str, parts: Parts) -> Picture:
    """Return the picture that these parts make.

    Raises
    ------
    DocumentError
        If a part has not the form of the format; the part is named.
    """
    made = {
        name: decode(kind, parts[name], name)
        for name, kind in _PICTURE_PARTS.items()
        if name in parts
    }
    if "path" not in made or "file" not in made:
        from landmarks.errors import DocumentError

        raise DocumentError("document.lacks", where=f"picture {picture_id}", field="file")
    return Picture(id=picture_id, extra=parts.get("extra", {}), **made)


def person_parts(person: Person) -> dict[str, Any]:
    """Return the person as one part."""
    return {"exists": True, "person": encode(person)}


def person_of(person_id: str, parts: Parts) -> Person:
    """Return the person that these parts make."""
    return decode(Person, parts.get("person", {"id": person_id}), "person")


def about_parts(about: About) -> dict[str, Any]:
    """Return the collection's own words as one part."""
    return {"exists": True, "about": encode(about)}


def about_of(about_id: str, parts: Parts) -> About:
    """Return the collection's own words that these parts make."""
    return decode(About, parts.get("about", {"id": about_id}), "about")
