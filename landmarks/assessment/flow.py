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
class Assessment:
    """Everything derived from one specimen."""

    measures: tuple[MeasureRow, ...]
    characters: tuple[CharacterRow, ...]
    seen: tuple[Seen, ...]
    circumstances: Circumstances
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
    rows = measure_rows(specimen, pictures, doubts)
    characters = character_rows(specimen, guide.tables.characters)
    seen = observed(specimen, pictures, rows, characters, guide.tables.characters)
    around = _as_known(circumstances(specimen), guide)
    return Assessment(rows, characters, seen, around, identify(guide, seen, around))


def weights(
    specimen: Specimen, pictures: Pictures, guide: Guide, doubts: Doubts | None = None
) -> tuple[tuple[MeasureRow, ...], tuple[float, ...]]:
    """Return the measures and the bare probabilities of all taxa: the path of a drag."""
    rows = measure_rows(specimen, pictures, doubts)
    characters = character_rows(specimen, guide.tables.characters)
    seen = observed(specimen, pictures, rows, characters, guide.tables.characters)
    return rows, weigh(guide, seen, _as_known(circumstances(specimen), guide))


def _as_known(around: Circumstances, guide: Guide) -> Circumstances:
    """Leave out a region that the tables do not know: other tables, or a stranger, wrote it."""
    known = around.region is None or around.region in guide.priors
    return around if known else replace(around, region=None)
