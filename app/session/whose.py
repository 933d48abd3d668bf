"""Which pictures are meant: that on the bench, those of its specimen, its dive, the list."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from app.session.repeating import ask_in_turns
from app.session.session import Session
from landmarks.changes import Document
from landmarks.collection import Picture, picture_of
from landmarks.intake import dive_of
from landmarks.sentences import Sentence
from landmarks.storage import Query, Store
from landmarks.stretches import stretches

PICTURE, SPECIMEN, DIVE, DAY, LISTED = "picture", "specimen", "dive", "day", "listed"
AT_ONCE = 200
"""Documents that are read at a time, others' questions in between."""

Pictures = tuple[Picture, ...]


def find_pictures(
    session: Session,
    scope: str,
    then: Callable[[Pictures], None],
    wanted: Callable[[], bool] = lambda: True,
) -> None:
    """Find the pictures of a scope and go on with them, as they are here or in the store.

    A day is what one camera took on it, by its own clock; a dive, what it took without a
    long rest (:func:`landmarks.intake.dive_of`). Nothing more is read once it is no longer
    ``wanted``.
    """
    here, specimen, store = session.picture, session.specimen, session.store
    if here is None or specimen is None or store is None:
        then(())
    elif scope == PICTURE:
        then((here,))
    elif scope == SPECIMEN:
        ids = dict.fromkeys(one.picture for one in specimen.frames)
        then(tuple(session.pictures[one] for one in ids if one in session.pictures))
    else:

        def found(pictures: Pictures) -> None:
            # What is here may have deeds that still wait to be saved.
            then(tuple(session.pictures.get(one.id, one) for one in pictures))

        pages = (
            _listed(store, session.query)
            if scope == LISTED
            else _of_camera(store, here, scope)
        )

        def failed(sentence: Sentence) -> None:
            session.notice(sentence, "error")

        ask_in_turns(
            session.desk,
            pages,
            found,
            failed,
            lambda: session.store is store and wanted(),
        )


def _is_one_day(first: Picture, second: Picture) -> bool:
    """Return whether two pictures were taken on one day, by the clock of their camera."""
    day, other = (one.file.captured[:10].replace(":", "-") for one in (first, second))
    return first.id == second.id or (bool(day) and day == other)


def _of_camera(store: Store, here: Picture, scope: str) -> Iterator[Pictures | None]:
    found: dict[str, Picture] = {here.id: here}
    for some in stretches(store.documents("picture"), AT_ONCE):
        for one in _read(store, some):
            if one.file.camera == here.file.camera:
                found[one.id] = one
        yield None
    if scope == DIVE:
        yield dive_of(here, found.values())
    else:
        yield tuple(one for one in found.values() if _is_one_day(here, one))


def _listed(store: Store, query: Query) -> Iterator[Pictures | None]:
    rows = store.list(replace(query, offset=0, limit=None, columns=()))
    yield None
    ids: dict[str, None] = {}
    for some in stretches([Document("specimen", row.specimen) for row in rows], AT_ONCE):
        for loaded in store.load(*some).values():
            for part, raw in loaded.parts.items():
                if part.startswith("frame/") and raw.get("picture"):
                    ids[raw["picture"]] = None
        yield None
    found: list[Picture] = []
    for some in stretches([Document("picture", one) for one in ids], AT_ONCE):
        found.extend(_read(store, some))
        yield None
    yield tuple(found)


def _read(store: Store, some: Sequence[Document]) -> list[Picture]:
    found = store.load(*some)
    return [picture_of(one.id, loaded.parts) for one, loaded in found.items()]
