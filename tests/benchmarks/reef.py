"""A generated collection with everything that specimens are found and sorted by.

It is written by the store itself, so that what is measured on it is what a person would have:
100,000 specimens take some two minutes.
"""

from __future__ import annotations

import random
from contextlib import closing
from pathlib import Path

from landmarks.changes import ChangeSet, Document, difference
from landmarks.collection import About
from landmarks.finding import Fact
from landmarks.observations import Condition
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
from landmarks.storage import Derived, Saved, Stamp, open_sqlite

AT_ONCE = 2000
TAXA = ("tridacna_maxima", "tridacna_crocea", "tridacna_squamosa", "hippopus_hippopus")
MEASURES = (
    "shell_length",
    "shell_height",
    "hinge_line",
    "byssal_opening_length",
    "shell_width",
)


def make(path: Path, n: int, today: Stamp) -> None:
    """Write a collection of n specimens; nine in ten were derived by what is of today."""
    chance = random.Random(6)
    with closing(open_sqlite(path, create=True, about=About("reef", "reef"))) as store:
        for start in range(0, n, AT_ONCE):
            made = [_specimen(i, chance) for i in range(start, min(start + AT_ONCE, n))]
            changes = [
                change
                for one in made
                for change in difference(Document("specimen", one.id), {}, parts_of(one))
            ]
            words = Sentence("plain", {"words": "take in"})
            assert isinstance(
                store.commit(ChangeSet(f"c{start}", words, tuple(changes))), Saved
            )
            store.keep_cache(*(_derived(one, chance, today) for one in made))


def _specimen(i: int, chance: random.Random) -> Specimen:
    region = chance.choice(("halverson_reef", "port_maren", "outer_bank", ""))
    year, month, day = (
        chance.randrange(*ends) for ends in ((1990, 2026), (1, 13), (1, 29))
    )
    date = f"{year}-{month:02}-{day:02}"
    taxon = chance.choice(TAXA)
    level = chance.choice(("species", "species", "group"))
    taxa = (taxon,) if level == "species" else TAXA[:2]
    return Specimen(
        f"{chance.getrandbits(128):032x}",
        label=Label(
            f"PMM {i * 7919 % 200_003}",
            locality=f"drawer {chance.randrange(60)}, {chance.choice(('flat', 'slope', 'wall'))}",
            collector=chance.choice(("Ada Quill", "Bo Marsh", "")),
            collected=date,
        ),
        where=Where(
            region, condition=(Condition("worn"),) if chance.random() < 0.2 else ()
        ),
        frames=tuple(
            Frame(f"f{k}", f"p{i}", view, number=k)
            for k, view in enumerate(
                chance.sample(("outside_of_valve", "inside_of_valve", "hinge_edge"), 2)
            )
        ),
        observations=tuple(
            Observation(f"o{k}", key, chance.choice(("wide", "narrow", "none")))
            for k, key in enumerate(("scutes", "ribs", "fit_of_margins"))
        ),
        determinations=(
            (
                Determination(
                    "d", level, taxa, determiner="Ada Quill", at=f"{date}T08:00:00Z"
                ),
            )
            if chance.random() < 0.8
            else ()
        ),
    )


def _derived(one: Specimen, chance: random.Random, today: Stamp) -> Derived:
    length = chance.lognormvariate(4.7, 0.4)
    facts = [
        Fact(key, number=length * share, sigma=0.4, at_least=False)
        for key, share in zip(MEASURES, (1, 0.6, 0.5, 0.1, 0.4), strict=True)
    ]
    facts += [
        Fact("certainty", number=chance.random()),
        Fact("fit", number=chance.random()),
    ]
    facts += [Fact("leading", chance.choice(TAXA)), Fact("says", "species")]
    facts += [Fact("missing", step) for step in ("scale", "name") if chance.random() < 0.3]
    engine = today.engine if chance.random() < 0.9 else "engine of yesterday"
    return Derived(
        Document("specimen", one.id),
        Stamp(1, today.tables_hash, engine),
        dict.fromkeys(TAXA, 0.25),
        {"steps": ["full", "none", "half", "half", "full"]},
        tuple(facts),
    )
