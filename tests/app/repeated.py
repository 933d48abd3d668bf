"""Collections of shells that were placed once or twice, for tests of repeats.

The shells are copies of the worked example's, each a little larger than the one before, with
clicks that scatter about its landmarks by a known number of pixels.
"""

from dataclasses import replace
from pathlib import Path
from random import Random
from shutil import copyfile

from landmarks.changes import ChangeSet
from landmarks.collection import About, Person
from landmarks.demo import worked_example
from landmarks.documents import Whole
from landmarks.geometry import Point
from landmarks.placing import Placing
from landmarks.sentences import Sentence
from landmarks.specimen import Determination, Label, Observation, Specimen
from landmarks.storage.whole import changes_of

ANN = Person("ann", "Ann Terrace")
SIGMA_PX = 2.0
TOLD = "maxima"


def example():
    """Return the worked example's shell, its frame and its picture, with an absolute path."""
    found = worked_example()
    specimen = found.specimens[0]
    frame = specimen.frames[0]
    picture = next(one for one in found.pictures if one.id == frame.picture)
    return specimen, frame, replace(picture, path=str(found.folder / picture.path))


def shells(n, repeated=(), person=ANN, sigma_px=SIGMA_PX, seed=1):
    """Return n shells recorded by a person; those of these numbers repeated blind as well."""
    chance = Random(seed)
    made = []
    model, frame, _ = example()
    true = [one for one in model.placed(frame.id).values() if one.points]
    for number in range(n):
        grown = 1 - 0.25 * number / max(n, 1)
        one = Specimen(
            f"shell-{number:03}",
            Label(f"PMM {number:03} {TOLD}"),
            frames=(replace(frame, id=f"frame-{number:03}"),),
        )
        occasions = ["record", *(["blind_repeat"] if number in repeated else [])]
        for occasion in occasions:
            at = "2026-01-01T10:00:00Z"
            if occasion != "record":
                at = f"2026-03-{1 + number % 28:02}T10:00:00Z"
            placings = tuple(
                _placing(one, row, grown, chance, sigma_px, occasion, person, at)
                for row in true
            )
            state = "moderate" if chance.random() < 0.3 else "strong"
            score = Observation(f"{one.id}-{occasion}-folds", "fold_strength", state,
                                frame=one.frames[0].id, person=person.id, at=at,
                                occasion=occasion)  # fmt: skip
            one = replace(
                one,
                placings=(*one.placings, *placings),
                observations=(*one.observations, score),
            )
        named = Determination(f"{one.id}-name", "species", (TOLD,), person=person.id,
                              at="2026-01-01T11:00:00Z")  # fmt: skip
        made.append(replace(one, determinations=(named,)))
    return made


def _placing(one, row, grown, chance, sigma_px, occasion, person, at):
    frame = one.frames[0]
    points = tuple(
        Point(
            900 + (p.x - 900) * grown + chance.gauss(0, sigma_px),
            700 + (p.y - 700) * grown + chance.gauss(0, sigma_px),
        )
        for p in row.points
    )
    return Placing(f"{one.id}-{occasion}-{row.landmark}", frame.id, row.landmark, points,
                   occasion=occasion, zoom=1.0, person=person.id, at=at)  # fmt: skip


def fill(store, specimens, people=(ANN,)):
    """Put specimens, the example's picture and people into a store that was just begun.

    Beside a file lies a copy of the picture: no other folder is read unasked.
    """
    _, _, picture = example()
    if store.path is not None:
        copy = store.path.with_name(Path(picture.path).name)
        copyfile(picture.path, copy)
        picture = replace(picture, path=copy.name)
    whole = Whole(store.about(), tuple(people), (picture,), tuple(specimens))
    deed = ChangeSet("filled", Sentence("deed.add_pictures", {"n": len(specimens)}),
                     changes_of(whole), people[0].id, "2026-01-01T09:00:00Z")  # fmt: skip
    store.commit(deed)
    return store


ABOUT = About("6f2c1d34-8c1f-4c3e-9f2a-000000000001", "Drawer of repeats")
