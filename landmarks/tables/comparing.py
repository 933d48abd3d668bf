"""One's own determined specimens beside the cells: what they would change in the tables.

Only specimens determined independently of this program may be put in, or the tables would
confirm themselves.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import inf

from landmarks.characters import Character
from landmarks.observations import Scored, Seen, Taken
from landmarks.sentences import Number, Sentence
from landmarks.shares import wilson
from landmarks.tables.model import FREQUENCIES, Cell, Tables

ENOUGH = 10
"""Specimens below which a proposal comes with a warning (common practice, no source)."""
OWN_SOURCE = "own_specimens"

Determined = tuple[str, Sequence[Seen]]
"""The taxon that somebody determined, and what was seen of the specimen."""


@dataclass(frozen=True, slots=True)
class Comparison:
    """What one's own specimens of a taxon show of a character, within a band of size.

    Attributes
    ----------
    taxon, character, from_mm, to_mm
        Of what; the band is open where None.
    n
        How many specimens.
    low, median, high
        5th, 50th and 95th percentile of a measured character; None for a scored one.
    counts
        How many specimens show each state, in order, for a scored one.
    cells
        What the tables say.
    proposal
        Cells that would say what the specimens show, where the tables say otherwise.
    """

    taxon: str
    character: str
    from_mm: float | None
    to_mm: float | None
    n: int
    low: float | None = None
    median: float | None = None
    high: float | None = None
    counts: tuple[tuple[str, int], ...] = ()
    cells: tuple[Cell, ...] = ()
    proposal: tuple[Cell, ...] = ()

    @property
    def few(self) -> bool:
        """Return whether there are too few specimens to lean on."""
        return self.n < ENOUGH


def compare(tables: Tables, specimens: Iterable[Determined]) -> tuple[Comparison, ...]:
    """Return what the specimens show, for every taxon, character and band of size."""
    found: dict[tuple[str, str, float, float], list[float | str]] = {}
    cells: dict[tuple[str, str], list[Cell]] = {}
    for cell in tables.cells:
        cells.setdefault((cell.taxon, cell.character), []).append(cell)
    for taxon, seen in specimens:
        values = _values(tables, seen)
        size = values.get(tables.size.character)
        for key, value in values.items():
            own = cells.get((taxon, key), [])
            band = _band(own, float(size) if size is not None else None)
            if band is not None:
                found.setdefault((taxon, key, *band), []).append(value)
    order = {one.key: place for place, one in enumerate(tables.characters)}
    taxa = {one.key: place for place, one in enumerate(tables.taxa)}
    return tuple(
        _comparison(tables, *place, own, cells.get(place[:2], []))
        for place, own in sorted(
            found.items(),
            key=lambda item: (taxa[item[0][0]], order[item[0][1]], item[0][2]),
        )
    )


def comparison_sentence(tables: Tables, one: Comparison) -> Sentence:
    """Return a comparison in words, with the warning where it rests on few specimens."""
    character = tables.characters[one.character]
    values: dict[str, object] = {
        "taxon": tables.taxon(one.taxon).name,
        "character": character.name,
        "n": one.n,
    }
    if character.scored:
        values["states"] = tuple(
            Sentence(
                "tables.compare.state", {"state": character.state(key).name, "count": count}
            )
            for key, count in one.counts
            if count
        )
        said = Sentence("tables.compare.scored", values)
    else:
        unit = character.unit if character.unit == "mm" else ""
        for name, value in (("low", one.low), ("median", one.median), ("high", one.high)):
            values[name] = Number(value or 0.0, unit=unit)
        said = Sentence("tables.compare.measured", values)
    if not one.proposal:
        return said
    key = "tables.compare.propose_few" if one.few else "tables.compare.propose"
    return Sentence(key, {"said": said, "n": one.n})


def cell_sentence(tables: Tables, cell: Cell) -> Sentence:
    """Return a cell in words: what it says, for which sizes, its source, how come by."""
    character = tables.characters.get(cell.character)
    unit = character.unit if character is not None and character.unit == "mm" else ""

    def said(value: float | None) -> Number:
        return Number(value or 0.0, unit=unit)

    if cell.state:
        what = Sentence("tables.cell.scored", {"state": cell.state, "word": cell.word})
    elif cell.maximum is not None:
        what = Sentence("tables.cell.maximum", {"most": said(cell.maximum)})
    elif cell.low is not None:
        numbers = {"low": said(cell.low), "high": said(cell.high)}
        what = Sentence("tables.cell.spread", numbers)
        if cell.typical is not None:
            what = Sentence(
                "tables.cell.typical", {**numbers, "typical": said(cell.typical)}
            )
    elif cell.at_least is not None and cell.at_most is not None:
        numbers = {"low": said(cell.at_least), "high": said(cell.at_most)}
        what = Sentence("tables.cell.spread", numbers)
    elif cell.at_least is not None:
        what = Sentence("tables.cell.at_least", {"low": said(cell.at_least)})
    else:
        what = Sentence("tables.cell.at_most", {"high": said(cell.at_most)})
    if cell.from_mm is not None or cell.to_mm is not None:
        band = (cell.from_mm or 0.0, cell.to_mm)
        key = "tables.cell.band" if cell.to_mm is not None else "tables.cell.band_open"
        limits = {"start": Number(band[0]), "end": Number(band[1] or 0.0, unit="mm")}
        if cell.to_mm is None:
            limits = {"start": Number(band[0], unit="mm")}
        what = Sentence(key, {"what": what, **limits})
    values = {"what": what, "source": cell.source, "evidence": cell.evidence}
    if not cell.row:
        return Sentence("tables.cell.proposed", values)
    return Sentence("tables.cell.row", {**values, "row": str(cell.row)})


def _values(tables: Tables, seen: Sequence[Seen]) -> dict[str, float | str]:
    """Return what is certain enough to be counted: sure scores, exact numbers."""
    values: dict[str, float | str] = {}
    for one in seen:
        character = tables.characters.get(one.character)
        if character is None:
            continue
        if isinstance(one, Scored) and one.sure:
            values[character.key] = one.state
        elif (
            isinstance(one, Taken)
            and not one.at_least
            and one.definition in ("", character.standard)
        ):
            values[character.key] = one.value
    return values


def _band(cells: Sequence[Cell], size: float | None) -> tuple[float, float] | None:
    """Return the band of size that a specimen falls into; None if its size must be known."""
    edges = sorted({0.0, inf} | {e for c in cells for e in (c.from_mm, c.to_mm) if e})
    if len(edges) == 2:
        return 0.0, inf
    if size is None:
        return None
    start = max(edge for edge in edges if edge <= size)
    return start, min(edge for edge in edges if edge > start)


def _comparison(
    tables: Tables,
    taxon: str,
    key: str,
    start: float,
    end: float,
    own: list[float | str],
    cells: list[Cell],
) -> Comparison:
    character = tables.characters[key]
    held = tuple(
        one
        for one in cells
        if (one.from_mm or 0.0) <= start
        and end <= (inf if one.to_mm is None else one.to_mm)
    )
    base = Cell(
        0,
        taxon,
        key,
        definition="" if character.scored else character.standard,
        from_mm=start or None,
        to_mm=None if end == inf else end,
        source=OWN_SOURCE,
    )
    if character.scored:
        counts = tuple((state.key, own.count(state.key)) for state in character.states)
        proposal = _scored_proposal(character, base, counts, held)
        return Comparison(
            taxon, key, base.from_mm, base.to_mm, len(own), None, None, None,
            counts, held, proposal,
        )  # fmt: skip
    numbers = sorted(float(one) for one in own)
    low, middle, high = (_percentile(numbers, share) for share in (0.05, 0.5, 0.95))
    proposal = _measured_proposal(base, (low, middle, high), held)
    return Comparison(
        taxon,
        key,
        base.from_mm,
        base.to_mm,
        len(own),
        low,
        middle,
        high,
        (),
        held,
        proposal,
    )


def _percentile(numbers: Sequence[float], share: float) -> float:
    """Return a percentile, interpolated between the values (Hyndman and Fan's type 7)."""
    place = share * (len(numbers) - 1)
    below = int(place)
    above = min(below + 1, len(numbers) - 1)
    return numbers[below] + (place - below) * (numbers[above] - numbers[below])


def _measured_proposal(
    base: Cell, own: tuple[float, float, float], cells: Sequence[Cell]
) -> tuple[Cell, ...]:
    from dataclasses import replace

    spans = [
        (
            one.low
            if one.low is not None
            else -inf
            if one.at_least is None
            else one.at_least,
            one.high
            if one.high is not None
            else inf
            if one.at_most is None
            else one.at_most,
        )
        for one in cells
        if one.maximum is None
    ]
    low, middle, high = own
    if any(start <= middle <= end for start, end in spans) or low == high:
        return ()
    return (replace(base, low=low, typical=middle, high=high),)


def _scored_proposal(
    character: Character,
    base: Cell,
    counts: Sequence[tuple[str, int]],
    cells: Sequence[Cell],
) -> tuple[Cell, ...]:
    from dataclasses import replace

    n = sum(count for _, count in counts)
    said: dict[str, list[float]] = {}
    for one in cells:
        said.setdefault(one.state, []).append(one.frequency or 0.0)
    rest = max(0.0, 1 - sum(max(own) for own in said.values()))
    silent = len(character.states) - len(said) or 1
    proposal = []
    for state, count in counts:
        low, high = wilson(count, n)
        expected = said.get(state, [rest / silent])
        # A word covers a range: "usually" is not refuted by always.
        if min(expected) - 0.1 > high or max(expected) + 0.1 < low:
            word = min(FREQUENCIES, key=lambda name: abs(FREQUENCIES[name] - count / n))
            share = FREQUENCIES[word]
            proposal.append(replace(base, state=state, word=word, frequency=share))
    return tuple(proposal)
