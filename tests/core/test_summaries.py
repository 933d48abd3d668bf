"""What lists show and searches find: derived with the doubts of today, stale without."""

import pytest

from landmarks.changes import Change, ChangeSet, Document, difference
from landmarks.collection import Person, person_parts
from landmarks.demo import example_store
from landmarks.finding import parse_filter
from landmarks.identification import ENGINE_VERSION, compile_tables
from landmarks.own_doubt import OwnDoubt
from landmarks.sentences import Sentence
from landmarks.storage import Query
from landmarks.summaries import (
    Today,
    derive,
    find,
    is_stale,
    renew_readable,
    renew_stale,
    renew_summaries,
    stale_specimens,
    today_of,
)
from landmarks.tables import read_tables

GUIDE = compile_tables(read_tables())
LENGTH = "shell_length"


@pytest.fixture
def store():
    store = example_store()
    yield store
    store.close()


def keep(store, person):
    document = Document("person", person.id)
    before = store.load(document).get(document)
    parts = {} if before is None else before.parts
    changes = difference(document, parts, person_parts(person))
    store.commit(ChangeSet(f"keep {person.id}", Sentence("deed.camera_distance"), changes))


def somebody(store):
    """Return somebody who placed landmarks of the example with the usual doubt."""
    from landmarks.specimen import specimen_of

    found = store.load(*store.documents("specimen"))
    for document, loaded in found.items():
        for placing in specimen_of(document.id, loaded.parts).placings:
            if placing.person and placing.sigma_px is None and placing.how == "clicked":
                return placing.person, document.id
    raise AssertionError("nobody placed anything")


def sigma(store, today, specimen):
    (derived,) = derive(store, today, [specimen])
    return next(one.sigma for one in derived.facts if one.field == LENGTH)


def test_an_own_doubt_speaks_in_what_is_derived_and_makes_the_rest_stale(store):
    person, specimen = somebody(store)
    usual = today_of(store, GUIDE)
    assert usual.engine == ENGINE_VERSION
    renew_summaries(store, usual, stale_specimens(store, usual))
    assert stale_specimens(store, usual) == ()

    keep(store, Person(person, "Ann", doubt=OwnDoubt(12.0, 100, 0.4)))
    today = today_of(store, GUIDE)
    assert today.engine.startswith(f"{ENGINE_VERSION}+")
    assert len(stale_specimens(store, today)) == store.count(Query())
    assert sigma(store, today, specimen) > 1.2 * sigma(store, usual, specimen)
    assert len(stale_specimens(store, today, 3)) == 3


def test_the_mark_of_the_doubts_is_one_of_their_values_alone():
    one, other = OwnDoubt(1.5, 40, 0.1), OwnDoubt(1.6, 40, 0.1)
    engine = Today(GUIDE, {"ann": one}).engine
    assert Today(GUIDE, {"ann": OwnDoubt(1.5, 40, 0.1)}).engine == engine
    assert Today(GUIDE, {"ann": other}).engine != engine
    both = {"ann": one, "ben": other}
    turned = dict(reversed(both.items()))
    assert Today(GUIDE, both).engine == Today(GUIDE, turned).engine


def test_what_is_found_is_of_today_whatever_the_store_kept(store):
    today = today_of(store, GUIDE)
    longer = Query(filters=(parse_filter(f"{LENGTH} > 100"),))
    fresh = {row.specimen for row in find(store, today, longer)}
    assert store.list(today.asking(longer)) == (), "nothing was kept yet"
    renew_summaries(store, today, stale_specimens(store, today))
    assert {row.specimen for row in store.list(today.asking(longer))} == fresh != set()
    assert not any(is_stale(row, today) for row in store.list(today.asking(longer)))


def test_what_a_question_rests_on_is_derived_first_and_what_cannot_be_read_is_left(store):
    today, told = today_of(store, GUIDE), []
    broken = store.documents("specimen")[0]
    part = next(one for one in store.load(broken)[broken].parts if one.startswith("frame/"))
    before = store.load(broken)[broken].parts[part]
    odd = Change(broken, part, before, {**before, "number": "none"})
    store.commit(ChangeSet("odd", Sentence("deed.camera_distance"), (odd,)))
    n = store.count(Query())

    renew_stale(store, today, Query(text="a"), lambda *far: told.append(far))
    assert len(stale_specimens(store, today)) == n
    assert told == [], "it asks for nothing derived"

    longer = Query(filters=(parse_filter(f"{LENGTH} > 100"),))
    renew_stale(store, today, longer, lambda *far: told.append(far))
    assert stale_specimens(store, today) == (broken.id,)
    assert told[0] == (0, n)
    faults = renew_readable(store, today, (broken.id,))
    assert faults.keys() == {broken.id}
