"""A whole collection out of a store and into one, as values."""

from __future__ import annotations

from typing import Any

from landmarks.changes import Change, Document, Parts, difference
from landmarks.collection import (
    about_of,
    about_parts,
    person_of,
    person_parts,
    picture_of,
    picture_parts,
)
from landmarks.documents import Whole
from landmarks.errors import StoreError
from landmarks.finding import saved_filter_parts, saved_filters_of
from landmarks.specimen import parts_of, specimen_of
from landmarks.storage.contract import Store


def whole_of(store: Store) -> Whole:
    """Return everything a collection holds now, without its history.

    Raises
    ------
    DocumentError
        If a part has not the form of the format; ``Store.check`` names all of them.
    """
    documents = [store.documents(kind) for kind in ("person", "picture", "specimen")]
    people, pictures, specimens = (store.load(*some) for some in documents)
    collection = collection_in(store)
    parts = store.load(collection)[collection].parts
    return Whole(
        about_of(collection.id, parts),
        tuple(person_of(one.id, found.parts) for one, found in people.items()),
        tuple(picture_of(one.id, found.parts) for one, found in pictures.items()),
        tuple(specimen_of(one.id, found.parts) for one, found in specimens.items()),
        filters=saved_filters_of(parts),
        extra=parts.get("extra", {}),
    )


def collection_in(store: Store) -> Document:
    """Return the document of the collection itself, of which there is one.

    Raises
    ------
    StoreError
        If there is none, or several: somebody else has written into the file.
    """
    found = store.documents("collection")
    if len(found) != 1:
        name = store.path.name if store.path is not None else ""
        raise StoreError("store.damaged", file=name, folder="")
    return found[0]


def changes_of(whole: Whole) -> tuple[Change, ...]:
    """Return the changes that bring a whole collection into one that was just begun.

    The collection must have been begun with ``whole.about``.
    """
    collection = Document("collection", whole.about.id)
    about = about_parts(whole.about)
    more: dict[str, Any] = {"extra": dict(whole.extra)} if whole.extra else {}
    for saved in whole.filters:
        more |= saved_filter_parts(saved)
    changes = [difference(collection, about, {**about, **more})]
    changes += [_added("person", one.id, person_parts(one)) for one in whole.people]
    changes += [_added("picture", one.id, picture_parts(one)) for one in whole.pictures]
    changes += [_added("specimen", one.id, parts_of(one)) for one in whole.specimens]
    return tuple(change for some in changes for change in some)


def _added(kind: str, document_id: str, parts: Parts) -> tuple[Change, ...]:
    return difference(Document(kind, document_id), {}, parts)
