"""A collection of 100,000 specimens: the first screen, every kind of filter and order."""

from __future__ import annotations

import random
import tempfile
import time
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from statistics import median

from landmarks.changes import ChangeSet, Document, difference
from landmarks.collection import About
from landmarks.finding import Fact, parse_filter
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
from landmarks.storage import Derived, Query, Saved, Stamp, Store, open_sqlite
from tests.benchmarks.figure import Figure

N_SPECIMENS = 100_000
PAGE = 200
N_RUNS = 7
AT_ONCE = 2000
TABLES, ENGINE = "tables of today", "engine of today"
TAXA = ("tridacna_maxima", "tridacna_crocea", "tridacna_squamosa", "hippopus_hippopus")
MEASURES = (
    "shell_length",
    "shell_height",
    "hinge_line",
    "byssal_opening_length",
    "shell_width",
)

CONDITIONS = (
    "shell_length > 80",
    "shell_length between 80 and 82",
    "surely shell_length between 80 and 120",
    "certainty < 60 %",
    "fit < 5 %",
    "missing is scale",
    "region is halverson_reef",
    "region is not halverson_reef",
    "collected between 2021-03 and 2021-05",
    "number contains 4711",
    "determiner contains quill",
    "taxon is tridacna_crocea",
    "level is group",
    "view lacks hinge_edge",
    "state is scutes/wide",
    "stale",
    "text contains drawer 7",
)
ORDERS = ("catalogue_number", "name", "changed", "shell_length", "certainty", "collected")


def measure() -> list[Figure]:
    """Return how long lists of a very large collection take."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "reef.hingeline"
        make(path, N_SPECIMENS)
        opened = timed(lambda: _first_screen(path), 3)
        with closing(open_sqlite(path)) as store:
            figures = [
                Figure(
                    f"{N_SPECIMENS:,} specimens: open, first screen, count",
                    "ms",
                    opened,
                    goal="<= 300 ms",
                    note=f"{path.stat().st_size / 2**20:.0f} MiB on disk",
                )
            ]
            for one in CONDITIONS:
                query = _query(filters=(parse_filter(one),))
                figures.append(_figure(one, store, query))
            for order in ORDERS:
                for descending in (False, True):
                    more = {"order": order, "descending": descending}
                    name = f"order by {order}{', from the end' if descending else ''}"
                    figures.append(_figure(name, store, _query(**more)))
            both = tuple(map(parse_filter, (CONDITIONS[0], CONDITIONS[6])))
            more = {"filters": both, "order": "certainty", "offset": 5000}
            figures.append(_figure("two conditions, page 25", store, _query(**more)))
            missing = _query(filters=(parse_filter("missing is scale"),))
            after = store.list(_query(offset=N_SPECIMENS * 7 // 10))[0].specimen
            figures.append(
                Figure(
                    "next specimen that lacks its scale",
                    "ms",
                    timed(lambda: store.following(missing, after)),
                    goal="<= 100 ms",
                )
            )
            figures.append(
                Figure("has anybody else saved?", "ms", timed(store.latest), goal="<= 1 ms")
            )
        return figures


def make(path: Path, n: int) -> None:
    """Write a collection of n specimens with everything that is searched."""
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
            store.keep_cache(*(_derived(one, chance) for one in made))


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


def _derived(one: Specimen, chance: random.Random) -> Derived:
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
    today = ENGINE if chance.random() < 0.9 else "engine of yesterday"
    return Derived(
        Document("specimen", one.id),
        Stamp(1, TABLES, today),
        dict.fromkeys(TAXA, 0.25),
        {"steps": ["full", "none", "half", "half", "full"]},
        tuple(facts),
    )


def _query(**more: object) -> Query:
    return Query(limit=PAGE, tables_hash=TABLES, engine=ENGINE, **more)  # type: ignore[arg-type]


def _figure(name: str, store: Store, query: Query) -> Figure:
    """Return how long a page takes; how many there are is asked for afterwards."""
    times = timed(lambda: store.list(query))
    counted = median(timed(lambda: store.count(query)))
    note = f"{store.count(query):,} found, counted in {counted:.0f} ms"
    return Figure(name, "ms", times, goal="<= 100 ms", note=note)


def _first_screen(path: Path) -> None:
    with closing(open_sqlite(path)) as store:
        query = _query()
        assert len(store.list(query)) == PAGE
        assert store.count(query) == N_SPECIMENS


def timed(do: Callable[[], object], n: int = N_RUNS) -> tuple[float, ...]:
    """Return how long something takes, in milliseconds, after it was done once."""
    do()
    times = []
    for _ in range(n):
        begun = time.perf_counter()
        do()
        times.append((time.perf_counter() - begun) * 1000)
    return tuple(times)
