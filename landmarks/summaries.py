"""What lists show and searches find of specimens: derived, stamped, kept beside them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from hashlib import sha256

from landmarks.assessment import Looked, asked_characters, look
from landmarks.changes import Document
from landmarks.codec import encode, write_json
from landmarks.collection import Picture, picture_of
from landmarks.errors import DocumentError
from landmarks.finding import Fact, Filter, date_of, fields, fits
from landmarks.identification import ENGINE_VERSION, Gist, Guide, conclude
from landmarks.observations import holds_evidence
from landmarks.own_doubt import Doubts
from landmarks.progress import FULL, Step, steps
from landmarks.sentences import Sentence
from landmarks.specimen import Parts, Specimen, specimen_of
from landmarks.storage import Derived, Loaded, Query, Row, Stamp, Store
from landmarks.storage.contract import BESIDE
from landmarks.storage.deciding import kind_of
from landmarks.stretches import stretches

AT_ONCE = 8
"""Specimens derived in one turn of the worker, so that a deed never waits for long."""


@dataclass(frozen=True, slots=True)
class Today:
    """What derived values of today rest on, besides the specimen itself.

    ``doubts`` are people's own placing doubts: whoever begins to use them makes every value
    stale that was derived without.
    """

    guide: Guide
    doubts: Doubts = field(default_factory=dict)

    @property
    def engine(self) -> str:
        """Return the version of the engine, with a mark of the doubts where there are any."""
        if not self.doubts:
            return ENGINE_VERSION
        words = write_json({key: encode(one) for key, one in self.doubts.items()})
        return f"{ENGINE_VERSION}+{sha256(words.encode()).hexdigest()[:12]}"

    def stamp(self, revision: int) -> Stamp:
        """Return the stamp of what is derived today from a revision of a specimen."""
        return Stamp(revision, self.guide.tables.hash, self.engine)

    def asking(self, query: Query) -> Query:
        """Return a query that knows what is stale today."""
        return replace(query, tables_hash=self.guide.tables.hash, engine=self.engine)


def today_of(store: Store, guide: Guide) -> Today:
    """Return what derived values of a collection rest on today."""
    return Today(guide, doubts_of(store))


def doubts_of(store: Store) -> Doubts:
    """Return the own placing doubt of everybody in a collection who uses one."""
    return {one.id: one.doubt for one in store.people() if one.doubt is not None}


def is_stale(row: Row, today: Today) -> bool:
    """Return whether what a row shows was derived from something else than today's."""
    return row.stamp != today.stamp(row.revision)


def renew_summaries(store: Store, today: Today, specimens: Sequence[str]) -> None:
    """Derive the summaries of some specimens again and keep them."""
    store.keep_cache(*derive(store, today, specimens))


def renew_stale(
    store: Store, today: Today, query: Query, progress: Callable[[int, int], None]
) -> None:
    """Derive anew what is stale, so that a query misses none that follows from it.

    Nothing is done where the query asks for nothing derived.
    """
    stale = stale_specimens(store, today) if rests_on_derived(query) else ()
    for done, some in enumerate(stretches(stale, AT_ONCE)):
        progress(done * AT_ONCE, len(stale))
        renew_readable(store, today, some)


def renew_readable(
    store: Store, today: Today, specimens: Sequence[str]
) -> Mapping[str, Sentence]:
    """Derive the summaries of those specimens again that can be read.

    Returns
    -------
    What is wrong with each of the others, which stay stale.
    """
    try:
        renew_summaries(store, today, specimens)
    except DocumentError as fault:
        if len(specimens) == 1:
            return {specimens[0]: fault.sentence}
        found: dict[str, Sentence] = {}
        for one in specimens:
            found |= renew_readable(store, today, [one])
        return found
    return {}


def derive(store: Store, today: Today, specimens: Sequence[str]) -> tuple[Derived, ...]:
    """Return the summaries of some specimens as they follow from today's tables.

    Raises
    ------
    DocumentError
        If a part has not the form of the format; the part is named.
    """
    found = store.load(*(Document("specimen", one) for one in specimens))
    made = {
        one: (specimen_of(one.id, _sources(doc)), doc.revision)
        for one, doc in found.items()
    }
    shown = _pictures(store, [specimen for specimen, _ in made.values()])
    pictures = {one.id: picture_of(one.id, _sources(doc)) for one, doc in shown.items()}
    guide, derived = today.guide, []
    names = {taxon.key: taxon.name for taxon in guide.tables.taxa}
    for document, (specimen, revision) in made.items():
        looked = look(specimen, pictures, guide, today.doubts)
        asked = asked_characters(looked.characters)
        first = next(iter(specimen.frames), None)
        now = steps(specimen, first, pictures, asked, names)
        its = [pictures[one] for one in _shown(specimen) if one in pictures]
        # Reasons, sentences and what to look at next are for whoever opens it.
        gist = conclude(guide, looked.seen, looked.circumstances).gist(guide)
        stamp = today.stamp(revision)
        derived.append(summary_of(document, stamp, looked, gist, now, its))
    return tuple(derived)


def rests_on_derived(query: Query) -> bool:
    """Return whether what a query finds, or its order, follows from what was derived."""
    asked = {one.field for one in query.filters} | {query.order}
    return any(fields()[one].derived for one in asked & fields().keys() if one != "stale")


def stale_among(query: Query) -> Query:
    """Return the query of all specimens that were derived from something else than today's.

    The query tells of which tables and engine today is.
    """
    stale = Filter("stale", "is", ("yes",))
    return Query(filters=(stale,), tables_hash=query.tables_hash, engine=query.engine)


def stale_specimens(
    store: Store, today: Today, limit: int | None = None
) -> tuple[str, ...]:
    """Return the ids of specimens that are to be derived again before they are found.

    What the list shows is renewed as it is scrolled; a filter over what is derived asks for
    all of it.
    """
    stale = replace(stale_among(today.asking(Query())), limit=limit)
    return store.ids(stale)


def find(store: Store, today: Today, query: Query) -> tuple[Row, ...]:
    """Return the specimens that a query finds, derived values of today.

    Where what the store keeps is stale, it is derived anew for this answer; nothing is
    written. A list that is shown at once asks the store itself, and says what is stale.
    """
    asked_today = today.asking(query)
    derived = tuple(
        one for one in query.filters if fields()[one.field].derived and one.field != "stale"
    )
    if not derived:
        return store.list(asked_today)
    recorded = tuple(one for one in query.filters if one not in derived)
    asked = tuple(dict.fromkeys(one.field for one in derived))
    wide = replace(asked_today, filters=recorded, columns=asked, offset=0, limit=None)
    rows = store.list(wide)
    known = {row.specimen: row.facts for row in rows}
    stale = [row.specimen for row in rows if is_stale(row, today)]
    for some in stretches(stale, 10 * AT_ONCE):
        for one in derive(store, today, some):
            known[one.document.id] = one.facts
    found = [row for row in rows if all(fits(one, known[row.specimen]) for one in derived)]
    end = None if query.limit is None else query.offset + query.limit
    return tuple(found[query.offset : end])


def pictures_of(store: Store, specimens: Iterable[Specimen]) -> Mapping[str, Picture]:
    """Return the pictures that show these specimens, by their ids."""
    loaded = _pictures(store, specimens)
    return {one.id: picture_of(one.id, doc.parts) for one, doc in loaded.items()}


def summary_of(
    document: Document,
    stamp: Stamp,
    looked: Looked,
    gist: Gist,
    now: Sequence[Step],
    pictures: Iterable[Picture] = (),
) -> Derived:
    """Return what is kept beside a specimen: probabilities, five steps, what to find it by."""
    return Derived(
        document,
        stamp,
        gist.probabilities,
        {"steps": [step.has for step in now]},
        _facts(looked, gist, now, pictures),
    )


def _facts(
    looked: Looked,
    gist: Gist,
    now: Sequence[Step],
    pictures: Iterable[Picture],
) -> tuple[Fact, ...]:
    """Return what a specimen can be found by that follows from its pictures and a guide.

    A specimen of which nothing was seen has no leading candidate: what tables and region
    expect of any clam is no finding, nor that its pictures cannot show a character.
    """
    facts = [Fact("missing", step.key) for step in now if _is_missing(step)]
    facts += [
        Fact(row.key, "", row.value.value, row.value.sigma, row.at_least)
        for row in looked.measures
        if row.value is not None
    ]
    if holds_evidence(looked.seen):
        facts += [
            Fact("leading", gist.leading),
            Fact("says", gist.level),
            Fact("certainty", number=gist.certainty),
            Fact("fit", number=gist.fit),
        ]
    captured = sorted(filter(None, (date_of(one.file.captured) for one in pictures)))
    if captured:
        facts.append(Fact("captured", captured[0]))
    return tuple(facts)


def _pictures(store: Store, specimens: Iterable[Specimen]) -> Mapping[Document, Loaded]:
    wanted = {
        Document("picture", one) for specimen in specimens for one in _shown(specimen)
    }
    return store.load(*sorted(wanted))


def _sources(one: Loaded) -> Parts:
    """Return the parts of a document that derived values may follow from.

    The store keeps what was derived where only the others change.
    """
    beside = BESIDE.get(one.document.kind, frozenset())
    return {part: raw for part, raw in one.parts.items() if kind_of(part) not in beside}


def _is_missing(step: Step) -> bool:
    """Return whether a step lacks something that can be had; a view without landmarks cannot."""
    return step.has != FULL and step.words.key != "step.landmarks.no_scheme"


def _shown(specimen: Specimen) -> tuple[str, ...]:
    return tuple(dict.fromkeys(frame.picture for frame in specimen.frames if frame.picture))
