"""Which specimens would get another answer from another guide."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from landmarks.identification.answer import Answer
from landmarks.identification.concluding import conclude
from landmarks.identification.guide import Guide
from landmarks.identification.identify import identify
from landmarks.observations import Circumstances, Scored, Seen, Taken


@dataclass(frozen=True, slots=True)
class Change:
    """A specimen, by its key, whose answer changes; both answers in full."""

    key: str
    before: Answer
    after: Answer


def changed_answers(
    before: Guide,
    after: Guide,
    specimens: Iterable[tuple[str, Sequence[Seen], Circumstances]],
) -> tuple[Change, ...]:
    """Return the specimens whose answer (level and taxa) differs between two guides.

    What one of the guides does not know (a character, a state, a region) is silent in it.
    """
    changes = []
    for key, seen, now in specimens:
        old, new = _known(before, seen, now), _known(after, seen, now)
        if _named(before, *old) != _named(after, *new):
            changes.append(Change(key, identify(before, *old), identify(after, *new)))
    return tuple(changes)


def _known(
    guide: Guide, seen: Sequence[Seen], now: Circumstances
) -> tuple[tuple[Seen, ...], Circumstances]:
    kept = []
    for one in seen:
        row = guide.tables.characters.get(one.character)
        if row is None:
            continue
        if isinstance(one, Scored) and one.state not in [s.key for s in row.states]:
            continue
        if isinstance(one, Taken) and row.scored:
            continue
        kept.append(one)
    if now.region is not None and now.region not in guide.priors:
        now = replace(now, region=None)
    return tuple(kept), now


def _named(
    guide: Guide, seen: Sequence[Seen], now: Circumstances
) -> tuple[str, tuple[str, ...]]:
    decision = conclude(guide, seen, now).decision
    return decision.level, tuple(guide.taxa[one] for one in decision.taxa)
