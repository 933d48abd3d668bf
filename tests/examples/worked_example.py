"""Write ``demo_images/worked-example.json``: ``python -m tests.examples.worked_example``.

The collection of an invented museum and an invented survey over the rendered pictures. Marks
are the exact truth plus the scatter of a careful hand, from a fixed seed, so measures differ
from the truth as a person's would.
"""

from __future__ import annotations

import json
import random
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any
from uuid import UUID

from landmarks.collection import About, Camera, Person, Picture, Rights
from landmarks.documents import Whole, write_collection
from landmarks.geometry import Box, Point
from landmarks.picture import read_picture
from landmarks.placing import Placing
from landmarks.scale import Scale
from landmarks.scheme import VIEWS
from landmarks.specimen import Determination, Frame, Label, Observation, Specimen, Where

FOLDER = Path(__file__).parents[2] / "demo_images"
SEED = 2024
HAND_PX = 1.2
CURATOR, DIVER = "Ilse Brandvold", "Teo Marang"

# fmt: off
SCORES: Mapping[str, Mapping[str, str]] = {
    "fluted-valve-outside": {
        "fold_strength": "strong", "fold_profile": "rounded", "scutes": "all_over",
        "scute_size": "large", "scute_spacing": "wide", "upper_margin": "rounded_lobes",
        "coloured_bands": "none", "outline": "semicircular",
    },
    "elongate-valve-outside": {
        "scutes": "all_over", "scute_size": "low", "scute_spacing": "crowded",
    },
    "deep-folded-valve-outside": {},
    "paired-valves-hinge-edge": {"byssal_opening": "moderate"},
    "living-from-above": {
        "mantle_extent": "beyond", "incurrent_margin": "small_simple", "eyes": "dense_row",
    },
    "three-valves-on-tray": {},
}
NUMBERS = {
    "fluted-valve-outside": "PMM 2024.118", "elongate-valve-outside": "PMM 2024.119",
    "deep-folded-valve-outside": "PMM 2024.120", "paired-valves-hinge-edge": "PMM 2024.121",
    "living-from-above": "HR-0412",
}
UNMARKED = ("deep-folded-valve-outside",)
# fmt: on


class Maker:
    """Makes ids, times and marks from one seed."""

    def __init__(self) -> None:
        self._random = random.Random(SEED)
        self._second = 0
        self.curator = Person(self.id(), CURATOR)
        self.diver = Person(self.id(), DIVER)

    def id(self) -> str:
        return str(UUID(int=self._random.getrandbits(128), version=4))

    def at(self) -> str:
        self._second += 4
        hours, rest = divmod(self._second, 3600)
        return f"2024-09-17T{9 + hours:02d}:{rest // 60:02d}:{rest % 60:02d}.000000Z"

    def point(self, raw: list[float], picture: Picture) -> Point:
        def near(value: float, most: int) -> float:
            moved = value + self._random.gauss(0, HAND_PX)
            return round(min(max(moved, 0), most), 2)

        return Point(near(raw[0], picture.file.width), near(raw[1], picture.file.height))

    def picture(self, name: str, truth: Mapping[str, Any], rights: Rights) -> Picture:
        file = read_picture(FOLDER / f"{name}.jpg")
        picture = Picture(self.id(), f"{name}.jpg", file, rights=rights)
        ruler = truth.get("ruler")
        if not ruler:
            return picture
        ends = tuple(self.point(end, picture) for end in ruler["ends"])
        length = float(ruler["length_mm"])
        scale = Scale(
            "two_points", ends, length, 0.001 * length, person=self.curator.id, at=self.at()
        )
        camera = Camera(truth["scale"].get("camera_distance_mm"))
        return Picture(picture.id, picture.path, file, scale, camera, rights)

    def placings(
        self, frame: Frame, marks: Mapping[str, Any], picture: Picture, person: Person
    ) -> tuple[Placing, ...]:
        made = []
        for row in VIEWS[frame.view].landmarks:
            if row.key not in marks:
                continue
            raw = marks[row.key]
            points = raw if row.kind == "series" else [raw]
            made.append(
                Placing(
                    self.id(),
                    frame.id,
                    row.key,
                    tuple(self.point(one, picture) for one in points),
                    zoom=1.0,
                    person=person.id,
                    at=self.at(),
                )
            )
        return tuple(made)

    def scores(self, name: str, frame: Frame, person: Person) -> tuple[Observation, ...]:
        return tuple(
            Observation(
                self.id(), key, state=state, frame=frame.id, person=person.id, at=self.at()
            )
            for key, state in SCORES[name].items()
        )


def make() -> Whole:
    """Return the whole collection."""
    maker = Maker()
    sources = tomllib.loads((FOLDER / "SOURCES.toml").read_text(encoding="utf-8"))
    listed = {Path(row["file"]).stem for row in sources["picture"]}
    rights = Rights("the Hingeline authors (rendered)", "MIT", "the Hingeline authors")
    pictures, specimens = [], []
    for name in SCORES:
        if name not in listed:
            continue
        truth = json.loads((FOLDER / "truth" / f"{name}.json").read_text(encoding="utf-8"))
        picture = maker.picture(name, truth, rights)
        pictures.append(picture)
        if name == "three-valves-on-tray":
            specimens.extend(_on_tray(maker, truth, picture))
        else:
            specimens.append(_specimen(maker, name, truth, picture))
    about = About(maker.id(), "Port Maren Museum", "2024-09-17T09:00:00.000000Z")
    people = (maker.curator, maker.diver)
    return Whole(about, people, tuple(pictures), tuple(specimens))


def _specimen(
    maker: Maker, name: str, truth: Mapping[str, Any], picture: Picture
) -> Specimen:
    living = name == "living-from-above"
    person = maker.diver if living else maker.curator
    state = truth["state"]
    frame = Frame(
        maker.id(), picture.id, truth["view"], part=truth["part"],
        mantle=state["mantle"], valves=state["valves"],
    )  # fmt: skip
    marks = {} if name in UNMARKED else truth["landmarks"]
    placings = maker.placings(frame, marks, picture, person)
    scores = maker.scores(name, frame, person)
    specimen = Specimen(
        maker.id(),
        _label(name, living=living),
        Where(origin="wild" if living else "unknown"),
        (frame,),
        placings,
        scores,
    )
    if name != "fluted-valve-outside":
        return specimen
    rested = tuple(one.id for one in (*scores, *placings))
    return specimen.with_one(
        Determination(
            maker.id(),
            "species",
            ("tridacna_squamosa",),
            determiner=CURATOR,
            person=person.id,
            at=maker.at(),
            rested_on=rested,
            independent=True,
        )  # fmt: skip
    )


def _label(name: str, *, living: bool) -> Label:
    if living:
        return Label(
            NUMBERS[name], "Halverson Reef, north slope", DIVER, "2024-08-02", "6 m",
            "reef flat, wedged in dead coral", remarks="Rendered, invented specimen.",
        )  # fmt: skip
    return Label(
        NUMBERS[name], "not recorded", "old collection", "", "", "",
        remarks="Rendered, invented specimen. Drawer 14.",
    )  # fmt: skip


def _on_tray(
    maker: Maker, truth: Mapping[str, Any], picture: Picture
) -> tuple[Specimen, ...]:
    made = []
    for number, one in enumerate(truth["frames"], 130):
        frame = Frame(
            maker.id(), picture.id, "outside_of_valve", Box(*one["frame"]), part=one["part"],
            mantle="none", valves="single",
        )  # fmt: skip
        label = Label(
            f"PMM 2024.{number}", remarks="Rendered, invented specimen. Drawer 15."
        )
        made.append(Specimen(maker.id(), label, frames=(frame,)))
    return tuple(made)


def main() -> None:
    """Write the file."""
    raw = write_collection(make())
    text = json.dumps(raw, ensure_ascii=False, indent=1) + "\n"
    (FOLDER / "worked-example.json").write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
