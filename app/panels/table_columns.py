"""The columns of the table of specimens: which there are, and what each is called."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt

from app.panels.fields import titled
from landmarks.finding import NUMBER, fields, sorting_fields
from landmarks.sentences import say, text

USUAL = (
    "number", "name", "certainty", "fit", "missing", "shell_length", "region", "collected",
    "pictures",
)  # fmt: skip
"""Columns unless somebody chooses others."""

OFFERED = (
    "number", "name", "level", "determiner", "determined", "leading", "certainty", "fit",
    "missing", "region", "origin", "condition", "locality", "collector", "habitat",
    "collected", "captured", "view", "part", "pictures",
)  # fmt: skip
"""Columns in the order in which they are offered; the measures follow."""

WRITTEN = ("locality", "collector", "habitat", "collected")
"""Columns that are shown as they were written, not as they are searched."""

GAINING = ("name", "leading", "missing", "region", "locality", "collector", "habitat")
"""Columns whose words may be longer than usual: they have what is left of the width."""

TELLING = ("leading", "certainty", "fit")
"""Columns that follow from candidates: out of sight while names are hidden."""

ORDER = {"number": "catalogue_number", "name": "name"}


def shared_out(
    needed: Sequence[int], gaining: Sequence[bool], room: int
) -> tuple[int, ...]:
    """Return how wide columns are that need so much: those ``gaining`` share the rest.

    Each has its share by what it needs. Where none gains, the rest stays empty; where there
    is no rest, every column still has what it needs.

    >>> shared_out((100, 200, 50), (False, True, True), 600)
    (100, 400, 100)
    """
    left = max(0, room - sum(needed))
    shares = sum(width for width, gains in zip(needed, gaining, strict=True) if gains)
    widths = []
    for width, gains in zip(needed, gaining, strict=True):
        more = round(left * width / shares) if gains else 0
        shares -= width * gains
        left -= more
        widths.append(width + more)
    return tuple(widths)


def offered() -> tuple[str, ...]:
    """Return the keys of every column there can be."""
    measures = (key for key, one in fields().items() if one.derived and one.kind == NUMBER)
    return tuple(dict.fromkeys((*OFFERED, *measures)))


def column_name(key: str) -> str:
    """Return what a column is called."""
    if key in ORDER:
        return say(f"table.column.{key}")
    return titled(text(fields()[key].name))


def order_of(key: str) -> str:
    """Return the order of the list that a column stands for, or nothing if it sorts nothing."""
    return ORDER.get(key) or (key if key in sorting_fields() else "")


def is_derived(key: str) -> bool:
    """Return whether a column follows from tables and engine."""
    return key not in ORDER and fields()[key].derived


def alignment(key: str) -> Qt.AlignmentFlag:
    """Return on which side the words of a column stand: numbers at the right."""
    number = key not in ORDER and fields()[key].kind == NUMBER
    side = Qt.AlignmentFlag.AlignRight if number else Qt.AlignmentFlag.AlignLeft
    return side | Qt.AlignmentFlag.AlignVCenter
