"""What the chosen specimens share, and one deed for all of them: read and made by stretches.

A stretch is one turn of the worker, so that a deed of the person, or a page of the list,
comes in between; the screen thread only hands over what was made.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import chain

from app.session.journal import FAILED
from app.session.session import Session
from app.session.values import new_id, now
from landmarks.changes import Change, ChangeSet, Document
from landmarks.many import SHARED, Edits, Shared, changes_of
from landmarks.sentences import Sentence
from landmarks.storage import Saved, Store

AT_ONCE = 500
"""Documents of one turn of the worker."""

Progress = Callable[[int, int], None]


class Work:
    """Work on many documents that is under way; it can be given up until it is saved.

    Attributes
    ----------
    saving
        Everything is made and is being written as one: undo takes it back.
    """

    def __init__(self) -> None:
        self.given_up = False
        self.saving = False

    def give_up(self) -> None:
        """Go no further; nothing was changed yet."""
        self.given_up = not self.saving


def read_shared(
    session: Session,
    ids: Sequence[str],
    progress: Progress,
    then: Callable[[Shared], None],
) -> Work:
    """Read what these specimens share, rights of their pictures included."""
    shared, work = Shared(), Work()

    def take(store: Store, some: Sequence[Document]) -> None:
        for document, one in store.load(*some, kinds=SHARED).items():
            shared.add(document, one.parts)

    def pictures() -> None:
        some = [Document("picture", one) for one in shared.pictures]
        _each(session, work, some, take, lambda *_: None, lambda: then(shared))

    specimens = [Document("specimen", one) for one in ids]
    _each(session, work, specimens, take, progress, pictures)
    return work


def change_many(
    session: Session,
    ids: Sequence[str],
    edits: Edits,
    progress: Progress,
    then: Callable[[int | None], None],
) -> Work:
    """Change many specimens in one deed.

    Until all changes are made nothing is done, and the work can be given up. The deed is then
    saved whole or not at all; once it is on the disk, ``then`` is told how many documents it
    touched, and None where it cannot be saved (the journal says why).
    """
    work = Work()
    made: dict[Document, tuple[Change, ...]] = {}
    pictures: dict[str, None] = {}
    to_change, kinds = edits.touches_specimens, {*edits.kinds, "rights"}

    def take(store: Store, some: Sequence[Document]) -> None:
        for document, one in store.load(*some, kinds=kinds).items():
            if document.kind == "picture" or to_change:
                made[document] = changes_of(document, one.parts, edits, new_id)
            if document.kind == "specimen" and edits.touches_pictures:
                for part, raw in one.parts.items():
                    if part.startswith("frame/") and raw.get("picture"):
                        pictures[raw["picture"]] = None

    def of_pictures() -> None:
        some = [Document("picture", one) for one in pictures]
        _each(session, work, some, take, lambda *_: None, do)

    def do() -> None:
        _make_as_here(session, made, edits)
        changes = tuple(chain.from_iterable(made.values()))
        n = sum(map(bool, made.values()))
        if not changes:
            then(0)
            return
        work.saving = True
        progress(len(ids), len(ids))
        # A deed says of how many specimens it was made, pictures left uncounted.
        values = {"n": len(ids), "what": edits.names}
        before = session.past.done[-1:]
        session.do(Sentence("deed.change_many", values), *changes)
        if session.past.done[-1:] == before:
            then(None)
            return
        deed = session.past.done[-1]
        _acknowledged(session, deed, lambda saved: then(n if saved else None))

    specimens = [Document("specimen", one) for one in ids]
    _each(session, work, specimens, take, progress, of_pictures)
    return work


def set_view_of_chosen(
    session: Session, view: str, then: Callable[[int | None], None]
) -> None:
    """Say of every frame of the chosen specimens which view it shows."""
    edits = Edits(view=view, person=session.person.id, at=now())
    change_many(session, session.chosen.ids, edits, lambda *_: None, then)


def _acknowledged(session: Session, deed: ChangeSet, then: Callable[[bool], None]) -> None:
    """Go on once a deed is on the disk (True), or waits in vain or was let go (False)."""
    journal = session.journal

    def saved(one: ChangeSet, _: Saved) -> None:
        if one.id == deed.id:
            end(done=True)

    def let_go(ids: tuple[str, ...]) -> None:
        if deed.id in ids:
            end(done=False)

    def moved() -> None:
        if journal.state == FAILED:
            end(done=False)

    def end(*, done: bool) -> None:
        journal.saved.disconnect(saved)
        journal.let_go.disconnect(let_go)
        journal.moved.disconnect(moved)
        then(done)

    journal.saved.connect(saved)
    journal.let_go.connect(let_go)
    journal.moved.connect(moved)


def _make_as_here(
    session: Session, made: dict[Document, tuple[Change, ...]], edits: Edits
) -> None:
    """Make the changes anew for documents that are here: they may have deeds that wait."""
    for document in session.shelf.documents:
        if document in made and session.shelf.parts(document):
            parts = session.shelf.parts(document)
            made[document] = changes_of(document, parts, edits, new_id)


def _each(
    session: Session,
    work: Work,
    documents: Sequence[Document],
    take: Callable[[Store, Sequence[Document]], None],
    progress: Progress,
    then: Callable[[], None],
) -> None:
    """Let documents be taken a stretch at a time on the worker, and then go on."""
    store = session.store
    if store is None:
        return

    def turn(at: int) -> None:
        if work.given_up or session.store is not store:
            return
        progress(at, len(documents))
        if at >= len(documents):
            then()
            return
        some = documents[at : at + AT_ONCE]
        session.desk.ask(
            lambda: take(store, some),
            lambda _: turn(
                at + AT_ONCE if at + AT_ONCE < len(documents) else len(documents)
            ),
            failed,
        )

    def failed(sentence: Sentence) -> None:
        work.give_up()
        session.notice(sentence, "error")

    turn(0)
