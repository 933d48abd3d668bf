"""Reading a collection through one connection: every question one or two statements."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

from sqlalchemy import Connection, Select, func, select

from landmarks.changes import Change, ChangeSet, Document, Parts, before_all
from landmarks.errors import StoreError
from landmarks.finding import Fact, Filter
from landmarks.storage.conditions import (
    Source,
    conditions,
    is_negative,
    positive,
    sources,
)
from landmarks.storage.contract import (
    EVERYTHING,
    Happened,
    Loaded,
    Past,
    Query,
    Row,
    Stamp,
)
from landmarks.storage.deeds import deed_of
from landmarks.storage.listing import region_of, searched_words
from landmarks.storage.packing import read_text, unpacked
from landmarks.storage.schema import (
    BLOBS,
    CACHE,
    CHANGE_SETS,
    CHANGES,
    DOCUMENTS,
    LISTING,
    NUMBERS,
    PARTS,
    WORDS,
)

WIDE = 10_000
"""A condition that more specimens fit is asked of each in turn while a page is filled."""

FIRST_PAGES = 1000
"""Specimens up to which that pays; pages farther on are looked up all at once."""

AT_ONCE = 500
"""How many keys one statement is asked for; databases limit its length."""

LARGEST_UNPACKED = 256 * 1024 * 1024
"""Letters that the packed contents of one question may unpack to: a stranger packs gigabytes
into a few kilobytes."""


def rows(connection: Connection, query: Query) -> tuple[Row, ...]:
    """Return one row for each specimen that the query asks for."""
    found: list[Row] = []
    offset = query.offset
    wide = _wide(connection, query)
    for source in sources(query):
        left = None if query.limit is None else query.limit - len(found)
        if left == 0:
            break
        page = _page(connection, source.select(query, wide), source, query, (offset, left))
        found += page
        if offset and not page:
            there = source.select(query).subquery()
            counted = select(func.count()).select_from(there)
            offset -= connection.execute(counted).scalar_one()
        else:
            offset = 0
    return tuple(found)


def count(connection: Connection, query: Query) -> int:
    """Return how many specimens the query finds."""
    everything = Source(LISTING.c.document, None, descending=False)
    if query.filters and not searched_words(query.text):
        if len(query.filters) == 1 and is_negative(query.filters[0]):
            total = count(connection, Query())
            return total - _n_found(connection, positive(query.filters[0], query))
        if not any(one.field == "text" or is_negative(one) for one in query.filters):
            # Facts stand for listed specimens only, and their indexes are far narrower.
            first, *others = (positive(one, query) for one in query.filters)
            both = first.where(*(first.selected_columns[0].in_(one) for one in others))
            return _n_found(connection, both)
    where = conditions(query, everything)
    statement = select(func.count()).select_from(LISTING).where(*where)
    return int(connection.execute(statement).scalar_one())


def following(connection: Connection, query: Query, after: str) -> Row | None:
    """Return the first specimen that the query finds after another, going round once."""
    number = _number(connection, Document("specimen", after)) if after else None
    ways = sources(query)
    wide = _wide(connection, replace(query, offset=0, limit=1))
    ahead: list[tuple[Source, Any]] = [(source, None) for source in ways]
    for i, source in enumerate(ways if number is not None else ()):
        here = source.select(None).where(source.document == number)
        stands = connection.execute(here).first()
        if stands is not None:
            beyond = source.beyond(stands.key, number or 0)
            ahead = [(source, beyond), *ahead[i + 1 :], *ahead[: i + 1]]
            break
    for source, beyond in ahead:
        statement = source.select(query, wide).where(source.document != (number or 0))
        if beyond is not None:
            statement = statement.where(beyond)
        found = statement.cte("found")
        if query.text:
            found = found.prefix_with("MATERIALIZED")
        first = select(found).order_by(*source.in_order(found.c)).limit(1)
        made = _rows_of(connection, source, first, query)
        if made:
            return made[0]
    return None


def documents(connection: Connection, kind: str) -> tuple[Document, ...]:
    """Return all documents of a kind that are there, oldest first."""
    statement = (
        select(DOCUMENTS.c.id)
        .where(DOCUMENTS.c.kind == kind, DOCUMENTS.c.deleted == 0)
        .order_by(DOCUMENTS.c.number)
    )
    return tuple(Document(kind, found) for found in connection.execute(statement).scalars())


def load(connection: Connection, wanted: Sequence[Document]) -> dict[Document, Loaded]:
    """Return these documents as they are now, in the order asked; the gone are left out."""
    found: dict[Document, tuple[int, int]] = {}
    for kind in dict.fromkeys(document.kind for document in wanted):
        ids = [document.id for document in wanted if document.kind == kind]
        for some in _slices(ids):
            statement = select(DOCUMENTS).where(
                DOCUMENTS.c.kind == kind, DOCUMENTS.c.id.in_(some), DOCUMENTS.c.deleted == 0
            )
            for row in connection.execute(statement):
                found[Document(kind, row.id)] = (row.number, row.revision)
    parts = _parts(connection, [number for number, _ in found.values()])
    return {
        document: Loaded(document, parts.get(found[document][0], {}), found[document][1])
        for document in dict.fromkeys(wanted)
        if document in found
    }


def latest(connection: Connection) -> int:
    """Return the sequence of the last change set, 0 before the first."""
    return connection.execute(select(func.max(CHANGE_SETS.c.sequence))).scalar() or 0


def since(connection: Connection, sequence: int) -> tuple[Happened, ...]:
    """Return what was saved after a sequence, oldest first."""
    statement = (
        select(CHANGES.c.sequence, CHANGES.c.part, DOCUMENTS.c.kind, DOCUMENTS.c.id)
        .join(DOCUMENTS, DOCUMENTS.c.number == CHANGES.c.document)
        .where(CHANGES.c.sequence > sequence)
        .order_by(CHANGES.c.sequence, CHANGES.c.place)
    )
    touched: dict[int, dict[Document, list[str]]] = {}
    for row in connection.execute(statement):
        parts = touched.setdefault(row.sequence, {})
        parts.setdefault(Document(row.kind, row.id), []).append(row.part)
    sets = (
        select(CHANGE_SETS)
        .where(CHANGE_SETS.c.sequence > sequence)
        .order_by(CHANGE_SETS.c.sequence)
    )
    return tuple(
        Happened(
            row.sequence,
            row.id,
            deed_of(read_text(row.deed)),
            row.person,
            row.at,
            row.undoes,
            {
                document: tuple(parts)
                for document, parts in touched.get(row.sequence, {}).items()
            },
        )
        for row in connection.execute(sets)
    )


def history(
    connection: Connection,
    document: Document | None,
    limit: int | None,
    before: int,
    after: int = 0,
) -> tuple[Past, ...]:
    """Return change sets newest first, of one document or of the whole collection."""
    sets = select(CHANGE_SETS).where(
        CHANGE_SETS.c.sequence < before, CHANGE_SETS.c.sequence > after
    )
    number = None
    if document is not None:
        number = _number(connection, document)
        touching = select(CHANGES.c.sequence).where(CHANGES.c.document == (number or 0))
        sets = sets.where(CHANGE_SETS.c.sequence.in_(touching))
    sets = sets.order_by(CHANGE_SETS.c.sequence.desc())
    found = connection.execute(sets.limit(limit) if limit is not None else sets).all()
    sequences = [row.sequence for row in found]
    changes: dict[int, list[Change]] = {}
    n_documents: dict[int, int] = {}
    for some in _slices(sequences):
        statement = (
            select(CHANGES, DOCUMENTS.c.kind, DOCUMENTS.c.id)
            .join(DOCUMENTS, DOCUMENTS.c.number == CHANGES.c.document)
            .where(CHANGES.c.sequence.in_(some))
            .order_by(CHANGES.c.sequence, CHANGES.c.place)
        )
        if number is not None:
            statement = statement.where(CHANGES.c.document == number)
        touched = connection.execute(statement).all()
        texts = contents(
            connection, (t for row in touched for t in (row.before, row.after))
        )
        for row in touched:
            pair = [
                None if t is None else read_text(texts[t]) for t in (row.before, row.after)
            ]
            changes.setdefault(row.sequence, []).append(
                Change(Document(row.kind, row.id), row.part, *pair)
            )
        counted = (
            select(CHANGES.c.sequence, func.count(CHANGES.c.document.distinct()))
            .where(CHANGES.c.sequence.in_(some))
            .group_by(CHANGES.c.sequence)
        )
        n_documents |= {row[0]: row[1] for row in connection.execute(counted)}
    return tuple(
        Past(
            row.sequence,
            ChangeSet(
                id=row.id,
                deed=deed_of(read_text(row.deed)),
                changes=tuple(changes.get(row.sequence, ())),
                person=row.person,
                at=row.at,
                undoes=row.undoes,
                extra=_extra(row.extra),
            ),
            n_documents.get(row.sequence, 0),
        )
        for row in found
    )


def as_of(connection: Connection, document: Document, sequence: int) -> Parts:
    """Return the parts that a document had right after a change set."""
    now = load(connection, (document,)).get(document)
    later = history(connection, document, None, EVERYTHING, after=sequence)
    return before_all(now.parts if now else {}, [past.change_set for past in later])


def cached(connection: Connection, document: Document, stamp: Stamp) -> Any:
    """Return the value kept with exactly this stamp, or None."""
    statement = (
        select(CACHE.c.value)
        .join(DOCUMENTS, DOCUMENTS.c.number == CACHE.c.document)
        .where(
            DOCUMENTS.c.kind == document.kind,
            DOCUMENTS.c.id == document.id,
            CACHE.c.revision == stamp.revision,
            CACHE.c.tables_hash == stamp.tables_hash,
            CACHE.c.engine == stamp.engine,
        )
    )
    found = connection.execute(statement).scalar()
    return None if found is None else read_text(found)


def contents(connection: Connection, stored: Iterable[str | None]) -> Mapping[str, str]:
    """Return the text of each stored content, packed or not."""
    wanted = {one for one in stored if one is not None}
    texts = {one: one for one in wanted if not one.startswith("#")}
    room = LARGEST_UNPACKED
    for some in _slices([one[1:] for one in wanted if one.startswith("#")]):
        statement = select(BLOBS.c.hash, BLOBS.c.packed).where(BLOBS.c.hash.in_(some))
        for row in connection.execute(statement):
            text = texts[f"#{row.hash}"] = unpacked(row.packed)
            room -= len(text)
            if room < 0:
                raise StoreError("store.damaged_content")
    if len(texts) < len(wanted):
        raise StoreError("store.damaged_content")
    return texts


def _taxa(text: str) -> tuple[str, ...]:
    taxa = read_text(text)
    return tuple(map(str, taxa)) if isinstance(taxa, list) else ()


def _extra(text: str) -> Mapping[str, object]:
    extra = read_text(text)
    return extra if isinstance(extra, dict) else {}


def _n_found(connection: Connection, found: Select[Any]) -> int:
    distinct = select(func.count(found.subquery().c.document.distinct()))
    return int(connection.execute(distinct).scalar_one())


def _wide(connection: Connection, query: Query) -> tuple[Filter, ...]:
    """Return the conditions that so many specimens fit that a page is soon full."""
    if query.limit is None or query.offset + query.limit > FIRST_PAGES:
        return ()
    wide = []
    for one in query.filters:
        if one.field not in ("text", "stale") and not is_negative(one):
            some = positive(one, query).limit(WIDE + 1).subquery()
            n = connection.execute(select(func.count()).select_from(some)).scalar_one()
            wide += [one] if n > WIDE else []
    return tuple(wide)


def _page(
    connection: Connection,
    found: Select[Any],
    source: Source,
    query: Query,
    stretch: tuple[int, int | None],
) -> list[Row]:
    """Return a stretch of the specimens that were found in one source."""
    offset, limit = stretch
    if query.text:
        # Left alone, the database would walk the whole list in order and look every row up
        # to read its words: ten times slower where few match.
        chosen = select(found.cte("found").prefix_with("MATERIALIZED"))
    else:
        chosen = select(found.subquery())
    chosen = chosen.order_by(*source.in_order(chosen.selected_columns))
    # The page is chosen on narrow rows alone; only its own are looked up elsewhere.
    if offset or limit is not None:
        chosen = chosen.offset(offset).limit(limit)
    return _rows_of(connection, source, chosen, query)


def _rows_of(
    connection: Connection, source: Source, chosen: Select[Any], query: Query
) -> list[Row]:
    """Return the rows of specimens that were chosen by ``document`` and ``key``."""
    page = chosen.subquery()
    joined = (
        page.join(LISTING, LISTING.c.document == page.c.document)
        .join(DOCUMENTS, DOCUMENTS.c.number == page.c.document)
        .outerjoin(CACHE, CACHE.c.document == page.c.document)
    )
    statement = (
        select(
            DOCUMENTS.c.id,
            DOCUMENTS.c.revision,
            LISTING,
            CACHE.c.summary,
            CACHE.c.revision.label("derived_from"),
            CACHE.c.tables_hash,
            CACHE.c.engine,
        )
        .select_from(joined)
        .order_by(*source.in_order(page.c))
    )
    found = connection.execute(statement).all()
    facts = _facts(connection, [row.document for row in found], query.columns)
    return [
        Row(
            specimen=row.id,
            catalogue_number=row.catalogue_number,
            name=row.name,
            taxa=_taxa(row.taxa),
            level=row.level,
            qualifier=row.qualifier,
            n_pictures=row.n_pictures,
            picture=row.picture,
            region=region_of(row.region),
            revision=row.revision,
            summary=None if row.summary is None else read_text(row.summary),
            stamp=None
            if row.summary is None
            else Stamp(row.derived_from, row.tables_hash, row.engine),
            facts=tuple(facts.get(row.document, ())),
        )
        for row in found
    ]


def _facts(
    connection: Connection, numbers: Sequence[int], columns: Sequence[str]
) -> dict[int, list[Fact]]:
    """Return what is known of some fields of some specimens."""
    facts: dict[int, list[Fact]] = {}
    for some in _slices(numbers) if columns else ():
        words = select(WORDS).where(WORDS.c.document.in_(some), WORDS.c.field.in_(columns))
        for row in connection.execute(words.order_by(WORDS.c.field, WORDS.c.word)):
            facts.setdefault(row.document, []).append(Fact(row.field, row.word))
        measured = select(NUMBERS).where(
            NUMBERS.c.document.in_(some), NUMBERS.c.field.in_(columns)
        )
        for row in connection.execute(measured.order_by(NUMBERS.c.field)):
            one = Fact(row.field, "", row.number, row.sigma, bool(row.at_least))
            facts.setdefault(row.document, []).append(one)
    return facts


def _number(connection: Connection, document: Document) -> int | None:
    statement = select(DOCUMENTS.c.number).where(
        DOCUMENTS.c.kind == document.kind, DOCUMENTS.c.id == document.id
    )
    return connection.execute(statement).scalar()


def _parts(connection: Connection, numbers: Sequence[int]) -> dict[int, Parts]:
    made: dict[int, dict[str, Any]] = {}
    for some in _slices(numbers):
        statement = select(PARTS).where(PARTS.c.document.in_(some))
        stored = connection.execute(statement).all()
        texts = contents(connection, (row.content for row in stored))
        for row in stored:
            made.setdefault(row.document, {})[row.part] = read_text(texts[row.content])
    return dict(made)


def _slices(items: Sequence[Any]) -> Iterator[Sequence[Any]]:
    for start in range(0, len(items), AT_ONCE):
        yield items[start : start + AT_ONCE]
