"""Words of a record that must be known to the tables: region, origin, condition."""

from __future__ import annotations

from collections.abc import Sequence
from difflib import get_close_matches

from landmarks.errors import UnknownWordError
from landmarks.observations import CONDITIONS, ORIGINS, ZONES
from landmarks.specimen import Where
from landmarks.tables.model import Tables


def check_words(where: Where, tables: Tables) -> None:
    """Refuse a region, origin or condition that nobody knows.

    Raises
    ------
    UnknownWordError
        For the first one that is not known; the nearest known one is named.
    """
    if where.region:
        _known("tables.unknown_region", where.region, [one.key for one in tables.regions])
    _known("tables.unknown_origin", where.origin, ORIGINS)
    for condition in where.condition:
        _known("tables.unknown_condition", condition.kind, CONDITIONS)
        _known("tables.unknown_zone", condition.zone, ZONES)


def _known(key: str, found: str, words: Sequence[str]) -> None:
    if found not in words:
        near = get_close_matches(found, words, n=1, cutoff=0.0)
        raise UnknownWordError(
            key, found=found, nearest=near[0] if near else "", known=", ".join(words)
        )
