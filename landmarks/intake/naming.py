"""What a file name says: the stem that names an animal, and what only counts its pictures.

``PM-1042_a.jpg``, ``PM-1042 (2).jpg`` and ``PM-1042-inside.jpg`` share the stem ``PM-1042``.
A counter goes only where something with a figure in it remains, so that ``PM-12`` and
``PM-13`` are two. Common practice, no source.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

TAIL_WORDS = (
    "inside", "outside", "interior", "exterior", "in", "out", "left", "right", "lv", "rv",
    "top", "above", "below", "bottom", "underside", "side", "front", "back", "end", "hinge",
    "umbo", "margin", "mantle", "inhalant", "dorsal", "ventral", "lateral", "anterior",
    "posterior", "detail", "close", "closeup", "close-up", "label", "scale", "copy", "edited",
    "edit", "crop",
)  # fmt: skip
"""Words that say which picture of an animal it is, not which animal."""


@dataclass(frozen=True, slots=True)
class Naming:
    """A file name taken apart.

    Attributes
    ----------
    stem
        What names the animal.
    tail
        What was taken off: counters, letters, words of views.
    by_camera
        The stem was given by a camera (``IMG_1042``, ``20240312_104107``): it names a
        picture, not an animal.
    certainty
        How surely what was taken off only counts pictures, 0 to 1.
    """

    stem: str
    tail: str
    by_camera: bool
    certainty: float


def named_of(name: str) -> Naming:
    """Return a file name (with or without its suffix) taken apart.

    >>> named_of("PM-1042_a.jpg").stem, named_of("PM-1042 (2).jpg").stem
    ('PM-1042', 'PM-1042')
    >>> named_of("PM-12.jpg").stem, named_of("IMG_1042.JPG").by_camera
    ('PM-12', True)
    """
    head, dot, suffix = name.rpartition(".")
    whole = head if dot and head and len(suffix) <= 5 and suffix.isalnum() else name
    stem, certainty, counted = whole.strip(), 1.0, False
    if _DAY.fullmatch(stem):
        # A day is no animal: what follows counts all its pictures.
        return Naming(stem, "", by_camera=True, certainty=1.0)
    while True:
        for pattern, sure, counts in _TAILS:
            found = pattern.fullmatch(stem)
            if found and not (counts and counted) and _has_figure(found["stem"]):
                stem, certainty = found["stem"].rstrip(" _-."), min(certainty, sure)
                counted = counted or counts
                break
        else:
            break
    by_camera = any(pattern.fullmatch(stem) for pattern in _CAMERA)
    return Naming(stem, whole[len(stem) :], by_camera, certainty)


_WORDS = "|".join(map(re.escape, sorted(TAIL_WORDS, key=len, reverse=True)))
_TAILS = (
    (re.compile(r"(?P<stem>.+?)[ _-]*\(\d{1,3}\)"), 0.95, False),
    (re.compile(rf"(?P<stem>.+?)[ _.-]+(?:{_WORDS})", re.IGNORECASE), 0.95, False),
    (re.compile(r"(?P<stem>.+?)[ _.-]+[a-z]", re.IGNORECASE), 0.9, True),
    (re.compile(r"(?P<stem>.+?)[ _.-]+\d{1,2}"), 0.8, True),
    (re.compile(r"(?P<stem>.*\d)[a-h]", re.IGNORECASE), 0.6, True),
)
"""What is taken off the end, how surely it only counts pictures, and whether it may go once
only: ``PM-1042-1_a`` and ``PM-1042-1_b`` are pictures of ``PM-1042-1``."""

_CAMERA = (
    # Four signs and four figures: the design rule for camera file systems (JEITA CP-3461,
    # from memory); then what telephones write: words, date, time.
    re.compile(r"[A-Z0-9_]{4}\d{4}", re.IGNORECASE),
    re.compile(
        r"(?:IMG|DSC|PIC|IMAGE|PHOTO|SCAN|VID|MVI|FOTO|BILD)[ _-]?\d+", re.IGNORECASE
    ),
    re.compile(r"(?:[A-Z]{2,5}[_-])?\d{8}[_-]?\d{4,9}", re.IGNORECASE),
    re.compile(r"\d{8,}"),
)
_DATE = r"\d{4}([-_.])\d\d\1\d\d"
_DAY = re.compile(rf"{_DATE}(?:[ _.T-]+[\d _.-]*)?")


def _has_figure(stem: str) -> bool:
    """Return whether something with a figure remains; the figures of a day are none."""
    return any(sign.isdigit() for sign in re.sub(_DATE, "", stem, count=1))
