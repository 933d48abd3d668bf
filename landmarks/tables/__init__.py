"""Species tables: what the literature says of each species, cell by cell, with sources.

Plain CSV files and one TOML file in a folder that anyone can edit or replace: another folder
makes another guide. The words in them (names, questions, definitions, meanings) are what is
shown on screen; a translated guide is a translated folder. Names are looked up when they are
first used, so that importing this package loads nothing heavy.

>>> from landmarks.tables import read_tables
>>> tables = read_tables()
>>> tables.taxa[0].name
'Tridacna gigas'
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from landmarks.tables.comparing import (
        Comparison,
        cell_sentence,
        compare,
        comparison_sentence,
    )
    from landmarks.tables.differing import Difference, differences, other_differences
    from landmarks.tables.model import (
        EVIDENCE,
        FREQUENCIES,
        Cell,
        Fault,
        Group,
        Range,
        Region,
        SizeRule,
        Status,
        Tables,
        Taxon,
        View,
    )
    from landmarks.tables.reading import SHIPPED, check_tables, fault_sentence, read_tables
    from landmarks.tables.words import check_words

_HOMES = {
    "comparing": ("Comparison", "cell_sentence", "compare", "comparison_sentence"),
    "differing": ("Difference", "differences", "other_differences"),
    "reading": ("SHIPPED", "check_tables", "fault_sentence", "read_tables"),
    "words": ("check_words",),
}
_HOME = {name: home for home, names in _HOMES.items() for name in names}

__all__ = [
    "EVIDENCE",
    "FREQUENCIES",
    "SHIPPED",
    "Cell",
    "Comparison",
    "Difference",
    "Fault",
    "Group",
    "Range",
    "Region",
    "SizeRule",
    "Status",
    "Tables",
    "Taxon",
    "View",
    "cell_sentence",
    "check_tables",
    "check_words",
    "compare",
    "comparison_sentence",
    "differences",
    "fault_sentence",
    "other_differences",
    "read_tables",
]


def __getattr__(name: str) -> Any:
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_HOME.get(name, 'model')}"), name)
