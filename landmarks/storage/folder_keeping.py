"""What files say, put into a store on top of the history that was played into it.

Documents are told apart from what the store holds, so that only true differences become steps.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from uuid import uuid4

from landmarks.changes import ChangeSet, Document, Parts, difference
from landmarks.errors import DocumentError
from landmarks.sentences import Sentence
from landmarks.storage.contract import Conflict, Saved, Store
from landmarks.storage.folder_writing import AT_ONCE
from landmarks.stretches import stretches


class Keeper:
    """Puts documents into a store where it has them otherwise, many to a step."""

    def __init__(self, store: Store, person: str, at: str, folder: Path) -> None:
        self._store, self._person, self._at, self._folder = store, person, at, folder
        self._waiting: dict[Document, Parts] = {}
        self._seen: set[Document] = set()

    def put(self, found: Mapping[Document, Parts]) -> None:
        """Keep these documents; each may come once."""
        for document, parts in found.items():
            if document in self._seen:
                raise DocumentError(
                    "document.twice", where=self._folder.name, id=document.id
                )
            self._seen.add(document)
            self._waiting[document] = parts
        if len(self._waiting) >= AT_ONCE:
            self._write()

    def finish(self) -> None:
        """Write what waits; what no file holds any more goes."""
        self._write()
        for kind in ("specimen", "picture", "person"):
            gone = [one for one in self._store.documents(kind) if one not in self._seen]
            for some in stretches(gone, AT_ONCE):
                loaded = self._store.load(*some)
                self._commit({one: (found.parts, {}) for one, found in loaded.items()})

    def _write(self) -> None:
        loaded = self._store.load(*self._waiting)
        self._commit(
            {
                one: (loaded[one].parts if one in loaded else {}, parts)
                for one, parts in self._waiting.items()
            }
        )
        self._waiting = {}

    def _commit(self, pairs: Mapping[Document, tuple[Parts, Parts]]) -> None:
        from landmarks.storage.packing import settled

        changes = tuple(
            change
            for document, (now, then) in pairs.items()
            for change in difference(document, now, then)
            if settled(change.before) != settled(change.after)
        )
        if changes:
            words = Sentence("deed.from_folder", {"folder": self._folder.name})
            play(
                self._store,
                ChangeSet(str(uuid4()), words, changes, self._person, self._at),
                self._folder,
            )


def play(store: Store, deed: ChangeSet, folder: Path) -> None:
    """Commit a change set of the history; it must follow from those before it."""
    answer = store.commit(deed)
    if isinstance(answer, Conflict):
        raise DocumentError("export.broken_history", file="history.jsonl", id=deed.id)
    assert isinstance(answer, Saved)
