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
    gone, come = _kept(before, old - new), _kept(after, new - old)
    places = dict.fromkeys((one.taxon, one.character) for one in (*gone, *come))
    return tuple(
        Difference(
            taxon, character, _of(gone, taxon, character), _of(come, taxon, character)
        )
        for taxon, character in places
    )


def other_differences(before: Tables, after: Tables) -> tuple[str, ...]:
    """Return the files, cells aside, in which two tables differ."""
    parts = {
        "taxa.csv": (before.taxa, after.taxa),
        "characters.csv, states.csv, conditions.csv": (
            before.characters,
            after.characters,
        ),
        "views.csv": (before.views, after.views),
        "regions.csv": (before.regions, after.regions),
        "ranges.csv": (before.ranges, after.ranges),
        "status.csv": (before.statuses, after.statuses),
        "pairs.csv": (before.groups, after.groups),
        "sources.csv": (before.sources, after.sources),
        "guide.toml": ((before.title, before.size), (after.title, after.size)),
    }
    return tuple(file for file, (old, new) in parts.items() if old != new)


def _counted(tables: Tables) -> Counter[Cell]:
    return Counter(replace(one, row=0) for one in tables.cells)


def _kept(tables: Tables, counted: Counter[Cell]) -> list[Cell]:
    """Return the cells that were counted, with the rows in which they stand."""
    left, kept = counted.copy(), []
    for one in tables.cells:
        plain = replace(one, row=0)
        if left[plain] > 0:
            left[plain] -= 1
            kept.append(one)
    return kept


def _of(cells: list[Cell], taxon: str, character: str) -> tuple[Cell, ...]:
    return tuple(one for one in cells if (one.taxon, one.character) == (taxon, character))
