"""Deeds on their way to the store: in order, one at a time, each acknowledged."""

from __future__ import annotations

from collections import deque
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from PySide6.QtCore import QObject, Signal

from app.background.desk import Desk
from landmarks.changes import Change, ChangeSet, Document
from landmarks.sentences import Sentence
from landmarks.storage import Conflict, Saved, Store

SAVED, SAVING, FAILED = "saved", "saving", "failed"


class Journal(QObject):
    """Writes change sets one after the other; what fails waits, in order, and is not lost."""

    moved = Signal()
    saved = Signal(object, object)
    conflicted = Signal(object, object)

    def __init__(self, desk: Desk, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._desk = desk
        self._store: Store | None = None
        self._waiting: deque[ChangeSet] = deque()
        self._writing = False
        self.fault: Sentence | None = None
        self.last_saved = ""

    @property
    def state(self) -> str:
        """Return ``saved``, ``saving`` or ``failed``."""
        if self.fault is not None:
            return FAILED
        return SAVING if self._waiting else SAVED

    @property
    def n_waiting(self) -> int:
        """Return how many deeds are not acknowledged yet."""
        return len(self._waiting)

    def write_to(self, store: Store | None) -> None:
        """Write to this store from now on; nothing may be waiting."""
        self._store, self.fault, self.last_saved = store, None, ""
        self._waiting.clear()
        self.moved.emit()

    def write(self, deed: ChangeSet) -> None:
        """Queue a deed; it is acknowledged by :attr:`saved`."""
        self._waiting.append(deed)
        self.moved.emit()
        self._next()

    def finish(self) -> None:
        """Write everything that waits, one after the other, before the worker is stopped.

        The deed that is being written now is committed again: a store takes each once.
        """
        store, waiting = self._store, tuple(self._waiting)
        if store is not None:
            self._desk.ask(lambda: _commit_all(store, waiting), _nothing, _nothing)

    def retry(self) -> None:
        """Try again to write what failed."""
        self.fault = None
        self.moved.emit()
        self._next()

    def keep_mine(self, conflict: Conflict) -> None:
        """Write the waiting deed over what somebody else has made of the same parts."""
        theirs = {
            (document, clash.part): clash.theirs
            for document, clashes in conflict.clashes.items()
            for clash in clashes
        }
        head = self._waiting[0]
        changes = tuple(_over(change, theirs) for change in head.changes)
        self._waiting[0] = replace(head, changes=changes)
        self.retry()

    def take_theirs(self) -> None:
        """Let the waiting deed go; the other version stays."""
        self._waiting.popleft()
        self.retry()

    def _next(self) -> None:
        if (
            self._writing
            or self.fault is not None
            or not self._waiting
            or self._store is None
        ):
            return
        self._writing = True
        store, deed = self._store, self._waiting[0]
        self._desk.ask(lambda: store.commit(deed), self._answered, self._failed)

    def _answered(self, answer: Saved | Conflict) -> None:
        self._writing = False
        if isinstance(answer, Conflict):
            self.fault = answer.sentence
            self.moved.emit()
            self.conflicted.emit(self._waiting[0], answer)
            return
        deed = self._waiting.popleft()
        self.last_saved = deed.at
        self.saved.emit(deed, answer)
        self.moved.emit()
        self._next()

    def _failed(self, sentence: Sentence) -> None:
        self._writing = False
        self.fault = sentence
        self.moved.emit()


def _commit_all(store: Store, waiting: Sequence[ChangeSet]) -> None:
    for deed in waiting:
        if isinstance(store.commit(deed), Conflict):
            return


def _nothing(_: object) -> None:
    """There is nobody left to tell."""


def _over(change: Change, theirs: dict[tuple[Document, str], Any]) -> Change:
    key = (change.document, change.part)
    return replace(change, before=theirs[key]) if key in theirs else change
