"""A repeat at the bench: what is left of a specimen to see, and what may be changed of it.

While a repeat goes on, the bench holds the *veiled* specimen: its pictures, and nothing of
what was placed, scored, written or named before but what this repeat has made so far. Every
part of the window reads from the bench, so that none of them can tell more. On its way to the
collection a deed goes back through the veil: what is new carries the occasion, and the record
stays as it is.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Protocol, TypeVar

from app.background.desk import Desk
from app.session.journal import SAVING
from app.session.values import Saving
from landmarks.changes import Document
from landmarks.collection import Person, Picture, picture_of
from landmarks.repeats import BLIND, due, lot
from landmarks.scheme import VIEWS
from landmarks.sentences import Sentence, say
from landmarks.specimen import Frame, Label, Specimen, Where, specimen_of
from landmarks.storage import Store
from landmarks.stretches import stretches

PAGE = 100
"""Specimens that are read in one turn of the worker, so that a deed never waits for long."""

RECORD = "record"
MOST_SEED = 999_999
_LABEL_VIEW = "label"
_KEPT = ("id", "label", "where", "frames", "determinations", "extra")


@dataclass(frozen=True, slots=True)
class Repeat:
    """A repeat that is going on.

    Attributes
    ----------
    occasion
        One of :data:`landmarks.placing.OCCASIONS`, not the record.
    person
        Who repeats.
    lot
        Ids of the specimens to present, in their order.
    at
        Whose turn it is.
    """

    occasion: str
    person: Person
    lot: tuple[str, ...]
    at: int = 0

    @property
    def specimen(self) -> str:
        """Return the id of the specimen whose turn it is."""
        return self.lot[self.at]

    @property
    def called(self) -> str:
        """Return what the specimen is called meanwhile: its place in the lot."""
        return say("repeats.called", n=self.at + 1, all=len(self.lot))

    def next(self) -> Repeat | None:
        """Return the repeat at its next specimen, or None after the last."""
        return replace(self, at=self.at + 1) if self.at + 1 < len(self.lot) else None


class _Row(Protocol):
    @property
    def occasion(self) -> str: ...
    @property
    def person(self) -> str: ...


R = TypeVar("R", bound=_Row)
T = TypeVar("T")


def veiled(specimen: Specimen, repeat: Repeat) -> Specimen:
    """Return what a person may see of a specimen while repeating it.

    What the repeat has made so far stands as if it were the record; pictures of the label
    are left out, and so is everything that was ever written, placed, scored or named.
    """
    return Specimen(
        specimen.id,
        Label(repeat.called),
        Where(),
        tuple(one for one in specimen.frames if one.view != _LABEL_VIEW),
        tuple(replace(r, occasion=RECORD) for r in _own(specimen.placings, repeat)),
        tuple(replace(r, occasion=RECORD) for r in _own(specimen.observations, repeat)),
    )


def unveiled(stored: Specimen, seen: Specimen, repeat: Repeat) -> Specimen | None:
    """Return the stored specimen with what was changed of the veiled one.

    None where something else was changed than placings and scores of this repeat.
    """
    before = veiled(stored, repeat)
    if any(getattr(seen, name) != getattr(before, name) for name in _KEPT):
        return None
    mark: dict[str, Any] = {"occasion": repeat.occasion, "person": repeat.person.id}
    placings = tuple(replace(one, **mark, names_hidden=True) for one in seen.placings)
    scores = tuple(replace(one, **mark, names_hidden=True) for one in seen.observations)
    return replace(
        stored,
        placings=(*_others(stored.placings, repeat), *placings),
        observations=(*_others(stored.observations, repeat), *scores),
    )


def frame_to_repeat(stored: Specimen) -> Frame | None:
    """Return the frame that is shown first: the one with most of the record placed on it."""
    frames = [one for one in stored.frames if one.view != _LABEL_VIEW]
    known = [one for one in frames if one.view in VIEWS] or frames
    n_placed = {one.id: len(stored.placed(one.id)) for one in known}
    return max(known, key=lambda one: n_placed[one.id], default=None)


def _own(rows: Sequence[R], repeat: Repeat) -> list[R]:
    who = repeat.occasion, repeat.person.id
    return [one for one in rows if (one.occasion, one.person) == who]


def _others(rows: Sequence[R], repeat: Repeat) -> list[R]:
    who = repeat.occasion, repeat.person.id
    return [one for one in rows if (one.occasion, one.person) != who]


# -- read on the worker, a page at a time --------------------------------------------------


@dataclass(frozen=True, slots=True)
class Due:
    """What there is to repeat now, of how many specimens, and who works in the collection."""

    lot: tuple[str, ...]
    n_drawn: int
    n_specimens: int
    people: tuple[Person, ...]


@dataclass(frozen=True, slots=True)
class Repeats:
    """All specimens that were repeated on some occasion, and their pictures."""

    specimens: tuple[Specimen, ...]
    pictures: Mapping[str, Picture]
    people: tuple[Person, ...]
    n_specimens: int


def own_seed(collection: str) -> int:
    """Return the seed that a collection begins with: from its id, so that it stays.

    >>> own_seed("6f2c1d34-8c1f-4c3e-9f2a-000000000001")
    713857
    """
    digits = "".join(one for one in collection if one in "0123456789abcdef")
    return int(digits or "0", 16) % (MOST_SEED + 1)


def read_due(
    store: Store, seed: int, every: int, occasion: str = BLIND, person: str = ""
) -> Iterator[Due | None]:
    """Read what is due; of specimens that were not drawn only their order counts.

    Yields None after each page, and the answer at the end.
    """
    order = [one.id for one in store.documents("specimen")]
    drawn = lot(order, seed, every)
    read: dict[str, Specimen] = {}
    for page in stretches([Document("specimen", one) for one in drawn], PAGE):
        found = store.load(*page)
        read |= {one.id: specimen_of(one.id, doc.parts) for one, doc in found.items()}
        yield None
    specimens = [read.get(one) or Specimen(one) for one in order]
    ready = due(specimens, seed, every, occasion=occasion, person=person)
    yield Due(ready, len(drawn), len(order), store.people())


def read_repeats(store: Store) -> Iterator[Repeats | None]:
    """Read the specimens that were repeated, of a collection however large.

    Yields None after each page, and the answer at the end.
    """
    documents = store.documents("specimen")
    repeated: list[Specimen] = []
    for page in stretches(documents, PAGE):
        for one, found in store.load(*page).items():
            if _is_repeated(found.parts):
                repeated.append(specimen_of(one.id, found.parts))
        yield None
    wanted = {frame.picture for one in repeated for frame in one.frames if frame.picture}
    pictures: dict[str, Picture] = {}
    for page in stretches([Document("picture", one) for one in sorted(wanted)], PAGE):
        read = store.load(*page)
        pictures |= {one.id: picture_of(one.id, doc.parts) for one, doc in read.items()}
        yield None
    yield Repeats(tuple(repeated), pictures, store.people(), len(documents))


class _Saves(Protocol):
    @property
    def saving(self) -> Saving: ...


def is_saving(session: _Saves) -> bool:
    """Return whether something that was done is on its way to the collection."""
    return session.saving.state == SAVING


def ask_in_turns(
    desk: Desk,
    pages: Iterator[T | None],
    then: Callable[[T], None],
    failed: Callable[[Sentence], None],
    wanted: Callable[[], bool] = lambda: True,
) -> None:
    """Run pages on the worker one by one, others' questions in between, until one answers.

    Nothing more is read once it is no longer ``wanted``.
    """

    def answered(answer: T | None) -> None:
        if not wanted():
            return
        if answer is None:
            ask_in_turns(desk, pages, then, failed, wanted)
        else:
            then(answer)

    desk.ask(lambda: next(pages), answered, failed)


def _is_repeated(parts: Mapping[str, Any]) -> bool:
    """Return whether a part carries another occasion than the record, which is left out."""
    return any(
        raw.get("occasion", RECORD) != RECORD
        for name, raw in parts.items()
        if name.startswith(("placing/", "observation/")) and isinstance(raw, Mapping)
    )
