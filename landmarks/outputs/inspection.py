"""A collection looked through: structure, references, pictures, and everything derived."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from math import isclose
from pathlib import Path
from typing import Any

from landmarks.changes import Document
from landmarks.collection import Picture, picture_of
from landmarks.errors import DocumentError, StoreError
from landmarks.finding import Fact, fields
from landmarks.identification import Guide
from landmarks.sentences import Sentence
from landmarks.specimen import Specimen, specimen_of
from landmarks.storage import Derived, Loaded, Query, Row, Store
from landmarks.storage.moved import Whereabouts, whereabouts
from landmarks.storage.row_checking import DAMAGED, loaded_soundly
from landmarks.stretches import stretches
from landmarks.summaries import Today, derive, is_stale, today_of

AT_ONCE = 100
SAME = 1e-6
"""Difference up to which two derived numbers are the same: machines add up differently."""


@dataclass(frozen=True, slots=True)
class Inspection:
    """What was found.

    Attributes
    ----------
    faults
        What is damaged, leads nowhere or contradicts itself; pictures among them.
    notes
        What is worth knowing and harms nothing.
    pictures
        Where the file of every picture is.
    n_specimens, n_recomputed, n_stale
        How many there are, were derived anew and compared, and carry an older stamp or
        none yet.
    to_renew
        Ids of the specimens whose summary is old, not there yet, or differs.
    """

    faults: tuple[Sentence, ...]
    notes: tuple[Sentence, ...]
    pictures: tuple[Whereabouts, ...]
    n_specimens: int
    n_recomputed: int = 0
    n_stale: int = 0
    to_renew: tuple[str, ...] = ()


Progress = Callable[[int, int], None]


def inspect_collection(
    store: Store,
    guide: Guide,
    *,
    folders: Sequence[Path] = (),
    progress: Progress = lambda done, total: None,
) -> Inspection:
    """Look through a collection; nothing is written.

    Parameters
    ----------
    folders
        Where to look for pictures that are not where they were.
    """
    faults = list(store.check())
    n_specimens = store.count()
    if any(one.key in _HOPELESS for one in faults):
        return Inspection(tuple(faults), (), (), n_specimens)
    notes: list[Sentence] = []
    pictures = list(_pictures(store))
    found = whereabouts(pictures, store.path, folders) if store.path is not None else ()
    faults += [row.sentence for row in found if row.sentence is not None]
    people = {one.id for one in store.people()}
    readable = []
    for specimen in _specimens(store):
        readable.append(specimen.id)
        notes += _loose(specimen, people)
    differing, stale, new = _recomputed(store, today_of(store, guide), readable, progress)
    faults += differing.values()
    for key, some in (("check.stale", stale), ("check.not_derived", new)):
        if some:
            notes.append(Sentence(key, {"n": len(some)}))
    return Inspection(
        tuple(faults),
        tuple(notes),
        tuple(found),
        n_specimens,
        len(readable),
        len(stale) + len(new),
        (*stale, *new, *differing),
    )


_HOPELESS = ("store.fault_structure", "store.fault_link", "store.fault_content")


def _pictures(store: Store) -> Iterator[Picture]:
    """Return the pictures that can be read; the others are faults already."""
    for run in stretches(store.documents("picture"), AT_ONCE):
        for one, found in _loaded(store, run):
            with suppress(DocumentError):
                yield picture_of(one.id, found.parts)


def _loaded(store: Store, run: Sequence[Document]) -> Iterator[tuple[Document, Loaded]]:
    return loaded_soundly(lambda wanted: store.load(*wanted), run)


def _specimens(store: Store) -> Iterator[Specimen]:
    documents = store.documents("specimen")
    for run in stretches(documents, AT_ONCE):
        for one, found in _loaded(store, run):
            with suppress(DocumentError):
                yield specimen_of(one.id, found.parts)


def _loose(specimen: Specimen, people: set[str]) -> Iterator[Sentence]:
    """Return observations of frames that went, and entries of people nobody knows."""
    named = specimen.label.catalogue_number or specimen.id
    frames = {frame.id for frame in specimen.frames}
    n = sum(bool(one.frame) and one.frame not in frames for one in specimen.observations)
    if n:
        yield Sentence("check.observation_without_frame", {"specimen": named, "n": n})
    rows: tuple[Any, ...] = (
        *specimen.placings,
        *specimen.observations,
        *specimen.determinations,
    )
    n = sum(bool(row.person) and row.person not in people for row in rows)
    if n:
        yield Sentence("check.unknown_person", {"specimen": named, "n": n})


def _recomputed(
    store: Store, today: Today, specimens: Sequence[str], progress: Progress
) -> tuple[Mapping[str, Sentence], list[str], list[str]]:
    """Derive everything anew; return what differs under today's stamp, is old, or is new."""
    derived = tuple(key for key, one in fields().items() if one.derived)
    kept = {row.specimen: row for row in store.list(Query(columns=derived))}
    faults: dict[str, Sentence] = {}
    stale: list[str] = []
    new: list[str] = []
    for start in range(0, len(specimens), AT_ONCE):
        some = specimens[start : start + AT_ONCE]
        for one in _derived(store, today, some):
            row = kept.get(one.document.id)
            if row is None:
                continue
            if is_stale(row, today):
                (new if row.stamp is None else stale).append(row.specimen)
                continue
            differing = _differing(
                row,
                one.summary,
                one.facts,
                store.cached(one.document, one.stamp),
                one.value,
            )
            if differing:
                named = row.catalogue_number or row.specimen
                values = {"specimen": named, "what": tuple(differing)}
                faults[row.specimen] = Sentence("check.differs", values)
        progress(min(start + AT_ONCE, len(specimens)), len(specimens))
    return faults, stale, new


def _derived(store: Store, today: Today, some: Sequence[str]) -> Iterator[Derived]:
    """Derive some specimens anew; those that rest on what cannot be read are left out."""
    try:
        yield from derive(store, today, some)
    except (DocumentError, StoreError) as fault:
        if isinstance(fault, StoreError) and fault.sentence.key != DAMAGED:
            raise
        if len(some) > 1:
            for one in some:
                yield from _derived(store, today, [one])


def _differing(
    row: Row, summary: Any, facts: Sequence[Fact], kept: Any, value: Any
) -> list[Sentence]:
    found = []
    if not _same(kept, value):
        found.append(Sentence("check.candidates"))
    if not _same(row.summary, summary):
        found.append(Sentence("check.steps"))
    before, after = _by_field(row.facts), _by_field(facts)
    for key in sorted(before.keys() | after.keys()):
        # When a picture was taken is added only where lists are filled.
        if not _same(before.get(key), after.get(key)) and (
            key in before or key != "captured"
        ):
            found.append(fields()[key].name)
    return found


def _by_field(facts: Sequence[Fact]) -> Mapping[str, Any]:
    made: dict[str, Any] = {}
    for one in facts:
        made.setdefault(one.field, []).append(
            one.word if one.number is None else [one.number, one.sigma, one.at_least]
        )
    return {key: sorted(rows, key=repr) for key, rows in made.items()}


def _same(one: Any, other: Any) -> bool:
    """Return whether two derived values are the same, numbers but for rounding."""
    if isinstance(one, bool) or isinstance(other, bool):
        return one is other
    if isinstance(one, (int, float)) and isinstance(other, (int, float)):
        return isclose(one, other, rel_tol=SAME, abs_tol=SAME)
    if isinstance(one, dict) and isinstance(other, dict):
        return one.keys() == other.keys() and all(_same(one[k], other[k]) for k in one)
    if isinstance(one, (list, tuple)) and isinstance(other, (list, tuple)):
        return len(one) == len(other) and all(map(_same, one, other))
    return bool(one == other)
