"""Which specimens would get another answer from another guide."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from landmarks.identification.answer import Answer
from landmarks.identification.guide import Guide
from landmarks.identification.identify import conclude, identify
from landmarks.observations import Circumstances, Seen


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
    """Return the specimens whose answer (level and taxa) differs between two guides."""
    changes = []
    for key, seen, now in specimens:
        if _named(before, seen, now) != _named(after, seen, now):
            old, new = identify(before, seen, now), identify(after, seen, now)
            changes.append(Change(key, old, new))
    return tuple(changes)


def _named(
    guide: Guide, seen: Sequence[Seen], now: Circumstances
) -> tuple[str, tuple[str, ...]]:
    decision = conclude(guide, seen, now).decision
    return decision.level, tuple(guide.taxa[one] for one in decision.taxa)
