"""What two sets of species tables say differently, cell by cell."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace

from landmarks.tables.model import Cell, Tables


@dataclass(frozen=True, slots=True)
class Difference:
    """The cells of one taxon and character that only one of two tables has."""

    taxon: str
    character: str
    before: tuple[Cell, ...]
    after: tuple[Cell, ...]


def differences(before: Tables, after: Tables) -> tuple[Difference, ...]:
    """Return where two tables differ, wherever the rows stand in their files."""
    old, new = _counted(before), _counted(after)
    gone, come = old - new, new - old
    places = dict.fromkeys((one.taxon, one.character) for one in (*gone, *come))
    return tuple(
        Difference(
            taxon, character, _of(gone, taxon, character), _of(come, taxon, character)
        )
        for taxon, character in places
    )


def _counted(tables: Tables) -> Counter[Cell]:
    return Counter(replace(one, row=0) for one in tables.cells)


def _of(cells: Counter[Cell], taxon: str, character: str) -> tuple[Cell, ...]:
    return tuple(
        one for one in cells.elements() if (one.taxon, one.character) == (taxon, character)
    )
