"""Filters that a collection keeps under a name."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from dataclasses import field as filled
from typing import Any

from landmarks.codec import decode, encode
from landmarks.finding.conditions import Filter
from landmarks.finding.spelling import folded


@dataclass(frozen=True, slots=True)
class SavedFilter:
    """A filter kept in the collection under a name: the part ``filter/<id>`` of it."""

    id: str
    name: str
    filters: tuple[Filter, ...] = ()
    text: str = ""
    order: str = "catalogue_number"
    descending: bool = False
    extra: Mapping[str, object] = filled(default_factory=dict)


def saved_filter_parts(saved: SavedFilter) -> dict[str, Any]:
    """Return the part of the collection that keeps a filter."""
    return {f"filter/{saved.id}": encode(saved)}


def saved_filters_of(parts: Mapping[str, Any]) -> tuple[SavedFilter, ...]:
    """Return the filters that the parts of a collection keep, by name.

    Raises
    ------
    DocumentError
        If a part has not the form of the format; the part is named.
    """
    made = [
        decode(SavedFilter, raw, part)
        for part, raw in parts.items()
        if part.startswith("filter/")
    ]
    return tuple(sorted(made, key=lambda one: (folded(one.name), one.id)))
