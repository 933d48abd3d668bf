"""What it is worth to say *at least* of folds of which some are out of sight.

Specimens made from the species tables, apart from the reasoning, lose each of their main folds
with the same chance; what is left is recorded as if it were all, as *at least* so many, or not
at all. Compared is what the answer then says of the true species. Like all trials on such
specimens this is self-consistency, not accuracy.

``python -m tests.benchmarks.hidden_folds [N [SEED ...]]`` prints the tables that stand in
``self-consistency.md``.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, partial
from math import comb, log
from random import Random
from statistics import fmean

import numpy as np
from numpy.typing import NDArray

from landmarks.identification import Guide, compile_tables, conclude
from landmarks.observations import Scored, Seen, Taken
from landmarks.simulation import CLEAR, Share, simulate
from landmarks.simulation.drawing import SPECIMENS_OF_A_WORLD
from landmarks.simulation.scoring import LEAST
from landmarks.tables import read_tables

N, SEEDS = 20_000, (4101, 4102)
LEARNT_FROM = 7
"""Seed of the specimens from which is learnt what is reckoned apart from the engine."""

HIDDEN = (0.1, 0.25, 0.5)
FOLDS, DOUBT = "main_folds", 0.5
N_RESAMPLED, SEED_RESAMPLED = 2000, 20

NOTHING = "not at all"
WHOLE = "all folds, none hidden"
EXACT = "as exact"
KNOWN = "at least, where some are hidden"
ALWAYS = "at least, also where none is hidden"
BY_SHARES = f"{ALWAYS}, reckoned from specimens of seed {LEARNT_FROM}"
ALL_KNOWN = "the same, with the hidden share known"


@dataclass(frozen=True, slots=True)
class Specimen:
    """A simulated specimen: its taxon, its world, its folds and what else was recorded."""

    taxon: int
    world: int
    n_folds: int
    others: tuple[Seen, ...]
    two: tuple[Scored, ...]


@dataclass(frozen=True, slots=True)
class Said:
    """What an answer says: of the truth, whether that leads, and whether more than 90 %."""

    log_p: float
    leads: bool
    clear: bool = False
    wrong: bool = False


Found = dict[tuple[float, str], list[Said | None]]
"""For each hidden share and way of recording, what is said of every specimen (or None)."""

Record = Callable[[int, int], Taken | None]
"""From the folds in sight and all there are to what is recorded."""


def _exact(left: int, there: int) -> Taken | None:
    return Taken(FOLDS, float(left), DOUBT) if left else None


def _bound(left: int, there: int) -> Taken | None:
    return Taken(FOLDS, float(left), DOUBT, at_least=True) if left else None


def _known(left: int, there: int) -> Taken | None:
    return (_bound if left < there else _exact)(left, there)


RECORDED: Mapping[str, Record] = {
    EXACT: _exact,
    KNOWN: _known,
    ALWAYS: _bound,
}
"""How a count is recorded. Where no fold is left in sight there is none to record."""

ALONE = "Main folds alone"
SETS: Mapping[str, Callable[[Specimen], tuple[Seen, ...] | None]] = {
    ALONE: lambda one: (),
    "Main folds and two scored characters": lambda one: one.two or None,
    "Main folds and all else that was recorded": lambda one: one.others,
}
"""What is known besides; None where a specimen has not as much."""


def specimens(guide: Guide, n: int, seed: int) -> list[Specimen]:
    """Return those of ``n`` simulated specimens whose folds are seen and that nothing befell.

    The two scored characters are any two that were recorded of the specimen.
    """
    chance = Random(f"{seed}/two")
    found = []
    for place, one in enumerate(simulate(guide.tables, n, seed)):
        folds = [s for s in one.seen if isinstance(s, Taken) and s.character == FOLDS]
        if one.circumstances.conditions or not folds or folds[0].value < 1:
            continue
        others = tuple(s for s in one.seen if s is not folds[0])
        scored = [s for s in others if isinstance(s, Scored)]
        two = tuple(chance.sample(scored, 2)) if len(scored) > 1 else ()
        taxon, world = guide.taxa.index(one.taxon), place // SPECIMENS_OF_A_WORLD
        found.append(Specimen(taxon, world, int(folds[0].value), others, two))
    return found


def in_sight(own: Sequence[Specimen], share: float, seed: int) -> list[int]:
    """Return how many folds are left of each specimen when a share of them is hidden."""
    chance = Random(f"{seed}/{share}")
    return [sum(chance.random() >= share for _ in range(one.n_folds)) for one in own]


def tried(guide: Guide, own: Sequence[Specimen], besides: str, seed: int) -> Found:
    """Return what is said of every specimen, for each hidden share and way of recording.

    With share 0 stand the whole count and none at all.
    """

    concluded = cache(partial(conclude, guide))

    def said(taxon: int, seen: tuple[Seen, ...]) -> Said:
        found = concluded(seen)
        clear = found.decision.level != "none" and found.said > CLEAR
        wrong = clear and taxon not in found.decision.taxa
        p = found.probabilities[taxon]
        return Said(log(max(p, LEAST)), found.order[0] == taxon, clear, wrong)

    def with_count(left: Sequence[int], record: Record | None) -> list[Said | None]:
        rows: list[Said | None] = []
        for one, n in zip(own, left, strict=True):
            known = SETS[besides](one)
            taken = record(n, one.n_folds) if record else None
            more = () if taken is None else (taken,)
            rows.append(None if known is None else said(one.taxon, (*known, *more)))
        return rows

    whole = [one.n_folds for one in own]
    found = {
        (0.0, NOTHING): with_count(whole, None),
        (0.0, WHOLE): with_count(whole, _exact),
    }
    for share in HIDDEN:
        left = in_sight(own, share, seed)
        for name, record in RECORDED.items():
            found[share, name] = with_count(left, record)
    return found


def reckoned(
    guide: Guide, own: Sequence[Specimen], seed: int, learnt: Sequence[Specimen]
) -> Found:
    """Return the same of folds alone by Bayes' theorem, without the engine and its cells.

    How many folds a taxon has is learnt from other simulated specimens. The first row takes
    *at least* as the engine does; the second also knows which share is hidden, as nobody does.
    """
    n_taxa, most = len(guide.taxa), max(one.n_folds for one in (*own, *learnt))
    shares = np.zeros((n_taxa, most + 1))
    for one in learnt:
        shares[one.taxon, one.n_folds] += 1
    shares /= shares.sum(axis=1, keepdims=True)
    floor = guide.settings.floor

    def weighed(likelihood: NDArray[np.float64], left: Sequence[int]) -> list[Said | None]:
        likelihood = (1 - floor) * likelihood + floor * likelihood.mean()
        rows: list[Said | None] = []
        for one, n in zip(own, left, strict=True):
            column = likelihood[:, n] if n else np.ones(n_taxa)
            p = column / column.sum()
            rows.append(Said(log(p[one.taxon]), int(np.argmax(p)) == one.taxon))
        return rows

    bound = np.cumsum(shares[:, ::-1], axis=1)[:, ::-1]
    found = {}
    for share in HIDDEN:
        left = in_sight(own, share, seed)
        seen_of = np.array(
            [
                [comb(n, m) * (1 - share) ** m * share ** (n - m) for m in range(most + 1)]
                for n in range(most + 1)
            ]
        )
        found[share, BY_SHARES] = weighed(bound, left)
        found[share, ALL_KNOWN] = weighed(shares @ seen_of, left)
    return found


@dataclass(frozen=True, slots=True)
class Mean:
    """A mean over specimens with its 95 % interval."""

    value: float
    low: float
    high: float

    def __str__(self) -> str:
        value, low, high = (
            round(one, 3) + 0.0 for one in (self.value, self.low, self.high)
        )
        return f"{value:+.3f} [{low:+.3f}, {high:+.3f}]"


def mean_of(values: Sequence[float], worlds: Sequence[int]) -> Mean:
    """Return a mean with its 95 % interval, worlds drawn again and again (bootstrap).

    Specimens of one world share its truth, so whole worlds are drawn and not specimens.
    """
    _, places = np.unique(worlds, return_inverse=True)
    sums, counts = np.bincount(places, values), np.bincount(places)
    drawn = np.random.default_rng(SEED_RESAMPLED).integers(
        len(sums), size=(N_RESAMPLED, len(sums))
    )
    again = sums[drawn].sum(axis=1) / counts[drawn].sum(axis=1)
    low, high = np.quantile(again, (0.025, 0.975))
    return Mean(float(sums.sum() / counts.sum()), float(low), float(high))


def gains(
    own: Sequence[Specimen], rows: Sequence[Said | None], without: Sequence[Said | None]
) -> tuple[list[float], list[int]]:
    """Return what a record tells of the truth beyond none, in nats, and the worlds."""
    pairs = [
        (row.log_p - bare.log_p, one.world)
        for one, row, bare in zip(own, rows, without, strict=True)
        if row is not None and bare is not None
    ]
    return [gain for gain, _ in pairs], [world for _, world in pairs]


def report(n: int, seed: int) -> str:
    """Return the tables of one seed as Markdown."""
    guide = compile_tables(read_tables())
    own = specimens(guide, n, seed)
    parts = [f"### Seed {seed}: {len(own)} of {n} specimens show their folds unharmed", ""]
    found = {besides: tried(guide, own, besides, seed) for besides in SETS}
    found[ALONE] |= reckoned(guide, own, seed, specimens(guide, n, LEARNT_FROM))
    for besides, rows in found.items():
        parts += [f"**{besides}**", "", *_overall(own, rows), ""]
    return "\n".join([*parts, *_by_species(guide, own, found[ALONE]), ""])


def _overall(own: Sequence[Specimen], found: Found) -> Iterable[str]:
    yield (
        "| Hidden | Recorded | True species leads | Mean log probability of the true species |"
        " Gain over recording none | Wrong among answers stated above 90 %, and their number |"
    )
    yield "| --- | --- | --- | --- | --- | --- |"
    for (share, name), rows in sorted(found.items(), key=lambda row: row[0][0]):
        said = [one for one in rows if one is not None]
        clear = [one for one in said if one.clear]
        logs = sum(one.log_p for one in said) / len(said)
        gain = mean_of(*gains(own, rows, found[0.0, NOTHING]))
        yield (
            f"| {share:.0%} | {name} | {_share([one.leads for one in said])} | {logs:.3f} |"
            f" {'-' if name == NOTHING else gain} |"
            f" {_share([one.wrong for one in clear])}, {len(clear)} |"
        ).replace("%", " %")


def _by_species(guide: Guide, own: Sequence[Specimen], found: Found) -> Iterable[str]:
    shown = [(share, name) for name in (KNOWN, ALWAYS) for share in HIDDEN]
    shown.append((HIDDEN[0], BY_SHARES))

    def row(name: str, places: Sequence[int]) -> str:
        few = [own[place] for place in places]
        cells = []
        for key in shown:
            rows, bare = ([found[k][p] for p in places] for k in (key, (0.0, NOTHING)))
            cells.append(f" {mean_of(*gains(few, rows, bare))} |")
        return f"| {name} | {len(places)} |{''.join(cells)}"

    yield "**Gain over recording none, main folds alone, by true species**"
    yield ""
    yield f"| | n |{''.join(f' {n}: {s:.0%} |'.replace('%', ' %') for s, n in shown)}"
    yield f"| --- | ---: |{' --- |' * len(shown)}"
    for taxon, one in enumerate(guide.tables.taxa):
        yield row(one.name, _of(own, taxon))
    folds = [
        fmean(own[at].n_folds for at in _of(own, taxon)) for taxon in range(len(guide.taxa))
    ]
    most = folds.index(max(folds))
    rest = [at for at, one in enumerate(own) if one.taxon != most]
    yield row(f"all but {guide.tables.taxa[most].name}, which has most folds", rest)


def _of(own: Sequence[Specimen], taxon: int) -> list[int]:
    return [place for place, one in enumerate(own) if one.taxon == taxon]


def _share(held: Sequence[bool]) -> str:
    if not held:
        return "-"
    one = Share(sum(held), len(held))
    low, high = one.interval
    return f"{100 * one.value:.1f}% [{100 * low:.1f}, {100 * high:.1f}]"


if __name__ == "__main__":
    given = [int(one) for one in sys.argv[1:]]
    for seed in given[1:] or SEEDS:
        sys.stdout.write(report(given[0] if given else N, seed) + "\n")
        sys.stdout.flush()
