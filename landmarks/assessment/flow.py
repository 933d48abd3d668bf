"""The whole flow as one pure function of a specimen, its pictures and a guide."""

from __future__ import annotations

from dataclasses import dataclass, replace

from landmarks.assessment.measured import MeasureRow, Pictures, measure_rows
from landmarks.assessment.scored import CharacterRow, character_rows
from landmarks.assessment.speaking import circumstances, observed
from landmarks.identification import Guide, identify, weigh
from landmarks.identification.answer import Answer
from landmarks.observations import Circumstances, Seen
from landmarks.own_doubt import Doubts
from landmarks.specimen import Specimen


@dataclass(frozen=True, slots=True)
class Looked:
    """What is read off one specimen and its pictures before a guide is asked."""

    measures: tuple[MeasureRow, ...]
    characters: tuple[CharacterRow, ...]
    seen: tuple[Seen, ...]
    circumstances: Circumstances


@dataclass(frozen=True, slots=True)
class Assessment(Looked):
    """Everything derived from one specimen: what is read off it, and what follows."""

    answer: Answer


def assess(
    specimen: Specimen, pictures: Pictures, guide: Guide, doubts: Doubts | None = None
) -> Assessment:
    """Return all that follows from a specimen, its pictures and a guide.

    Parameters
    ----------
    doubts
        Own placing doubts by the id of the person, where repeats have told them
        (:attr:`landmarks.collection.Person.doubt`); whoever is not in it places as usual.
    """
    found = look(specimen, pictures, guide, doubts)
    answer = identify(guide, found.seen, found.circumstances)
    return Assessment(
        found.measures, found.characters, found.seen, found.circumstances, answer
    )


def look(
    specimen: Specimen, pictures: Pictures, guide: Guide, doubts: Doubts | None = None
) -> Looked:
    """Return what is seen and measured of a specimen; the guide only tells what is asked."""
    rows = measure_rows(specimen, pictures, doubts)
    characters = character_rows(specimen, guide.tables.characters)
    seen = observed(specimen, pictures, rows, characters, guide.tables.characters)
    return Looked(rows, characters, seen, _as_known(circumstances(specimen), guide))


def weights(
    specimen: Specimen, pictures: Pictures, guide: Guide, doubts: Doubts | None = None
) -> tuple[tuple[MeasureRow, ...], tuple[float, ...]]:
    """Return the measures and the bare probabilities of all taxa: the path of a drag."""
    found = look(specimen, pictures, guide, doubts)
    return found.measures, weigh(guide, found.seen, found.circumstances)


def _as_known(around: Circumstances, guide: Guide) -> Circumstances:
    """Leave out a region that the tables do not know: other tables, or a stranger, wrote it."""
    known = around.region is None or around.region in guide.priors
    return around if known else replace(around, region=None)
