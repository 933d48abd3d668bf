"""What would follow if a character had another state: cheap enough to follow the pointer."""

from __future__ import annotations

from collections.abc import Sequence

from landmarks.identification.evidence import (
    gather,
    log_weights,
    reading,
    shares,
    temper,
)
from landmarks.identification.guide import Guide
from landmarks.observations import Circumstances, Scored, Seen


def what_if(
    guide: Guide,
    seen: Sequence[Seen],
    circumstances: Circumstances | None,
    character: str,
) -> dict[str, tuple[float, ...]]:
    """Return for every state of a character what all taxa would weigh if it were seen, surely.

    What was seen of the character itself is set aside, the rest stands. A measured character
    has no states: the answer is empty.

    Parameters
    ----------
    guide, seen, circumstances
        As for :func:`landmarks.identification.weigh`.
    character
        Its key, or another key it goes under.

    Returns
    -------
    dict
        State to the probability of every taxon, in the order of ``guide.taxa``.

    Raises
    ------
    UnknownWordError
        If a character, state or region is not in the tables; the nearest is named.
    """
    key = guide.keys.get(character) or guide.tables.characters[character].key
    row = guide.scored.get(key)
    if row is None:
        return {}
    now = circumstances or Circumstances()
    rest = [one for one in seen if guide.keys.get(one.character, one.character) != key]
    evidence = gather(guide, rest, now)
    logs = log_weights(guide, evidence)
    if row.character.weight == 0:
        return dict.fromkeys(row.states, tuple(shares(logs)))
    own = [factor.drops for factor in evidence.factors if factor.group == row.group]
    further = guide.settings.tempering
    before = temper(own, further) if own else [0.0] * len(logs)
    found = {}
    for state, place in row.states.items():
        tried = reading(guide, row, place, (Scored(key, state),), evidence.size, now)
        joint = temper([*own, tried.drops], further)
        after = [a + b - c for a, b, c in zip(logs, joint, before, strict=True)]
        found[state] = tuple(shares(after))
    return found
