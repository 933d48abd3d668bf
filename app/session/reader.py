"""What is read of the open collection: on the worker, then onto the shelf of the session."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from contextlib import suppress
from itertools import dropwhile, islice
from typing import TYPE_CHECKING

from landmarks.changes import Document
from landmarks.collection import Person, Picture
from landmarks.errors import ConflictError, StoreError
from landmarks.sentences import Sentence
from landmarks.specimen import specimen_of
from landmarks.storage import Loaded, Store

if TYPE_CHECKING:
    from app.session.session import Session

Found = Mapping[Document, Loaded]


class Reader:
    """Reads documents for a session; what another collection answers too late is left."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def put(self, found: Found) -> None:
        """Put documents on the shelf; those that are there already, with deeds, stay."""
        fresh = self._session.shelf.put(found)
        self._session.journal.know({one: found[one].revision for one in fresh})

    def read(self, documents: Sequence[Document], then: Callable[[], None]) -> None:
        """Read documents, whether they are here or not; then go on."""
        self._read(lambda store: store.load(*documents), then)

    def fetch(self, documents: Sequence[Document], then: Callable[[], None]) -> None:
        """Read documents that were not read yet; then go on."""
        lacking = [one for one in documents if not self.has(one)]
        if lacking and self._session.store is not None:
            self.read(lacking, then)
        else:
            then()

    def has(self, document: Document) -> bool:
        """Return whether a document was read, or made here, so that it may be out of date."""
        return document in self._session.shelf.documents

    def for_bench(self, specimen_id: str, then: Callable[[], None]) -> None:
        """Read a specimen and what the bench shows with it."""
        beside, person = self._beside(), self._session.person
        self._read(lambda store: _for_bench(store, specimen_id, beside, person), then)

    def ahead(self, then: Callable[[Picture], None]) -> None:
        """Read the specimen after the one on the bench, and hand on its first picture."""
        specimen_id, shelf = self.following(), self._session.shelf
        if not specimen_id:
            return
        beside, person = self._beside(), self._session.person

        def read() -> None:
            specimen = shelf.specimens.get(specimen_id)
            first = next(iter(specimen.frames), None) if specimen is not None else None
            picture = None if first is None else shelf.pictures.get(first.picture)
            if picture is not None:
                then(picture)

        # Whoever goes there meets what is wrong with it, not who only might.
        self._read(
            lambda store: _for_bench(store, specimen_id, beside, person),
            read,
            _leave_unsaid,
        )

    def pictures_with(self, contents: Sequence[str], then: Callable[[], None]) -> None:
        """Read the pictures of the collection that have one of these contents (SHA-256)."""
        self._read(lambda store: _pictures_with(store, contents), then)

    def again(self, some: Sequence[Document] | None = None) -> None:
        """Read documents again (all that were read unless told) that somebody else changed.

        Deeds that still wait to be saved stand on what was read.
        """
        session = self._session
        chosen = "" if session.specimen is None else session.specimen.id
        documents = session.shelf.documents if some is None else tuple(some)
        beside, person = self._beside(), session.person

        def question(store: Store) -> Found:
            found = dict(store.load(*documents))
            if Document("specimen", chosen) in found:
                found |= _for_bench(store, chosen, beside, person)
            return found

        def read(found: Found) -> None:
            session.shelf.put_again(documents, found)
            session.journal.know({one: read.revision for one, read in found.items()})
            for deed in session.journal.waiting:
                # One that does not fit is asked about when its turn to be saved comes.
                with suppress(ConflictError):
                    session.shelf.apply(deed)
            session.renewed()

        self._ask(question, read, session.failed)

    def following(self) -> str:
        """Return the specimen after the one on the bench: of the list, or of the lot."""
        session = self._session
        if session.repeat is not None:
            after = session.repeat.next()
            return "" if after is None else after.specimen
        here = "" if session.specimen is None else session.specimen.id
        rest = dropwhile(lambda row: row.specimen != here, session.rows)
        following = next(islice(rest, 1, None), None)
        return "" if following is None else following.specimen

    # -- inside ----------------------------------------------------------------------------

    def _read(
        self,
        question: Callable[[Store], Found],
        then: Callable[[], None],
        failed: Callable[[Sentence], None] | None = None,
    ) -> None:
        def read(found: Found) -> None:
            self.put(found)
            then()

        self._ask(question, read, failed or self._session.failed)

    def _ask(
        self,
        question: Callable[[Store], Found],
        then: Callable[[Found], None],
        failed: Callable[[Sentence], None],
    ) -> None:
        session, store = self._session, self._session.store
        if store is None:
            return

        def answered(found: Found) -> None:
            if session.store is store:
                then(found)

        session.desk.ask(lambda: question(store), answered, failed)

    def _beside(self) -> dict[str, str]:
        """Return the first picture of each specimen of the list, by the specimen's id."""
        return {row.specimen: row.picture for row in self._session.rows}


def _leave_unsaid(_: Sentence) -> None:
    """Say nothing."""


def _for_bench(
    store: Store, specimen_id: str, beside: Mapping[str, str], person: Person
) -> Found:
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
    found = dict(store.load(document))
    if document not in found:
        raise StoreError("store.specimen_gone")
    specimen = specimen_of(specimen_id, found[document].parts)
    pictures = {frame.picture for frame in specimen.frames if frame.picture}
    people = {person.id, *(one.person for one in specimen.placings if one.person)}
    neighbours = {
        Document("specimen", one)
        for one, picture in beside.items()
        if picture in pictures and one != specimen_id
    }
    wanted = {Document("picture", one) for one in pictures} | neighbours
    wanted |= {Document("person", one) for one in people}
    return found | dict(store.load(*sorted(wanted)))


def _pictures_with(store: Store, contents: Iterable[str]) -> Found:
    wanted = set(contents)
    found = store.load(*store.documents("picture"))
    return {
        one: read
        for one, read in found.items()
        if read.parts.get("file", {}).get("sha256") in wanted
    }
