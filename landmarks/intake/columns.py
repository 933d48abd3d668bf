"""Which column of a label table is which entry of a label.

Columns are recognised by their names, in several spellings and as Darwin Core terms
(term names as of the 2026 version); a person can change any of it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from difflib import get_close_matches

from landmarks.errors import UnknownWordError

FILE, LEFT_OUT = "file", ""
"""The column that names a picture file; a column that is not taken."""

SPELLINGS: Mapping[str, tuple[str, ...]] = {
    "catalogue_number": (
        "catalogNumber", "catalogue number", "catalog number", "cat no", "cat number",
        "catalogue no", "accession number", "accession no", "registration number", "reg no",
        "specimen", "specimen number", "specimen no", "number", "no", "nr", "inventory number",
        "materialEntityID", "id",
    ),
    "locality": (
        "locality", "location", "place", "site", "station", "reef", "verbatimLocality",
        "collecting site", "where",
    ),
    "collector": (
        "recordedBy", "collector", "collectors", "collected by", "observer", "photographer",
        "leg", "legit", "diver",
    ),
    "collected": (
        "eventDate", "verbatimEventDate", "date", "collected", "date collected",
        "collection date", "collecting date", "day",
    ),
    "depth": ("verbatimDepth", "depth", "depth m", "depth (m)", "water depth"),
    "habitat": ("habitat", "substrate", "bottom", "environment"),
    "verbatim": ("verbatimLabel", "label", "label text", "verbatim label", "verbatim"),
    "remarks": (
        "occurrenceRemarks", "fieldNotes", "remarks", "remark", "notes", "note", "comments",
        "comment",
    ),
    FILE: (
        "associatedMedia", "file", "filename", "file name", "picture", "picture file", "image",
        "image file", "photo", "photograph", "path",
    ),
}  # fmt: skip
"""Entry of a label -> what its column may be called; the first spelling wins a tie."""

KEPT_TERMS = (
    "otherCatalogNumbers", "recordNumber", "institutionCode", "collectionCode", "country",
    "countryCode", "stateProvince", "islandGroup", "island", "waterBody", "decimalLatitude",
    "decimalLongitude", "geodeticDatum", "coordinateUncertaintyInMeters",
    "minimumDepthInMeters", "maximumDepthInMeters", "basisOfRecord", "preparations",
    "disposition", "typeStatus", "individualCount", "lifeStage", "sex", "vitality",
    "samplingProtocol", "verbatimIdentification", "identifiedBy", "dateIdentified",
    "scientificName", "recordedByID",
)  # fmt: skip
"""Darwin Core terms kept with the label under their own name."""

EXTRA = "extra:"
"""What begins a target that keeps a column under a name of its own."""


@dataclass(frozen=True, slots=True)
class Matching:
    """For each column of a table, what it is taken for.

    ``targets`` holds, column by column, an entry of the label, :data:`FILE`,
    ``"extra:<name>"`` for one kept under its own name, or :data:`LEFT_OUT`.
    """

    header: tuple[str, ...]
    targets: tuple[str, ...]

    def column(self, target: str) -> int | None:
        """Return the first column taken for this, or None."""
        return self.targets.index(target) if target in self.targets else None

    @property
    def left_out(self) -> tuple[str, ...]:
        """Return the columns that are not taken."""
        pairs = zip(self.header, self.targets, strict=True)
        return tuple(name for name, target in pairs if target == LEFT_OUT and name)


def match_columns(header: Sequence[str]) -> Matching:
    """Return what the columns of a table are taken for, by their names.

    Of two columns for one entry the better spelling wins, and the other is left out.
    """
    ranks = [_rank(name) for name in header]
    best: dict[str, tuple[int, int]] = {}
    for i, found in enumerate(ranks):
        if found is not None:
            target, rank = found
            best[target] = min(best.get(target, (rank, i)), (rank, i))
    chosen = {column: target for target, (_, column) in best.items()}
    return Matching(
        tuple(header), tuple(chosen.get(i, LEFT_OUT) for i in range(len(header)))
    )


def take_column(matching: Matching, column: int, target: str) -> Matching:
    """Return the matching with one column taken for something else.

    A column that was taken for the same entry before is left out then.

    Raises
    ------
    UnknownWordError
        If there is no such entry; the nearest one is named.
    """
    known = (*SPELLINGS, LEFT_OUT)
    if target not in known and not (target.startswith(EXTRA) and target != EXTRA):
        near = get_close_matches(target, SPELLINGS, n=1, cutoff=0.0)[0]
        raise UnknownWordError("intake.no_entry", found=target, nearest=near)
    targets = [LEFT_OUT if one == target else one for one in matching.targets]
    targets[column] = target
    return replace(matching, targets=tuple(targets))


def keep_column(matching: Matching, column: int) -> Matching:
    """Return the matching with one column kept with the label under its own name."""
    name = matching.header[column]
    # What a label calls by this name itself is not covered up.
    taken = name in (*SPELLINGS, "extra")
    return take_column(matching, column, EXTRA + (f"{name} (column)" if taken else name))


def _rank(name: str) -> tuple[str, int] | None:
    plain = _plain(name)
    found = _KNOWN.get(plain)
    if found is None and plain.startswith(("dwc", "dcterms")):
        found = _KNOWN.get(plain.removeprefix("dwc").removeprefix("dcterms"))
    return found


def _plain(name: str) -> str:
    """Return the letters and figures of a name; a whole address counts by its last part."""
    last = name.rstrip("/").replace("#", "/").rpartition("/")[2] if "://" in name else name
    return "".join(sign for sign in last.casefold() if sign.isalnum())


_KNOWN: Mapping[str, tuple[str, int]] = {
    **{_plain(term): (EXTRA + term, 0) for term in KEPT_TERMS},
    **{
        _plain(spelling): (target, rank)
        for target, spellings in SPELLINGS.items()
        for rank, spelling in enumerate(spellings)
    },
}
