"""Write ``demo_images/worked-example.json``: ``python -m tests.examples.worked_example``.

The collection of an invented museum and an invented survey over the rendered pictures. Marks
are the exact truth plus the scatter of a careful hand, from a fixed seed, so measures differ
from the truth as a person's would.
"""

from __future__ import annotations

import json
import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from uuid import UUID

from landmarks.collection import About, Camera, Person, Picture, Rights
from landmarks.documents import Whole, write_collection
from landmarks.geometry import Box, Point
from landmarks.observations import Condition
from landmarks.picture import read_picture
from landmarks.placing import Placing
from landmarks.scale import Scale
from landmarks.scheme import OUTLINE, PATH, VIEWS
from landmarks.specimen import Determination, Frame, Label, Observation, Specimen, Where
from landmarks.tables import read_tables
from tests.truths import truth_of

FOLDER = Path(__file__).parents[2] / "demo_images"
SEED = 2024
HAND_PX = 1.2
MOST_POINTS = 40
"""Paths are thinned to so many points: a hand clicks no more."""

CURATOR, DIVER = "Ilse Brandvold", "Teo Marang"


@dataclass(frozen=True, slots=True)
class Shell:
    """One specimen of the example: its number, its pictures, how much of it was scored."""

    number: str
    pictures: tuple[str, ...]
    scored: float
    named: bool = False
    marked: bool = True
    condition: tuple[str, ...] = ()


SPECIMENS: tuple[Shell, ...] = (
    Shell("PMM 2024.118", ("fluted-valve-outside", "fluted-valve-inside"), 1.0, True),
    Shell("PMM 2024.119", ("elongate-valve-outside",), 0.5),
    Shell("PMM 2024.120", ("deep-folded-valve-outside",), 0.0, marked=False),
    Shell("PMM 2024.121", ("paired-valves-hinge-edge", "pair-end"), 1.0),
    Shell("PMM 2024.122", ("gaping-pair-upper-margin",), 0.5),
    Shell("PMM 2024.123", ("closed-underside",), 1.0),
    Shell("PMM 2024.124", ("wide-opening-underside",), 1.0),
    Shell("PMM 2024.125", ("young-valve-outside",), 0.5),
    Shell("PMM 2024.126", ("worn-valve-outside",), 0.5, condition=("worn", "overgrown")),
    Shell("PMM 2024.127", ("umbo-up-on-white-tray",), 0.0, marked=False),
    Shell("PMM 2024.128", ("closed-pair-upper-margin",), 1.0),
    Shell("HR-0412", ("living-from-above", "mantle-edge-with-eyes"), 0.5),
    Shell("HR-0413", ("smooth-inhalant-opening",), 1.0),
    Shell("HR-0414", ("branched-inhalant-opening", "living-from-side"), 0.5),
    Shell("HR-0415", ("clam-in-burrow",), 0.5),
)
DRAWERS = {"three-valves-on-tray": 130, "drawer-of-six": 140}


class Maker:
    """Makes ids, times and marks from one seed."""

    def __init__(self) -> None:
        self._random = random.Random(SEED)
        self._second = 0
        self.characters = read_tables().characters
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
            points = raw if row.grows else [raw]
            if not points:
                continue
            step = max(1, len(points) // MOST_POINTS) if row.kind in (PATH, OUTLINE) else 1
            made.append(
                Placing(
                    self.id(),
                    frame.id,
                    row.key,
                    tuple(self.point(one, picture) for one in points[::step]),
                    zoom=1.0,
                    person=person.id,
                    at=self.at(),
                )
            )
        return tuple(made)

    def scores(
        self, frame: Frame, truth: Mapping[str, Any], share: float, person: Person
    ) -> tuple[Observation, ...]:
        """Return the first share of the characters that this view can show, as they are."""
        shown = [
            row
            for row in self.characters
            if row.key in truth.get("characters", {})
            and frame.view in row.views
            and any(state.key == truth["characters"][row.key] for state in row.states)
        ]
        return tuple(
            Observation(
                self.id(),
                row.key,
                state=truth["characters"][row.key],
                frame=frame.id,
                person=person.id,
                at=self.at(),
            )
            for row in shown[: round(share * len(shown))]
        )


def make() -> Whole:
    """Return the whole collection."""
    maker = Maker()
    rights = Rights("the Hingeline authors (rendered)", "MIT", "the Hingeline authors")
    pictures, specimens = [], []
    for shell in SPECIMENS:
        shown = [maker.picture(name, _truth(name), rights) for name in shell.pictures]
        pictures.extend(shown)
        specimens.append(_specimen(maker, shell, shown))
    for name, first in DRAWERS.items():
        picture = maker.picture(name, _truth(name), rights)
        pictures.append(picture)
        specimens.extend(_on_tray(maker, _truth(name), picture, first))
    about = About(maker.id(), "Port Maren Museum", "2024-09-17T09:00:00.000000Z")
    people = (maker.curator, maker.diver)
    return Whole(about, people, tuple(pictures), tuple(specimens))


def _truth(name: str) -> dict[str, Any]:
    found = truth_of(name)
    assert isinstance(found, dict)
    return found


def _specimen(maker: Maker, shell: Shell, pictures: Sequence[Picture]) -> Specimen:
    living = shell.number.startswith("HR")
    person = maker.diver if living else maker.curator
    specimen = Specimen(
        maker.id(),
        _label(shell.number, living=living),
        Where(
            origin="wild" if living else "unknown",
            condition=tuple(Condition(kind) for kind in shell.condition),
        ),
    )
    seen: set[str] = set()
    for number, (name, picture) in enumerate(zip(shell.pictures, pictures, strict=True)):
        truth = _truth(name)
        state = truth["state"]
        frame = Frame(
            maker.id(), picture.id, truth["view"], number=number, part=truth["part"],
            mantle=state["mantle"], valves=state["valves"],
        )  # fmt: skip
        specimen = specimen.with_one(frame)
        for placing in maker.placings(
            frame, truth["landmarks"] if shell.marked else {}, picture, person
        ):
            specimen = specimen.with_one(placing)
        for one in maker.scores(frame, truth, shell.scored, person):
            if one.character not in seen:
                seen.add(one.character)
                specimen = specimen.with_one(one)
    if not shell.named:
        return specimen
    rested = (
        *(one.id for one in specimen.observations),
        *(one.id for one in specimen.placings),
    )
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
        )
    )


def _label(number: str, *, living: bool) -> Label:
    if living:
        return Label(
            number, "Halverson Reef, north slope", DIVER, "2024-08-02", "6 m",
            "reef flat, wedged in dead coral", remarks="Rendered, invented specimen.",
        )  # fmt: skip
    return Label(
        number, "not recorded", "old collection", "", "", "",
        remarks="Rendered, invented specimen. Drawer 14.",
    )  # fmt: skip


def _on_tray(
    maker: Maker, truth: Mapping[str, Any], picture: Picture, first: int
) -> tuple[Specimen, ...]:
    made = []
    for number, one in enumerate(truth["frames"], first):
        frame = Frame(
            maker.id(), picture.id, one["view"], Box(*one["frame"]), part=one["part"],
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
