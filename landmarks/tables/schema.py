"""What stands in which file of a set of species tables: declared once, checked from here."""

from __future__ import annotations

from dataclasses import dataclass

from landmarks.sources import HOW
from landmarks.tables.model import EVIDENCE, RANGE_STATUSES

LARGEST_TABLE_BYTES = 5_000_000
"""A table file larger than this, in bytes, is refused: the shipped ones have 100 kB."""


LARGEST_GUIDE_BYTES = 64_000
"""The same for guide.toml: reading it takes time with the square of its length."""

MOST_FAULTS = 1000
"""Faults that are noted; after so many a folder is something else than species tables."""

LONGEST_WORD = 80
"""Letters of a word that is compared with those known, to name the nearest."""


@dataclass(frozen=True, slots=True)
class Column:
    """A column: its name, what its values are, whether it must be filled.

    ``kind`` is ``text``, ``key`` (a new key, unique in the file), ``words`` (a list parted by
    semicolons), ``number``, ``yes`` (yes, no or blank), ``choice``, or ``ref``: a key of
    another file, named by ``of``; a ``refs`` is a list of them. ``optional`` columns may be
    left out of the file altogether.
    """

    name: str
    kind: str = "text"
    required: bool = False
    of: tuple[str, ...] = ()
    optional: bool = False


@dataclass(frozen=True, slots=True)
class File:
    """A file of the tables; an optional one may be missing from the folder."""

    name: str
    columns: tuple[Column, ...]
    optional: bool = False


def _note() -> tuple[Column, ...]:
    return (
        Column("source", "ref", of=("sources.csv",)),
        Column("evidence", "choice", of=(*EVIDENCE, "inferred")),
        Column("note", optional=True),
    )


FILES = (
    File(
        "sources.csv",
        (
            Column("key", "key", required=True),
            Column("citation", required=True),
            Column("kind"),
            Column("how", "choice", required=True, of=HOW),
            Column("note", optional=True),
        ),
    ),
    File(
        "taxa.csv",
        (
            Column("key", "key", required=True),
            Column("name", required=True),
            Column("genus", required=True),
            Column("authority", optional=True),
            Column("family", optional=True),
            Column("subgenus", optional=True),
            Column("original", optional=True),
            Column("synonyms", "words", optional=True),
            Column("english", "words", optional=True),
            Column("cites_name", optional=True),
            Column("aphia_id", optional=True),
            Column("species_from_mm", "number", optional=True),
            *_note(),
        ),
    ),
    File(
        "views.csv",
        (
            Column("key", "key", required=True),
            Column("name", required=True),
            Column("living", "yes"),
            Column("harmless", "yes"),
            Column("shows", "yes"),
            Column("note", optional=True),
        ),
    ),
    File(
        "characters.csv",
        (
            Column("key", "key", required=True),
            Column("name", required=True),
            Column("question"),
            Column("definition"),
            Column("unit", "choice", of=("mm", "ratio", "count")),
            Column("views", "refs", of=("views.csv",)),
            Column("needs", "words", optional=True),
            Column("smallest_detail_mm", "number", optional=True),
            Column("group", optional=True),
            Column("confusion", "number", optional=True),
            Column("weight", "number", optional=True),
            Column("ordered", "yes", optional=True),
            Column("zone", optional=True),
            Column("standard", optional=True),
            Column("own_doubt", "number", optional=True),
            Column("span_low", "number", optional=True),
            Column("span_high", "number", optional=True),
            Column("sum_of", "words", optional=True),
            Column("bounds", optional=True),
            Column("also", "words", optional=True),
        ),
    ),
    File(
        "states.csv",
        (
            Column("character", "ref", required=True, of=("characters.csv",)),
            Column("key", required=True),
            Column("name", required=True),
            Column("meaning", optional=True),
            Column("absent", "yes", optional=True),
            Column("made_by", "words", optional=True),
        ),
    ),
    File(
        "conditions.csv",
        (
            Column("character", "ref", required=True, of=("characters.csv",)),
            Column("condition", required=True),
            Column("note", optional=True),
        ),
        optional=True,
    ),
    File(
        "cells.csv",
        (
            Column("taxon", "ref", required=True, of=("taxa.csv",)),
            Column("character", "ref", required=True, of=("characters.csv",)),
            Column("state"),
            Column("frequency"),
            Column("low", "number"),
            Column("typical", "number"),
            Column("high", "number"),
            Column("at_least", "number", optional=True),
            Column("at_most", "number", optional=True),
            Column("maximum", "number", optional=True),
            Column("definition", optional=True),
            Column("from_mm", "number", optional=True),
            Column("to_mm", "number", optional=True),
            Column("weight", "number", optional=True),
            Column("source", "ref", required=True, of=("sources.csv",)),
            Column("evidence", "choice", required=True, of=EVIDENCE),
            Column("note", optional=True),
        ),
    ),
    File(
        "regions.csv",
        (
            Column("key", "key", required=True),
            Column("name", required=True),
            Column("note", optional=True),
        ),
        optional=True,
    ),
    File(
        "ranges.csv",
        (
            Column("taxon", "ref", required=True, of=("taxa.csv",)),
            Column("region", "ref", required=True, of=("regions.csv",)),
            Column("status", "choice", required=True, of=RANGE_STATUSES),
            Column("share", "number", optional=True),
            *_note(),
        ),
        optional=True,
    ),
    File(
        "status.csv",
        (
            Column("taxon", "ref", required=True, of=("taxa.csv",)),
            Column("kind", required=True),
            Column("value", required=True),
            Column("date"),
            *_note(),
        ),
        optional=True,
    ),
    File(
        "pairs.csv",
        (
            Column("key", "key", required=True),
            Column("taxa", "refs", required=True, of=("taxa.csv",)),
            Column("separating", "refs", of=("characters.csv",)),
            Column("abstain", "yes"),
            Column("below_mm", "number", optional=True),
            Column("region_tells", "yes", optional=True),
            Column("unreliable_in", "refs", optional=True, of=("regions.csv",)),
            Column("words", optional=True),
            *_note(),
        ),
        optional=True,
    ),
)
