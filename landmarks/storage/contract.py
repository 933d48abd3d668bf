"""What every collection can do, wherever it is kept, and the values it answers with.

A store keeps *documents* (the collection, people, pictures, specimens) as named parts of
plain JSON, and every deed as one change set. What is derived - measures, candidates - it
keeps only as a cache that carries the stamp of what it was derived from.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import Any, Protocol

from landmarks.changes import ChangeSet, Clash, Document, Parts, part_name
from landmarks.collection import About, Person
from landmarks.errors import ConflictError
from landmarks.finding import Fact, Filter, checked_filter
from landmarks.geometry import Box
from landmarks.sentences import Sentence

FORMAT = 3
"""The format of a collection that this version writes."""

ORDERS = ("catalogue_number", "name", "created", "changed")
"""Orders that need nothing derived; besides them :func:`finding.sorting_fields`."""


@dataclass(frozen=True, slots=True)
class Query:
    """Which specimens to list, and in which order.

    Attributes
    ----------
    text
        Words that must all stand somewhere in catalogue number, names, locality, collector,
        habitat or remarks; capitals and accents do not matter. Empty: everything.
    order
        One of :data:`ORDERS`, or a field of :func:`landmarks.finding.sorting_fields`.
        Numbers inside a catalogue number count as numbers; specimens without one, or without
        a name, come last. Specimens that lack a field come last in either direction.
    offset, limit
        Which stretch of the list; ``limit`` None for all of it. Equal specimens always stand
        in one order, so that pages neither repeat nor lose any.
    filters
        Conditions that must all hold; one that means nothing - of a later version, or a
        stranger's - is refused with a sentence (:func:`landmarks.finding.checked_filter`).
    tables_hash, engine
        Of today: what was derived from others is *stale*. Both empty: only what a later
        revision made so.
    columns
        Fields of which the rows bring along what is known.
    """

    text: str = ""
    order: str = "catalogue_number"
    descending: bool = False
    offset: int = 0
    limit: int | None = None
    filters: tuple[Filter, ...] = ()
    tables_hash: str = ""
    engine: str = ""
    columns: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        object.__setattr__(self, "filters", tuple(map(checked_filter, self.filters)))


@dataclass(frozen=True, slots=True)
class Stamp:
    """What a derived value was derived from; another stamp makes it stale."""

    revision: int
    tables_hash: str
    engine: str


@dataclass(frozen=True, slots=True)
class Row:
    """A specimen as the list shows it, without loading it.

    Attributes
    ----------
    specimen
        Its id.
    name, taxa, level, qualifier
        Of the latest determination: the name as written, or the words of the taxa's keys.
    n_pictures, picture
        How many pictures show it, and the id of the first.
    region
        What of the first picture shows it; None for all of it.
    revision
        Of the specimen as it is now.
    summary, stamp
        What was last derived of it for lists (the five steps), and from what; None where
        nothing was. It is stale where ``stamp`` is not the one of today.
    facts
        What is known of the columns that the query asked for.
    """

    specimen: str
    catalogue_number: str = ""
    name: str = ""
    taxa: tuple[str, ...] = ()
    level: str = ""
    qualifier: str = ""
    n_pictures: int = 0
    picture: str = ""
    region: Box | None = None
    revision: int = 0
    summary: Any = None
    stamp: Stamp | None = None
    facts: tuple[Fact, ...] = ()


@dataclass(frozen=True, slots=True)
class Loaded:
    """A document as it is now: its parts and their common revision."""

    document: Document
    parts: Parts
    revision: int


@dataclass(frozen=True, slots=True)
class Saved:
    """A change set that is in the collection for good.

    Attributes
    ----------
    sequence
        Its place in the history of the collection.
    revisions
        Of every document it touched.
    moved_on
        Documents in which others had changed *other* parts since; their work was kept and
        is worth reading again.
    """

    sequence: int
    revisions: Mapping[Document, int]
    moved_on: tuple[Document, ...] = ()


@dataclass(frozen=True, slots=True)
class Conflict:
    """A change set of which nothing was written, because a touched part is another one now.

    ``clashes`` names them by document: what the part was (``base``), what this change set
    makes of it (``mine``) and what it is now (``theirs``).
    """

    clashes: Mapping[Document, tuple[Clash, ...]]
    revisions: Mapping[Document, int]

    @property
    def sentence(self) -> Sentence:
        """Return what happened, for people; the first clash is named."""
        first = next(iter(self.clashes.values()))[0]
        if first.theirs is None and first.part == "exists":
            return Sentence("store.conflict_gone")
        return Sentence("store.conflict", {"part": part_name(first.part)})

    def error(self) -> ConflictError:
        """Return it as an error, for callers that have nobody to ask."""
        return ConflictError(self.sentence.key, **self.sentence.values)


@dataclass(frozen=True, slots=True)
class Happened:
    """A change set that was saved, without its contents: what a list must redraw."""

    sequence: int
    id: str
    deed: Sentence
    person: str
    at: str
    undoes: str
    touched: Mapping[Document, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class Past:
    """A change set of the history, with its changes before and after.

    For the history of one document only the changes in it are given; ``n_documents`` tells
    how many the deed touched in all.
    """

    sequence: int
    change_set: ChangeSet
    n_documents: int


@dataclass(frozen=True, slots=True)
class Derived:
    """A derived value to keep: the stamp it carries, and what of it lists show.

    ``facts`` are what the specimen can be found by; those kept before are gone.
    """

    document: Document
    stamp: Stamp
    value: Any
    summary: Any = None
    facts: tuple[Fact, ...] = ()


class Store(Protocol):
    """A collection: one file, memory, or a server.

    Every method may be called from any thread. Every method raises
    :class:`~landmarks.errors.StoreError` with a sentence where the collection cannot be
    read or written (gone, locked, full, damaged, closed); what was saved before is
    unharmed.
    """

    @property
    def path(self) -> Path | None:
        """Return the file, or None where there is none."""

    @property
    def read_only(self) -> bool:
        """Return whether nothing can be saved here."""

    @property
    def notes(self) -> tuple[Sentence, ...]:
        """Return what a person should know of how it was opened (safe journal ...)."""

    def about(self) -> About:
        """Return the collection itself: id, name, when it was begun."""

    def people(self) -> tuple[Person, ...]:
        """Return everybody who works in it, in the order in which they came."""

    def list(self, query: Query = ...) -> tuple[Row, ...]:
        """Return one row for each specimen that the query asks for."""

    def ids(self, query: Query = ...) -> tuple[str, ...]:
        """Return the ids of the specimens that the query asks for, in its order."""

    def count(self, query: Query = ...) -> int:
        """Return how many specimens the query finds, whatever its offset and limit."""

    def following(self, query: Query, after: str = "") -> Row | None:
        """Return the first specimen that the query finds after another one, in its order.

        From the end it goes on at the beginning; None where it finds nothing but ``after``.
        The next specimen with a missing step is the one that follows under the condition
        ``missing is scale``.

        Parameters
        ----------
        after
            Id of a specimen, which the query itself need not find; empty: from the beginning.
        """

    def documents(self, kind: str) -> tuple[Document, ...]:
        """Return all documents of a kind, in the order in which they were made."""

    def load(
        self, *documents: Document, kinds: Collection[str] | None = None
    ) -> Mapping[Document, Loaded]:
        """Return these documents as they are now; those that are not there are left out.

        Parameters
        ----------
        kinds
            Read only parts of these kinds (``label``, ``frame``), and ``exists``; None: all.
            Over ten thousand specimens, most of the time goes into parts nobody asked for.
        """

    def commit(
        self, change_set: ChangeSet, expected: Mapping[Document, int] | None = None
    ) -> Saved | Conflict:
        """Save one deed, whole or not at all; once this returns ``Saved``, it is on disk.

        Parts are compared with what the changes expect: others' work on other parts is
        kept, another version of the same part is a conflict. A change set whose id was
        saved before is not saved again: the answer is that of the first time.

        Parameters
        ----------
        expected
            The revisions the deed was made on; documents beyond them are told in
            ``Saved.moved_on``.
        """

    def latest(self) -> int:
        """Return the sequence of the last change set; cheap enough to be asked often."""

    def since(self, sequence: int) -> tuple[Happened, ...]:
        """Return what was saved after a sequence, oldest first."""

    def history(
        self,
        document: Document | None = None,
        *,
        limit: int | None = None,
        before: int = ...,
    ) -> tuple[Past, ...]:
        """Return change sets newest first, of one document or of the whole collection.

        Parameters
        ----------
        limit, before
            At most so many, and only those with a sequence below ``before``: for pages.
        """

    def as_of(self, document: Document, sequence: int) -> Parts:
        """Return the parts that a document had right after a change set; none before it."""

    def cached(self, document: Document, stamp: Stamp) -> Any:
        """Return the value kept with exactly this stamp, or None."""

    def keep_cache(self, *derived: Derived) -> None:
        """Keep derived values; no revision changes, nothing enters the history."""

    def relist(self) -> None:
        """Take everything that lists and searches rest on anew from the parts.

        No revision changes, nothing enters the history; what is derived stays.
        """

    def copy_to(self, path: Path) -> None:
        """Write the whole collection, history included, to a new file."""

    def check(self) -> tuple[Sentence, ...]:
        """Return every fault of structure, content or reference; none where all is well."""

    def close(self) -> None:
        """Let go of the collection; asking it anything afterwards is a ``StoreError``."""


NO_REVISIONS: Mapping[Document, int] = {}
NO_QUERY = Query()
EVERYTHING = 2**62
"""A sequence above every other: the history from its newest end."""

BESIDE: Mapping[str, frozenset[str]] = MappingProxyType(
    {"specimen": frozenset(("label",)), "picture": frozenset(("rights",))}
)
"""Kinds of parts that nothing derived follows from, by the kind of their document.

Where they alone change, what is kept as derived is of today as it was before. Whoever derives
leaves them out (:func:`landmarks.summaries.derive`), so that it cannot be otherwise."""

OUTDATED = -1
"""The revision in the stamp of what was derived from a picture that changed since."""
