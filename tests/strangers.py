"""What a stranger might write wherever a text can stand, and a collection full of it."""

import shutil
from contextlib import closing
from dataclasses import fields, replace
from pathlib import Path

from landmarks.changes import ChangeSet, Document, difference
from landmarks.collection import (
    About,
    Camera,
    Person,
    Picture,
    Rights,
    person_parts,
    picture_parts,
)
from landmarks.finding import SavedFilter, saved_filter_parts
from landmarks.geometry import Box, Point
from landmarks.observations import Condition
from landmarks.picture import read_picture
from landmarks.placing import Placing
from landmarks.scale import two_points
from landmarks.sentences import Sentence
from landmarks.specimen import (
    Determination,
    Frame,
    Label,
    Observation,
    Specimen,
    Where,
    parts_of,
)
from landmarks.storage import open_sqlite

DEMO = Path(__file__).parents[1] / "demo_images"
SHELL = "fluted-valve-outside.jpg"

MARKUP = "<img src='http://reef.example/x.png'><script>go()</script><b>bold</b>&amp;& \"q\""
WORDS = {
    "markup": MARKUP,
    "turned": "\u202eright to left\u2066 and \u200fback",
    "lines": "one\ntwo\r\n\tthree\u2028four",
    "controls": "a\0b\x1b[31mred\x1b]0;title\x07\x9b2J\x7f\x08",
    "long": "x" * 10_000,
    "formula": "=cmd|' /C calc'!A0",
    "places": "{n} {words} %s %1 [*] &File\tCtrl+Q",
}
"""Every kind of text that has done harm somewhere."""


def specimen_of_words(key: str, words: str) -> Specimen:
    """Return a specimen in which every text that anybody can write is these words."""
    label = Label(**{one.name: words for one in fields(Label) if one.type == "str"})
    frame = Frame(f"f-{key}", f"i-{key}", "outside_of_valve", Box(0, 0, 900, 700))
    beside = Box(50, 40, 500, 400)
    odd = Frame(f"g-{key}", f"i-{key}", words, beside, 1, words, words, words)
    placed = {"umbo": (400, 100), "byssal_end": (100, 400), "ligament_end": (800, 410)}
    return Specimen(
        f"s-{key}",
        label=label,
        where=Where(region=words, origin=words, condition=(Condition(words, words),)),
        frames=(frame, odd),
        placings=(
            *(Placing(f"p{n}-{key}", frame.id, name, (Point(*at),), person="p")
              for n, (name, at) in enumerate(placed.items())),
            Placing(f"p8-{key}", frame.id, words, (Point(50, 60),), how=words),
            Placing(f"p9-{key}", odd.id, words, reason=words, instrument=words),
        ),
        observations=(
            Observation(f"o1-{key}", words, state=words, person="p"),
            Observation(f"o2-{key}", "main_folds", value=5.0, unit="1", method=words),
            Observation(f"o3-{key}", "scutes", state=words, frame=frame.id, at=words),
            Observation(f"o4-{key}", "eye_size", hidden=words, frame=frame.id),
        ),
        determinations=(
            Determination(f"d1-{key}", "species", (words,), determiner=words, person=words),
            Determination(
                f"d2-{key}", "free_text", (words,), name=words, qualifier=words,
                determiner=words, remarks=words, leading=words, at="2026-01-02T03:04:05Z",
            ),
        ),
    )  # fmt: skip


def picture_of_words(key: str, words: str, path: str) -> Picture:
    """Return a picture of which the file and the people say these words."""
    file = replace(
        read_picture(DEMO / SHELL), camera=words, lens=words, captured=words, zone=words
    )
    size = (file.width, file.height)
    return Picture(
        f"i-{key}",
        path,
        file,
        scale=two_points(Point(100, 100), Point(500, 100), 40.0, size=size),
        camera=Camera(setup=words),
        rights=Rights(*[words] * 5),
    )


def as_file_name(words: str) -> str:
    """Return words as a file may be called: with all that a file system takes."""
    return words.replace("/", "").replace("\0", "")[:80] + ".jpg"


def full_of_words(path: Path, words: dict[str, str] = WORDS) -> Path:
    """Make a collection with one specimen for every text, and the pictures beside it."""
    about = About("c", f"{words.get('markup', '')}\n[*]")
    with closing(open_sqlite(path, create=True, about=about)) as store:
        for key, said in words.items():
            name = as_file_name(said)
            shutil.copy(DEMO / SHELL, path.parent / name)
            picture = picture_of_words(key, said, name)
            specimen = specimen_of_words(key, said)
            saved = SavedFilter(f"w-{key}", said, text=said[:200])
            person = Person("p" if key == "markup" else f"p-{key}", said, said)
            collection = Document("collection", "c")
            changes = [
                *difference(Document("person", person.id), {}, person_parts(person)),
                *difference(Document("picture", picture.id), {}, picture_parts(picture)),
                *difference(Document("specimen", specimen.id), {}, parts_of(specimen)),
                *difference(collection, {}, saved_filter_parts(saved)),
            ]
            deed = Sentence("plain", {"words": said})
            store.commit(ChangeSet(f"d-{key}", deed, tuple(changes), person=person.id))
    return path
