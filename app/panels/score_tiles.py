"""The tiles of a character that is scored: one for each state, or for each reason why not."""

from __future__ import annotations

from collections.abc import Callable

from app.panels import side_words
from app.panels.characters import NOT_HERE
from app.style import drawings
from app.style.widgets import Tile
from landmarks.assessment import CharacterRow
from landmarks.sentences import say

REASONS = ("hidden", "worn", "broken", "too_dark", NOT_HERE)
"""Why a character cannot be seen, in the order of their keys 0, 1, 2 ..."""


def state_tiles(
    row: CharacterRow, choose: Callable[[int], None], cannot: Callable[[], None]
) -> list[Tile]:
    """Return a tile for each state, by its key from 1 on, and one for *cannot be seen*."""
    seen, character = row.observation, row.character
    tiles: list[Tile] = []
    for number, state in enumerate(character.states, 1):
        drawing = drawings.state_drawing(character.key, state.key)
        tile = Tile(str(number), drawing, state.name, state.meaning)
        tile.set_chosen(seen is not None and seen.state == state.key)
        tile.clicked.connect(lambda _=False, n=number: choose(n))
        tiles.append(tile)
    tile = Tile(
        "0",
        drawings.state_drawing(character.key, drawings.CANNOT_BE_SEEN),
        say("side.strip.cannot"),
        _why_now(row) or say("side.strip.cannot_means"),
        icon_like=True,
    )
    tile.set_chosen(seen is not None and bool(seen.hidden))
    tile.clicked.connect(lambda _=False: cannot())
    return [*tiles, tile]


def reason_tiles(row: CharacterRow, cannot: Callable[[str], None]) -> list[Tile]:
    """Return a tile for each reason why the character cannot be seen."""
    icon = drawings.state_drawing(row.character.key, drawings.CANNOT_BE_SEEN)
    seen = row.observation
    tiles: list[Tile] = []
    for number, reason in enumerate(REASONS):
        key = f"side.strip.reason.{reason}"
        tile = Tile(str(number), icon, say(key), say(f"{key}.means"), icon_like=True)
        tile.set_chosen(seen is not None and seen.hidden == reason)
        tile.clicked.connect(lambda _=False, why=reason: cannot(why))
        tiles.append(tile)
    return tiles


def _why_now(row: CharacterRow) -> str:
    seen = row.observation
    return (
        side_words.word("hidden", seen.hidden) if seen is not None and seen.hidden else ""
    )
