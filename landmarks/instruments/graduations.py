"""The graduations that a ruler can bear, and how surely each can be read.

A row is enough for another one: what is tried, refused and said of it follows.
"""

from __future__ import annotations

from typing import NamedTuple

INCH_MM = 25.4
"""Exact (international yard and pound, 1959, from memory)."""


class Graduation(NamedTuple):
    """What repeats along a ruler: ``ticks`` or the edges of ``blocks``, and how far apart."""

    kind: str
    step_mm: float
    name: str


GRADUATIONS = (
    Graduation("ticks", 1.0, "mm_1"),
    Graduation("ticks", 0.5, "mm_05"),
    Graduation("ticks", 2.0, "mm_2"),
    Graduation("ticks", 5.0, "mm_5"),
    Graduation("ticks", 10.0, "mm_10"),
    Graduation("ticks", INCH_MM / 32, "inch_32"),
    Graduation("ticks", INCH_MM / 16, "inch_16"),
    Graduation("ticks", INCH_MM / 10, "inch_10"),
    Graduation("ticks", INCH_MM / 8, "inch_8"),
    Graduation("ticks", INCH_MM / 4, "inch_4"),
    Graduation("blocks", 1.0, "blocks_1"),
    Graduation("blocks", 5.0, "blocks_5"),
    Graduation("blocks", 10.0, "blocks_10"),
    Graduation("blocks", 20.0, "blocks_20"),
    Graduation("blocks", INCH_MM / 4, "blocks_inch_4"),
    Graduation("blocks", INCH_MM / 2, "blocks_inch_2"),
    Graduation("blocks", INCH_MM, "blocks_inch"),
)

FLOORS = {"ticks": 0.0002, "blocks": 0.0015}
"""No fit is shown surer than this, as a share (ours, from rendered rulers)."""
