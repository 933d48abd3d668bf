"""The bibliography: a key, its citation, and how what it says was come by.

Nothing is quoted without a key. The rows stand in ``sources.csv`` beside the species tables,
so that another set of tables brings its own literature.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

HOW = ("read", "read_in_part", "relayed", "memory", "practice")


@dataclass(frozen=True, slots=True)
class Source:
    """Where a statement comes from.

    Attributes
    ----------
    key
        The word in the tables.
    citation
        As far as it is known; what is from memory is said in ``note``.
    kind
        ``paper``, ``guide``, ``web_page``, ``museum_page``, ``data`` ...
    how
        One of :data:`HOW`: ``read`` (the whole), ``read_in_part`` (an abstract, an opening
        page), ``relayed`` (read in a page that passes it on), ``memory`` (recollection of the
        literature, not checked), ``practice`` (common practice, no source).
    note
        What was seen of it, and what to beware of.
    """

    key: str
    citation: str
    kind: str
    how: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class Bibliography:
    """All sources of a set of tables."""

    rows: tuple[Source, ...]

    def __iter__(self) -> Iterator[Source]:
        return iter(self.rows)

    def __contains__(self, key: object) -> bool:
        return any(row.key == key for row in self.rows)

    def __getitem__(self, key: str) -> Source:
        """Return a source by its key; KeyError if there is none."""
        for row in self.rows:
            if row.key == key:
                return row
        raise KeyError(key)
