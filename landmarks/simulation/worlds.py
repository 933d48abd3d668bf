"""A world that the species tables may describe: for every species what its specimens are like.

The tables leave things open: cells that are only remembered may be wrong, many are empty.
Each world settles this by chance: a statement holds as often as its evidence is worth, and
where none does the species borrows from another one. So specimens of many worlds show what the
tables deserve to be trusted for, no more. Nothing here uses the identification.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import inf
from random import Random
from statistics import NormalDist

from landmarks.characters import Character
from landmarks.tables.model import Cell, Tables

HOLDS: Mapping[str, float] = {"read": 1.0, "memory": 0.5, "practice": 0.35}
"""How often a statement holds, by how it was come by (common practice, no source)."""

NORMAL = NormalDist()
_Z95 = NORMAL.inv_cdf(0.95)


@dataclass(frozen=True, slots=True)
class States:
    """How often each state occurs in a species between two sizes, by one source."""

    start: float
    end: float
    often: tuple[float, ...]

    def at(self, share: float) -> int:
        """Return the state below which this share of the specimens lies."""
        passed = 0.0
        for place, one in enumerate(self.often):
            passed += one
            if share <= passed:
                return place
        return len(self.often) - 1


@dataclass(frozen=True, slots=True)
class Numbers:
    """How a number is spread in a species between two sizes, by one source."""

    start: float
    end: float
    low: float
    middle: float
    high: float
    flat: bool = False

    def at(self, share: float) -> float:
        """Return the number below which this share of the specimens lies."""
        if self.flat:
            return self.low + share * (self.high - self.low)
        z = NORMAL.inv_cdf(min(max(share, 1e-6), 1 - 1e-6))
        side = self.middle - self.low if z < 0 else self.high - self.middle
        return self.middle + z * side / _Z95


Statement = States | Numbers


@dataclass(frozen=True, slots=True)
class World:
    """What holds of every taxon and character; ``lengths`` are its sizes and the greatest."""

    tables: Tables
    held: Mapping[tuple[str, str], tuple[Statement, ...]]
    lengths: Mapping[str, tuple[Numbers, float]]
    seed: int

    def statement(
        self, taxon: str, character: str, size: float, chance: Random
    ) -> Statement | None:
        """Return what holds of a taxon at a size; of several statements one by chance."""
        own = [
            one
            for one in self.held.get((taxon, character), ())
            if one.start <= size < one.end
        ]
        if own:
            return chance.choice(own)
        kin = [one for one in self.tables.taxa if (one.key, character) in self.held]
        # A world has one truth: the species from which a gap is filled is always the same.
        order = Random(f"{self.seed}/{taxon}/{character}")
        order.shuffle(kin)
        for other in kin:
            for one in self.held[other.key, character]:
                if one.start <= size < one.end:
                    return one
        return None


def make_world(
    tables: Tables, chance: Random, holds: Mapping[str, float] | None = None
) -> World:
    """Return a world that the tables may describe."""
    holds = HOLDS if holds is None else holds
    parts: dict[tuple[str, str], dict[tuple[object, ...], list[Cell]]] = {}
    for cell in tables.cells:
        if cell.maximum is not None or cell.character == tables.size.character:
            continue
        alone = cell.row if cell.frequency is None else 0
        one = (cell.source, cell.evidence, cell.from_mm, cell.to_mm, alone)
        parts.setdefault((cell.taxon, cell.character), {}).setdefault(one, []).append(cell)
    held: dict[tuple[str, str], tuple[Statement, ...]] = {}
    for place, sources in parts.items():
        character = tables.characters[place[1]]
        kept = [
            _statement(character, own)
            for own in sources.values()
            if chance.random() < max(one.weight * holds[one.evidence] for one in own)
        ]
        if kept:
            held[place] = tuple(kept)
    return World(tables, held, _lengths(tables), chance.getrandbits(32))


def moved_tables(tables: Tables, share: float, chance: Random) -> Tables:
    """Return the tables with a share of their cells moved by one step.

    A state becomes its neighbour; a number moves by a quarter of its spread, a limit by a tenth.
    """
    return replace(
        tables,
        cells=tuple(
            _moved(tables, one, chance) if chance.random() < share else one
            for one in tables.cells
        ),
    )


def _moved(tables: Tables, cell: Cell, chance: Random) -> Cell:
    step = chance.choice((-1, 1))
    if cell.frequency is not None:
        keys = [one.key for one in tables.characters[cell.character].states]
        place = keys.index(cell.state)
        near = place + step if 0 <= place + step < len(keys) else place - step
        return replace(cell, state=keys[near])
    if cell.low is not None and cell.high is not None:
        move = step * (cell.high - cell.low) / 4
        typical = None if cell.typical is None else cell.typical + move
        return replace(cell, low=cell.low + move, typical=typical, high=cell.high + move)
    grown = 1 + 0.1 * step
    return replace(
        cell,
        at_least=None if cell.at_least is None else cell.at_least * grown,
        at_most=None if cell.at_most is None else cell.at_most * grown,
        maximum=None if cell.maximum is None else cell.maximum * grown,
    )


def _statement(character: Character, own: Sequence[Cell]) -> Statement:
    first = own[0]
    start, end = first.from_mm or 0.0, first.to_mm or inf
    if character.scored:
        said: dict[str, float] = {}
        for one in own:
            said[one.state] = max(said.get(one.state, 0.0), one.frequency or 0.0)
        rest = max(0.0, 1 - sum(said.values()))
        silent = len(character.states) - len(said) or 1
        often = [said.get(one.key, rest / silent) for one in character.states]
        whole = sum(often) or 1.0
        return States(start, end, tuple(one / whole for one in often))
    if first.low is not None and first.high is not None:
        middle = (first.low + first.high) / 2 if first.typical is None else first.typical
        return Numbers(start, end, first.low, middle, first.high)
    least, most = character.span or (0.0, 2 * (first.at_least or first.at_most or 1.0))
    low = least if first.at_least is None else first.at_least
    high = most if first.at_most is None else first.at_most
    return Numbers(start, end, low, (low + high) / 2, high, flat=True)


def _lengths(tables: Tables) -> dict[str, tuple[Numbers, float]]:
    found: dict[str, tuple[Numbers, float]] = {}
    for taxon in tables.taxa:
        own = [
            one
            for one in tables.cells
            if (one.taxon, one.character) == (taxon.key, tables.size.character)
        ]
        most = max((one.maximum for one in own if one.maximum is not None), default=inf)
        spread = next((one for one in own if one.low is not None), None)
        if spread is not None and spread.low is not None and spread.high is not None:
            middle = (spread.low + spread.high) / 2
            typical = middle if spread.typical is None else spread.typical
            numbers = Numbers(0.0, inf, spread.low, typical, spread.high)
        elif most < inf:
            numbers = Numbers(0.0, inf, 0.12 * most, 0.45 * most, 0.85 * most)
        else:
            numbers = Numbers(0.0, inf, 1.0, 1.0, 1.0)
        found[taxon.key] = (numbers, most)
    return found
