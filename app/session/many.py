"""What the chosen specimens share, and one deed for all of them: read and made by stretches.

A stretch is one turn of the worker, so that a deed of the person, or a page of the list,
comes in between; the screen thread only hands over what was made.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from app.session.session import Session
from app.session.values import new_id, now
from landmarks.changes import Change, Document
from landmarks.many import Edits, Shared, changes_of
from landmarks.sentences import Sentence
from landmarks.storage import Store

AT_ONCE = 100
"""Documents of one turn of the worker."""

Progress = Callable[[int, int], None]


class Work:
    """Work on many documents that is under way; it can be given up."""

    def __init__(self) -> None:
        self.given_up = False

    def give_up(self) -> None:
        """Go no further; nothing was changed yet."""
        self.given_up = True


def read_shared(
    session: Session,
    ids: Sequence[str],
    progress: Progress,
    then: Callable[[Shared], None],
) -> Work:
    """Read what these specimens share, rights of their pictures included."""
    shared, work = Shared(), Work()

    def take(store: Store, some: Sequence[Document]) -> None:
        for document, one in store.load(*some).items():
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
    then: Callable[[int], None],
) -> Work:
    """Change many specimens in one deed; ``then`` is told how many documents it touched."""
    work = Work()
    made: list[Change] = []
    pictures: dict[str, None] = {}
    to_change = edits.touches_specimens

    def take(store: Store, some: Sequence[Document]) -> None:
        for document, one in store.load(*some).items():
            if document.kind == "picture" or to_change:
                made.extend(changes_of(document, one.parts, edits, new_id))
            if document.kind == "specimen" and edits.touches_pictures:
                for part, raw in one.parts.items():
                    if part.startswith("frame/") and raw.get("picture"):
                        pictures[raw["picture"]] = None

    def of_pictures() -> None:
        some = [Document("picture", one) for one in pictures]
        _each(session, work, some, take, lambda *_: None, do)

    def do() -> None:
        changes = _as_here(session, made, edits)
        n = len({one.document for one in changes})
        if changes:
            # A deed says of how many specimens it was made, pictures left uncounted.
            values = {"n": len(ids), "what": edits.names}
            session.do(Sentence("deed.change_many", values), *changes)
        then(n)

    specimens = [Document("specimen", one) for one in ids]
    _each(session, work, specimens, take, progress, of_pictures)
    return work


def set_view_of_chosen(session: Session, view: str, then: Callable[[int], None]) -> None:
    """Say of every frame of the chosen specimens which view it shows."""
    edits = Edits(view=view, person=session.person.id, at=now())
    change_many(session, session.chosen.ids, edits, lambda *_: None, then)


def _as_here(session: Session, made: Sequence[Change], edits: Edits) -> list[Change]:
    """Make the changes anew for documents that are here: they may have deeds that wait."""
    here = {one.document for one in made if session.shelf.parts(one.document)}
    changes = [one for one in made if one.document not in here]
    for document in sorted(here):
        changes += changes_of(document, session.shelf.parts(document), edits, new_id)
    return changes


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
