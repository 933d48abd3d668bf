"""Deeds on their way to the store: in order, one at a time, each acknowledged."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import Any

from PySide6.QtCore import QEventLoop, QObject, Signal

from app.background.desk import Desk
from landmarks.changes import Change, ChangeSet, Document, difference
from landmarks.errors import HingelineError
from landmarks.sentences import Sentence
from landmarks.storage import Conflict, Saved, Store

SAVED, SAVING, FAILED = "saved", "saving", "failed"


def _nothing(_: object) -> None:
    """There is nobody to tell."""


class Journal(QObject):
    """Writes change sets one after the other; what fails waits, in order, and is not lost.

    ``whole`` tells the parts of a document as they are on the bench.

    Signals
    -------
    moved()
        Something waits, was written or failed.
    saved(ChangeSet, Saved), conflicted(ChangeSet, Conflict)
        What the store answered.
    rewritten(ChangeSet)
        A waiting deed was put over somebody else's work: it has other changes now.
    let_go(tuple of ids)
        Deeds that will not be written, since somebody else's work was chosen.
    """

    moved = Signal()
    saved = Signal(object, object)
    conflicted = Signal(object, object)
    rewritten = Signal(object)
    let_go = Signal(object)

    def __init__(
        self,
        desk: Desk,
        whole: Callable[[Document], Mapping[str, Any]],
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._desk, self._whole = desk, whole
        self._revisions: dict[Document, int] = {}
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

    @property
    def waiting(self) -> tuple[ChangeSet, ...]:
        """Return the deeds that are not acknowledged yet, oldest first."""
        return tuple(self._waiting)

    def write_to(self, store: Store | None) -> None:
        """Write to this store from now on; nothing may be waiting."""
        self._store, self.fault, self.last_saved = store, None, ""
        self._waiting.clear()
        self._revisions.clear()
        self.moved.emit()

    def know(self, revisions: Mapping[Document, int]) -> None:
        """Remember at which revisions documents were read: others' work shows against them."""
        self._revisions.update(revisions)

    def write(self, deed: ChangeSet) -> None:
        """Queue a deed, saved as soon as it is on screen; :attr:`saved` acknowledges it."""
        self._waiting.append(deed)
        self.moved.emit()
        self._desk.put_off(self._next)

    def finish(self, failed: Callable[[Sentence], None] = _nothing) -> None:
        """Write everything that waits, one after the other, before the worker is stopped.

        The deed that is being written now is committed again: a store takes each once.
        """
        store, waiting = self._store, self.waiting
        if store is not None and waiting:
            self._desk.ask(lambda: commit_all(store, waiting), _nothing, failed)

    def forget(self, kept_elsewhere: Sequence[ChangeSet]) -> None:
        """Let deeds go that wait in vain here and were written to a copy."""
        ids = {deed.id for deed in kept_elsewhere}
        self._waiting = deque(deed for deed in self._waiting if deed.id not in ids)
        self.retry()

    def settle(self) -> bool:
        """Wait until what waits is written or has failed; return whether all is written."""
        while self.state == SAVING:
            loop = QEventLoop()
            self.moved.connect(loop.quit)
            loop.exec(QEventLoop.ProcessEventsFlag.ExcludeUserInputEvents)
        return self.state == SAVED

    def say_failed(self, fault: Sentence) -> None:
        """Say in other words why something waits."""
        self.fault = fault
        self.moved.emit()

    def retry(self) -> None:
        """Try again to write what failed."""
        self.fault = None
        self.moved.emit()
        self._next()

    def keep_mine(self, conflict: Conflict) -> None:
        """Write the waiting deed over what somebody else has made of the same parts."""
        head = self._waiting[0]
        touched = {(change.document, change.part) for change in head.changes}
        theirs: dict[tuple[Document, str], Any] = {}
        more: list[Change] = []
        for document, clashes in conflict.clashes.items():
            for clash in clashes:
                theirs[document, clash.part] = clash.theirs
                if (document, clash.part) in touched:
                    continue
                if clash.mine is None:
                    more.append(Change(document, clash.part, clash.theirs, None))
                else:
                    # It was taken away: what was made of it here is written anew.
                    more.extend(difference(document, {}, self._whole(document)))
        anew = {change.document for change in more if change.after is not None}
        kept = (_over(one, theirs) for one in head.changes if one.document not in anew)
        self._waiting[0] = replace(head, changes=(*kept, *more))
        self.rewritten.emit(self._waiting[0])
        self.retry()

    def take_theirs(self) -> None:
        """Let the waiting deed go, and later ones that rest on it; the other version stays."""
        head = self._waiting.popleft()
        gone, kept = _split(head, self._waiting)
        signature = tuple(one for one in head.changes if one.document.kind == "person")
        if kept and signature:
            kept[0] = replace(kept[0], changes=(*signature, *kept[0].changes))
        self._waiting = deque(kept)
        self.let_go.emit((head.id, *(deed.id for deed in gone)))
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
        known = {
            one: self._revisions[one] for one in deed.documents if one in self._revisions
        }
        self._desk.ask(lambda: _commit(store, deed, known), self._answered, self._failed)

    def _answered(self, answer: Saved | Conflict | Exception) -> None:
        self._writing = False
        if isinstance(answer, Exception):
            self.say_failed(Sentence("session.unforeseen", {"what": str(answer)[:160]}))
            raise answer
        if isinstance(answer, Conflict):
            self.fault = answer.sentence
            self.moved.emit()
            self.conflicted.emit(self._waiting[0], answer)
            return
        deed = self._waiting.popleft()
        self.last_saved = deed.at
        self.know(answer.revisions)
        self.saved.emit(deed, answer)
        self.moved.emit()
        self._next()

    def _failed(self, sentence: Sentence) -> None:
        self._writing = False
        self.fault = sentence
        self.moved.emit()


def commit_all(store: Store, waiting: Sequence[ChangeSet]) -> None:
    """Commit deeds one after the other.

    Raises
    ------
    StoreError
        If one cannot be written; those after it are not written either.
    ConflictError
        If somebody else changed what one changes.
    """
    for deed in waiting:
        answer = store.commit(deed)
        if isinstance(answer, Conflict):
            raise answer.error()


def _commit(
    store: Store, deed: ChangeSet, known: Mapping[Document, int]
) -> Saved | Conflict | Exception:
    """Return the answer of the store; what nobody foresaw too, so that the deed still waits."""
    try:
        return store.commit(deed, known)
    except HingelineError:
        raise
    except Exception as fault:
        return fault


def _split(
    head: ChangeSet, later: Sequence[ChangeSet]
) -> tuple[list[ChangeSet], list[ChangeSet]]:
    """Return which later deeds rest on the first one, and which do not."""
    parts: set[tuple[Document, str]] = set()
    whole: set[Document] = set()

    def add(deed: ChangeSet) -> None:
        for change in deed.changes:
            if change.document.kind != "person":
                parts.add((change.document, change.part))
                if change.part == "exists":
                    whole.add(change.document)

    add(head)
    gone: list[ChangeSet] = []
    kept: list[ChangeSet] = []
    for deed in later:
        rests = any(
            one.document in whole or (one.document, one.part) in parts
            for one in deed.changes
        )
        if rests:
            add(deed)
        (gone if rests else kept).append(deed)
    return gone, kept


def _over(change: Change, theirs: dict[tuple[Document, str], Any]) -> Change:
    key = (change.document, change.part)
    return replace(change, before=theirs[key]) if key in theirs else change
