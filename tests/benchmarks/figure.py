"""One figure: what was measured, the bare floor beside it, and what it should reach."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from statistics import median, quantiles


@dataclass(frozen=True, slots=True)
class Figure:
    """A measured figure.

    ``values`` in ``unit``, one for each run; ``floors`` the same for the bare floor in the
    same run; ``goal`` in words.
    """

    name: str
    unit: str
    values: tuple[float, ...]
    floors: tuple[float, ...] = ()
    goal: str = ""
    note: str = ""

    @property
    def middle(self) -> float:
        return median(self.values)

    @property
    def p95(self) -> float:
        if len(self.values) < 2:
            return self.values[0]
        return quantiles(self.values, n=20, method="inclusive")[-1]

    @property
    def ratio(self) -> float | None:
        """Return the median of the paired ratios, or None without a floor."""
        if not self.floors:
            return None
        pairs = zip(self.values, self.floors, strict=True)
        return median(value / floor for value, floor in pairs)


def table(figures: list[Figure]) -> str:
    """Return the figures as a Markdown table."""
    rows = [
        "| figure | median | 95 % | worst | floor | ratio | n | to reach | note |",
        "| --- | --- | --- | --- | --- | --- | --- | --- | --- |",
    ]
    for one in figures:
        floor = f"{median(one.floors):.3g} {one.unit}" if one.floors else ""
        ratio = f"{one.ratio:.2f}" if one.ratio is not None else ""
        cells = (
            one.name,
            f"{one.middle:.3g} {one.unit}",
            f"{one.p95:.3g} {one.unit}",
            f"{max(one.values):.3g} {one.unit}",
            floor,
            ratio,
            str(len(one.values)),
            one.goal,
            one.note,
        )
        rows.append("| " + " | ".join(cells) + " |")
    return "\n".join(rows)


def worst_gap(ticks: list[float]) -> float:
    """Return the longest time between two ticks of a timer, in ms."""
    return max(b - a for a, b in pairwise(ticks)) * 1000
