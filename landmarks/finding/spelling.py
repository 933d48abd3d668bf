"""Words and dates in the one form in which they are kept and compared."""

from __future__ import annotations

import re
import unicodedata


def folded(text: str) -> str:
    """Return text without capitals and accents, to search in.

    >>> folded("Récif de Guérin")
    'recif de guerin'
    """
    if text.isascii():
        return text.lower()
    plain = unicodedata.normalize("NFKD", text.casefold())
    return "".join(letter for letter in plain if not unicodedata.combining(letter))


def date_of(text: str) -> str:
    """Return as much of year-month-day as a text begins with, or nothing.

    >>> date_of("2026-03-01T08:00:00Z"), date_of("2026:02:28 14:03:07"), date_of("May 1912")
    ('2026-03-01', '2026-02-28', '')
    """
    found = re.match(r"(\d{4})(?:[-:](\d{2})(?:[-:](\d{2}))?)?(?!\d)", text.strip())
    return "-".join(filter(None, found.groups())) if found else ""
