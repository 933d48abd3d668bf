"""From the text of a table file to rows of checked values, with every fault on the way."""

from __future__ import annotations

import csv
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from difflib import get_close_matches
from math import isfinite
from pathlib import Path

from landmarks.tables.model import Fault
from landmarks.tables.schema import (
    FILES,
    LARGEST_TABLE_BYTES,
    LONGEST_WORD,
    MOST_FAULTS,
    Column,
    File,
)

Row = dict[str, object]
_KEY = re.compile(r"[a-z][a-z0-9_]*\Z")


class TooManyFaultsError(Exception):
    """So much is wrong that the rest need not be looked at."""


@dataclass
class Parsed:
    """All rows of a folder by file, their row numbers, and what was wrong with them."""

    rows: dict[str, list[Row]] = field(default_factory=dict)
    numbers: dict[str, list[int]] = field(default_factory=dict)
    keys: dict[str, set[str]] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)

    def fault(self, file: str, row: int, key: str, **values: object) -> None:
        """Note a fault; after the last that is noted the rest is not looked at."""
        said = {
            name: f"{one[:LONGEST_WORD]}…"
            if isinstance(one, str) and len(one) > LONGEST_WORD
            else one
            for name, one in values.items()
        }
        self.faults.append(Fault(file, row, key, said))
        if len(self.faults) >= MOST_FAULTS:
            raise TooManyFaultsError


def parse_folder(folder: Path, parsed: Parsed) -> None:
    """Put in the rows of every table file in a folder, with the faults of each.

    Raises
    ------
    TooManyFaultsError
        Once so many are noted that the rest need not be looked at.
    """
    for file in FILES:
        parsed.rows[file.name], parsed.numbers[file.name] = [], []
        parsed.keys[file.name] = set()
        path = folder / file.name
        if not path.is_file():
            if not file.optional:
                parsed.fault(file.name, 0, "tables.missing_file", folder=folder.name)
            continue
        _parse_file(path, file, parsed)


def _parse_file(path: Path, file: File, parsed: Parsed) -> None:
    if path.stat().st_size > LARGEST_TABLE_BYTES:
        parsed.fault(
            file.name, 0, "tables.too_large", limit=LARGEST_TABLE_BYTES // 1_000_000
        )
        return
    try:
        written = path.read_text(encoding="utf-8-sig")
    except (UnicodeDecodeError, OSError):
        parsed.fault(file.name, 0, "tables.not_text")
        return
    lines = written.splitlines(keepends=True)
    if not lines:
        parsed.fault(file.name, 0, "tables.empty")
        return
    # Spreadsheets of some countries part columns by semicolons.
    mark = ";" if lines[0].count(";") > lines[0].count(",") else ","
    try:
        table = list(csv.reader(lines, delimiter=mark, strict=True))
    except csv.Error:
        parsed.fault(file.name, 0, "tables.broken_quotes")
        return
    heading = [name.strip() for name in table[0]]
    missing = [c.name for c in file.columns if not c.optional and c.name not in heading]
    for name in missing:
        near = get_close_matches(name, _short(heading), n=1)
        key = "tables.missing_column_near" if near else "tables.missing_column"
        parsed.fault(file.name, 1, key, column=name, nearest=near[0] if near else "")
    if missing:
        return
    places = [(c, heading.index(c.name) if c.name in heading else -1) for c in file.columns]
    for number, fields in enumerate(table[1:], start=2):
        if not any(one.strip() for one in fields):
            continue
        if len(fields) > len(heading):
            parsed.fault(file.name, number, "tables.too_many_fields", n=len(fields))
            continue
        row: Row = {}
        for column, place in places:
            said = fields[place].strip() if 0 <= place < len(fields) else ""
            row[column.name] = _value(said, column, file.name, number, parsed)
        parsed.rows[file.name].append(row)
        parsed.numbers[file.name].append(number)


def _value(said: str, column: Column, file: str, row: int, parsed: Parsed) -> object:
    """Return the value of one field; a fault is noted and a harmless value returned."""
    if column.required and not said:
        parsed.fault(file, row, "tables.blank", column=column.name)
    match column.kind:
        case "number":
            return _number(said, column, file, row, parsed)
        case "words":
            return tuple(one.strip() for one in said.split(";") if one.strip())
        case "yes":
            if said.lower() not in ("", "yes", "no"):
                parsed.fault(
                    file, row, "tables.not_yes_or_no", column=column.name, found=said
                )
            return said.lower() == "yes"
        case "choice":
            if said and said not in column.of:
                _unknown(parsed, file, row, column.name, said, column.of)
            return said
        case "key":
            return _new_key(said, file, row, parsed)
        case "ref":
            if said and said not in parsed.keys[column.of[0]]:
                _unknown(parsed, file, row, column.name, said, parsed.keys[column.of[0]])
            return said
        case "refs":
            words = tuple(one.strip() for one in said.split(";") if one.strip())
            for one in words:
                if one not in parsed.keys[column.of[0]]:
                    _unknown(parsed, file, row, column.name, one, parsed.keys[column.of[0]])
            return words
        case _:
            return said


def _number(said: str, column: Column, file: str, row: int, parsed: Parsed) -> float | None:
    if not said:
        return None
    try:
        value = float(said)
    except ValueError:
        key = "tables.decimal_comma" if "," in said else "tables.not_a_number"
        parsed.fault(file, row, key, column=column.name, found=said)
        return None
    if not isfinite(value):
        parsed.fault(file, row, "tables.not_a_number", column=column.name, found=said)
        return None
    return value


def _new_key(said: str, file: str, row: int, parsed: Parsed) -> str:
    if said and not _KEY.match(said):
        parsed.fault(file, row, "tables.bad_key", found=said)
    if said in parsed.keys[file]:
        parsed.fault(file, row, "tables.twice", found=said)
    parsed.keys[file].add(said)
    return said


def _short(words: list[str]) -> list[str]:
    """Return words of which the nearest can be found at once."""
    return [one for one in words[: 10 * LONGEST_WORD] if len(one) <= LONGEST_WORD]


def _unknown(
    parsed: Parsed, file: str, row: int, column: str, found: str, known: object
) -> None:
    words = _short(sorted(map(str, known))) if isinstance(known, set | tuple) else []
    near = get_close_matches(found[:LONGEST_WORD], words, n=1, cutoff=0.0)
    values: Mapping[str, object] = {"found": found, "nearest": near[0] if near else ""}
    parsed.fault(file, row, "tables.unknown_word", column=column, **values)
