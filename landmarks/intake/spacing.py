"""From which gap on the next picture shows another animal.

Pictures of one animal follow each other closely; between animals a diver swims. The gaps are
divided into two classes on their logarithms so that the classes differ most (Otsu 1979, from
memory); the border is the geometric mean of the two gaps it lies between. Where there are no
two classes, a usual gap is taken, and said to be no more than that.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, isfinite, log

from landmarks.errors import UnknownWordError
from landmarks.sentences import Number, Sentence

USUAL_GAP_S = 60.0
"""Taken where gaps do not speak: common practice, no source."""

LONGEST_S = 600.0
"""Gaps above ten minutes are borders in any case, and count as this: common practice."""

SHORTEST_S = 1.0
"""Cameras write whole seconds."""

MOST_AT_ONCE = 5
"""So many pictures of a burst carry the same second; more with one time were taken while the
clock stood, or had it written into them later: common practice, no source."""

NOTHING_TOLD = 0.1
"""How sure a run is whose times tell nothing."""

MINUTES_FROM_S = 90.0
"""Gaps are said in seconds below this, and in minutes from it on."""

CLEAR = 4.0
"""The classes count as two where their means differ by this factor."""


@dataclass(frozen=True, slots=True)
class Spacing:
    """The gap from which on a new animal begins, in seconds, and where it comes from."""

    gap_s: float
    why: Sentence
    clear: bool

    def certainty(self, inside: Sequence[float], borders: Sequence[float]) -> float:
        """Return how sure a run of pictures is (0 to 1) from the gaps in and around it.

        Notes
        -----
        The wider the gaps around it are against those inside, the surer; but a gap around
        it that is hardly wider than the border itself could as well be one inside. A
        picture alone has no gap inside, so that only the border tells.
        """
        if stood_still(inside):
            return NOTHING_TOLD
        widest = max((*inside, SHORTEST_S)) if inside else self.gap_s
        nearest = max(min((*borders, LONGEST_S)), SHORTEST_S)
        apart, beyond = nearest / widest, nearest / self.gap_s
        sure = max(0.0, min(1.0 - 1.0 / apart, 1.0 - 1.0 / beyond**2))
        return round(sure if self.clear else min(sure, 0.5), 3)


def said_gap(gap_s: float) -> Number:
    """Return a gap (seconds) as it is said everywhere: its size chooses the unit.

    >>> [(said.value, said.unit) for said in map(said_gap, (45.7, 1200))]
    [(45.7, 's'), (20.0, 'min')]
    """
    if gap_s < MINUTES_FROM_S:
        return Number(gap_s, unit="s")
    return Number(gap_s / 60, unit="min")


def stood_still(inside: Sequence[float]) -> bool:
    """Return whether more pictures carry one time than a camera takes within a second."""
    run = 0
    for gap in inside:
        run = run + 1 if gap == 0 else 0
        if run >= MOST_AT_ONCE:
            return True
    return False


def spacing_of(gaps: Sequence[float], gap_s: float | None = None) -> Spacing:
    """Return the gap (seconds) that borders animals, from the gaps themselves.

    Parameters
    ----------
    gap_s
        Set by a person: taken as it is.

    Raises
    ------
    UnknownWordError
        If a gap that is set is no positive number of seconds.
    """
    if gap_s is not None:
        if not isfinite(gap_s) or gap_s <= 0:
            raise UnknownWordError("intake.not_a_gap", found=str(gap_s))
        said = said_gap(gap_s)
        return Spacing(gap_s, Sentence("intake.gap_set", {"gap": said}), clear=True)
    sizes = sorted(log(min(max(gap, SHORTEST_S), LONGEST_S)) for gap in gaps)
    found = _border(sizes)
    if found is None:
        said = said_gap(USUAL_GAP_S)
        return Spacing(
            USUAL_GAP_S, Sentence("intake.gap_usual", {"gap": said}), clear=False
        )
    border = round(exp(found), 1)
    said = said_gap(border)
    return Spacing(border, Sentence("intake.gap_found", {"gap": said}), clear=True)


def _border(sizes: Sequence[float]) -> float | None:
    """Return the border between two classes of sorted numbers, or None where there is one."""
    n, total = len(sizes), sum(sizes)
    best, at, below = -1.0, 0, 0.0
    for i in range(1, n):
        below += sizes[i - 1]
        if sizes[i] == sizes[i - 1]:
            continue
        apart = (total - below) / (n - i) - below / i
        between = i * (n - i) * apart * apart
        if between > best and apart >= log(CLEAR):
            best, at = between, i
    return None if at == 0 else (sizes[at - 1] + sizes[at]) / 2
