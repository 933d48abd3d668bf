"""A collection of 100,000 specimens: the first screen, every kind of filter and order."""

from __future__ import annotations

import tempfile
import time
from collections.abc import Callable
from contextlib import closing
from functools import cache
from pathlib import Path
from statistics import median

from landmarks.finding import parse_filter
from landmarks.storage import Query, Stamp, Store, open_sqlite
from tests.benchmarks.figure import Figure
from tests.benchmarks.reef import make

N_SPECIMENS = 100_000
PAGE = 200
N_RUNS = 7

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
    """Return how long lists of a very large collection take, in the store and on screen."""
    from tests.benchmarks.at_table import measure_on

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "reef.hingeline"
        begun = time.process_time()
        make(path, N_SPECIMENS, of_today())
        built = time.process_time() - begun
        return [*measure_store(path, built), *measure_on(path)]


def measure_store(path: Path, built_s: float = 0.0) -> list[Figure]:
    """Return what the store alone takes for each kind of question."""
    opened = timed(lambda: _first_screen(path), 3)
    size = f"{path.stat().st_size / 2**20:.0f} MiB on disk, written in {built_s:.0f} s"
    name = f"{N_SPECIMENS:,} specimens: open, first screen, count"
    figures = [Figure(name, "ms", opened, goal="<= 300 ms", note=size)]
    with closing(open_sqlite(path)) as store:
        for one in CONDITIONS:
            figures.append(_figure(one, store, _query(filters=(parse_filter(one),))))
        for order in ORDERS:
            for descending in (False, True):
                name = f"order by {order}{', from the end' if descending else ''}"
                query = _query(order=order, descending=descending)
                figures.append(_figure(name, store, query))
        both = tuple(map(parse_filter, (CONDITIONS[0], CONDITIONS[6])))
        for offset in (0, 5000, 15_000):
            query = _query(filters=both, order="certainty", offset=offset)
            figures.append(_figure(f"two conditions, from row {offset:,}", store, query))
        missing = _query(filters=(parse_filter("missing is scale"),))
        after = store.list(_query(offset=N_SPECIMENS * 7 // 10))[0].specimen
        took = timed(lambda: store.following(missing, after))
        name = "next specimen that lacks its scale"
        figures.append(Figure(name, "ms", took, goal="<= 100 ms"))
        took = timed(store.latest)
        figures.append(Figure("has anybody else saved?", "ms", took, goal="<= 1 ms"))
    return figures


@cache
def of_today() -> Stamp:
    """Return the stamp of what is derived today from a specimen as it was taken in."""
    from landmarks.identification import compile_tables
    from landmarks.summaries import Today
    from landmarks.tables import read_tables

    return Today(compile_tables(read_tables())).stamp(1)


def _query(**more: object) -> Query:
    today = of_today()
    return Query(limit=PAGE, tables_hash=today.tables_hash, engine=today.engine, **more)  # type: ignore[arg-type]


def _figure(name: str, store: Store, query: Query) -> Figure:
    """Return how long a page takes; how many there are is asked for afterwards."""
    worked = time.process_time()
    times = timed(lambda: store.list(query))
    worked = (time.process_time() - worked) * 1000 / (N_RUNS + 1)
    counted = median(timed(lambda: store.count(query)))
    found = f"{store.count(query):,} found, counted in {counted:.0f} ms"
    note = f"processor {worked:.0f} ms; {found}"
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
