"""The species tables as frozen values: what the literature says, cell by cell."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from landmarks.characters import Characters
from landmarks.sources import Bibliography

FREQUENCIES: Mapping[str, float] = {
    # Common practice, no source: how often a word means that a state occurs.
    "always": 0.97,
    "usually": 0.85,
    "often": 0.60,
    "sometimes": 0.30,
    "rarely": 0.08,
    "never": 0.01,
}
EVIDENCE = ("read", "memory", "practice")
RANGE_STATUSES = ("present", "introduced", "doubtful", "extinct", "absent", "no_record")


@dataclass(frozen=True, slots=True)
class Taxon:
    """A species that the guide can name.

    Attributes
    ----------
    key, name, genus
        ``tridacna_maxima``, ``Tridacna maxima``, ``Tridacna``.
    authority
        As the Code writes it, with year and, where due, parentheses: ``(Röding, 1798)``.
    family, subgenus, original
        Placement, and the combination it was first described in.
    synonyms, english
        Names in other use.
    cites_name
        The name in the CITES index, which permits may need.
    aphia_id
        Number in the World Register of Marine Species, blank where none was seen.
    species_from_mm
        Below this size the answer is the genus at most; None takes the guide's rule.
    source, evidence, note
        Where the names come from and how they were come by.
    """

    key: str
    name: str
    genus: str
    authority: str = ""
    family: str = ""
    subgenus: str = ""
    original: str = ""
    synonyms: tuple[str, ...] = ()
    english: tuple[str, ...] = ()
    cites_name: str = ""
    aphia_id: str = ""
    species_from_mm: float | None = None
    source: str = ""
    evidence: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class View:
    """A way of looking at a specimen.

    ``living`` views are taken of a living animal, ``harmless`` ones without touching it;
    ``ask`` is false for views, such as the label, that show no character.
    """

    key: str
    name: str
    living: bool = False
    harmless: bool = False
    ask: bool = True
    note: str = ""


@dataclass(frozen=True, slots=True)
class Cell:
    """One statement: of one species, about one character, by one source.

    Attributes
    ----------
    row
        Its row in ``cells.csv`` (the heading is row 1).
    taxon, character
        Keys.
    state, frequency
        For a scored character: how often the state occurs, 0 to 1; ``word`` is how the table
        says it.
    low, typical, high
        For a measured one: the 5th, 50th and 95th percentile, in the character's unit.
    at_least, at_most
        One-sided: nearly all are above or below.
    maximum
        The greatest on record, another thing than ``high``.
    definition
        What exactly was measured or counted; met only by numbers of the same definition.
    from_mm, to_mm
        The band of shell length for which it holds; None is open.
    weight
        1 as it is; less where sources disagree, a single one speaks, or it is popular.
    source, evidence
        Key of the bibliography; ``read``, ``memory`` or ``practice``.
    note
        What else to know.
    """

    row: int
    taxon: str
    character: str
    state: str = ""
    word: str = ""
    frequency: float | None = None
    low: float | None = None
    typical: float | None = None
    high: float | None = None
    at_least: float | None = None
    at_most: float | None = None
    maximum: float | None = None
    definition: str = ""
    from_mm: float | None = None
    to_mm: float | None = None
    weight: float = 1.0
    source: str = ""
    evidence: str = "read"
    note: str = ""


@dataclass(frozen=True, slots=True)
class Region:
    """A part of the sea that the ranges table speaks of."""

    key: str
    name: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class Range:
    """What is known of one species in one region.

    ``status`` is one of :data:`RANGE_STATUSES`; ``no_record`` is silence, never an exclusion.
    ``share`` is the share among the specimens of a survey, where one was read.
    """

    taxon: str
    region: str
    status: str
    share: float | None = None
    source: str = ""
    evidence: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class Status:
    """A legal or conservation status of a species, with its date: laws and lists change."""

    taxon: str
    kind: str
    value: str
    date: str
    source: str = ""
    evidence: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class Group:
    """Species that are taken for each other.

    Attributes
    ----------
    key, taxa
        Which.
    separating
        Characters that tell them apart, the best first.
    abstain
        The answer is the group, as long as none of ``separating`` was seen; otherwise the row
        is only a pair to look at side by side.
    below_mm
        The group holds only for specimens known to be smaller than this.
    region_tells
        A region that is allowed to speak tells them apart as well.
    unreliable_in
        Regions in which the separating characters were found unreliable.
    words
        What to say of them.
    """

    key: str
    taxa: tuple[str, ...]
    separating: tuple[str, ...]
    abstain: bool = False
    below_mm: float | None = None
    region_tells: bool = False
    unreliable_in: tuple[str, ...] = ()
    words: str = ""
    source: str = ""
    evidence: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class SizeRule:
    """Which measured character is the size, and below which size no species is named."""

    character: str = ""
    species_from: float = 0.0


@dataclass(frozen=True, slots=True)
class Tables:
    """A whole guide: taxa, what can be seen on them, and what is said of each.

    ``hash`` is the SHA-256 of the content, whatever the order of columns, comments or line
    ends; derived values are stamped with it.
    """

    title: str
    taxa: tuple[Taxon, ...]
    characters: Characters
    views: tuple[View, ...]
    cells: tuple[Cell, ...]
    ranges: tuple[Range, ...] = ()
    regions: tuple[Region, ...] = ()
    statuses: tuple[Status, ...] = ()
    groups: tuple[Group, ...] = ()
    sources: Bibliography = field(default_factory=lambda: Bibliography(()))
    size: SizeRule = field(default_factory=SizeRule)
    hash: str = ""

    def taxon(self, key: str) -> Taxon:
        """Return a taxon by its key; KeyError if there is none."""
        for one in self.taxa:
            if one.key == key:
                return one
        raise KeyError(key)

    def view(self, key: str) -> View:
        """Return a view by its key; KeyError if there is none."""
        for one in self.views:
            if one.key == key:
                return one
        raise KeyError(key)


@dataclass(frozen=True, slots=True)
class Fault:
    """Something wrong in a table: in which file and row (0: the file as a whole)."""

    file: str
    row: int
    key: str
    values: Mapping[str, object]
