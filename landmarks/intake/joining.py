"""Rows of a label table joined to specimens: by catalogue number, or by picture file.

What a row says goes onto the label as it stands; where a person wrote something else already,
that stays and the difference is told, unless the table is to win. What found no partner is
told on both sides.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import PurePosixPath

from landmarks.changes import Change
from landmarks.collection import Picture
from landmarks.errors import DocumentError
from landmarks.intake.columns import EXTRA, FILE, LEFT_OUT, Matching, match_columns
from landmarks.intake.deeds import Deed, specimen_changes
from landmarks.intake.labels import LabelTable
from landmarks.sentences import Sentence
from landmarks.specimen import Label, Specimen

_NAMED = 5
"""Columns that are named where none of them joins anything."""


@dataclass(frozen=True, slots=True)
class Differs:
    """An entry in which the table and the label that is there say different things."""

    specimen: str
    entry: str
    there: str
    in_table: str


@dataclass(frozen=True, slots=True)
class Shared:
    """A row whose catalogue number is not its own alone; nothing is made of that.

    Attributes
    ----------
    row
        The row, from 0.
    rows
        All rows of the table with this number, where there are several.
    n_there
        Specimens that have the number already, where there are several, or that are not on
        the picture which the row names.
    off_picture
        Whether they are counted because they are not on that picture.
    """

    row: int
    rows: tuple[int, ...] = ()
    n_there: int = 0
    off_picture: bool = False


@dataclass(frozen=True, slots=True)
class Joined:
    """What a label table makes of specimens.

    Attributes
    ----------
    specimens
        Those that change, as they become.
    deed
        All of it as one change set.
    matched
        Row (from 0) -> id of its specimen.
    rows_alone
        Rows without a specimen.
    specimens_alone
        Ids of specimens without a row.
    ambiguous
        Rows that fit several specimens, or a specimen that has its row: left alone.
    differs
        Entries that stayed as they were, or, where the table wins, were changed.
    shared
        Rows whose number another row, or a specimen that is not theirs, has as well.
    """

    specimens: tuple[Specimen, ...]
    deed: Deed
    matched: Mapping[int, str]
    rows_alone: tuple[int, ...]
    specimens_alone: tuple[str, ...]
    ambiguous: tuple[int, ...]
    differs: tuple[Differs, ...]
    shared: tuple[Shared, ...] = ()


def join_labels(
    table: LabelTable,
    matching: Matching,
    specimens: Sequence[Specimen],
    pictures: Mapping[str, Picture],
    *,
    table_wins: bool = False,
) -> Joined:
    """Join the rows of a table to specimens and write their labels.

    Parameters
    ----------
    pictures
        By id: rows that name a file are joined through them.
    table_wins
        Whether what the table says replaces what is there.

    Notes
    -----
    A row that names a file several specimens are on (a drawer) is told by its number, or
    left alone.
    """
    by_number = _gathered(
        (plain_number(one.label.catalogue_number), one) for one in specimens
    )
    by_file = _gathered(
        (name, one)
        for one in specimens
        for frame in one.frames
        if frame.picture in pictures
        for name in _names(pictures[frame.picture].path)
    )
    matched: dict[int, str] = {}
    alone: list[int] = []
    ambiguous: list[int] = []
    taken: set[str] = set()
    shared: list[Shared] = []
    with_number = _rows_by_number(table, matching)
    for i, row in enumerate(table.rows):
        number = plain_number(_cell(row, matching.column("catalogue_number")))
        holders, shown = by_number.get(number, {}), dict[str, Specimen]()
        for name in _files(_cell(row, matching.column(FILE))):
            shown |= by_file.get(name, {})
        same = with_number.get(number, ())
        n_there = len(holders.keys() - shown.keys()) if shown or len(holders) > 1 else 0
        if len(same) > 1 or n_there:
            rows = same if len(same) > 1 else ()
            shared.append(Shared(i, rows, n_there, off_picture=bool(shown)))
        found = holders or shown
        if not found:
            alone.append(i)
        elif len(found) > 1 or next(iter(found)) in taken:
            ambiguous.append(i)
        else:
            matched[i] = next(iter(found))
            taken.add(matched[i])
    whole = {one.id: one for one in specimens}
    made, changes, differs = [], list[Change](), list[Differs]()
    for i, specimen_id in matched.items():
        before = whole[specimen_id]
        given = label_of(table, matching, i)
        label, found_differs = _filled(before, given, table_wins=table_wins)
        differs.extend(found_differs)
        after = replace(before, label=label)
        if after != before:
            made.append(after)
            changes.extend(specimen_changes(before, after))
    values = {"n": len(made), "file": table.file}
    return Joined(
        tuple(made),
        Deed(Sentence("deed.join_labels", values), tuple(changes)),
        matched,
        tuple(alone),
        tuple(one.id for one in specimens if one.id not in taken),
        tuple(ambiguous),
        tuple(differs),
        tuple(shared),
    )


def label_of(table: LabelTable, matching: Matching, row: int) -> Label:
    """Return the label that one row of a table makes; the whole row is kept beside it.

    Where no column holds the label's own text, the row as it stands is the verbatim label.
    """
    entries: dict[str, str] = {}
    extra: dict[str, object] = {}
    cells = table.rows[row]
    for target, cell in zip(matching.targets, cells, strict=True):
        if not cell or target in (LEFT_OUT, FILE):
            continue
        if target.startswith(EXTRA):
            extra[target.removeprefix(EXTRA)] = cell
        else:
            entries[target] = cell
    if "verbatim" not in entries:
        pairs = zip(table.header, cells, strict=True)
        entries["verbatim"] = "\n".join(f"{name}: {cell}" for name, cell in pairs if cell)
    return Label(**entries, extra=extra)


def check_joins(table: LabelTable) -> None:
    """Refuse a table whose columns, taken as they are named, could join no specimen.

    Raises
    ------
    DocumentError
        If none is called like the catalogue number or the picture file; they are named.
    """
    matching = match_columns(table.header)
    if matching.column("catalogue_number") is None and matching.column(FILE) is None:
        named = tuple(f"\N{LEFT DOUBLE QUOTATION MARK}{one}\N{RIGHT DOUBLE QUOTATION MARK}"
                      for one in table.header[:_NAMED] if one)  # fmt: skip
        raise DocumentError("intake.labels_join_nothing", file=table.file, columns=named)


def numbers_of_files(table: LabelTable, matching: Matching) -> dict[str, str]:
    """Return file name, and its stem, -> catalogue number, for grouping.

    Numbers of rows without a file stand under themselves, so that a file of that name is
    found.
    """
    numbers: dict[str, str] = {}
    for row in table.rows:
        number = _cell(row, matching.column("catalogue_number"))
        named = _files(_cell(row, matching.column(FILE)))
        for name in named:
            numbers.setdefault(name, number or name)
        if number and not named:
            numbers.setdefault(number, number)
    return numbers


def plain_number(number: str) -> str:
    """Return a catalogue number without capitals, blanks and strokes.

    >>> plain_number("PM 1042") == plain_number("pm-1042")
    True
    """
    return "".join(sign for sign in number.casefold() if sign.isalnum())


def _filled(
    specimen: Specimen, given: Label, *, table_wins: bool
) -> tuple[Label, list[Differs]]:
    there, differs = specimen.label, []
    entries: dict[str, str] = {}
    for entry in _ENTRIES:
        old, new = getattr(there, entry), getattr(given, entry)
        if not new or new == old:
            continue
        if old:
            same = entry == "catalogue_number" and plain_number(old) == plain_number(new)
            if not same:
                differs.append(Differs(specimen.id, entry, old, new))
            if not table_wins:
                continue
        entries[entry] = new
    extra = dict(there.extra)
    for name, value in given.extra.items():
        old = extra.get(name)
        if old not in (None, "", value):
            differs.append(Differs(specimen.id, name, str(old), str(value)))
            if not table_wins:
                continue
        extra[name] = value
    return replace(there, **entries, extra=extra), differs


_ENTRIES = (
    "catalogue_number", "locality", "collector", "collected", "depth", "habitat", "verbatim",
    "remarks",
)  # fmt: skip


def _rows_by_number(table: LabelTable, matching: Matching) -> dict[str, tuple[int, ...]]:
    made: dict[str, list[int]] = {}
    for i, row in enumerate(table.rows):
        if number := plain_number(_cell(row, matching.column("catalogue_number"))):
            made.setdefault(number, []).append(i)
    return {number: tuple(rows) for number, rows in made.items()}


def _gathered(
    pairs: Iterable[tuple[str, Specimen]],
) -> dict[str, dict[str, Specimen]]:
    made: dict[str, dict[str, Specimen]] = {}
    for name, one in pairs:
        if name:
            made.setdefault(name, {})[one.id] = one
    return made


def _cell(row: Sequence[str], column: int | None) -> str:
    return "" if column is None else row[column]


def _files(cell: str) -> tuple[str, ...]:
    """Return the file names in a cell (several stand with `` | `` between), folded."""
    names = (_last(one.strip()).casefold() for one in cell.split("|"))
    return tuple(name for name in names if name)


def _names(path: str) -> tuple[str, ...]:
    name = _last(path)
    return name.casefold(), name.rpartition(".")[0].casefold()


def _last(path: str) -> str:
    return PurePosixPath(path.replace("\\", "/")).name
