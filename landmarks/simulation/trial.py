"""The identification tried on simulated specimens: self-consistency, which is not accuracy.

It shows whether the reasoning states what tables and observations warrant. It does not show
whether the tables are right: only specimens determined independently do.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from landmarks.identification import Guide, conclude
from landmarks.shares import wilson
from landmarks.simulation.drawing import Simulated, simulate
from landmarks.simulation.scoring import Calibration, brier, calibration, log_score

MOVED = 0.1
CLEAR = 0.9
COUNTS = ((1, 3), (4, 6), (7, 9), (10, 14), (15, 99))


@dataclass(frozen=True, slots=True)
class Share:
    """A proportion with its 95 % interval."""

    count: int
    n: int

    @property
    def value(self) -> float:
        """Return the proportion; 0 of none."""
        return self.count / self.n if self.n else 0.0

    @property
    def interval(self) -> tuple[float, float]:
        """Return its 95 % interval (Wilson)."""
        return wilson(self.count, self.n)


@dataclass(frozen=True, slots=True)
class Scores:
    """How the identification did on a set of specimens.

    ``first`` and ``three`` say how often the true taxon leads, or is among the first three;
    ``clear_wrong`` how often an answer that is stated above 90 % is wrong; ``holds`` how often
    an answer that names something (species, group, genus) holds the truth.
    """

    n: int
    first: Share
    three: Share
    brier: float
    log_score: float
    calibration: Calibration
    clear_wrong: Share
    named: Share
    holds: Share


@dataclass(frozen=True, slots=True)
class Level:
    """All answers that go as far: what was stated of them on average, how often it was right."""

    key: str
    stated: float
    right: Share


@dataclass(frozen=True, slots=True)
class Trial:
    """One run: overall, by kind and number of views, by number of characters, and who for whom.

    ``confusion[true][first]`` counts the specimens of one taxon for which another leads.
    """

    moved: float
    seed: int
    scores: Scores
    stated: Calibration
    by_views: tuple[tuple[str, int, Scores], ...]
    by_characters: tuple[tuple[tuple[int, int], Scores], ...]
    confusion: tuple[tuple[int, ...], ...]
    taxa: tuple[str, ...]
    levels: tuple[Level, ...]


@dataclass(frozen=True, slots=True)
class _Tried:
    true: int
    probabilities: tuple[float, ...]
    stated: float
    level: str
    named: tuple[int, ...]
    said: float
    one: Simulated


def try_out(guide: Guide, n: int, seed: int, moved: float = 0.0) -> Trial:
    """Return how the guide does on ``n`` specimens of worlds its tables may describe.

    ``moved`` is the share of the cells that are moved by one step in these worlds, while the
    guide goes on believing its own.
    """
    tried = [_try(guide, one) for one in simulate(guide.tables, n, seed, moved)]
    return Trial(
        moved,
        seed,
        _scores(tried),
        calibration([t.stated for t in tried], [_right(t) for t in tried]),
        tuple(
            (kind, views, _scores(own)) for (kind, views), own in _sorted_by_views(tried)
        ),
        tuple(
            ((low, high), _scores(own))
            for low, high in COUNTS
            if (own := [t for t in tried if low <= t.one.n_characters <= high])
        ),
        _confusion(tried, len(guide.taxa)),
        guide.taxa,
        tuple(
            Level(
                level,
                sum(t.said for t in own) / len(own),
                Share(sum(t.true in t.named for t in own), len(own)),
            )
            for level in ("species", "group", "genus", "none")
            if (own := [t for t in tried if t.level == level])
        ),
    )


def _try(guide: Guide, one: Simulated) -> _Tried:
    found = conclude(guide, one.seen, one.circumstances)
    decision = found.decision
    return _Tried(
        guide.taxa.index(one.taxon),
        found.probabilities,
        max(found.stated),
        decision.level,
        decision.taxa,
        found.said,
        one,
    )


def _first(one: _Tried) -> int:
    """Return the taxon that leads; of equal ones the first in the tables, as on screen."""
    return max(range(len(one.probabilities)), key=lambda taxon: one.probabilities[taxon])


def _right(one: _Tried) -> bool:
    return _first(one) == one.true


def _scores(tried: Sequence[_Tried]) -> Scores:
    rows = [one.probabilities for one in tried]
    truths = [one.true for one in tried]
    right = [_right(one) for one in tried]
    named = [one for one in tried if one.level != "none"]
    clear = [one for one in named if one.said > CLEAR]
    n = len(tried)
    return Scores(
        n,
        Share(sum(right), n),
        Share(sum(_place(one) < 3 for one in tried), n),
        brier(rows, truths),
        log_score(rows, truths),
        calibration([max(row) for row in rows], right),
        Share(sum(one.true not in one.named for one in clear), len(clear)),
        Share(len(named), n),
        Share(sum(one.true in one.named for one in named), len(named)),
    )


def _place(one: _Tried) -> int:
    order = sorted(range(len(one.probabilities)), key=lambda t: -one.probabilities[t])
    return order.index(one.true)


def _sorted_by_views(
    tried: Iterable[_Tried],
) -> list[tuple[tuple[str, int], list[_Tried]]]:
    found: dict[tuple[str, int], list[_Tried]] = {}
    for one in tried:
        now = one.one.circumstances
        kind = "living" if now.living else "shell"
        found.setdefault((kind, len(now.views)), []).append(one)
    return sorted(found.items())


def _confusion(tried: Iterable[_Tried], n: int) -> tuple[tuple[int, ...], ...]:
    counts = [[0] * n for _ in range(n)]
    for one in tried:
        counts[one.true][_first(one)] += 1
    return tuple(tuple(row) for row in counts)
