"""What a table cell says, and where it was read."""

from __future__ import annotations

from app.panels.side_words import word
from landmarks.sentences import percent, say
from landmarks.sentences.phrases import inside
from landmarks.tables.model import Cell, Tables


def cell_words(cell: Cell, tables: Tables | None) -> str:
    """Return what a table cell says: ``Table: smooth, always`` or ``Table: 5 to 9``."""
    said = _scored_cell(cell, tables) if cell.state else _measured_cell(cell)
    if cell.from_mm is None and cell.to_mm is None:
        return said
    return say("side.reasons.cell_band", cell=said, band=_band(cell))


def cell_source(cell: Cell, tables: Tables | None) -> str:
    """Return the source of a table cell and how it was come by."""
    citation, how = cell.source, cell.evidence
    if tables is not None and cell.source in tables.sources:
        row = tables.sources[cell.source]
        citation = row.citation
        # A cell read on a page that only relays its source is no better than that page.
        how = row.how if cell.evidence == "read" else cell.evidence
    how = word("side.how", how)
    if not citation:
        return how
    key = "side.reasons.source_row" if cell.row else "side.reasons.source"
    return say(key, citation=citation.rstrip("."), how=how, row=cell.row)


def _scored_cell(cell: Cell, tables: Tables | None) -> str:
    row = None if tables is None else tables.characters.get(cell.character)
    names = {} if row is None else {one.key: inside(one.name) for one in row.states}
    state = names.get(cell.state, cell.state.replace("_", " "))
    if not cell.word:
        return say("side.reasons.cell_state_plain", state=state)
    if cell.word[:1].isdigit() or cell.word[:1] == ".":
        share = percent(cell.frequency or 0.0)
        return say("side.reasons.cell_state", state=state, word=share)
    return say("side.reasons.cell_state", state=state, word=cell.word)


def _measured_cell(cell: Cell) -> str:
    low, typical, high = cell.low, cell.typical, cell.high
    if low is not None and high is not None:
        key = "cell_range" if typical is None else "cell_range_typical"
        return say(f"side.reasons.{key}", low=low, high=high, typical=typical)
    least = cell.at_least if cell.at_least is not None else low
    if least is not None:
        return say("side.reasons.cell_at_least", low=least)
    most = cell.at_most if cell.at_most is not None else high
    if most is not None:
        return say("side.reasons.cell_at_most", high=most)
    if typical is not None:
        return say("side.reasons.cell_typical", typical=typical)
    return say("side.reasons.cell_maximum", maximum=cell.maximum)


def _band(cell: Cell) -> str:
    if cell.to_mm is None:
        return say("side.reasons.band_from", low=cell.from_mm)
    if cell.from_mm is None:
        return say("side.reasons.band_to", high=cell.to_mm)
    return say("side.reasons.band_both", low=cell.from_mm, high=cell.to_mm)
