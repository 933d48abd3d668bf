"""Answers, measures and characters as plain JSON: what the command line prints.

Numbers stay in full, units and definitions go by their keys; sentences are in the language
that is spoken.
"""

from __future__ import annotations

from typing import Any

from landmarks.assessment import MeasureRow
from landmarks.characters import Character
from landmarks.identification.answer import Answer, Reason
from landmarks.sentences import Sentence, text


def answer_json(answer: Answer) -> dict[str, Any]:
    """Return everything that is said of one specimen."""
    return {
        "candidates": [
            {
                "taxon": one.taxon,
                "name": one.name,
                "probability": one.probability,
                "stated": one.stated,
                "supports": [reason_json(reason) for reason in one.supports],
                "against": [reason_json(reason) for reason in one.against],
                "ruled_out_by": list(one.ruled_out_by),
            }
            for one in answer.candidates
        ],
        "fit": {
            "value": answer.fit.value,
            "word": answer.fit.word,
            "unusual": list(answer.fit.unusual),
        },
        "answer": {
            "level": answer.level,
            "taxa": list(answer.taxa),
            "name": answer.name,
            "written": {
                "scientific_name": answer.written.scientific_name,
                "authority": answer.written.authority,
                "rank": answer.written.rank,
                "qualifier": answer.written.qualifier,
                "verbatim": answer.written.verbatim,
            },
            "stated": answer.stated,
            "text": text(answer.text),
            "separating": list(answer.separating),
            "rests_on": list(answer.rests_on),
            "capped": answer.capped,
        },
        "cautions": [
            text(one) for one in (*answer.cautions, Sentence("caution.candidates"))
        ],
        "look_next": [
            {
                "character": one.character,
                "view": one.view,
                "at_hand": one.at_hand,
                "bits": one.bits,
                "settles": one.settles,
                "pair": list(one.pair),
                "text": text(one.sentence),
            }
            for one in answer.look_next
        ],
        "tables_hash": answer.tables_hash,
        "engine_version": answer.engine_version,
    }


def reason_json(reason: Reason) -> dict[str, Any]:
    """Return what one observation says of one candidate, with the table cells it rests on."""
    return {
        "character": reason.character,
        "weight": reason.weight,
        "text": text(reason.sentence),
        "cells": [
            {"row": cell.row, "source": cell.source, "evidence": cell.evidence}
            for cell in reason.cells
        ],
    }


def character_json(row: Character) -> dict[str, Any]:
    """Return one row of the characters table."""
    return {
        "key": row.key,
        "name": row.name,
        "question": row.question,
        "definition": row.definition,
        "states": [
            {"key": state.key, "name": state.name, "meaning": state.meaning}
            for state in row.states
        ],
        "unit": row.unit,
        "views": list(row.views),
        "needs": list(row.needs),
        "smallest_detail_mm": row.smallest_detail_mm,
        "also": list(row.also),
    }


def measure_json(row: MeasureRow) -> dict[str, Any]:
    """Return one measure with its budget of doubt by cause, or what it lacks."""
    if row.value is None:
        return {
            "key": row.key,
            "unit": row.unit,
            "value": None,
            "lacks": list(row.missing.lacks) if row.missing else [],
            "reasons": dict(row.missing.reasons or {}) if row.missing else {},
        }
    return {
        "key": row.key,
        "unit": row.unit,
        "value": row.value.value,
        "sigma": row.value.sigma,
        "at_least": row.at_least,
        "method": row.method,
        "budget": dict(row.value.by_kind()),
    }
