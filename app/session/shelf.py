"""The documents that were read so far: their parts, and the values made from them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from landmarks.changes import Change, ChangeSet, Document, applied, by_document, difference
from landmarks.collection import (
    Person,
    Picture,
    person_of,
    person_parts,
    picture_of,
    picture_parts,
)
from landmarks.geometry import Box
from landmarks.own_doubt import OwnDoubt
from landmarks.specimen import Frame, Specimen, Written, parts_of, specimen_of, written
from landmarks.storage import Loaded

Parts = dict[str, Any]

MOST_BEGUN = 60
"""So many documents that begin with one deed are made into values within a frame."""


class Shelf:
    """Parts of documents in memory; specimens, pictures and own doubts as values beside."""

    def __init__(self) -> None:
        self._parts: dict[Document, Parts] = {}
        self._written: dict[str, Written] = {}
        self.specimens: dict[str, Specimen] = {}
        self.pictures: dict[str, Picture] = {}
        self.doubts: dict[str, OwnDoubt] = {}

    def has(self, document: Document) -> bool:
        """Return whether this document was read and is there."""
        return bool(self._parts.get(document, {}).get("exists"))

    @property
    def removed(self) -> frozenset[str]:
        """Return the ids of specimens that were read and then removed."""
        return frozenset(
            one.id for one in self._parts if one.kind == "specimen" and not self.has(one)
        )

    @property
    def documents(self) -> tuple[Document, ...]:
        """Return every document that was read or made so far."""
        return tuple(self._parts)

    def parts(self, document: Document) -> Mapping[str, Any]:
        """Return the parts of a document as they are here; none where it is not."""
        return self._parts.get(document, {})

    def put(self, found: Mapping[Document, Loaded]) -> tuple[Document, ...]:
        """Add documents that were read; what is there already, with its deeds, stays.

        Returns those that were not there before.
        """
        fresh = {
            one: dict(read.parts) for one, read in found.items() if one not in self._parts
        }
        self._parts.update(fresh)
        self._renew(fresh)
        return tuple(fresh)

    def put_again(
        self, asked: Iterable[Document], found: Mapping[Document, Loaded]
    ) -> None:
        """Let what was read stand for what was here; what is gone from the store goes."""
        old = set(asked) | found.keys()
        for document in old:
            self._parts[document] = dict(found[document].parts) if document in found else {}
        self._renew(old)

    def changes_to(self, one: Specimen | Picture | Change) -> tuple[Change, ...]:
        """Return the changes that make the document what this value says."""
        if isinstance(one, Change):
            return (one,)
        if isinstance(one, Specimen):
            document = Document("specimen", one.id)
            parts = parts_of(one, self._written.get(one.id, {}))
            # Once the deed is done, the rows it was made of need not be read out of it again.
            self._written[one.id] = written(one, parts)
        else:
            document, parts = Document("picture", one.id), picture_parts(one)
        return difference(document, self._parts.get(document, {}), parts)

    def signature(self, person: Person) -> tuple[Change, ...]:
        """Return the change that makes a person known to the collection; none if known."""
        document = Document("person", person.id)
        if self.has(document):
            return ()
        return difference(document, {}, person_parts(person))

    def apply(self, deed: ChangeSet) -> None:
        """Do a deed to the documents here, whole or not at all.

        A deed over many touches documents that were never read: the store alone has them,
        and refuses what does not fit. Of very many that begin with it only the first
        specimen and its pictures are kept here; the others are read when they are wanted.

        Raises
        ------
        ConflictError
            If a part is not what the deed expects.
        """
        lives = [one for one in deed.changes if one.part == "exists"]
        begun = dict.fromkeys(one.document for one in lives if one.before is None)
        ended = [one.document for one in lives if one.after is None]
        left = self._left_to_the_store(deed, begun)
        here = (self._parts.keys() | begun.keys()) - left
        touched = by_document([one for one in deed.changes if one.document in here])
        made = {
            document: applied(self._parts.get(document, {}), changes)
            for document, changes in touched.items()
        }
        for document in left:
            self._parts.pop(document, None)
        self._parts.update({one: {} for one in ended if one not in self._parts})
        self._parts.update(made)
        self._renew(made)

    def _left_to_the_store(
        self, deed: ChangeSet, begun: Iterable[Document]
    ) -> frozenset[Document]:
        """Return the documents that begin with a deed and are too many to be kept here."""
        new = [
            one
            for one in begun
            if one.kind in ("specimen", "picture") and not self.has(one)
        ]
        if len(new) <= MOST_BEGUN:
            return frozenset()
        kept: set[Document] = set()
        first = next((one for one in new if one.kind == "specimen"), None)
        if first is not None:
            changes = [one for one in deed.changes if one.document == first]
            made = specimen_of(first.id, applied({}, changes))
            kept = {first, *(Document("picture", one.picture) for one in made.frames)}
        return frozenset(new) - kept

    def frames_on(self, picture_id: str) -> tuple[tuple[Specimen, Frame], ...]:
        """Return every frame drawn on a picture, of any specimen, as one reads: by rows."""
        found = [
            (one, frame)
            for one in self.specimens.values()
            for frame in one.frames
            if frame.picture == picture_id and frame.region is not None
        ]
        boxes = {frame.id: frame.region for _, frame in found if frame.region is not None}
        order = {one: at for at, one in enumerate(_by_rows(boxes))}
        return tuple(sorted(found, key=lambda pair: order[pair[1].id]))

    def _renew(self, documents: Iterable[Document]) -> None:
        for document in documents:
            parts = self._parts.get(document, {})
            if document.kind == "specimen":
                self.specimens.pop(document.id, None)
                known = self._written.pop(document.id, {})
                if parts.get("exists"):
                    made = specimen_of(document.id, parts, known)
                    self.specimens[document.id] = made
                    self._written[document.id] = written(made, parts)
            elif document.kind == "picture":
                self.pictures.pop(document.id, None)
                if parts.get("exists"):
                    self.pictures[document.id] = picture_of(document.id, parts)
            elif document.kind == "person":
                self.doubts.pop(document.id, None)
                doubt = person_of(document.id, parts).doubt if parts.get("exists") else None
                if doubt is not None:
                    self.doubts[document.id] = doubt


def _by_rows(boxes: Mapping[str, Box]) -> list[str]:
    """Return the boxes from left to right, row below row.

    A box belongs to a row if its middle lies no lower than the row's first box reaches.
    """
    ordered = sorted(boxes.items(), key=lambda it: (it[1].y + it[1].height / 2, it[0]))
    rows: list[list[tuple[str, Box]]] = []
    for key, box in ordered:
        first = rows[-1][0][1] if rows else None
        if first is not None and box.y + box.height / 2 <= first.y + first.height:
            rows[-1].append((key, box))
        else:
            rows.append([(key, box)])
    return [key for row in rows for key, _ in sorted(row, key=lambda it: (it[1].x, it[0]))]
