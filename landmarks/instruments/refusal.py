"""The other honest answer of an instrument: nothing found here, and why."""

from __future__ import annotations

from dataclasses import dataclass

from landmarks.sentences import Sentence


@dataclass(frozen=True, slots=True)
class Refused:
    """An instrument that will not answer: what it found, and the way out."""

    sentence: Sentence
