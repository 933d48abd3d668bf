"""CSV that no spreadsheet program runs, and that reads back as it was.

RFC 4180 with CRLF, UTF-8 with a byte order mark, quotes only where needed. A text that a
spreadsheet program would take for a formula gets one apostrophe in front, and so does one
that already begins with apostrophes before such a sign; reading takes exactly one away. The
signs are those of OWASP ASVS 1.2.10 and CWE-1236 (read in the project's notes on standards),
and their full-width forms, carriage return and line feed (from memory).
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable, Iterator
from decimal import Decimal
from io import StringIO
from math import isfinite

TRIGGERS = "=+-@\t\r\n\0\uff1d\uff0b\uff0d\uff20"
"""First letters that make a spreadsheet program take a text for a formula."""

_CONTROLS = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f]")
_RISKY = re.compile(rf"\s*[{re.escape(TRIGGERS)}]")
_QUOTED = re.compile(rf"'+\s*[{re.escape(TRIGGERS)}]")

Cell = str | float | bool | None
"""What stands in a cell; None is empty, yes and no are words."""


def guard(text: str) -> str:
    """Return a text that no spreadsheet program runs.

    >>> guard("=A1"), guard("-3"), guard("PMM 7"), guard("'=x")
    ("'=A1", "'-3", 'PMM 7', "''=x")
    """
    return f"'{text}" if _RISKY.match(text) or _QUOTED.match(text) else text


def unguard(text: str) -> str:
    """Return the text that was guarded.

    >>> unguard(guard("-3")), unguard("'tis")
    ('-3', "'tis")
    """
    rest = text[1:]
    risky = _RISKY.match(rest) or _QUOTED.match(rest)
    return rest if text.startswith("'") and risky else text


def plain(text: str) -> str:
    """Return a text without control signs other than tab and line ends."""
    return _CONTROLS.sub("", text)


def cell_text(cell: Cell) -> str:
    """Return a cell as it is written: numbers in full and never guarded.

    >>> [cell_text(one) for one in (-0.5, 1e-7, 3.0, True, None, "+3")]
    ['-0.5', '0.0000001', '3', 'yes', '', "'+3"]
    """
    match cell:
        case None:
            return ""
        case bool():
            return "yes" if cell else "no"
        case int() | float():
            if not isfinite(cell):
                return ""
            written = format(Decimal(repr(cell)), "f")
            written = written.rstrip("0").rstrip(".") if "." in written else written
            return "0" if written == "-0" else written
        case _:
            return guard(plain(cell))


def csv_lines(rows: Iterable[Iterable[Cell]]) -> Iterator[str]:
    """Return rows as lines of CSV, each with its CRLF."""
    for row in rows:
        line = StringIO()
        csv.writer(line, lineterminator="\r\n", quoting=csv.QUOTE_MINIMAL).writerow(
            [cell_text(one) for one in row]
        )
        yield line.getvalue()
