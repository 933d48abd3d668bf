"""Taking in: files found, read, recognised, sorted into animals, labelled - as deeds to do.

Nothing here writes: every function gives values, and what is to be kept comes as a
:class:`~landmarks.intake.deeds.Deed` that a session or a store does, and can take back.
Names are looked up when they are first used, so importing this package loads nothing heavy.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from landmarks.intake.by_hand import (
        keep_by_hand,
        merge,
        move,
        number_groups,
        split,
        split_before,
    )
    from landmarks.intake.clock import (
        Taken,
        correct_clock,
        dive_of,
        read_shift,
        read_zone,
        shift_between,
        taken_at,
    )
    from landmarks.intake.columns import Matching, keep_column, match_columns, take_column
    from landmarks.intake.deeds import Deed, give_rights, give_view
    from landmarks.intake.entering import Listening, next_number, scanned, sticky
    from landmarks.intake.grouping import (
        Group,
        Proposal,
        Shot,
        by_labels,
        by_name,
        by_time,
        each_alone,
        shots_of,
        shots_of_pictures,
    )
    from landmarks.intake.interpreting import Interpreted, interpreted
    from landmarks.intake.joining import Joined, check_joins, join_labels, numbers_of_files
    from landmarks.intake.labels import LabelTable, read_label_table
    from landmarks.intake.reading import (
        Found,
        Refused,
        files_in,
        passed_over,
        read_all,
        read_one,
    )
    from landmarks.intake.regrouping import merge_specimens, move_frames, split_specimen
    from landmarks.intake.taking import (
        Again,
        Intake,
        Recognised,
        Recorded,
        path_within,
        recognise,
        record,
        specimens_of,
        take_in,
    )

_HOMES = {
    "by_hand": (
        "keep_by_hand", "merge", "move", "number_groups", "split", "split_before",
    ),
    "clock": (
        "Taken", "correct_clock", "dive_of", "read_shift", "read_zone", "shift_between",
        "taken_at",
    ),
    "columns": ("Matching", "keep_column", "match_columns", "take_column"),
    "deeds": ("Deed", "give_rights", "give_view"),
    "entering": ("Listening", "next_number", "scanned", "sticky"),
    "grouping": (
        "Group", "Proposal", "Shot", "by_labels", "by_name", "by_time", "each_alone",
        "shots_of", "shots_of_pictures",
    ),
    "interpreting": ("Interpreted", "interpreted"),
    "joining": ("Joined", "check_joins", "join_labels", "numbers_of_files"),
    "labels": ("LabelTable", "read_label_table"),
    "reading": ("Found", "Refused", "files_in", "passed_over", "read_all", "read_one"),
    "regrouping": ("merge_specimens", "move_frames", "split_specimen"),
    "taking": (
        "Again", "Intake", "Recognised", "Recorded", "path_within", "recognise", "record",
        "specimens_of", "take_in",
    ),
}  # fmt: skip
_HOME = {name: home for home, names in _HOMES.items() for name in names}

__all__ = [
    "Again",
    "Deed",
    "Found",
    "Group",
    "Intake",
    "Interpreted",
    "Joined",
    "LabelTable",
    "Listening",
    "Matching",
    "Proposal",
    "Recognised",
    "Recorded",
    "Refused",
    "Shot",
    "Taken",
    "by_labels",
    "by_name",
    "by_time",
    "check_joins",
    "correct_clock",
    "dive_of",
    "each_alone",
    "files_in",
    "give_rights",
    "give_view",
    "interpreted",
    "join_labels",
    "keep_by_hand",
    "keep_column",
    "match_columns",
    "merge",
    "merge_specimens",
    "move",
    "move_frames",
    "next_number",
    "number_groups",
    "numbers_of_files",
    "passed_over",
    "path_within",
    "read_all",
    "read_label_table",
    "read_one",
    "read_shift",
    "read_zone",
    "recognise",
    "record",
    "scanned",
    "shift_between",
    "shots_of",
    "shots_of_pictures",
    "specimens_of",
    "split",
    "split_before",
    "split_specimen",
    "sticky",
    "take_column",
    "take_in",
    "taken_at",
]


def __getattr__(name: str) -> Any:
    if name not in _HOME:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_HOME[name]}"), name)
