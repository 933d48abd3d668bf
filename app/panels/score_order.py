"""In which order characters are scored: that of the tables, what is answered left out."""

from collections.abc import Sequence

from landmarks.assessment import CharacterRow


def characters_to_score(rows: Sequence[CharacterRow], at_work: str) -> list[str]:
    """Return the characters that these pictures can show, and the one at work."""
    return [
        row.character.key
        for row in rows
        if row.looked_at or not row.hidden or row.character.key == at_work
    ]


def next_open(rows: Sequence[CharacterRow], after: str) -> str:
    """Return the next character not looked at, in the fixed order, going round; or nothing."""
    keys = [row.character.key for row in rows]
    start = keys.index(after) + 1 if after in keys else 0
    return next(
        (
            row.character.key
            for row in (*rows[start:], *rows[:start])
            if not row.looked_at and not row.hidden and row.character.key != after
        ),
        "",
    )
