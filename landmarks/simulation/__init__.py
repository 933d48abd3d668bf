"""Specimens made from species tables, and the identification tried on them: self-consistency.

The specimens are drawn apart from the reasoning (:mod:`worlds`, :mod:`drawing`), which is then
tried on them (:mod:`trial`). It is no accuracy: the tables are taken for what they say.
"""

from __future__ import annotations

from landmarks.simulation.drawing import Simulated, simulate
from landmarks.simulation.scoring import Bin, Calibration, brier, calibration, log_score
from landmarks.simulation.trial import CLEAR, MOVED, Level, Scores, Share, Trial, try_out
from landmarks.simulation.worlds import World, make_world, moved_tables

__all__ = [
    "CLEAR",
    "MOVED",
    "Bin",
    "Calibration",
    "Level",
    "Scores",
    "Share",
    "Simulated",
    "Trial",
    "World",
    "brier",
    "calibration",
    "log_score",
    "make_world",
    "moved_tables",
    "simulate",
    "try_out",
]
