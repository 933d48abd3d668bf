"""The worked example: a small finished collection over the rendered pictures of the project."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from landmarks.changes import ChangeSet, Document, difference
from landmarks.codec import read_json
from landmarks.collection import About, Person, Picture, person_parts, picture_parts
from landmarks.documents import read_collection
from landmarks.errors import DocumentError
from landmarks.sentences import Sentence
from landmarks.specimen import Specimen, parts_of
from landmarks.storage import MemoryStore, Store

FOLDER = Path(__file__).parents[1] / "demo_images"
FILE = "worked-example.json"


@dataclass(frozen=True, slots=True)
class Example:
    """The example as values; ``folder`` holds the pictures its paths are relative to."""

    folder: Path
    about: About
    people: tuple[Person, ...]
    pictures: tuple[Picture, ...]
    specimens: tuple[Specimen, ...]


def worked_example(folder: Path = FOLDER) -> Example:
    """Return the worked example of the Port Maren Museum.

    Raises
    ------
    DocumentError
        If its folder is not beside the program.
    """
    path = folder / FILE
    try:
        content = path.read_bytes()
    except OSError as fault:
        raise DocumentError(
            "document.cannot_read", file=str(path), reason=fault.strerror
        ) from None
    found = read_collection(read_json(content, FILE))
    return Example(folder, found.about, found.people, found.pictures, found.specimens)


def example_store(folder: Path = FOLDER) -> Store:
    """Return the worked example as a collection in memory, to be tried without harm.

    Raises
    ------
    DocumentError
        As :func:`worked_example`.
    """
    example = worked_example(folder)
    parts = {
        **{Document("person", one.id): person_parts(one) for one in example.people},
        **{Document("picture", one.id): picture_parts(one) for one in example.pictures},
        **{Document("specimen", one.id): parts_of(one) for one in example.specimens},
    }
    store = MemoryStore(example.about)
    store.commit(
        ChangeSet(
            example.about.id.replace("-", "")[:32],
            Sentence("deed.new_collection"),
            tuple(
                c
                for document, made in parts.items()
                for c in difference(document, {}, made)
            ),
            at=example.about.created,
        )
    )
    return store
