"""Blind repeats: which specimens are due, what the pairs of readings say, one's own doubt.

::

    every n-th specimen, by lot -> presented again later -> placed and scored anew
        -> pairs of readings -> agreement for each measure and character -> own placing doubt

The lot is drawn from a seed, one specimen out of every n in the order of recording, so that
nobody can know while measuring which will come back, and everybody can draw it again. What
was measured for a repeat never counts as the record.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from math import sqrt
from random import Random
from typing import TYPE_CHECKING

from landmarks.collection import Picture
from landmarks.measures import Measured, measure
from landmarks.own_doubt import OwnDoubt, seen_zoom
from landmarks.placing import Placing
from landmarks.scheme import OUTLINE, PATH, VIEWS
from landmarks.sentences import Sentence
from landmarks.specimen import Frame, Specimen

if TYPE_CHECKING:
    from landmarks.agreement import (
        Drift,
        Intraclass,
        Kappa,
        Limits,
        Repeatability,
        Untold,
    )

EVERY = 10
"""One specimen in so many is measured again, unless the person says otherwise."""

BLIND, SECOND = "blind_repeat", "second_observer"
"""Occasions that repeat the record: by the same person, by another one."""

LEAST_MONTHS = 1 / 30
"""Repeats of one day tell nothing of a drift in a month (ours)."""

LEAST_PAIRS = 20
"""A person's own doubt needs so many repeated points: it is then good to about a ninth."""


def lot(specimens: Sequence[str], seed: int, every: int = EVERY) -> tuple[str, ...]:
    """Return the ids that are drawn for a repeat: one of every ``every``, by lot.

    ``specimens`` are ids in the order of recording; more of them change no earlier draw.

    >>> drawn = lot([f"shell {n}" for n in range(40)], seed=1, every=10)
    >>> len(drawn), drawn == lot([f"shell {n}" for n in range(90)], seed=1)[:4]
    (4, True)
    """
    drawn = []
    for block in range(0, len(specimens), every):
        place = block + Random(f"{seed}/{block}/{every}").randrange(every)
        if place < len(specimens):
            drawn.append(specimens[place])
    return tuple(drawn)


def due(
    specimens: Sequence[Specimen],
    seed: int,
    every: int = EVERY,
    *,
    occasion: str = BLIND,
    person: str = "",
) -> tuple[str, ...]:
    """Return the ids of specimens to present now, in an order that is drawn as well.

    ``specimens`` stand in the order of recording. A drawn one comes back once ``every`` more
    were recorded after it, so that its clicks are forgotten. For a blind repeat it must have
    been placed by the ``person``, for a second observer by somebody else; one that the person
    has repeated is done.
    """
    order = [one.id for one in specimens]
    by_id = {one.id: one for one in specimens}
    ready = []
    for drawn in lot(order, seed, every):
        one = by_id[drawn]
        if occasion == BLIND and order.index(drawn) + every >= len(order):
            continue
        if any(p.occasion == occasion and p.person == person for p in one.placings):
            continue
        recorders = {p.person for p in one.placings if p.occasion == "record" and p.points}
        mine = person in recorders
        if recorders and (mine if occasion == BLIND else not mine):
            ready.append(drawn)
    Random(f"{seed}/order").shuffle(ready)
    return tuple(ready)


@dataclass(frozen=True, slots=True)
class Pair:
    """One measure of one frame, read twice; ``at`` is when it was repeated (UTC)."""

    specimen: str
    frame: str
    first: float
    second: float
    at: str = ""
    person: str = ""

    @property
    def difference(self) -> float:
        """Return the repeat minus the record."""
        return self.second - self.first


@dataclass(frozen=True, slots=True)
class Repeated:
    """How one measure repeats, with all pairs it rests on; drift is per 30 days."""

    key: str
    unit: str
    pairs: tuple[Pair, ...]
    repeatability: Repeatability | Untold
    limits: Limits | Untold
    intraclass: Intraclass | Untold
    drift: Drift | Untold


@dataclass(frozen=True, slots=True)
class Rescored:
    """How the scores of one character agree: pairs of states, first and repeated."""

    key: str
    pairs: tuple[tuple[str, str], ...]
    kappa: Kappa | Untold


def measures_repeated(
    specimens: Iterable[Specimen],
    pictures: Mapping[str, Picture],
    occasion: str = BLIND,
    person: str | None = None,
) -> tuple[Repeated, ...]:
    """Return for every measure how it repeats, over all frames that were placed twice.

    Counts of which there were more than could be marked stay out: two bounds that agree do
    not tell that two counts would.
    """
    units: dict[str, str] = {}
    pairs: dict[str, list[Pair]] = {}
    for one in specimens:
        for frame in one.frames:
            again = _again(one, frame, occasion, person)
            picture = pictures.get(frame.picture)
            if not again or picture is None or frame.view not in VIEWS:
                continue
            first = _values(picture, frame, one.placed(frame.id))
            second = _values(picture, frame, again)
            last = max(again.values(), key=lambda placing: placing.at)
            for key in first.keys() & second.keys():
                units[key] = first[key].measure.unit
                a, b = first[key].value.value, second[key].value.value
                found = Pair(one.id, frame.id, a, b, last.at, last.person)
                pairs.setdefault(key, []).append(found)
    return tuple(_repeated(key, units[key], pairs[key]) for key in sorted(pairs))


def scores_repeated(
    specimens: Iterable[Specimen],
    states: Mapping[str, Sequence[str]] | None = None,
    occasion: str = BLIND,
    person: str | None = None,
) -> tuple[Rescored, ...]:
    """Return for every scored character how its repeats agree.

    ``states`` gives the states of a character in their order; where it does, near misses
    count by how near they are (linear weights). *Cannot be seen* is a score like another.
    """
    pairs: dict[str, list[tuple[str, str]]] = {}
    for one in specimens:
        record: dict[tuple[str, str], str] = {}
        again: dict[tuple[str, str], str] = {}
        for row in one.observations:
            score = row.state or ("" if row.value is not None else row.hidden)
            if not score:
                continue
            key = row.character, row.frame
            if row.occasion == "record":
                record[key] = score
            elif row.occasion == occasion and person in (None, row.person):
                again[key] = score
        for key in sorted(record.keys() & again.keys()):
            pairs.setdefault(key[0], []).append((record[key], again[key]))
    return tuple(
        _rescored(key, pairs[key], (states or {}).get(key, ())) for key in sorted(pairs)
    )


def own_doubt(
    specimens: Iterable[Specimen], person: str, occasion: str = BLIND
) -> OwnDoubt | Untold:
    """Return a person's own placing doubt from points that the person placed twice.

    Two placings of a point differ by twice the variance of one, in each coordinate; both are
    taken to the screen by their zoom. Series count where they hold equally many points, each
    with the one of its place, and all could be marked; lines and outlines are no points and
    stay out.
    """
    squares: dict[str, list[float]] = {}
    for one in specimens:
        for frame in one.frames:
            record = one.placed(frame.id)
            for key, second in _again(one, frame, occasion, person).items():
                first = record.get(key)
                if first is None or first.person != person or _is_line(frame, key):
                    continue
                squares.setdefault(key, []).extend(_squares(first, second))
    every = [square for found in squares.values() for square in found]
    if len(every) < LEAST_PAIRS:
        from landmarks.agreement.untold import too_few

        return too_few(len(every), LEAST_PAIRS)
    sigma = _sigma(every)
    return OwnDoubt(
        sigma,
        len(every),
        sigma / sqrt(4 * len(every)),
        {key: _sigma(found) for key, found in squares.items() if len(found) >= 5},
    )


def _sigma(squares: Sequence[float]) -> float:
    """Return the standard deviation of a coordinate from squared distances of two placings."""
    return sqrt(sum(squares) / (4 * len(squares)))


def _squares(first: Placing, second: Placing) -> Iterator[float]:
    if len(first.points) != len(second.points) or first.at_least or second.at_least:
        return
    # Half of the variance of the difference is each placing's: at its own zoom.
    wide = sqrt(2 / (seen_zoom(first.zoom) ** -2 + seen_zoom(second.zoom) ** -2))
    for a, b in zip(first.points, second.points, strict=True):
        yield ((a.x - b.x) ** 2 + (a.y - b.y) ** 2) * wide * wide


def _is_line(frame: Frame, landmark: str) -> bool:
    view = VIEWS.get(frame.view)
    row = view.landmark(landmark) if view is not None else None
    return row is not None and row.kind in (PATH, OUTLINE)


def _again(
    one: Specimen, frame: Frame, occasion: str, person: str | None
) -> dict[str, Placing]:
    """Return the latest repeat of each landmark of a frame, of one person or of anybody."""
    return {
        placing.landmark: placing
        for placing in one.placings
        if placing.frame == frame.id
        and placing.occasion == occasion
        and person in (None, placing.person)
    }


def _values(
    picture: Picture, frame: Frame, placed: Mapping[str, Placing]
) -> dict[str, Measured]:
    rows = measure(picture.setting, VIEWS[frame.view], placed.values(), frame.id)
    return {
        row.key: row
        for row in rows
        if isinstance(row, Measured) and row.at_least == row.measure.at_least
    }


def _repeated(key: str, unit: str, pairs: list[Pair]) -> Repeated:
    from landmarks.agreement import intraclass, limits, repeatability

    pairs.sort(key=lambda pair: (pair.at, pair.specimen, pair.frame))
    first = [pair.first for pair in pairs]
    second = [pair.second for pair in pairs]
    dated = [(_months(pair.at), pair.difference) for pair in pairs if pair.at]
    return Repeated(
        key,
        unit,
        tuple(pairs),
        repeatability(first, second),
        limits(first, second),
        intraclass(list(zip(first, second, strict=True))),
        _drift([when for when, _ in dated], [apart for _, apart in dated]),
    )


def _drift(months: list[float], differences: list[float]) -> Drift | Untold:
    from landmarks.agreement import Untold, drift

    found = drift(months, differences)
    if not isinstance(found, Untold) and max(months) - min(months) < LEAST_MONTHS:
        return Untold(Sentence("agreement.too_soon"))
    return found


def _rescored(key: str, pairs: list[tuple[str, str]], states: Sequence[str]) -> Rescored:
    from landmarks.agreement import cohen_of

    first, second = [a for a, _ in pairs], [b for _, b in pairs]
    ordered = bool(states) and {*first, *second} <= set(states)
    kappa = cohen_of(
        first, second, states if ordered else (), "linear" if ordered else "none"
    )
    return Rescored(key, tuple(pairs), kappa)


def _months(at: str) -> float:
    """Return a recorded time in units of 30 days."""
    return datetime.fromisoformat(at).timestamp() / (30 * 86_400)
