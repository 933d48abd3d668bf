"""Finding specimens: a small language of conditions over what is recorded and derived.

A condition names a field, a relation and its values: ``shell_length > 80``, ``region is
halverson_reef``, ``missing is scale``. Conditions are plain values, so that they can be
typed, kept in a collection under a name, merged and undone like everything else. All
conditions of a query must hold.

What is not known fits no condition but ``unknown`` and ``is not``: missing is never 0.
"""

from landmarks.finding.catalogue import (
    DATE,
    LONGEST_WORD,
    NUMBER,
    TEXT,
    WORDS,
    YES,
    Field,
    fields,
    sorting_fields,
)
from landmarks.finding.checking import checked_filter
from landmarks.finding.conditions import (
    RELATIONS,
    SIGMAS,
    Bounds,
    Fact,
    Filter,
    bounds,
    facts_by_field,
    fits,
)
from landmarks.finding.language import filter_words, parse_filter, written
from landmarks.finding.saved import SavedFilter, saved_filter_parts, saved_filters_of
from landmarks.finding.spelling import date_of, folded

__all__ = [
    "DATE",
    "LONGEST_WORD",
    "NUMBER",
    "RELATIONS",
    "SIGMAS",
    "TEXT",
    "WORDS",
    "YES",
    "Bounds",
    "Fact",
    "Field",
    "Filter",
    "SavedFilter",
    "bounds",
    "checked_filter",
    "date_of",
    "facts_by_field",
    "fields",
    "filter_words",
    "fits",
    "folded",
    "parse_filter",
    "saved_filter_parts",
    "saved_filters_of",
    "sorting_fields",
    "written",
]
