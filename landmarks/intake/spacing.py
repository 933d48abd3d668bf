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

CLEAR = 4.0
"""The classes count as two where their means differ by this factor."""


@dataclass(frozen=True, slots=True)
class Spacing:
    """The gap from which on a new animal begins, in seconds, and where it comes from."""

    gap_s: float
    why: Sentence
    clear: bool

    def certainty(self, inside: Sequence[float], borders: Sequence[float]) -> float:
        """Return how sure a run of pictures is (0 to 1) from the gaps in and around it."""
        widest = max((*inside, SHORTEST_S))
        nearest = min((*borders, LONGEST_S))
        ratio = max(nearest, SHORTEST_S) / widest
        sure = max(0.0, min(1.0, 1.0 - 1.0 / ratio)) if ratio > 1 else 0.0
        return round(sure if self.clear else min(sure, 0.5), 3)


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
        said = Number(gap_s, unit="s")
        return Spacing(gap_s, Sentence("intake.gap_set", {"gap": said}), clear=True)
    sizes = sorted(log(min(max(gap, SHORTEST_S), LONGEST_S)) for gap in gaps)
    found = _border(sizes)
    if found is None:
        said = Number(USUAL_GAP_S, unit="s")
        return Spacing(
            USUAL_GAP_S, Sentence("intake.gap_usual", {"gap": said}), clear=False
        )
    border = round(exp(found), 1)
    said = Number(border, unit="s")
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
