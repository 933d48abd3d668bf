"""What was seen or measured on one specimen, ready to be reasoned from.

The stored records (who, when, from which frame) stand in :mod:`landmarks.specimen`; these
values are what the identification is given: one row for each character.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

ORIGINS = ("wild", "farmed", "aquarium", "trade", "unknown")
CONDITIONS = (
    "worn",
    "overgrown",
    "broken",
    "bleached",
    "acid_cleaned",
    "rim_only",
    "polished",
    "fossil",
)
ZONES = ("whole", "umbo", "middle", "upper_margin")


@dataclass(frozen=True, slots=True)
class Scored:
    """A state seen by a person.

    ``detail_px`` is the size in picture pixels of the character's smallest detail, where it
    is known: below about four pixels *absent* is treated as unsure.
    ``frames`` name where it was seen; several frames are one observation.
    """

    character: str
    state: str
    sure: bool = True
    detail_px: float | None = None
    frames: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Taken:
    """A number taken of a measured character, in the character's own unit.

    ``sigma`` is one standard uncertainty; ``at_least`` marks one-sided evidence; ``definition``
    names the definition the number follows, met only by table cells of the same one.
    """

    character: str
    value: float
    sigma: float
    at_least: bool = False
    definition: str = ""
    frames: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Hidden:
    """A character that cannot be seen, with its reason: an answer, but no evidence."""

    character: str
    reason: str


Seen = Scored | Taken | Hidden


def holds_evidence(seen: Iterable[Seen]) -> bool:
    """Return whether anything was seen at all: that something cannot be seen is nothing."""
    return any(not isinstance(one, Hidden) for one in seen)


@dataclass(frozen=True, slots=True)
class Condition:
    """What time or people did to the shell, and where: ``worn`` at ``umbo``."""

    kind: str
    zone: str = "whole"
    extra: Mapping[str, object] = field(default_factory=dict, hash=False)


@dataclass(frozen=True, slots=True)
class Circumstances:
    """What is known of the specimen besides its characters.

    Attributes
    ----------
    region
        Key of a region of the ranges table, or None.
    use_region
        Whether the person wants the region to speak; it never does for animals whose origin
        is farmed, aquarium or trade.
    origin
        One of :data:`ORIGINS`.
    conditions
        Of the shell.
    living
        Whether the animal is alive: then only harmless views are ever proposed.
    views
        Keys of the views at hand.
    """

    region: str | None = None
    use_region: bool = True
    origin: str = "unknown"
    conditions: tuple[Condition, ...] = ()
    living: bool = False
    views: frozenset[str] = field(default_factory=frozenset)
