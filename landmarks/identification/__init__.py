"""From observations to candidates: weights, fit, robustness, an honest answer, what to see next.

Everything here is a pure function of frozen values and works with any species tables; nothing
in it knows what the tables name.

>>> from landmarks.observations import Scored
>>> from landmarks.tables import read_tables
>>> guide = compile_tables(read_tables())
>>> answer = identify(guide, [Scored("mantle_extent", "within"),
...                           Scored("incurrent_margin", "fringe")])
>>> answer.candidates[0].name
'Hippopus porcellanus'
"""

from __future__ import annotations

from landmarks.identification.answer import (
    DIRECTIONS,
    FITS,
    LEVELS,
    Answer,
    Candidate,
    Fit,
    Gist,
    Reason,
    Suggestion,
)
from landmarks.identification.batch import identify_many
from landmarks.identification.compiling import compile_tables
from landmarks.identification.concluding import Conclusion, conclude
from landmarks.identification.differing import Change, changed_answers
from landmarks.identification.evidence import hide_unmet
from landmarks.identification.guide import ENGINE_VERSION, Guide
from landmarks.identification.identify import identify, weigh
from landmarks.identification.settings import TEXTBOOK, Settings
from landmarks.identification.trying import what_if
from landmarks.identification.written import Doubted, Written, read_name, write_name

__all__ = [
    "DIRECTIONS",
    "ENGINE_VERSION",
    "FITS",
    "LEVELS",
    "TEXTBOOK",
    "Answer",
    "Candidate",
    "Change",
    "Conclusion",
    "Doubted",
    "Fit",
    "Gist",
    "Guide",
    "Reason",
    "Settings",
    "Suggestion",
    "Written",
    "changed_answers",
    "compile_tables",
    "conclude",
    "hide_unmet",
    "identify",
    "identify_many",
    "read_name",
    "weigh",
    "what_if",
    "write_name",
]
