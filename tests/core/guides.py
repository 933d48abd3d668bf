"""Small guides made in a test: a few taxa and characters, whatever the test needs of them."""

from __future__ import annotations

from math import inf

from landmarks.characters import Character, Characters, State
from landmarks.identification import Guide, Settings, compile_tables
from landmarks.sources import Bibliography, Source
from landmarks.tables import FREQUENCIES, Cell, Range, Region, SizeRule, Tables, Taxon, View

PLAIN = Settings(
    reading_error=0.0,
    floor=0.0,
    own_doubt=0.0,
    tempering=1.0,
    region_reach=inf,
    cap_read=1.0,
    cap_unread=1.0,
    cap_thin=0.0,
)
"""Without reading error, floor, tempering and cap, so that numbers can be told by hand."""


def scored(key: str, *states: str, **more: object) -> Character:
    """Return a scored character; a state may end in ``!`` to say *absent*."""
    own = tuple(
        State(s.rstrip("!"), s.rstrip("!"), "", absent=s.endswith("!")) for s in states
    )
    return Character(key, key, "", "", own, views=("seen",), **more)  # type: ignore[arg-type]


def measured(key: str, unit: str = "ratio", **more: object) -> Character:
    """Return a measured character."""
    values = {"standard": "so", **more}
    return Character(key, key, "", "", (), unit, ("seen",), **values)  # type: ignore[arg-type]


def often(
    taxon: str, character: str, state: str, word: str | float, **more: object
) -> Cell:
    """Return a cell of a scored character."""
    share = FREQUENCIES[word] if isinstance(word, str) else word
    return _cell(taxon, character, state=state, word=str(word), frequency=share, **more)


def number(taxon: str, character: str, *three: float, **more: object) -> Cell:
    """Return a cell of a measured character: low, typical, high, or one-sided by name."""
    low, typical, high = three or (None, None, None)
    values = {"definition": "so", "low": low, "typical": typical, "high": high, **more}
    return _cell(taxon, character, **values)


def _cell(taxon: str, character: str, **more: object) -> Cell:
    return Cell(2, taxon, character, **{"source": "book", **more})  # type: ignore[arg-type]


def guide(
    taxa: str,
    characters: list[Character],
    cells: list[Cell],
    settings: Settings = PLAIN,
    **more: object,
) -> Guide:
    """Return a guide of a few taxa, ``"a_one a_two"``; what is before the line is the genus."""
    return compile_tables(tables(taxa, characters, cells, **more), settings)


def tables(
    taxa: str, characters: list[Character], cells: list[Cell], **more: object
) -> Tables:
    """Return tables of a few taxa."""
    values: dict[str, object] = {
        "title": "small",
        "taxa": tuple(Taxon(key, key, key.split("_", 1)[0]) for key in taxa.split()),
        "characters": Characters(tuple(characters)),
        "views": (View("seen", "seen"),),
        "cells": tuple(cells),
        "sources": Bibliography((Source("book", "A book.", "book", "read"),)),
        **more,
    }
    return Tables(**values)  # type: ignore[arg-type]


def regions(**shares: dict[str, float | str]) -> dict[str, object]:
    """Return ranges and regions: for each region the status or the share of some taxa."""
    rows = [
        Range(taxon, region, said)
        if isinstance(said, str)
        else Range(taxon, region, "present", said)
        for region, own in shares.items()
        for taxon, said in own.items()
    ]
    return {
        "ranges": tuple(rows),
        "regions": tuple(Region(key, key) for key in shares),
    }


def size_rule(least: float = 0.0) -> dict[str, object]:
    """Return that ``length`` is the size, and below which no species is named."""
    return {"size": SizeRule("length", least)}
