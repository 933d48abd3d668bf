"""What can be seen on a giant clam: characters, the states they take, what they need.

A character is either *scored* (it has states) or *measured* (it has a unit); both stand in
the species tables under the same keys as in records, on screen and in exports.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches

from landmarks.errors import UnknownWordError


@dataclass(frozen=True, slots=True)
class State:
    """One value a scored character can take.

    Attributes
    ----------
    key
        The word in records, files and code.
    name, meaning
        As on screen, from the species tables.
    absent
        It says that something is not there: believed only where the picture could show it.
    made_by
        Conditions (worn, overgrown ...) and origins that can bring this state about.
    """

    key: str
    name: str
    meaning: str
    absent: bool = False
    made_by: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Character:
    """A row of the characters table.

    Attributes
    ----------
    key
        The word in records, files and code.
    name, question, definition
        As on screen: a noun, the question asked of the picture, what exactly is meant.
    states
        In order, empty for a measured character.
    unit
        ``"mm"``, ``"ratio"``, ``"count"`` for a measured one, ``""`` for a scored one.
    views
        Keys of the views that can show it.
    needs
        Conditions that must hold: ``mantle_extended``, ``valves_shut``, ``valve_single`` ...
    smallest_detail_mm
        The smallest thing that must be resolved before *absent* may be believed; 0 if none.
    group
        Characters of one group say the same thing; their joint weight is tempered.
    confusion
        How easily neighbouring states are taken for each other, 0 to 1.
    weight
        0 (recorded only) to 1.
    vanishes
        Conditions (worn, overgrown ...) under which what is absent counts for less.
    also
        Other keys under which records may name it.
    ordered
        The states stand in an order, so that neighbours are the more easily confused.
    zone
        Where on the shell it sits: a key of :data:`landmarks.observations.ZONES`.
    standard
        For a measured one: the definition its numbers follow unless they say otherwise.
    own_doubt
        For a measured one: a standard uncertainty that every reading has besides its own.
    span
        For a measured one: the least and greatest value that is at all plausible.
    sum_of
        Keys of measured characters whose sum it is.
    bounds
        Key of the character of which it is one-sided evidence: that one is at least as large.
    """

    key: str
    name: str
    question: str
    definition: str
    states: tuple[State, ...] = ()
    unit: str = ""
    views: tuple[str, ...] = ()
    needs: tuple[str, ...] = ()
    smallest_detail_mm: float = 0.0
    group: str = ""
    confusion: float = 0.1
    weight: float = 1.0
    vanishes: tuple[str, ...] = ()
    also: tuple[str, ...] = ()
    ordered: bool = True
    zone: str = "whole"
    standard: str = ""
    own_doubt: float = 0.0
    span: tuple[float, float] | None = None
    sum_of: tuple[str, ...] = ()
    bounds: str = ""

    @property
    def scored(self) -> bool:
        """Return whether a person scores it, rather than measures it."""
        return bool(self.states)

    def state(self, key: str) -> State:
        """Return one of its states.

        Raises
        ------
        UnknownWordError
            If there is no such state; the nearest one is named.
        """
        for one in self.states:
            if one.key == key:
                return one
        raise _unknown(
            "character.unknown_state", key, [s.key for s in self.states], self.key
        )


@dataclass(frozen=True, slots=True)
class Characters:
    """All characters of a guide, in the order in which they are asked."""

    rows: tuple[Character, ...]

    def __iter__(self):  # type: ignore[no-untyped-def]
        return iter(self.rows)

    def __len__(self) -> int:
        return len(self.rows)

    def __getitem__(self, key: str) -> Character:
        """Return a character by key.

        Raises
        ------
        UnknownWordError
            If there is no such character; the nearest one is named.
        """
        one = self.get(key)
        if one is None:
            raise _unknown("character.unknown", key, [row.key for row in self.rows], "")
        return one

    def get(self, key: str) -> Character | None:
        """Return a character by key or by another key it goes under, or None."""
        for row in self.rows:
            if row.key == key or key in row.also:
                return row
        return None

    def shown_by(self, views: Sequence[str]) -> tuple[Character, ...]:
        """Return the characters that at least one of these views can show."""
        return tuple(row for row in self.rows if set(views) & set(row.views))


def _unknown(key: str, found: str, words: Sequence[str], within: str) -> UnknownWordError:
    near = get_close_matches(found, words, n=1, cutoff=0.0)
    values: Mapping[str, object] = {"found": found, "nearest": near[0] if near else ""}
    return UnknownWordError(key, within=within, known=", ".join(words), **values)
