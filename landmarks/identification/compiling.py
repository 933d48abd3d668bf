"""From species tables to a guide, once: bands, likelihoods at unknown size, priors."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import pairwise
from math import inf

from landmarks.characters import Character
from landmarks.identification.densities import Z95, Plateau, Shape, TwoPiece
from landmarks.identification.guide import (
    Band,
    Bands,
    Guide,
    MeasuredRow,
    ScoredRow,
    SizeRow,
    mix,
    weighted_drops,
)
from landmarks.identification.priors import region_priors
from landmarks.identification.settings import Settings
from landmarks.identification.size import unknown_size
from landmarks.tables.model import Cell, Tables

EDGE_OF_PLATEAU = 0.08
"""Width of a one-sided cell's soft edge, as a share of its plateau (common practice)."""
NEIGHBOUR = 1.0
STRANGER = 0.15
"""How readily a state is taken for its neighbour, and for one further off, in comparison."""


def compile_tables(tables: Tables, settings: Settings | None = None) -> Guide:
    """Return the guide that the tables make."""
    settings = settings or Settings()
    taxa = tuple(one.key for one in tables.taxa)
    cells = _sorted_cells(tables)
    spread = _size_spread(tables, cells)
    scored: dict[str, ScoredRow] = {}
    measured: dict[str, MeasuredRow] = {}
    keys: dict[str, str] = {}
    size: SizeRow | None = None
    for index, character in enumerate(tables.characters):
        for name in (character.key, *character.also):
            keys.setdefault(name, character.key)
        group = character.group or character.key
        own = [cells.get((taxon, character.key), []) for taxon in taxa]
        if character.key == tables.size.character:
            size = _size_row(index, character, own, settings)
        elif character.scored:
            scored[character.key] = _scored_row(
                index, character, group, own, settings, spread
            )
        else:
            measured[character.key] = _measured_row(index, character, group, own, settings)
    edges = {one for cell in tables.cells for one in (cell.from_mm, cell.to_mm) if one}
    return Guide(
        tables,
        settings,
        taxa,
        keys,
        scored,
        measured,
        size,
        spread,
        region_priors(tables, settings),
        tuple(sorted(edges)),
        tuple(one for one in tables.characters if one.sum_of),
        tuple(one for one in tables.characters if one.bounds),
    )


def _sorted_cells(tables: Tables) -> dict[tuple[str, str], list[Cell]]:
    cells: dict[tuple[str, str], list[Cell]] = {}
    for cell in tables.cells:
        cells.setdefault((cell.taxon, cell.character), []).append(cell)
    return cells


def _size_spread(
    tables: Tables, cells: Mapping[tuple[str, str], list[Cell]]
) -> tuple[TwoPiece, ...]:
    """Return how the sizes of each taxon are spread; only used to average over unknown size."""
    found: list[TwoPiece | None] = []
    for taxon in tables.taxa:
        own = cells.get((taxon.key, tables.size.character), [])
        whole = [one for one in own if one.low is not None]
        largest = [one.maximum for one in own if one.maximum is not None]
        if whole:
            found.append(_two_piece(whole[0]))
        elif largest:
            most = max(largest)
            found.append(TwoPiece(0.45 * most, 0.2 * most, 0.24 * most))
        else:
            found.append(None)
    known = sorted((one for one in found if one), key=lambda one: one.middle)
    usual = known[len(known) // 2] if known else TwoPiece(1.0, 1.0, 1.0)
    return tuple(one or usual for one in found)


def _size_row(
    index: int, character: Character, own: list[list[Cell]], settings: Settings
) -> SizeRow:
    kept = [[one for one in cells if one.maximum is not None] for cells in own]
    weights = [[_grade(one, settings) for one in cells] for cells in kept]
    return SizeRow(
        index,
        character,
        tuple(
            tuple(
                (float(one.maximum or 0), w) for one, w in zip(cells, ws, strict=True) if w
            )
            for cells, ws in zip(kept, weights, strict=True)
        ),
        tuple(_joint(ws) for ws in weights),
        tuple(tuple(cells) for cells in kept),
    )


def _scored_row(
    index: int,
    character: Character,
    group: str,
    own: list[list[Cell]],
    settings: Settings,
    spread: tuple[TwoPiece, ...],
) -> ScoredRow:
    states = {one.key: place for place, one in enumerate(character.states)}
    errors = _confusion(
        len(states), character.confusion * settings.reading_error, character
    )
    bands = tuple(
        tuple(
            replace(band, chances=_chances(band.cells, states, errors, settings))
            for band in _bands(cells, settings)
        )
        for cells in own
    )
    size = unknown_size(spread)
    plain, common = [], []
    for state in range(len(states)):
        values = [[band.chances[state] for band in one] for one in bands]
        likelihood, usual, trust = mix(bands, size, values)
        if not any(trust):
            likelihood, usual = [1 / len(states)] * len(bands), 1 / len(states)
        plain.append(tuple(likelihood))
        common.append(usual)
    varying = [
        taxon
        for taxon, one in enumerate(bands)
        if len(one) > 1 or (one and _partial(one[0]))
    ]
    held = [
        one[0] if one and taxon not in varying else None for taxon, one in enumerate(bands)
    ]
    return ScoredRow(
        index,
        character,
        group,
        bands,
        bool(varying),
        tuple(plain),
        tuple(common),
        tuple(
            weighted_drops(_floored(one, len(states), settings), character.weight)
            for one in plain
        ),
        states,
        tuple(
            tuple(one.trust * one.chances[state] if one else 0.0 for one in held)
            for state in range(len(states))
        ),
        tuple(one.trust if one else 0.0 for one in held),
        tuple(varying),
    )


def _measured_row(
    index: int, character: Character, group: str, own: list[list[Cell]], settings: Settings
) -> MeasuredRow:
    numbers = [one for cells in own for one in cells if one.maximum is None]
    low, high = character.span or _span_of(numbers)
    definitions = sorted({one.definition for one in numbers} or {character.standard})
    bands: dict[str, Bands] = {}
    for definition in definitions:
        bands[definition] = tuple(
            tuple(
                replace(band, shapes=_shapes(band.cells, low, high, settings))
                for band in _bands(
                    [c for c in cells if c.definition == definition and c.maximum is None],
                    settings,
                )
            )
            for cells in own
        )
    return MeasuredRow(
        index,
        character,
        group,
        bands,
        (low + high) / 2,
        (high - low) / 2,
        character.own_doubt * settings.own_doubt,
        _bins(numbers, low, high),
    )


def _two_piece(cell: Cell) -> TwoPiece:
    low, high = float(cell.low or 0), float(cell.high or 0)
    middle = (low + high) / 2 if cell.typical is None else cell.typical
    least = (high - low) * 1e-3
    return TwoPiece(
        middle, max((middle - low) / Z95, least), max((high - middle) / Z95, least)
    )


def _shapes(
    cells: tuple[Cell, ...], low: float, high: float, settings: Settings
) -> tuple[tuple[float, Shape], ...]:
    shapes: list[tuple[float, Shape]] = []
    for cell in cells:
        if cell.low is not None:
            shape: Shape = _two_piece(cell)
        else:
            start = low if cell.at_least is None else cell.at_least
            end = high if cell.at_most is None else cell.at_most
            shape = Plateau(start, end, EDGE_OF_PLATEAU * (end - start))
        shapes.append((_grade(cell, settings), shape))
    whole = sum(weight for weight, _ in shapes) or 1.0
    return tuple((weight / whole, shape) for weight, shape in shapes)


def _chances(
    cells: tuple[Cell, ...],
    states: Mapping[str, int],
    errors: tuple[tuple[float, ...], ...],
    settings: Settings,
) -> tuple[float, ...]:
    """Return how often each state is read: every source speaks, disagreements are kept."""
    by_source: dict[tuple[str, str], list[Cell]] = {}
    for cell in cells:
        by_source.setdefault((cell.source, cell.evidence), []).append(cell)
    true = [0.0] * len(states)
    whole = 0.0
    for own in by_source.values():
        weight = max(_grade(one, settings) for one in own)
        for place, often in enumerate(_one_source(own, states)):
            true[place] += weight * often
        whole += weight
    if whole == 0:
        return tuple([1 / len(states)] * len(states))
    return tuple(
        sum(true[place] / whole * errors[place][read] for place in range(len(states)))
        for read in range(len(states))
    )


def _one_source(cells: list[Cell], states: Mapping[str, int]) -> list[float]:
    """Return how often each state occurs by one source; what it does not say is shared out."""
    said: dict[int, float] = {states[one.state]: one.frequency or 0.0 for one in cells}
    silent = len(states) - len(said)
    in_words = any(one.word and not one.word[0].isdigit() for one in cells)
    left = max(1 - sum(said.values()), 0.01 * silent if in_words else 0.0)
    often = [
        said.get(place, left / silent if silent else 0.0) for place in range(len(states))
    ]
    whole = sum(often) or 1.0
    return [one / whole for one in often]


def _confusion(n: int, error: float, character: Character) -> tuple[tuple[float, ...], ...]:
    """Return how often each true state (row) is read as each state (column)."""
    rows = []
    for true in range(n):
        weights = [
            0.0
            if read == true
            else NEIGHBOUR
            if not character.ordered or abs(read - true) == 1
            else STRANGER
            for read in range(n)
        ]
        whole = sum(weights) or 1.0
        rows.append(
            tuple(
                1 - error if read == true else error * weights[read] / whole
                for read in range(n)
            )
        )
    return tuple(rows)


def _bands(cells: Sequence[Cell], settings: Settings) -> list[Band]:
    """Return the bands of cells and how far they are believed; what they say comes after."""
    return [
        Band(
            start,
            end,
            _joint([_grade(one, settings) for one in held]),
            _share_read(held, settings),
            held,
        )
        for start, end, held in _split(cells)
    ]


def _split(cells: Sequence[Cell]) -> list[tuple[float, float, tuple[Cell, ...]]]:
    """Return the pieces of size between all borders, each with the cells that hold there."""
    edges = sorted(
        {0.0, inf}
        | {one.from_mm for one in cells if one.from_mm is not None}
        | {one.to_mm for one in cells if one.to_mm is not None}
    )
    pieces: list[tuple[float, float, tuple[Cell, ...]]] = []
    for start, end in pairwise(edges):
        held = tuple(
            one
            for one in cells
            if (one.from_mm or 0.0) <= start
            and end <= (inf if one.to_mm is None else one.to_mm)
        )
        if not held:
            continue
        if pieces and pieces[-1][1] == start and pieces[-1][2] == held:
            pieces[-1] = (pieces[-1][0], end, held)
        else:
            pieces.append((start, end, held))
    return pieces


def _partial(band: Band) -> bool:
    return band.start > 0 or band.end < inf


def _grade(cell: Cell, settings: Settings) -> float:
    return cell.weight * settings.grades.get(cell.evidence, 1.0)


def _joint(grades: Sequence[float]) -> float:
    """Return how far several cells together are believed."""
    doubt = 1.0
    for one in grades:
        doubt *= 1 - one
    return 1 - doubt


def _share_read(cells: Sequence[Cell], settings: Settings) -> float:
    """Return the share of the cells' weight that was read in a source."""
    whole = sum(_grade(one, settings) for one in cells)
    read = sum(_grade(one, settings) for one in cells if one.evidence == "read")
    return read / whole if whole else 0.0


def _floored(likelihood: Sequence[float], n: int, settings: Settings) -> list[float]:
    return [(1 - settings.floor) * one + settings.floor / n for one in likelihood]


def _limits(cells: Sequence[Cell]) -> list[float]:
    return [
        value
        for one in cells
        for value in (one.low, one.typical, one.high, one.at_least, one.at_most)
        if value is not None
    ]


def _span_of(cells: Sequence[Cell]) -> tuple[float, float]:
    said = _limits(cells)
    if not said:
        return 0.0, 1.0
    low, high = min(said), max(said)
    margin = 0.5 * (high - low) or abs(high) or 1.0
    return low - margin, high + margin


def _bins(cells: Sequence[Cell], low: float, high: float) -> tuple[float, ...]:
    """Return borders that part the numbers of a character where its cells differ."""
    said = sorted(set(_limits(cells)))
    if not said:
        return ()
    first, last = max(said[0], low), min(said[-1], high)
    steps = 10
    return tuple(first + (last - first) * step / steps for step in range(steps + 1))
