"""Measures derived from placings: a catalogue of rows and the arithmetic they point to."""

from landmarks.measures.catalogue import MEASURES, Measure
from landmarks.measures.frame import Measured, Missing, measure

__all__ = ["MEASURES", "Measure", "Measured", "Missing", "measure"]
