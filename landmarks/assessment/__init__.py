"""From a specimen and its pictures to measures, observations and an answer: the whole flow.

One pure function of frozen values. Nothing here is stored but as a stamped cache: a corrected
table changes every answer that rests on it.
"""

from landmarks.assessment.flow import Assessment, Looked, assess, look, weights
from landmarks.assessment.measured import (
    COUNT_SIGMA,
    DEFAULT_SIGMA,
    DOUBTFUL,
    VALVE_PARTS,
    MeasureRow,
    Pictures,
    measure_rows,
)
from landmarks.assessment.scored import CharacterRow, asked_characters, character_rows
from landmarks.assessment.speaking import circumstances, observed
from landmarks.assessment.words import measure_notes, measure_words

__all__ = [
    "COUNT_SIGMA",
    "DEFAULT_SIGMA",
    "DOUBTFUL",
    "VALVE_PARTS",
    "Assessment",
    "CharacterRow",
    "Looked",
    "MeasureRow",
    "Pictures",
    "asked_characters",
    "assess",
    "character_rows",
    "circumstances",
    "look",
    "measure_notes",
    "measure_rows",
    "measure_words",
    "observed",
    "weights",
]
