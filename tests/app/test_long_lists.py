"""Lists of a hundred thousand specimens: what is read of them, in which order, what is kept."""

from time import sleep

import pytest

from app.panels import specimen_rows
from app.panels.specimen_rows import SpecimensModel
from app.panels.table_rows import MOST_PAGES, PAGE, TableModel
from app.session import Aspect, Session, listing
from app.session.finding import find
from app.session.listing import FIRST
from landmarks.collection import About
from landmarks.storage import MemoryStore, Row


class Endless:
    """A store of a hundred thousand rows that remembers what it was asked."""

    n, read_only = 100_000, True

    def __init__(self):
        self.asked = []

    def list(self, query):
        self.asked.append((query.offset, query.limit))
        last = min(query.offset + query.limit, self.n)
        return tuple(Row(f"s{i}", f"N {i}") for i in range(query.offset, last))

    def count(self, query):
        stale = any(one.field == "stale" for one in query.filters)
        self.asked.append("stale" if stale else "count")
        return 0 if stale else self.n

    def load(self, *documents, kinds):
        assert tuple(kinds) == ("label",), "nothing is read that is not shown"
        return {}

    def close(self):
        pass


@pytest.fixture
def session(qapp, qtbot):
    session = Session()
    session.opening.open(lambda: MemoryStore(About("c", "Port Maren Museum")), path=None)
    qtbot.waitUntil(lambda: session.store is not None and not session.desk.busy)
    real, session.store = session.store, Endless()
    yield session
    session.store = real
    session.opening.close()


@pytest.fixture
def model(session, qtbot):
    find(session, order="name")
    qtbot.waitUntil(lambda: len(session.rows) > FIRST)
    model = TableModel(session)
    model.renew()
    qtbot.waitUntil(lambda: model.row(0) is not None)
    yield model
    model.stop()


def test_of_another_list_a_screen_comes_first_and_all_else_once_it_is_there(session, qtbot):
    store, told = session.store, []
    session.changed.connect(lambda one: told.append(one) if one & Aspect.ROWS else None)
    edition = session.listing.edition
    find(session, order="certainty")
    qtbot.waitUntil(lambda: len(told) == 1)
    assert store.asked == [(0, FIRST), "count"]
    assert (len(session.rows), session.n_rows) == (FIRST, store.n)
    assert session.listing.deriving, "whoever waits for what is derived still waits"

    # Whoever goes on from one order to the next waits for nothing but rows.
    find(session, order="fit")
    qtbot.waitUntil(lambda: len(told) == 2)
    assert store.asked[2:] == [(0, FIRST), "count"]
    qtbot.waitUntil(lambda: not session.listing.deriving and not session.desk.busy)
    limit = session.query.limit
    assert store.asked[4:] == [(0, limit), "count", "stale"]
    assert len(session.rows) == limit > FIRST
    assert session.listing.edition == edition + 2, "what came later is no other list"


def test_a_list_that_comes_late_is_read_to_its_end(session, qtbot, monkeypatch):
    monkeypatch.setattr(listing, "REST_MS", 1)
    session.desk.ask(lambda: sleep(0.05), lambda _: None, lambda _: None)
    find(session, order="certainty")
    qtbot.waitUntil(lambda: len(session.rows) == session.query.limit)
    assert session.store.asked[:3] == [(0, FIRST), "count", (0, session.query.limit)]


def test_the_table_reads_a_list_once_and_again_where_it_was_read_anew(
    session, model, qtbot
):
    store = session.store
    store.asked.clear()
    model.renew()
    assert model.row(0) is not None
    session.listing.refresh()
    qtbot.waitUntil(lambda: not session.desk.busy)
    limit = session.query.limit
    assert store.asked == [(0, limit), "count"], "the same list is not read by pages again"
    model.renew()
    assert model.row(0) is not None, "it stays in sight meanwhile"
    qtbot.waitUntil(lambda: store.asked[2:] == [(0, PAGE)])


def test_the_table_keeps_the_pages_around_what_is_looked_at(session, model, qtbot):
    for page in range(MOST_PAGES + 4):
        qtbot.waitUntil(lambda at=page * PAGE: model.row(at) is not None)
    last = MOST_PAGES + 3
    assert sorted(model._pages) == list(range(last - MOST_PAGES + 1, last + 1))
    assert len(model._cells) == MOST_PAGES * PAGE * len(model.columns)
    words = model.data(model.index(last * PAGE, 0))
    assert words == f"N {last * PAGE}"
    assert model.row(0) is None, "it is read again"
    qtbot.waitUntil(lambda: model.row(0) is not None)
    assert model.row(0).specimen == "s0"


def test_the_list_keeps_the_pages_around_what_is_looked_at(session, qtbot):
    find(session, order="name")
    qtbot.waitUntil(lambda: len(session.rows) > FIRST)
    model = SpecimensModel(session)
    model.renew()
    size, most = specimen_rows.PAGE, specimen_rows.MOST_PAGES
    first = len(session.rows) // size + 1
    pages = range(first, first + most + 2)
    for page in pages:
        qtbot.waitUntil(lambda at=page * size: model.row(at) is not None)
    assert sorted(model._pages) == list(pages[-most:])
    assert model.row(0).specimen == "s0", "the first rows are those of the session"
    assert model.row(first * size) is None, "it is read again"
    qtbot.waitUntil(lambda: model.row(first * size) is not None)
    assert model.row(first * size).specimen == f"s{first * size}"
