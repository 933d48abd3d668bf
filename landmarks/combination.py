"""One value from several: through everything the sources have in common, or not at all.

Two pictures that share a scale err alike by it; taking their mean makes that error no
smaller. So values are combined with their full covariance, by generalised least squares: the
weights that leave the least doubt. Values that contradict each other are not averaged away.

Source of the method: Aitken's theorem on linear models (textbook, from memory); checked by
simulation in ``tests/core``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from landmarks.sentences import Number, Sentence
from landmarks.units import Quantity, covariance, linear, minus, over

DISAGREES = 3.0
"""Two values of one measure are said to differ from so many doubts of the difference on."""

CHECK_GOOD = 2.0
"""A check shell is read right within so many doubts."""

CHECK_FAR = 0.1
"""By more than this share nobody's scale is off: something else is wrong (ours)."""

_RIDGE = 1e-12
"""Share of the largest variance that keeps two equal sources from making a singular matrix."""


@dataclass(frozen=True, slots=True)
class Combined:
    """What several values of one measure come to.

    Attributes
    ----------
    value
        The combined quantity; it keeps every cause, so that it can be combined on.
    weights
        One for each value given, 0 for what had no say; together 1.
    left_out
        Places of the values that contradict the surest one.
    """

    value: Quantity
    weights: tuple[float, ...]
    left_out: tuple[int, ...] = ()

    @property
    def chief(self) -> int:
        """Return the place of the value with the greatest weight."""
        return max(range(len(self.weights)), key=lambda i: self.weights[i])


@dataclass(frozen=True, slots=True)
class Reading:
    """One value of a measure and where it comes from.

    Attributes
    ----------
    method
        ``"derived"`` or how it was typed.
    frame, frames
        Id of the frame it was taken in, or empty; all frames that have a say in it.
    at_least
        One-sided.
    valve
        Key of the valve it was taken of, or empty.
    floor, doubled
        As in :class:`landmarks.measures.Measured`.
    """

    quantity: Quantity
    method: str
    frame: str = ""
    at_least: bool = False
    frames: tuple[str, ...] = ()
    valve: str = ""
    floor: float | None = None
    doubled: bool = False

    @property
    def rank(self) -> tuple[object, ...]:
        """Return what sorts the reading that counts first.

        Numbers before bounds, the surest of them, typed before derived; of bounds the greatest.
        """
        value = self.quantity
        doubt = -value.value if self.at_least else value.sigma
        return self.at_least, doubt, self.method == "derived", value.value


@dataclass(frozen=True, slots=True)
class Settled:
    """What all readings of one measure come to.

    ``best`` counts; ``others`` stand beside it; ``differs`` is by how many doubts the
    farthest of them contradicts it, or None; ``valves`` has each valve's reading where both
    were measured.
    """

    best: Reading
    others: tuple[Reading, ...] = ()
    differs: float | None = None
    valves: tuple[Reading, ...] = ()


@dataclass(frozen=True, slots=True)
class Check:
    """How a shell of known length was read with a set-up.

    ``factor`` is what its scale must be multiplied by, or None where the reading cannot be
    that shell; ``good`` is whether there is no need to; ``apart`` is the difference in doubts.
    """

    apart: float
    factor: Quantity | None
    words: Sentence
    good: bool = False


def combine(values: Sequence[Quantity]) -> Combined:
    """Return the value of least doubt that agrees with the surest of them.

    Values more than :data:`DISAGREES` doubts away from the surest are left out. No weight is
    negative: what two pictures share may not push the result out of the range of what they
    read.

    Raises
    ------
    ValueError
        If there is no value.
    """
    if not values:
        raise ValueError("nothing to combine")
    # Of equally sure ones the lesser, so that the order of pictures plays no part.
    surest = min(range(len(values)), key=lambda i: (values[i].sigma, values[i].value))
    agreeing = [
        i for i, one in enumerate(values) if differ(values[surest], one) <= DISAGREES
    ]
    kept, shares = _positive(values, agreeing, surest)
    weights = [0.0] * len(values)
    for i, share in zip(kept, shares, strict=True):
        weights[i] = share
    total = sum(w * one.value for w, one in zip(weights, values, strict=True))
    value = linear(total, values[surest].unit, zip(weights, values, strict=True))
    left_out = tuple(i for i in range(len(values)) if i not in agreeing)
    return Combined(value, tuple(weights), left_out)


def settle(readings: Sequence[Reading]) -> Settled:
    """Return which value of one measure counts, and what stands beside it.

    What several pictures derive is combined, valve by valve: two valves of one shell truly
    differ. What a person typed is left as typed. Of these the surest counts; bounds only
    where there is no number, and of bounds the greatest. Only of what pictures show is a
    count given up for a bound above it: see :func:`_counted`.
    """
    valves = sorted({one.valve for one in readings if _is_derived(one) and one.valve})
    groups: dict[str, list[Reading]] = {}
    speakers: list[Reading] = []
    for one in readings:
        if _is_derived(one):
            # With one valve only, pictures that do not tell show that one.
            valve = one.valve or (valves[0] if len(valves) == 1 else "")
            groups.setdefault(valve, []).append(one)
        else:
            speakers.append(one)
    beside: list[Reading] = []
    apart: list[Reading] = []
    for valve, group in groups.items():
        whole, parts, left_out = _together(valve, group)
        speakers.append(whole)
        beside += parts
        apart += left_out
    best, *rest = sorted(speakers, key=lambda one: one.rank)
    others = (*rest, *sorted((*beside, *apart), key=lambda one: one.rank))
    gaps = [_gap(best, one) for one in (*rest, *apart) if not _other_valve(best, one)]
    most = max(gaps, default=0.0)
    each = sorted((one for one in speakers if one.valve), key=lambda one: one.valve)
    return Settled(
        best,
        others,
        most if most > DISAGREES else None,
        tuple(each) if len(valves) > 1 else (),
    )


def differ(a: Quantity, b: Quantity) -> float:
    """Return by how many doubts of their difference two values differ.

    What both err by alike makes them no less different.
    """
    gap = abs(a.value - b.value)
    doubt = minus(a, b).sigma
    if gap <= 1e-12 * max(abs(a.value), abs(b.value)):
        return 0.0
    return gap / doubt if doubt else float("inf")


def check_shell(known: Quantity, read: Quantity) -> Check:
    """Compare the length of a check shell with what a set-up reads.

    Parameters
    ----------
    known
        Its length by callipers, in mm.
    read
        Its length from the landmarks of a picture of this set-up, in mm; more than zero.

    Returns
    -------
    Check
        Where the two differ, the factor with its doubt; :func:`landmarks.scale.corrected`
        puts it on the scale.
    """
    apart = differ(known, read)
    factor = over(known, read)
    off = read.value / known.value - 1
    values: dict[str, object] = {
        "known": Number(known.value, known.sigma, "mm"),
        "read": Number(read.value, read.sigma, "mm"),
    }
    if abs(off) > CHECK_FAR:
        return Check(apart, None, Sentence("measure.check_far", values))
    if apart <= CHECK_GOOD:
        return Check(apart, factor, Sentence("measure.check_good", values), good=True)
    way = Sentence("measure.check.long" if off > 0 else "measure.check.short")
    share = Number(round(100 * abs(off), 2), unit="%")
    values |= {"share": share, "way": way, "factor": Number(factor.value, factor.sigma)}
    return Check(apart, factor, Sentence("measure.check_off", values))


def _is_derived(one: Reading) -> bool:
    counted = one.quantity.unit == "count"
    return one.method == "derived" and (counted or not one.at_least)


def _together(
    valve: str, group: Sequence[Reading]
) -> tuple[Reading, list[Reading], list[Reading]]:
    """Return what pictures of one valve say together, each alone, and who contradicts."""
    if len(group) == 1:
        return replace(group[0], valve=valve), [], []
    if group[0].quantity.unit == "count":
        return _counted(valve, group)
    found = combine([one.quantity for one in group])
    heard = [one for one, weight in zip(group, found.weights, strict=True) if weight]
    floors = [one.floor for one in heard if one.floor is not None]
    whole = replace(
        group[found.chief],
        quantity=found.value,
        frames=tuple(one.frame for one in heard),
        valve=valve,
        floor=min(floors, default=None),
        doubled=any(one.doubled for one in heard),
    )
    apart = [group[i] for i in found.left_out]
    agreeing = [one for i, one in enumerate(group) if i not in found.left_out]
    return whole, agreeing if len(agreeing) > 1 else [], apart


def _counted(
    valve: str, group: Sequence[Reading]
) -> tuple[Reading, list[Reading], list[Reading]]:
    """Return the count that most pictures give; of two as frequent the greater.

    A fold may be hidden in a picture; nobody counts one that is not there. A picture that
    shows at least so many speaks for every count from there on, and for its bound where the
    counts do not reach it: of 5 and at least 6 there are at least 6. Counts are not averaged,
    and counting the same folds twice makes nobody much surer.
    """

    def speaks_for(one: Reading, said: Reading) -> bool:
        least, n = one.quantity.value, said.quantity.value
        return least <= n if one.at_least else not said.at_least and least == n

    most = max(
        group,
        key=lambda said: (sum(speaks_for(one, said) for one in group), said.quantity.value),
    )
    said = most.quantity.value, most.at_least
    heard = [one for one in group if (one.quantity.value, one.at_least) == said]
    whole = replace(heard[0], frames=tuple(one.frame for one in heard), valve=valve)
    others = [one for one in group if one not in heard]
    return whole, [], others


def _other_valve(best: Reading, other: Reading) -> bool:
    return bool(best.valve and other.valve) and best.valve != other.valve


def _gap(best: Reading, other: Reading) -> float:
    """Return by how many doubts two readings differ; a bound differs only from less."""
    a, b = best.quantity, other.quantity
    if other.at_least and (best.at_least or b.value <= a.value):
        return 0.0
    return differ(a, b) if a.sigma or b.sigma else 0.0


def _positive(
    values: Sequence[Quantity], places: list[int], surest: int
) -> tuple[list[int], list[float]]:
    """Return which values speak and with what weight; none of them below zero."""
    if values[surest].sigma == 0:
        return [surest], [1.0]
    kept = list(places)
    while len(kept) > 1:
        weights = _weights([values[i] for i in kept])
        least = min(range(len(kept)), key=lambda i: weights[i])
        if weights[least] >= 0:
            return kept, weights
        del kept[least]
    return kept, [1.0]


def _weights(values: Sequence[Quantity]) -> list[float]:
    """Return the weights of least doubt, which add up to 1."""
    rows = [[covariance(a, b) for b in values] for a in values]
    ridge = _RIDGE * max(row[i] for i, row in enumerate(rows))
    for i, row in enumerate(rows):
        row[i] += ridge
    found = _solved(rows)
    total = sum(found)
    return [one / total for one in found]


def _solved(rows: list[list[float]]) -> list[float]:
    """Return x of ``rows x = 1`` by elimination; the matrix (n, n) is positive definite."""
    n = len(rows)
    table = [[*row, 1.0] for row in rows]
    for i in range(n):
        for j in range(i + 1, n):
            share = table[j][i] / table[i][i]
            for k in range(i, n + 1):
                table[j][k] -= share * table[i][k]
    found = [0.0] * n
    for i in reversed(range(n)):
        known = sum(table[i][k] * found[k] for k in range(i + 1, n))
        found[i] = (table[i][n] - known) / table[i][i]
    return found
