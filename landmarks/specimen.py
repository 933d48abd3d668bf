"""The specimen: one animal or shell, as a frozen value made of named parts.

What is stored is what people did. A specimen is kept as *parts* - its label, its
circumstances, each frame, placing, observation and determination - so that two people's work
on different parts merges, and undoing touches only what was done.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import Any

from landmarks.codec import decode, encode
from landmarks.geometry import Box
from landmarks.observations import Condition
from landmarks.placing import Placing

Parts = Mapping[str, Any]
"""Named parts as plain JSON: ``"label"``, ``"frame/<id>"`` ..."""

LEVELS = (
    "species",
    "group",
    "genus",
    "hybrid",
    "not_a_giant_clam",
    "free_text",
    "unresolved",
)
TAKEN_BY = ("calliper", "tape", "label", "by_eye", "derived", "other")

HIDDEN_REASONS = (
    "not_in_these_pictures",
    "hidden",
    "worn",
    "broken",
    "too_dark",
    "need_unmet",
    "other",
)


@dataclass(frozen=True, slots=True)
class Label:
    """What a museum label or a dive log says; every field as the person wrote it."""

    catalogue_number: str = ""
    locality: str = ""
    collector: str = ""
    collected: str = ""
    depth: str = ""
    habitat: str = ""
    verbatim: str = ""
    remarks: str = ""
    extra: Mapping[str, object] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Where:
    """Where it comes from and what happened to it.

    ``region`` is a key of the ranges table; ``use_region`` whether it may speak.
    """

    region: str = ""
    use_region: bool = True
    origin: str = "unknown"
    condition: tuple[Condition, ...] = ()
    extra: Mapping[str, object] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Frame:
    """A region of a picture that shows one specimen in one view.

    Attributes
    ----------
    picture
        Id of the picture; empty for a view that was looked at without a picture.
    region
        In upright pixels, or None for the whole picture.
    number
        Its place in the order of the specimen's frames.
    part, mantle, valves
        Which part is seen and in which state (words of :mod:`landmarks.scheme`), or empty.
    """

    id: str
    picture: str
    view: str
    region: Box | None = None
    number: int = 0
    part: str = ""
    mantle: str = ""
    valves: str = ""
    extra: Mapping[str, object] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Observation:
    """A character seen, measured or typed by a person: exactly one of four kinds.

    A scored state (``state``), a number (``value``; ``at_least`` where one-sided), or the
    reason why it cannot be seen (``hidden``). ``occasion`` is one of
    :data:`landmarks.placing.OCCASIONS`: only what was seen for the record counts.
    """

    id: str
    character: str
    state: str = ""
    value: float | None = None
    sigma: float | None = None
    unit: str = ""
    at_least: bool = False
    hidden: str = ""
    sure: bool = True
    method: str = ""
    frame: str = ""
    person: str = ""
    at: str = ""
    names_hidden: bool = False
    occasion: str = "record"
    extra: Mapping[str, object] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Determination:
    """The name a person decided on, and what it rested on.

    Attributes
    ----------
    level
        One of :data:`LEVELS`.
    taxa
        Keys of the taxa: one for a species, several for a group or a hybrid.
    name
        As written, for free text or another guide's taxa.
    qualifier
        ``""``, ``"cf."``, ``"aff."``, ``"sp. inc."``, ``"?"``: open nomenclature.
    independent
        Whether the person decided without this program's candidates.
    rested_on
        Ids of the observations and placings at hand.
    leading, probability, tables_hash, engine
        What the program said at that moment.
    """

    id: str
    level: str
    taxa: tuple[str, ...] = ()
    name: str = ""
    qualifier: str = ""
    determiner: str = ""
    person: str = ""
    at: str = ""
    independent: bool = False
    remarks: str = ""
    rested_on: tuple[str, ...] = ()
    leading: str = ""
    probability: float | None = None
    tables_hash: str = ""
    engine: str = ""
    extra: Mapping[str, object] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Specimen:
    """One animal or shell.

    Frames stand in the order of their numbers, everything else in the order in which it was
    recorded (time, then id), so that equal parts always make equal specimens.
    """

    id: str
    label: Label = field(default_factory=Label)
    where: Where = field(default_factory=Where)
    frames: tuple[Frame, ...] = ()
    placings: tuple[Placing, ...] = ()
    observations: tuple[Observation, ...] = ()
    determinations: tuple[Determination, ...] = ()
    extra: Mapping[str, object] = field(default_factory=dict)

    def __post_init__(self) -> None:
        object.__setattr__(self, "frames", tuple(sorted(self.frames, key=_by_number)))
        for name in ("placings", "observations", "determinations"):
            rows = getattr(self, name)
            object.__setattr__(self, name, tuple(sorted(rows, key=_by_time)))

    def frame(self, frame_id: str) -> Frame | None:
        """Return one of its frames, or None."""
        return next((one for one in self.frames if one.id == frame_id), None)

    def placed(self, frame_id: str, occasion: str = "record") -> Mapping[str, Placing]:
        """Return the latest placing of each landmark on a frame, for one occasion."""
        return {
            one.landmark: one
            for one in self.placings
            if one.frame == frame_id and one.occasion == occasion
        }

    @property
    def recorded(self) -> tuple[Observation, ...]:
        """Return what was seen for the record: no repeats, no attempts."""
        return tuple(one for one in self.observations if one.occasion == "record")

    @property
    def determination(self) -> Determination | None:
        """Return the latest determination, or None."""
        return self.determinations[-1] if self.determinations else None

    def with_one(self, one: Frame | Placing | Observation | Determination) -> Specimen:
        """Return the specimen with a row added, or exchanged for the one of the same id."""
        name = _ROWS[type(one)]
        rows = [row for row in getattr(self, name) if row.id != one.id]
        changed: dict[str, Any] = {name: (*rows, one)}
        return replace(self, **changed)

    def without(self, row_id: str) -> Specimen:
        """Return the specimen without the row of this id.

        Without a frame, everything placed on it goes too; observations made from it stay.
        """
        kept: dict[str, Any] = {
            name: tuple(row for row in getattr(self, name) if row.id != row_id)
            for name in _ROWS.values()
        }
        kept["placings"] = tuple(row for row in kept["placings"] if row.frame != row_id)
        return replace(self, **kept)


_ROWS: Mapping[type, str] = {
    Frame: "frames",
    Placing: "placings",
    Observation: "observations",
    Determination: "determinations",
}
_PREFIXES: Mapping[str, type] = {
    "frame": Frame,
    "placing": Placing,
    "observation": Observation,
    "determination": Determination,
}


Written = Mapping[str, tuple[Any, Any]]
"""By the name of a part: the row, and the plain JSON that was made of it, or it was made of."""


def written(specimen: Specimen, parts: Parts) -> Written:
    """Return what is known of a specimen's rows, so that those that stay are not made anew.

    Outlines have thousands of points, of which most deeds change none.
    """
    return {name: (row, parts[name]) for name, row in _rows_of(specimen) if name in parts}


def parts_of(specimen: Specimen, known: Written = MappingProxyType({})) -> dict[str, Any]:
    """Return the specimen as named parts of plain JSON; empty parts are left out.

    Parameters
    ----------
    known
        Of :func:`written`: a row that is the very same is what it was made of.
    """
    parts: dict[str, Any] = {"exists": True}
    for name in ("label", "where", "extra"):
        raw = encode(getattr(specimen, name))
        if raw:
            parts[name] = raw
    for name, row in _rows_of(specimen):
        before, raw = known.get(name, (None, None))
        parts[name] = raw if before is row else encode(row)
    return parts


def specimen_of(
    specimen_id: str, parts: Parts, known: Written = MappingProxyType({})
) -> Specimen:
    """Return the specimen that these parts make.

    Parameters
    ----------
    known
        Of :func:`written`: a part that is the very same makes the row that it made.

    Raises
    ------
    DocumentError
        If a part has not the form of the format; the part is named.
    """
    rows: dict[str, list[Any]] = {name: [] for name in _ROWS.values()}
    for name, raw in parts.items():
        prefix, _, row_id = name.partition("/")
        if row_id and prefix in _PREFIXES:
            kind = _PREFIXES[prefix]
            row, before = known.get(name, (None, None))
            made = row if before is raw else decode(kind, raw, name)
            rows[_ROWS[kind]].append(made)
    return Specimen(
        specimen_id,
        label=decode(Label, parts.get("label", {}), "label"),
        where=decode(Where, parts.get("where", {}), "where"),
        extra=decode(Mapping[str, Any], parts.get("extra", {}), "extra"),  # type: ignore[type-abstract]
        **{name: tuple(made) for name, made in rows.items()},
    )


def _rows_of(specimen: Specimen) -> Iterator[tuple[str, Any]]:
    """Yield every row with the name of its part."""
    for prefix, kind in _PREFIXES.items():
        for row in getattr(specimen, _ROWS[kind]):
            yield f"{prefix}/{row.id}", row


def _by_number(frame: Frame) -> tuple[int, str]:
    return frame.number, frame.id


def _by_time(row: Any) -> tuple[str, str]:
    return row.at, row.id
