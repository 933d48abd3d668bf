"""Species tables from a folder: everything is checked on reading, nothing later."""

from __future__ import annotations

import tomllib
from contextlib import suppress
from hashlib import sha256
from pathlib import Path
from typing import Any, cast

from landmarks.characters import Character, Characters, State
from landmarks.errors import TablesError
from landmarks.sentences import Sentence
from landmarks.sources import Bibliography, Source
from landmarks.tables.checking import check_rows
from landmarks.tables.model import (
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
from landmarks.tables.parsing import Parsed, Row, TooManyFaultsError, parse_folder
from landmarks.tables.schema import LARGEST_GUIDE_BYTES

SHIPPED = Path(__file__).parent.parent / "data" / "species"


def read_tables(folder: Path | None = None) -> Tables:
    """Return the tables of a folder; without one, those that come with the program.

    Raises
    ------
    TablesError
        If anything in them is wrong: with file, row and remedy, and how many faults follow.
    """
    folder = folder or SHIPPED
    parsed, general = _parse(folder)
    if parsed.faults:
        first = parsed.faults[0]
        raise TablesError(
            "tables.fault" if len(parsed.faults) == 1 else "tables.faults",
            n=len(parsed.faults) - 1,
            file=first.file,
            row=first.row,
            fault=fault_sentence(first),
        )
    return _tables(parsed, general)


def check_tables(folder: Path | None = None) -> tuple[Fault, ...]:
    """Return every fault of the tables in a folder, in the order of files and rows."""
    return tuple(_parse(folder or SHIPPED)[0].faults)


def fault_sentence(fault: Fault) -> Sentence:
    """Return what is wrong, where, and the way out."""
    what = Sentence(fault.key, fault.values)
    if fault.row == 0:
        return Sentence("tables.where_file", {"file": fault.file, "what": what})
    return Sentence(
        "tables.where", {"file": fault.file, "row": str(fault.row), "what": what}
    )


def _parse(folder: Path) -> tuple[Parsed, dict[str, Any]]:
    if not folder.is_dir():
        raise TablesError("tables.no_folder", folder=folder.name)
    parsed, general = Parsed(), dict[str, Any]()
    with suppress(TooManyFaultsError):
        parse_folder(folder, parsed)
        general = _general(folder / "guide.toml", parsed)
        check_rows(parsed, general)
    return parsed, general


def _general(path: Path, parsed: Parsed) -> dict[str, Any]:
    if not path.is_file():
        parsed.fault(path.name, 0, "tables.missing_file", folder=path.parent.name)
        return {}
    try:
        if path.stat().st_size > LARGEST_GUIDE_BYTES:
            limit = LARGEST_GUIDE_BYTES // 1000
            parsed.fault(path.name, 0, "tables.guide_too_large", limit=limit)
            return {}
        return tomllib.loads(path.read_text(encoding="utf-8-sig"))
    except (ValueError, RecursionError, OSError) as error:
        # Every fault of TOML and of its encoding is a ValueError, a long number too.
        parsed.fault(path.name, 0, "tables.not_toml", why=str(error)[:200])
        return {}


def _tables(parsed: Parsed, general: dict[str, Any]) -> Tables:
    rows = cast("dict[str, list[dict[str, Any]]]", parsed.rows)
    size = general.get("size", {})
    return Tables(
        title=str(general.get("title", "")),
        taxa=tuple(Taxon(**row) for row in rows["taxa.csv"]),
        characters=_characters(rows),
        views=tuple(
            View(
                row["key"],
                row["name"],
                row["living"],
                row["harmless"],
                row["shows"],
                row["note"],
            )
            for row in rows["views.csv"]
        ),
        cells=tuple(
            _cell(row, number)
            for row, number in zip(
                rows["cells.csv"], parsed.numbers["cells.csv"], strict=True
            )
        ),
        ranges=tuple(Range(**row) for row in rows["ranges.csv"]),
        regions=tuple(Region(**row) for row in rows["regions.csv"]),
        statuses=tuple(Status(**row) for row in rows["status.csv"]),
        groups=tuple(Group(**row) for row in rows["pairs.csv"]),
        sources=Bibliography(tuple(Source(**row) for row in rows["sources.csv"])),
        size=SizeRule(size.get("character", ""), float(size.get("species_from_mm", 0))),
        hash=_hash(parsed.rows, general),
    )


def _characters(rows: dict[str, list[dict[str, Any]]]) -> Characters:
    states: dict[str, list[State]] = {}
    for row in rows["states.csv"]:
        states.setdefault(row["character"], []).append(
            State(row["key"], row["name"], row["meaning"], row["absent"], row["made_by"])
        )
    vanishes: dict[str, list[str]] = {}
    for row in rows["conditions.csv"]:
        vanishes.setdefault(row["character"], []).append(row["condition"])
    made = []
    for row in rows["characters.csv"]:
        own = tuple(states.get(row["key"], ()))
        low, high = row["span_low"], row["span_high"]
        lost = vanishes.get(row["key"], []) + [kind for one in own for kind in one.made_by]
        made.append(
            Character(
                key=row["key"],
                name=row["name"],
                question=row["question"],
                definition=row["definition"],
                states=own,
                unit=row["unit"],
                views=row["views"],
                needs=row["needs"],
                smallest_detail_mm=row["smallest_detail_mm"] or 0.0,
                group=row["group"],
                confusion=0.1 if row["confusion"] is None else row["confusion"],
                weight=1.0 if row["weight"] is None else row["weight"],
                vanishes=tuple(dict.fromkeys(lost)),
                also=row["also"],
                ordered=row["ordered"],
                zone=row["zone"] or "whole",
                standard=row["standard"],
                own_doubt=row["own_doubt"] or 0.0,
                span=None if low is None or high is None else (low, high),
                sum_of=row["sum_of"],
                bounds=row["bounds"],
            )
        )
    return Characters(tuple(made))


def _cell(row: dict[str, Any], number: int) -> Cell:
    said = row["frequency"]
    often = None if not said else FREQUENCIES[said] if said in FREQUENCIES else float(said)
    return Cell(
        number,
        row["taxon"],
        row["character"],
        row["state"],
        said,
        often,
        row["low"],
        row["typical"],
        row["high"],
        row["at_least"],
        row["at_most"],
        row["maximum"],
        row["definition"],
        row["from_mm"],
        row["to_mm"],
        1.0 if row["weight"] is None else row["weight"],
        row["source"],
        row["evidence"],
        row["note"],
    )


def _hash(rows: dict[str, list[Row]], general: dict[str, Any]) -> str:
    """Return the SHA-256 of all values, whatever the columns' order, quotes or line ends."""
    lines = [repr(sorted(general.items(), key=lambda item: item[0]))]
    for file in sorted(rows):
        lines.append(file)
        lines += ["\x1f".join(map(str, row.values())) for row in rows[file]]
    return sha256("\n".join(lines).encode()).hexdigest()
