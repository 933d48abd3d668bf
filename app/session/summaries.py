"""What the list shows of specimens that are not on the bench: derived, stamped, kept."""

from __future__ import annotations

from collections.abc import Sequence

from landmarks.assessment import Assessment, asked_characters, assess
from landmarks.changes import Document
from landmarks.collection import picture_of
from landmarks.identification import ENGINE_VERSION, Guide
from landmarks.progress import Step, steps
from landmarks.specimen import specimen_of
from landmarks.storage import Derived, Row, Stamp, Store

AT_ONCE = 8
"""Specimens derived in one turn of the worker, so that a deed never waits for long."""


def is_stale(row: Row, guide: Guide) -> bool:
    """Return whether what a row shows was derived from something else than today's."""
    return row.stamp != Stamp(row.revision, guide.tables.hash, ENGINE_VERSION)


def renew_summaries(store: Store, guide: Guide, specimens: Sequence[str]) -> None:
    """Derive the summaries of some specimens again and keep them; runs on the worker."""
    found = store.load(*(Document("specimen", one) for one in specimens))
    made = {
        one: (specimen_of(one.id, doc.parts), doc.revision) for one, doc in found.items()
    }
    wanted = {
        Document("picture", frame.picture)
        for specimen, _ in made.values()
        for frame in specimen.frames
        if frame.picture
    }
    pictures = {
        one.id: picture_of(one.id, doc.parts)
        for one, doc in store.load(*sorted(wanted)).items()
    }
    names = {taxon.key: taxon.name for taxon in guide.tables.taxa}
    derived = []
    for document, (specimen, revision) in made.items():
        assessment = assess(specimen, pictures, guide)
        asked = asked_characters(assessment.characters)
        first = next(iter(specimen.frames), None)
        now = steps(specimen, first, pictures, asked, names)
        derived.append(summary_of(document, revision, assessment, now))
    store.keep_cache(*derived)


def summary_of(
    document: Document, revision: int, assessment: Assessment, now: Sequence[Step]
) -> Derived:
    """Return what is kept beside a specimen: its probabilities and its five steps."""
    answer = assessment.answer
    return Derived(
        document,
        Stamp(revision, answer.tables_hash, answer.engine_version),
        {one.taxon: one.probability for one in answer.candidates},
        {"steps": [step.has for step in now]},
    )
