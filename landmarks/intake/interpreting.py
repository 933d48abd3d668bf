"""What a label says, read as date and depth; the label itself stays as it is.

Only what can be read in one way is read: ``03/04/2024`` is two dates, so it is none here.
Dates come as ISO 8601 (a day, a month, a year, or an interval with a stroke between).
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date

from landmarks.specimen import Label

FEET_M = 0.3048
"""Exact: the international foot of 1959, from memory."""

FATHOM_M = 6 * FEET_M
DEEPEST_M = 11_000.0


@dataclass(frozen=True, slots=True)
class Interpreted:
    """What was understood of a label; ``""`` and None where nothing was, or not in one way."""

    event_date: str = ""
    shallowest_m: float | None = None
    deepest_m: float | None = None


def interpreted(label: Label) -> Interpreted:
    """Return the date and the depths (metres) that a label tells."""
    depths = read_depth(label.depth)
    low, high = depths if depths is not None else (None, None)
    return Interpreted(read_date(label.collected) or "", low, high)


def read_date(words: str) -> str | None:
    """Return a date in ISO 8601 form, or None where it is none, or more than one.

    >>> read_date("12.iii.2024"), read_date("12 March 2024"), read_date("2024:03:12 10:41:07")
    ('2024-03-12', '2024-03-12', '2024-03-12')
    >>> read_date("25/04/2024"), read_date("03/04/2024"), read_date("March 1931")
    ('2024-04-25', None, '1931-03')
    """
    tidy = " ".join(words.replace(",", " ").split())
    if "/" in tidy and len(ends := tidy.split("/")) == 2 and all(map(_ISO.match, ends)):
        begin, end = (read_date(one) for one in ends)
        return f"{begin}/{end}" if begin and end and begin <= end else None
    if found := _ISO.match(tidy):
        year, month, day = found.groups()
        return _checked(int(year), int(month or 0), int(day or 0))
    if found := _NAMED.fullmatch(tidy):
        day, month, year = found.groups()
        return _checked(int(year), _MONTHS[month.casefold()], int(day or 0))
    if found := _NAMED_FIRST.fullmatch(tidy):
        month, day, year = found.groups()
        return _checked(int(year), _MONTHS[month.casefold()], int(day))
    if found := _FIGURES.fullmatch(tidy):
        first, second, year = (int(part) for part in found.groups())
        both = {
            made
            for day, month in ((first, second), (second, first))
            if (made := _checked(year, month, day))
        }
        return both.pop() if len(both) == 1 else None
    return None


def read_depth(words: str) -> tuple[float, float] | None:
    """Return the shallowest and the deepest metre of a depth, or None.

    >>> read_depth("3-5 m"), read_depth("12,5 m"), read_depth("30 ft")
    ((3.0, 5.0), (12.5, 12.5), (9.144, 9.144))
    """
    found = _DEPTH.fullmatch(words.strip().casefold())
    if found is None:
        return None
    first, last, unit = found.groups()
    factor = {"f": FEET_M, "'": FEET_M}.get((unit or "m")[0], 1.0)
    if (unit or "").startswith("fa") or unit == "fm":
        factor = FATHOM_M
    ends = [float(end.replace(",", ".")) * factor for end in (first, last or first)]
    low, high = (round(end, 4) for end in sorted(ends))
    return (low, high) if high <= DEEPEST_M else None


_MONTHS = {
    name: number
    for number, names in enumerate(
        (
            "jan january i", "feb february ii", "mar march iii", "apr april iv", "may v",
            "jun june vi", "jul july vii", "aug august viii", "sep sept september ix",
            "oct october x", "nov november xi", "dec december xii",
        ),
        1,
    )
    for name in names.split()
}  # fmt: skip
_MONTH = "|".join(sorted(_MONTHS, key=len, reverse=True))
_ISO = re.compile(r"(\d{4})(?:[-:](\d\d)(?:[-:](\d\d))?)?(?:[T ]\d\d:\d\d.*)?$", re.ASCII)
_NAMED = re.compile(
    rf"(?:(\d{{1,2}})(?:st|nd|rd|th)?[ .\-/]+)?({_MONTH})[ .\-/]+(\d{{4}})", re.I | re.ASCII
)
_NAMED_FIRST = re.compile(
    rf"({_MONTH})[ .\-]+(\d{{1,2}})(?:st|nd|rd|th)?[ .\-]+(\d{{4}})", re.I | re.ASCII
)
_FIGURES = re.compile(r"(\d{1,2})[./\- ]+(\d{1,2})[./\- ]+(\d{4})", re.ASCII)
_DEPTH = re.compile(
    r"(?:ca?\.?|about|approx\.?|~)? *(\d+(?:[.,]\d+)?) *(?:(?:m|ft)? *(?:-|\u2013|to) *"
    r"(\d+(?:[.,]\d+)?))? *(m|metres?|meters?|msw|ft|feet|foot|'|fathoms?|fm)?\.?",
    re.ASCII,
)


def _checked(year: int, month: int, day: int) -> str | None:
    """Return as much of a date as is told, or None where there is no such day."""
    try:
        made = date(year, month or 1, day or 1)
    except ValueError:
        return None
    if day and not month:
        return None
    return made.isoformat()[: 10 if day else 7 if month else 4]
