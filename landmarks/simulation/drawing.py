"""Specimens of a world as somebody with pictures would record them.

Every specimen has one size; within a group of characters it deviates as a whole; whoever reads
it is more or less careful, and errs in a group as a whole. Views hide characters, mantles are
withdrawn, shells are worn. All shares below are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, sqrt
from random import Random

from landmarks.characters import Character
from landmarks.observations import (
    CONDITIONS,
    ZONES,
    Circumstances,
    Condition,
    Hidden,
    Scored,
    Seen,
    Taken,
)
from landmarks.simulation.worlds import NORMAL, Numbers, World, make_world, moved_tables
from landmarks.tables.model import Tables, View

ALIKE = 0.5
"""How far characters of one group deviate together, and errors within it are made together."""
LOOKED_AT = 0.8
UNMET = 0.12
WORN = 0.2
TAKEN_AWAY = 0.5
WITH_REGION = 0.5
ELSEWHERE = 0.1
UNSURE_RIGHT, UNSURE_WRONG = 0.08, 0.4
CARE = 0.5
LEAST_MM = 30.0
SPECIMENS_OF_A_WORLD = 200


@dataclass(frozen=True, slots=True)
class Simulated:
    """A specimen with its true taxon, and what somebody recorded of it."""

    taxon: str
    seen: tuple[Seen, ...]
    circumstances: Circumstances

    @property
    def n_characters(self) -> int:
        """Return how many characters were seen."""
        return sum(not isinstance(one, Hidden) for one in self.seen)


def simulate(tables: Tables, n: int, seed: int, moved: float = 0.0) -> list[Simulated]:
    """Return ``n`` specimens, all taxa equally often, from many worlds of the tables.

    In every world a share of the cells, ``moved``, is off by one step.
    """
    chance = Random(seed)
    made: list[Simulated] = []
    while len(made) < n:
        off = moved_tables(tables, moved, chance) if moved else tables
        world = make_world(off, chance)
        made += [
            draw(world, chance.choice(tables.taxa).key, chance)
            for _ in range(min(SPECIMENS_OF_A_WORLD, n - len(made)))
        ]
    return made


def draw(world: World, taxon: str, chance: Random) -> Simulated:
    """Return one specimen of a taxon."""
    tables = world.tables
    size = _size(world, taxon, chance)
    views = _views(tables, chance)
    living = bool(views) and all(one.living for one in views)
    condition = None if living else _condition(tables, chance)
    keys = {one.key for one in views}
    unmet = {need for need in _needs(tables) if chance.random() < UNMET}
    reader = _Reader(world, chance, exp(chance.gauss(0.0, CARE)), condition)
    seen: list[Seen] = []
    for character in tables.characters:
        if not keys.intersection(character.views) or chance.random() > LOOKED_AT:
            continue
        if unmet.intersection(character.needs):
            seen.append(Hidden(character.key, "need_unmet"))
        elif character.key == tables.size.character:
            seen.append(_number(character, size, chance))
        elif character.bounds and character.bounds == tables.size.character:
            visible = size * chance.uniform(0.6, 1.0)
            seen.append(_number(character, visible, chance))
        elif not any(one.character in character.sum_of for one in seen):
            seen += reader.read(character, taxon, size)
    return Simulated(
        taxon,
        tuple(seen),
        Circumstances(
            region=_region(tables, taxon, chance),
            origin="wild",
            conditions=(condition,) if condition else (),
            living=living,
            views=frozenset(keys),
        ),
    )


class _Reader:
    """Whoever records a specimen: how careful, and what befell the specimen before."""

    def __init__(
        self, world: World, chance: Random, error: float, condition: Condition | None
    ) -> None:
        self.world, self.chance = world, chance
        self.error, self.condition = error, condition
        self.deviates: dict[str, float] = {}
        self.errs: dict[str, float] = {}

    def read(self, character: Character, taxon: str, size: float) -> list[Seen]:
        """Return what is recorded of a character; nothing where no taxon is known for it."""
        said = self.world.statement(taxon, character.key, size, self.chance)
        if said is None:
            return []
        share = self._together(self.deviates, character)
        if isinstance(said, Numbers):
            value = said.at(share)
            if character.unit == "count":
                value = float(max(round(value), 0))
            return [_number(character, value, self.chance)]
        state, sure = self._misread(character, self._worn(character, said.at(share)))
        return [Scored(character.key, character.states[state].key, sure)]

    def _together(self, effects: dict[str, float], character: Character) -> float:
        """Return a share from 0 to 1 that goes along with the others of its group."""
        group = character.group or character.key
        common = effects.setdefault(group, self.chance.gauss(0.0, 1.0))
        own = self.chance.gauss(0.0, 1.0)
        return NORMAL.cdf(sqrt(ALIKE) * common + sqrt(1 - ALIKE) * own)

    def _worn(self, character: Character, state: int) -> int:
        """Return the state after what befell the specimen."""
        condition = self.condition
        if condition is None or self.chance.random() > TAKEN_AWAY:
            return state
        zones = (condition.zone, character.zone)
        if "whole" not in zones and zones[0] != zones[1]:
            return state
        for place, one in enumerate(character.states):
            if condition.kind in one.made_by:
                return min(place, state) if character.ordered else place
        return state

    def _misread(self, character: Character, state: int) -> tuple[int, bool]:
        """Return the state that is recorded, and whether it is called sure."""
        rate = min(character.confusion * self.error, 0.6)
        if self._together(self.errs, character) > rate:
            return state, self.chance.random() > UNSURE_RIGHT
        others = [one for one in range(len(character.states)) if one != state]
        near = [one for one in others if abs(one - state) == 1]
        read = self.chance.choice(near if character.ordered and near else others)
        return read, self.chance.random() > UNSURE_WRONG


def _size(world: World, taxon: str, chance: Random) -> float:
    numbers, most = world.lengths[taxon]
    for _ in range(50):
        size = numbers.at(chance.random())
        if LEAST_MM <= size <= most:
            return size
    return max(min(numbers.middle, most), 0.0)


def _number(character: Character, value: float, chance: Random) -> Taken:
    if character.unit == "count":
        read = value + (chance.choice((-1, 1)) if chance.random() < 0.15 else 0)
        return Taken(character.key, float(max(read, 0)), 0.5)
    sigma = abs(value) * 0.015
    own = sqrt(sigma**2 + character.own_doubt**2)
    low, high = character.span or (float("-inf"), float("inf"))
    return Taken(character.key, min(max(chance.gauss(value, own), low), high), sigma)


def _views(tables: Tables, chance: Random) -> Sequence[View]:
    """Return one to four views, all of the living animal or all of the shell."""
    asked = [one for one in tables.views if one.ask]
    kinds = [[one for one in asked if one.living], [one for one in asked if not one.living]]
    kind = chance.choice([one for one in kinds if one] or [[]])
    return chance.sample(kind, chance.randint(1, min(4, len(kind)))) if kind else ()


def _needs(tables: Tables) -> list[str]:
    return sorted({need for one in tables.characters for need in one.needs})


def _condition(tables: Tables, chance: Random) -> Condition | None:
    kinds = sorted(
        {
            kind
            for character in tables.characters
            for state in character.states
            for kind in state.made_by
            if kind in CONDITIONS
        }
    )
    if not kinds or chance.random() > WORN:
        return None
    return Condition(chance.choice(kinds), chance.choice(ZONES))


def _region(tables: Tables, taxon: str, chance: Random) -> str | None:
    if not tables.regions or chance.random() > WITH_REGION:
        return None
    own = [
        one.region
        for one in tables.ranges
        if one.taxon == taxon and one.status in ("present", "introduced")
    ]
    if not own or chance.random() < ELSEWHERE:
        return chance.choice(tables.regions).key
    return chance.choice(own)
