"""What the commands read: tables, records, collections; everything is refused with a sentence."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from landmarks.errors import DocumentError
from landmarks.sentences import say

if TYPE_CHECKING:
    from landmarks.collection import Picture
    from landmarks.identification import Guide
    from landmarks.specimen import Specimen
    from landmarks.storage import Store


def guide_of(folder: Path | None) -> Guide:
    """Return the guide that a folder of tables makes; without one, that of the program."""
    from landmarks.identification import compile_tables
    from landmarks.tables import read_tables

    return compile_tables(read_tables(folder))


def read_json_of(name: str) -> Any:
    """Return the JSON of a file, or of standard input for ``-``."""
    from landmarks.codec import read_json

    if name == "-":
        return read_json(sys.stdin.buffer.read(), named(name))
    path = Path(name)
    try:
        return read_json(path.read_bytes(), path.name)
    except OSError as fault:
        raise DocumentError(
            "document.cannot_read", file=path.name, reason=fault.strerror
        ) from None


def named(record: str) -> str:
    """Return what a record is called in a sentence."""
    return say("command.standard_input") if record == "-" else Path(record).name


def check_words_of(specimen: Specimen, guide: Guide) -> None:
    """Refuse characters, states, regions and views that nobody knows, naming the nearest."""
    from landmarks.measures import MEASURES
    from landmarks.scheme import view
    from landmarks.tables import check_words

    characters = guide.tables.characters
    for one in specimen.observations:
        if one.character in MEASURES and characters.get(one.character) is None:
            unit = MEASURES[one.character].unit
        else:
            row = characters[one.character]
            unit = row.unit
            if one.state:
                row.state(one.state)
        if one.unit not in ("", unit):
            raise DocumentError(
                "command.other_unit", character=one.character, found=one.unit, unit=unit
            )
    for frame in specimen.frames:
        if frame.view:
            view(frame.view)
    check_words(specimen.where, guide.tables)


@contextmanager
def store_of(path: Path, *, read_only: bool = True) -> Iterator[Store]:
    """Open a collection that must be there, and close it in any case."""
    from landmarks.errors import StoreError
    from landmarks.storage import open_sqlite

    if not path.exists():
        raise StoreError("command.no_file", file=str(path))
    with closing(open_sqlite(path, read_only=read_only)) as store:
        yield store


@contextmanager
def opened(path: Path) -> Iterator[tuple[list[Specimen], dict[str, Picture], Store]]:
    """Open a collection to read it: all specimens, all pictures by id, and the store."""
    from landmarks.specimen import specimen_of

    with store_of(path) as store:
        specimens = store.load(*store.documents("specimen"))
        yield (
            [specimen_of(one.id, found.parts) for one, found in specimens.items()],
            {one.id: one for one in pictures_of(store)},
            store,
        )


def pictures_of(store: Store) -> tuple[Picture, ...]:
    """Return all pictures of a collection."""
    from landmarks.collection import picture_of

    found = store.load(*store.documents("picture"))
    return tuple(picture_of(one.id, read.parts) for one, read in found.items())


def now() -> str:
    """Return the present moment as it is recorded, in UTC."""
    return datetime.now(UTC).isoformat(timespec="microseconds").replace("+00:00", "Z")
