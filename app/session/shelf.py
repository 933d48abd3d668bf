"""The documents that were read so far: their parts, and the values made from them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from landmarks.changes import Change, ChangeSet, Document, applied, by_document, difference
from landmarks.collection import Person, Picture, person_parts, picture_of, picture_parts
from landmarks.errors import StoreError
from landmarks.specimen import Frame, Specimen, parts_of, specimen_of
from landmarks.storage import Store

Parts = dict[str, Any]


class Shelf:
    """Parts of documents in memory; specimens and pictures as values beside them."""

    def __init__(self) -> None:
        self._parts: dict[Document, Parts] = {}
        self.specimens: dict[str, Specimen] = {}
        self.pictures: dict[str, Picture] = {}

    def has(self, document: Document) -> bool:
        """Return whether this document was read and is there."""
        return bool(self._parts.get(document, {}).get("exists"))

    @property
    def removed(self) -> frozenset[str]:
        """Return the ids of specimens that were read and then removed."""
        return frozenset(
            one.id for one in self._parts if one.kind == "specimen" and not self.has(one)
        )

    def put(self, found: Mapping[Document, Parts]) -> None:
        """Add documents that were read; what is there already, with its deeds, stays."""
        fresh = {one: parts for one, parts in found.items() if one not in self._parts}
        self._parts.update(fresh)
        self._renew(fresh)

    def clear(self) -> None:
        """Forget everything, so that it is read again."""
        self._parts.clear()
        self.specimens.clear()
        self.pictures.clear()

    def changes_to(self, one: Specimen | Picture | Change) -> tuple[Change, ...]:
        """Return the changes that make the document what this value says."""
        if isinstance(one, Change):
            return (one,)
        if isinstance(one, Specimen):
            document, parts = Document("specimen", one.id), parts_of(one)
        else:
            document, parts = Document("picture", one.id), picture_parts(one)
        return difference(document, self._parts.get(document, {}), parts)

    def signature(self, person: Person) -> tuple[Change, ...]:
        """Return the change that makes a person known to the collection; none if known."""
        document = Document("person", person.id)
        if document in self._parts:
            return ()
        return difference(document, {}, person_parts(person))

    def apply(self, deed: ChangeSet) -> None:
        """Do a deed to the documents here, whole or not at all.

        Raises
        ------
        ConflictError
            If a part is not what the deed expects.
        """
        made = {
            document: applied(self._parts.get(document, {}), changes)
            for document, changes in by_document(deed.changes).items()
        }
        self._parts.update(made)
        self._renew(made)

    def frames_on(self, picture_id: str) -> tuple[tuple[Specimen, Frame], ...]:
        """Return every frame drawn on a picture, of any specimen that was read."""
        found = [
            (one, frame)
            for one in self.specimens.values()
            for frame in one.frames
            if frame.picture == picture_id and frame.region is not None
        ]
        return tuple(sorted(found, key=lambda pair: (pair[1].region or (), pair[1].id)))

    def _renew(self, documents: Iterable[Document]) -> None:
        for document in documents:
            parts = self._parts[document]
            if document.kind == "specimen":
                self.specimens.pop(document.id, None)
                if parts.get("exists"):
                    self.specimens[document.id] = specimen_of(document.id, parts)
            elif document.kind == "picture":
                self.pictures.pop(document.id, None)
                if parts.get("exists"):
                    self.pictures[document.id] = picture_of(document.id, parts)


def read_for_bench(
    store: Store, specimen_id: str, beside: Mapping[str, str], person: Person
) -> dict[Document, Parts]:
    """Return what the bench needs for a specimen: itself, its pictures, its neighbours.

    Parameters
    ----------
    beside
        For specimens of the list, the id of their first picture: those on the same picture
        are read too, since their frames are drawn on it.

    Raises
    ------
    StoreError
        If the specimen is not there any more.
    """
    document = Document("specimen", specimen_id)
    found = _loaded(store, document)
    if document not in found:
        raise StoreError("store.specimen_gone")
    frames = specimen_of(specimen_id, found[document]).frames
    pictures = {frame.picture for frame in frames if frame.picture}
    neighbours = {
        Document("specimen", one)
        for one, picture in beside.items()
        if picture in pictures and one != specimen_id
    }
    wanted = {Document("picture", one) for one in pictures} | neighbours
    return found | _loaded(store, Document("person", person.id), *sorted(wanted))


def _loaded(store: Store, *documents: Document) -> dict[Document, Parts]:
    return {one: dict(loaded.parts) for one, loaded in store.load(*documents).items()}
