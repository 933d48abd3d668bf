"""A collection that lives only in memory: the worked example, and windows under test."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from threading import RLock
from typing import Any

from landmarks.changes import (
    Change,
    ChangeSet,
    Document,
    Parts,
    before_all,
    by_document,
    difference,
)
from landmarks.collection import About, Person, about_of, about_parts, person_of
from landmarks.errors import StoreError
from landmarks.finding import Fact
from landmarks.sentences import Sentence
from landmarks.storage.contract import (
    EVERYTHING,
    NO_QUERY,
    NO_REVISIONS,
    Conflict,
    Derived,
    Happened,
    Loaded,
    Past,
    Query,
    Row,
    Saved,
    Stamp,
)
from landmarks.storage.deciding import (
    EXISTS,
    Now,
    asked_for,
    decide,
    stand_beside,
    turns_of,
)
from landmarks.storage.kept import Kept, in_order, row_of
from landmarks.storage.listing import word_of
from landmarks.storage.packing import read_text


class MemoryStore:
    """The ``Store`` contract without a disk; everything is gone when it is closed."""

    path: Path | None = None
    read_only = False
    notes: tuple[Sentence, ...] = ()

    def __init__(self, about: About) -> None:
        self._lock = RLock()
        self._open = True
        self._documents: dict[Document, Kept] = {}
        self._deeds: list[ChangeSet] = []
        self.commit(
            ChangeSet(
                id=about.id,
                deed=Sentence("deed.new_collection"),
                changes=difference(
                    Document("collection", about.id), {}, about_parts(about)
                ),
                at=about.created,
            )
        )

    def about(self) -> About:
        """Return the collection itself."""
        (document,) = self.documents("collection")
        return about_of(document.id, self.load(document)[document].parts)

    def people(self) -> tuple[Person, ...]:
        """Return everybody who works in the collection."""
        loaded = self.load(*self.documents("person"))
        return tuple(person_of(one.document.id, one.parts) for one in loaded.values())

    def list(self, query: Query = NO_QUERY) -> tuple[Row, ...]:
        """Return one row for each specimen that the query asks for."""
        with self._held():
            found = in_order(self._found(query), query)
            end = None if query.limit is None else query.offset + query.limit
            return tuple(
                row_of(document, kept, query.columns)
                for document, kept in found[query.offset : end]
            )

    def ids(self, query: Query = NO_QUERY) -> tuple[str, ...]:
        """Return the ids of the specimens that the query asks for."""
        return tuple(row.specimen for row in self.list(query))

    def count(self, query: Query = NO_QUERY) -> int:
        """Return how many specimens the query finds."""
        with self._held():
            return sum(1 for _ in self._found(query))

    def following(self, query: Query, after: str = "") -> Row | None:
        """Return the first specimen that the query finds after another one."""
        with self._held():
            here = Document("specimen", after)
            wanted = {document for document, _ in self._found(query)} - {here}
            there = [pair for pair in self._documents.items() if pair[1].listed is not None]
            ahead = in_order(there, query)
            places = [document for document, _ in ahead]
            start = places.index(here) + 1 if here in places else 0
            for document, kept in ahead[start:] + ahead[:start]:
                if document in wanted:
                    return row_of(document, kept, query.columns)
            return None

    def documents(self, kind: str) -> tuple[Document, ...]:
        """Return all documents of a kind, in the order in which they were made."""
        with self._held():
            return tuple(
                document
                for document, kept in self._documents.items()
                if document.kind == kind and EXISTS in kept.parts
            )

    def load(
        self, *documents: Document, kinds: Collection[str] | None = None
    ) -> Mapping[Document, Loaded]:
        """Return these documents as they are now."""
        with self._held():
            found = {}
            for document in documents:
                kept = self._documents.get(document)
                if kept is not None and EXISTS in kept.parts:
                    parts = {
                        part: read_text(text)
                        for part, text in kept.parts.items()
                        if asked_for(part, kinds)
                    }
                    found[document] = Loaded(document, parts, kept.revision)
            return found

    def commit(
        self, change_set: ChangeSet, expected: Mapping[Document, int] | None = None
    ) -> Saved | Conflict:
        """Keep one deed, whole or not at all."""
        with self._held():
            turns = turns_of(change_set)
            revisions = {one: self._revision(one) for one in turns}
            for sequence, earlier in enumerate(self._deeds, 1):
                if earlier.id == change_set.id:
                    return Saved(sequence, revisions)
            decisions = {one: decide(parts, self._now(one)) for one, parts in turns.items()}
            clashes = {one: made.clashes for one, made in decisions.items() if made.clashes}
            if clashes:
                return Conflict(clashes, revisions)
            before = expected or NO_REVISIONS
            moved_on = tuple(
                one for one in turns if one in before and before[one] != revisions[one]
            )
            sequence = len(self._deeds) + 1
            changes: list[Change] = []
            for document, decision in decisions.items():
                if not decision.turns:
                    continue
                kept = self._documents.setdefault(document, Kept(len(self._documents) + 1))
                beside = stand_beside(document.kind, decision.turns)
                kept.move_on(beside=beside)
                kept.changed = sequence
                revisions[document] = kept.revision
                for part, turn in decision.turns.items():
                    kept.parts.pop(part, None)
                    if turn.after is not None:
                        kept.parts[part] = turn.after
                    changes.append(Change(document, part, *_pair(turn.before, turn.after)))
                if document.kind == "specimen":
                    kept.relist()
                elif document.kind == "picture" and not beside:
                    self._outdate(document.id)
            self._deeds.append(replace(change_set, changes=tuple(changes)))
            return Saved(sequence, revisions, moved_on)

    def latest(self) -> int:
        """Return the sequence of the last change set."""
        with self._held():
            return len(self._deeds)

    def since(self, sequence: int) -> tuple[Happened, ...]:
        """Return what was kept after a sequence, oldest first."""
        with self._held():
            return tuple(
                Happened(
                    number,
                    deed.id,
                    deed.deed,
                    deed.person,
                    deed.at,
                    deed.undoes,
                    {
                        document: tuple(change.part for change in changes)
                        for document, changes in by_document(deed.changes).items()
                    },
                )
                for number, deed in enumerate(self._deeds, 1)
                if number > sequence
            )

    def history(
        self,
        document: Document | None = None,
        *,
        limit: int | None = None,
        before: int = EVERYTHING,
    ) -> tuple[Past, ...]:
        """Return change sets newest first, of one document or of the whole collection."""
        with self._held():
            found = []
            for number, deed in enumerate(self._deeds, 1):
                touched = by_document(deed.changes)
                if number >= before or not (document is None or document in touched):
                    continue
                changes = deed.changes if document is None else touched[document]
                found.append(Past(number, replace(deed, changes=changes), len(touched)))
            return tuple(found[::-1][:limit])

    def as_of(self, document: Document, sequence: int) -> Parts:
        """Return the parts that a document had right after a change set."""
        with self._held():
            kept = self._documents.get(document)
            now = kept.parts if kept is not None else {}
            later = [past for past in self.history(document) if past.sequence > sequence]
            parts = {part: read_text(text) for part, text in now.items()}
            return before_all(parts, [past.change_set for past in later])

    def cached(self, document: Document, stamp: Stamp) -> Any:
        """Return the value kept with exactly this stamp, or None."""
        with self._held():
            kept = self._documents.get(document)
            if kept is None or kept.derived is None or kept.derived[0] != stamp:
                return None
            return read_text(kept.derived[1])

    def keep_cache(self, *derived: Derived) -> None:
        """Keep derived values for the documents that are there."""
        with self._held():
            for one in derived:
                kept = self._documents.get(one.document)
                if kept is not None:
                    kept.keep(one)

    def relist(self) -> None:
        """Take everything that lists and searches rest on anew from the parts."""
        with self._held():
            for document, kept in self._documents.items():
                if document.kind == "specimen":
                    kept.relist()

    def copy_to(self, path: Path) -> None:
        """Write the whole collection, history included, to a new file."""
        from landmarks.storage.sqlite import open_sqlite

        with self._held():
            store = open_sqlite(path, create=True, about=self._first_about())
            try:
                for deed in self._deeds[1:]:
                    answer = store.commit(deed)
                    if isinstance(answer, Conflict):
                        raise answer.error()
            finally:
                store.close()

    def check(self) -> tuple[Sentence, ...]:
        """Return every fault of content or reference."""
        from landmarks.storage.checking import faults_in

        with self._held():
            wanted = [one for one, kept in self._documents.items() if EXISTS in kept.parts]
            return faults_in(self.load(*wanted))

    def close(self) -> None:
        """Let go of everything."""
        self._open = False

    @contextmanager
    def _held(self) -> Iterator[None]:
        with self._lock:
            if not self._open:
                raise StoreError("store.closed", file="", folder="")
            yield

    def _first_about(self) -> About:
        changes = self._deeds[0].changes
        parts = {change.part: change.after for change in changes}
        return about_of(changes[0].document.id, parts)

    def _revision(self, document: Document) -> int:
        kept = self._documents.get(document)
        return kept.revision if kept else 0

    def _now(self, document: Document) -> Now:
        kept = self._documents.get(document)
        return (
            Now() if kept is None else Now(kept.revision, EXISTS in kept.parts, kept.parts)
        )

    def _found(self, query: Query) -> Iterator[tuple[Document, Kept]]:
        for document, kept in self._documents.items():
            if kept.found_by(query):
                yield document, kept

    def _outdate(self, picture: str) -> None:
        shows = Fact("picture", word_of(picture))
        for kept in self._documents.values():
            if shows in kept.recorded_facts:
                kept.outdate()


def _pair(before: str | None, after: str | None) -> tuple[Any, Any]:
    return (
        None if before is None else read_text(before),
        None if after is None else read_text(after),
    )
