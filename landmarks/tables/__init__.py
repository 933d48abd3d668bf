"""Species tables: what the literature says of each species, cell by cell, with sources.

Plain CSV files and one TOML file in a folder that anyone can edit or replace: another folder
makes another guide. The words in them (names, questions, definitions, meanings) are what is
shown on screen; a translated guide is a translated folder.

>>> tables = read_tables()
>>> tables.taxa[0].name
'Tridacna gigas'
"""

from __future__ import annotations

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
