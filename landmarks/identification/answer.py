"""What identification answers: candidates with reasons, their fit, what to look at next."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from landmarks.identification.written import Written
from landmarks.sentences import Sentence
from landmarks.tables.model import Cell

FITS = ("fits_well", "fits_poorly", "does_not_fit")
LEVELS = ("species", "group", "genus", "none")
DIRECTIONS = ("for", "against", "silent", "rules_out")


@dataclass(frozen=True, slots=True)
class Reason:
    """What one observation says of one candidate.

    Attributes
    ----------
    character
        Key of the character.
    direction
        One of :data:`DIRECTIONS`. An observation that is *for* a species never lowers it.
    weight
        Log likelihood ratio in nats against the mean of the other species; 0 if silent.
    sentence
        In full, with numbers: "Petal length 14 mm: within the 12 to 17 mm of ...".
    short
        For a chip: "Petal length 14 mm".
    cells
        The table cells it rests on, each with source and how it was come by; empty where the
        tables do not say.
    """

    character: str
    direction: str
    weight: float
    sentence: Sentence
    short: Sentence
    cells: tuple[Cell, ...] = ()


@dataclass(frozen=True, slots=True)
class Candidate:
    """A species with its probability and its reasons, the strongest first.

    ``probability`` is what follows from tables and observations, ``stated`` what may be said:
    capped while the decisive cells are not read. ``ruled_out_by`` names the characters that
    rule it out; it stays in the list.
    """

    taxon: str
    name: str
    probability: float
    stated: float
    reasons: tuple[Reason, ...] = ()
    ruled_out_by: tuple[str, ...] = ()

    @property
    def supports(self) -> tuple[Reason, ...]:
        """Return the reasons for it."""
        return tuple(one for one in self.reasons if one.direction == "for")

    @property
    def against(self) -> tuple[Reason, ...]:
        """Return the reasons against it, ruling out included."""
        return tuple(
            one for one in self.reasons if one.direction in ("against", "rules_out")
        )


@dataclass(frozen=True, slots=True)
class Fit:
    """How usual these observations would be for the best species.

    ``value`` is the share of such specimens that would look as unusual as this one or more,
    0 to 1; ``word`` one of :data:`FITS`; ``unusual`` the characters that are unusual in it.
    """

    value: float
    word: str
    unusual: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Suggestion:
    """Something to look at next.

    Attributes
    ----------
    character, view
        Keys; ``view`` is the one to look at or to take.
    at_hand
        The view is among those at hand.
    bits
        Expected information about the species, in bits.
    settles
        Share of the possible outcomes, by their probability, after which one species is clear;
        0 where one is clear already.
    pair
        The two candidates that it would part best.
    sentence
        In full.
    """

    character: str
    view: str
    at_hand: bool
    bits: float
    settles: float
    pair: tuple[str, str]
    sentence: Sentence


@dataclass(frozen=True, slots=True)
class Gist:
    """What a list keeps of an answer: all probabilities, the leading taxon, level and fit.

    ``probabilities`` by key, the greatest first; ``certainty`` is what is stated of the
    leading taxon, ``fit`` the value of its fit.
    """

    probabilities: Mapping[str, float]
    leading: str
    level: str
    certainty: float
    fit: float


@dataclass(frozen=True, slots=True)
class Answer:
    """Everything that is said of one specimen.

    Attributes
    ----------
    candidates
        All taxa of the guide, the most probable first.
    fit
        Of the best candidate.
    level
        One of :data:`LEVELS`: how far the answer goes.
    taxa
        The taxa of the answer: one species, the group, all of the genus, or none.
    name
        Of the answer as a scientific name: of a species, a genus, or ``""`` for none.
    written
        The name as one would write it, with the sign of its doubt: what a person is offered.
    stated
        The probability that is stated for the answer as a whole.
    text
        The answer in words.
    separating
        Characters that would tell the taxa of a group apart.
    rests_on
        Characters without any one of which the answer would be another.
    cautions
        What else has to be said.
    look_next
        The most telling first; of a living animal only what can be had without harm.
    capped
        The stated certainty was held down, because the tables are not sure enough.
    tables_hash, engine_version
        What the answer was computed with.
    """

    candidates: tuple[Candidate, ...]
    fit: Fit
    level: str
    taxa: tuple[str, ...]
    name: str
    written: Written
    stated: float
    text: Sentence
    separating: tuple[str, ...]
    rests_on: tuple[str, ...]
    cautions: tuple[Sentence, ...]
    look_next: tuple[Suggestion, ...]
    capped: bool
    tables_hash: str
    engine_version: str

    @property
    def gist(self) -> Gist:
        """Return what a list keeps of it."""
        best = self.candidates[0]
        probabilities = {one.taxon: one.probability for one in self.candidates}
        return Gist(probabilities, best.taxon, self.level, best.stated, self.fit.value)
