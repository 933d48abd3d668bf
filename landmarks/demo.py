"""The worked example: a small finished collection over the rendered pictures of the project."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from landmarks.codec import read_json
from landmarks.collection import About, Person, Picture
from landmarks.documents import read_collection
from landmarks.errors import DocumentError
from landmarks.specimen import Specimen

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
