"""What lists show and searches find: derived with the doubts of today, stale without."""

import pytest

from landmarks.assessment import asked_characters, assess
from landmarks.changes import Change, ChangeSet, Document, difference, reverse
from landmarks.collection import Person, person_parts
from landmarks.demo import example_store
from landmarks.finding import fields, parse_filter
from landmarks.identification import ENGINE_VERSION, compile_tables
from landmarks.own_doubt import OwnDoubt
from landmarks.progress import steps
from landmarks.sentences import Sentence
from landmarks.specimen import Observation, Specimen, parts_of, specimen_of
from landmarks.storage import Query, Saved, open_sqlite
from landmarks.storage.deciding import kind_of
from landmarks.summaries import (
    Today,
    derive,
    find,
    is_stale,
    pictures_of,
    renew_readable,
    renew_stale,
    renew_summaries,
    stale_specimens,
    summary_of,
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


def whole(store, today, document):
    """Return what follows from everything that is recorded of a specimen, nothing left out."""
    loaded = store.load(document)[document]
    specimen = specimen_of(document.id, loaded.parts)
    pictures = pictures_of(store, [specimen])
    assessment = assess(specimen, pictures, GUIDE, today.doubts)
    names = {taxon.key: taxon.name for taxon in GUIDE.tables.taxa}
    asked = asked_characters(assessment.characters)
    now = steps(specimen, next(iter(specimen.frames), None), pictures, asked, names)
    stamp = today.stamp(loaded.revision)
    gist = assessment.answer.gist
    return summary_of(document, stamp, assessment, gist, now, pictures.values())


def kept(store, today, document):
    """Return what the store keeps as of today: value, steps and facts; None: it is stale."""
    columns = tuple(key for key, one in fields().items() if one.derived)
    (row,) = (
        one for one in store.list(Query(columns=columns)) if one.specimen == document.id
    )
    if is_stale(row, today):
        return None
    return store.cached(document, row.stamp), row.summary, set(row.facts)


def test_of_a_specimen_that_nobody_looked_at_no_candidate_leads(store):
    """Its pictures hide every character, which is said of it and tells nothing."""
    bare, scored = Specimen("bare"), Observation("o", "scutes", state="absent")
    changes = difference(Document("specimen", "bare"), {}, parts_of(bare))
    store.commit(ChangeSet("bare", Sentence("deed.camera_distance"), changes))
    today = today_of(store, GUIDE)

    def told():
        (made,) = derive(store, today, ["bare"])
        return {one.field for one in made.facts} & {"leading", "says", "certainty", "fit"}

    assert told() == set()
    change = difference(
        Document("specimen", "bare"), parts_of(bare), parts_of(bare.with_one(scored))
    )
    store.commit(ChangeSet("scored", Sentence("deed.camera_distance"), change))
    assert told() == {"leading", "says", "certainty", "fit"}


@pytest.mark.parametrize("where", ["memory", "sqlite"])
def test_what_was_derived_stays_of_today_only_where_nothing_follows_from_what_changed(
    store, where, tmp_path
):
    if where == "sqlite":
        store.copy_to(tmp_path / "c.hingeline")
        store = open_sqlite(tmp_path / "c.hingeline")
    today = today_of(store, GUIDE)
    specimens = store.documents("specimen")
    renew_summaries(store, today, [one.id for one in specimens])
    for one in specimens:
        made = whole(store, today, one)
        assert kept(store, today, one) == (made.value, made.summary, set(made.facts))

    changes = {}
    for one, loaded in store.load(*specimens).items():
        for part, raw in loaded.parts.items():
            change = Change(one, part, raw, None)
            if part != "exists":
                changes.setdefault(("specimen", kind_of(part)), (change, one))
        for frame in specimen_of(one.id, loaded.parts).frames:
            picture = Document("picture", frame.picture)
            shown = store.load(picture)[picture].parts
            rights = {"creator": "Somebody Else"}
            for part, new in (("scale", None), ("rights", rights)):
                change = Change(picture, part, shown.get(part), new)
                changes.setdefault(("picture", part), (change, one))
    assert {kind for _, kind in changes} == {
        *("label", "where", "frame", "placing", "observation", "determination"),
        *("scale", "rights"),
    }
    stayed = set()
    for kind, (change, one) in changes.items():
        deed = ChangeSet(str(kind), Sentence("deed.camera_distance"), (change,))
        assert isinstance(store.commit(deed), Saved)
        found = kept(store, today, one)
        if found is not None:
            made = whole(store, today, one)
            assert found == (made.value, made.summary, set(made.facts)), kind
            stayed.add(kind)
        store.commit(reverse(deed, id=f"{kind} back", person="", at=""))
        renew_summaries(store, today, stale_specimens(store, today))
    assert stayed == {("specimen", "label"), ("picture", "rights")}
    store.close()
