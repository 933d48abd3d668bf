"""What specimens can be found and sorted by: a row for each field.

Each measure of the catalogue is a field by itself.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from landmarks.measures import MEASURES
from landmarks.sentences import Sentence

WORDS, TEXT, DATE, NUMBER, YES = "words", "text", "date", "number", "yes"

LONGEST_WORD = 200
"""Letters of a word that are kept to find it by."""


@dataclass(frozen=True, slots=True)
class Field:
    """Something that specimens can be found or sorted by.

    Attributes
    ----------
    kind
        ``words``, ``text`` (to search in), ``date`` (as much of year-month-day as is known),
        ``number`` or ``yes``.
    many
        A specimen can have several; such a field sorts nothing.
    derived
        It follows from tables and engine, and can be stale.
    unit
        Of a number: as in the catalogue of measures; ``"%"`` for shares between 0 and 1.
    words
        Family of sentences that name its values: ``view`` for ``view.hinge_edge``.
    """

    key: str
    kind: str = WORDS
    many: bool = False
    derived: bool = False
    unit: str = ""
    words: str = ""

    @property
    def name(self) -> Sentence:
        """Return what it is called for people."""
        return Sentence(f"measure.{self.key}.name" if self.key in MEASURES else self._key)

    @property
    def _key(self) -> str:
        return f"finding.field.{self.key}"


_OTHERS = (
    Field("text", TEXT),
    Field("number"),
    Field("name"),
    Field("taxon", many=True),
    Field("level"),
    Field("qualifier"),
    Field("determiner"),
    Field("determined", DATE),
    Field("region", words="region"),
    Field("origin", words="origin"),
    Field("condition", many=True, words="condition"),
    Field("locality"),
    Field("collector"),
    Field("habitat"),
    Field("collected", DATE),
    Field("view", many=True, words="view"),
    Field("part", many=True, words="part"),
    Field("state", many=True),
    Field("picture", many=True),
    Field("pictures", NUMBER, unit="count"),
    Field("captured", DATE, derived=True),
    Field("missing", many=True, derived=True, words="finding.step"),
    Field("leading", derived=True),
    Field("says", derived=True),
    Field("certainty", NUMBER, derived=True, unit="%"),
    Field("fit", NUMBER, derived=True, unit="%"),
    Field("stale", YES, derived=True),
)


@cache
def fields() -> Mapping[str, Field]:
    """Return every field by its key; each measure of the catalogue is one."""
    measures = (
        Field(one.key, NUMBER, derived=True, unit=one.unit) for one in MEASURES.values()
    )
    return MappingProxyType({one.key: one for one in (*_OTHERS, *measures)})


@cache
def sorting_fields() -> tuple[str, ...]:
    """Return the keys of the fields that can sort a list."""
    return tuple(
        one.key
        for one in fields().values()
        if not one.many
        and one.kind not in (YES, TEXT)
        and one.key not in ("number", "name")
    )
