"""What must hold between the rows of the species tables, besides each row by itself."""

from __future__ import annotations

from difflib import get_close_matches
from typing import Any, cast

from landmarks.observations import CONDITIONS, ORIGINS, ZONES
from landmarks.tables.model import FREQUENCIES
from landmarks.tables.parsing import Parsed
from landmarks.tables.schema import LONGEST_WORD


def check_rows(parsed: Parsed, general: dict[str, Any]) -> None:
    """Note every fault that shows only between rows, columns or files."""
    characters = {str(row["key"]): row for row in parsed.rows["characters.csv"]}
    states: dict[str, list[str]] = {}
    for row, number in _rows(parsed, "states.csv"):
        known = states.setdefault(row["character"], [])
        if row["key"] in known:
            parsed.fault("states.csv", number, "tables.twice", found=row["key"])
        known.append(row["key"])
        for one in row["made_by"]:
            _choice(parsed, "states.csv", number, "made_by", one, (*CONDITIONS, *ORIGINS))
    for row, number in _rows(parsed, "conditions.csv"):
        _choice(
            parsed,
            "conditions.csv",
            number,
            "condition",
            row["condition"],
            CONDITIONS + ORIGINS,
        )
    _check_characters(parsed, characters, states)
    for row, number in _rows(parsed, "cells.csv"):
        character = characters.get(row["character"])
        if character is not None:
            unit = str(character["unit"])
            if unit:
                _check_measured(parsed, row, number)
            else:
                _check_scored(parsed, row, number, states.get(row["character"], []))
            _check_band(parsed, row, number)
    said: set[tuple[str, str]] = set()
    for row, number in _rows(parsed, "ranges.csv"):
        if (row["taxon"], row["region"]) in said:
            parsed.fault("ranges.csv", number, "tables.twice", found=row["region"])
        said.add((row["taxon"], row["region"]))
    for row, number in _rows(parsed, "pairs.csv"):
        if len(set(row["taxa"])) < 2:
            parsed.fault("pairs.csv", number, "tables.lonely_group", found=row["key"])
    _check_general(parsed, general, characters)


def _check_general(
    parsed: Parsed, general: dict[str, Any], characters: dict[str, Any]
) -> None:
    size = general.get("size", {})
    key = size.get("character", "") if isinstance(size, dict) else None
    if key is None or (key and (key not in characters or characters[key]["unit"] != "mm")):
        parsed.fault("guide.toml", 0, "tables.size_character", found=str(key or size))
    elif not isinstance(size.get("species_from_mm", 0), int | float):
        parsed.fault(
            "guide.toml",
            0,
            "tables.not_a_number",
            column="species_from_mm",
            found=str(size),
        )


def _check_characters(
    parsed: Parsed, characters: dict[str, Any], states: dict[str, list[str]]
) -> None:
    measured = {key for key, row in characters.items() if row["unit"]}
    for row, number in _rows(parsed, "characters.csv"):
        key = row["key"]
        if not row["unit"] and len(states.get(key, [])) < 2:
            parsed.fault("characters.csv", number, "tables.no_states", found=key)
        if row["unit"] and key in states:
            parsed.fault("characters.csv", number, "tables.both", found=key)
        for column, greatest in (("confusion", 0.9), ("weight", 1.0)):
            value = row[column]
            if value is not None and not 0 <= value <= greatest:
                _outside(parsed, "characters.csv", number, column, value, 0, greatest)
        if row["zone"]:
            _choice(parsed, "characters.csv", number, "zone", row["zone"], ZONES)
        for one in (*row["sum_of"], *filter(None, (row["bounds"],))):
            if one not in measured:
                column = "sum_of" if one in row["sum_of"] else "bounds"
                _choice(parsed, "characters.csv", number, column, one, tuple(measured))
        low, high = row["span_low"], row["span_high"]
        if low is not None and high is not None and not low < high:
            parsed.fault(
                "characters.csv", number, "tables.order", columns="span_low, span_high"
            )


def _check_scored(
    parsed: Parsed, row: dict[str, Any], number: int, states: list[str]
) -> None:
    if row["state"] not in states:
        _choice(parsed, "cells.csv", number, "state", row["state"], tuple(states))
    said = row["frequency"]
    if said not in FREQUENCIES:
        try:
            share = float(said)
        except ValueError:
            _choice(parsed, "cells.csv", number, "frequency", said, tuple(FREQUENCIES))
        else:
            if not 0 <= share <= 1:
                _outside(parsed, "cells.csv", number, "frequency", share, 0, 1)
    numbers = ("low", "typical", "high", "at_least", "at_most", "maximum")
    if any(row[one] is not None for one in numbers):
        parsed.fault(
            "cells.csv", number, "tables.number_for_scored", found=row["character"]
        )


def _check_measured(parsed: Parsed, row: dict[str, Any], number: int) -> None:
    if row["state"] or row["frequency"]:
        parsed.fault(
            "cells.csv", number, "tables.state_for_measured", found=row["character"]
        )
    three = [row["low"], row["typical"], row["high"]]
    said = [one for one in three if one is not None]
    if said != sorted(said):
        parsed.fault("cells.csv", number, "tables.order", columns="low, typical, high")
    if said and (row["low"] is None or row["high"] is None or row["low"] == row["high"]):
        parsed.fault("cells.csv", number, "tables.low_and_high")
    sides = (row["at_least"], row["at_most"])
    if None not in sides and not sides[0] < sides[1]:
        parsed.fault("cells.csv", number, "tables.order", columns="at_least, at_most")
    if not said and sides == (None, None) and row["maximum"] is None:
        parsed.fault("cells.csv", number, "tables.no_number", found=row["character"])
    if said and sides != (None, None):
        parsed.fault("cells.csv", number, "tables.two_ways")
    if not row["definition"]:
        parsed.fault("cells.csv", number, "tables.blank", column="definition")


def _check_band(parsed: Parsed, row: dict[str, Any], number: int) -> None:
    start, end = row["from_mm"], row["to_mm"]
    if start is not None and end is not None and not start < end:
        parsed.fault("cells.csv", number, "tables.order", columns="from_mm, to_mm")
    if row["weight"] is not None and not 0 <= row["weight"] <= 1:
        _outside(parsed, "cells.csv", number, "weight", row["weight"], 0, 1)


def _rows(parsed: Parsed, file: str) -> list[tuple[dict[str, Any], int]]:
    rows = cast("list[dict[str, Any]]", parsed.rows[file])
    return list(zip(rows, parsed.numbers[file], strict=True))


def _choice(
    parsed: Parsed, file: str, row: int, column: str, found: str, known: tuple[str, ...]
) -> None:
    if found not in known:
        near = get_close_matches(found[:LONGEST_WORD], known, n=1, cutoff=0.0)
        parsed.fault(
            file,
            row,
            "tables.unknown_word" if near else "tables.unknown_word_none",
            column=column,
            found=found,
            nearest=near[0] if near else "",
        )


def _outside(
    parsed: Parsed,
    file: str,
    row: int,
    column: str,
    found: float,
    least: float,
    greatest: float,
) -> None:
    parsed.fault(
        file,
        row,
        "tables.outside",
        column=column,
        found=found,
        least=least,
        greatest=greatest,
    )
