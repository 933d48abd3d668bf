"""Laws of every store by random deeds: save and read, undo everything, two at once."""

import threading
from contextlib import closing
from itertools import count

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from landmarks.changes import Change, ChangeSet, Document, difference, merge, reverse
from landmarks.collection import About, picture_of, picture_parts
from landmarks.geometry import Point
from landmarks.placing import Placing
from landmarks.sentences import Sentence
from landmarks.specimen import Specimen, parts_of, specimen_of
from landmarks.storage import Conflict, MemoryStore, Saved, open_sqlite
from tests import strategies as some

ABOUT = About("c", "laws")
NUMBERS = count()
WORDS = Sentence("plain", {"words": "change"})
DOCUMENTS = tuple(Document("specimen", one) for one in "ab")


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return tmp_path_factory.mktemp("laws")


def opened(kind, folder):
    if kind == "memory":
        return MemoryStore(ABOUT)
    path = folder / f"{next(NUMBERS)}.hingeline"
    return open_sqlite(path, create=True, about=ABOUT)


def content(store):
    found = store.load(*DOCUMENTS)
    return {document: dict(one.parts) for document, one in found.items()}


def reached(document, before, after):
    """The change set from one state of a document to another; None is not there."""
    both = (before, after)
    full = [{} if parts is None else {**parts, "exists": True} for parts in both]
    return difference(document, *full)


states = st.none() | some.parts


@pytest.mark.parametrize("kind", ["memory", "sqlite"])
def test_undoing_everything_gives_the_beginning(kind, folder):
    @settings(max_examples=40)
    @given(st.lists(st.tuples(st.sampled_from(DOCUMENTS), states), max_size=8))
    def law(steps):
        with closing(opened(kind, folder)) as store:
            begun = store.latest()
            now = dict.fromkeys(DOCUMENTS)
            for n, (document, after) in enumerate(steps):
                changes = reached(document, now[document], after)
                answer = store.commit(ChangeSet(str(n), WORDS, changes))
                assert isinstance(answer, Saved)
                now[document] = after
            there = {one: {**p, "exists": True} for one, p in now.items() if p is not None}
            assert content(store) == there
            for past in store.history():
                if past.sequence > begun:
                    undo = reverse(
                        past.change_set, id=f"-{past.sequence}", person="", at=""
                    )
                    assert isinstance(store.commit(undo), Saved)
            assert content(store) == {}
            assert store.count() == 0

    law()


@settings(max_examples=40)
@given(some.specimens, some.pictures)
def test_saving_and_reading_is_identity(specimen, picture):
    store = MemoryStore(ABOUT)
    shell, image = Document("specimen", specimen.id), Document("picture", picture.id)
    changes = (
        *difference(shell, {}, parts_of(specimen)),
        *difference(image, {}, picture_parts(picture)),
    )
    store.commit(ChangeSet("a", WORDS, changes))
    found = store.load(shell, image)
    assert specimen_of(specimen.id, found[shell].parts) == specimen
    assert picture_of(picture.id, found[image].parts) == picture


def test_saving_closing_and_reading_a_file_is_identity(folder):
    @settings(max_examples=25)
    @given(some.specimens)
    def law(specimen):
        document = Document("specimen", specimen.id)
        store = opened("sqlite", folder)
        store.commit(ChangeSet("a", WORDS, difference(document, {}, parts_of(specimen))))
        path = store.path
        store.close()
        with closing(open_sqlite(path)) as store:
            found = store.load(document)[document]
            assert found.parts == parts_of(specimen)
            assert specimen_of(specimen.id, found.parts) == specimen

    law()


@given(some.parts, some.parts, some.parts)
def test_a_store_merges_as_the_pure_merge_does(base, mine, theirs):
    document = DOCUMENTS[0]
    store = MemoryStore(ABOUT)
    store.commit(ChangeSet("base", WORDS, reached(document, None, base)))
    store.commit(ChangeSet("theirs", WORDS, reached(document, base, theirs)))
    answer = store.commit(ChangeSet("mine", WORDS, reached(document, base, mine)))
    merged = merge(base, mine, theirs)
    if merged.clashes:
        assert isinstance(answer, Conflict)
        assert answer.clashes == {document: merged.clashes}
        assert content(store)[document] == {**theirs, "exists": True}
    else:
        assert content(store)[document] == {**merged.parts, "exists": True}


@settings(max_examples=40)
@given(states, states, states)
def test_the_order_of_two_deeds_does_not_matter_where_they_merge(base, mine, theirs):
    stores = [MemoryStore(ABOUT), MemoryStore(ABOUT)]
    document = DOCUMENTS[0]
    # One store gets my deed first, the other theirs: what merges, merges the same.
    deeds = {
        "mine": ChangeSet("mine", WORDS, reached(document, base, mine)),
        "theirs": ChangeSet("theirs", WORDS, reached(document, base, theirs)),
    }
    answers = []
    for store, order in zip(stores, (("mine", "theirs"), ("theirs", "mine")), strict=True):
        if base is not None:
            store.commit(ChangeSet("base", WORDS, reached(document, None, base)))
        answers.append([type(store.commit(deeds[name])) for name in order])
        assert answers[-1][0] is Saved
    assert answers[0] == answers[1]
    if answers[0][1] is Saved:
        assert content(stores[0]) == content(stores[1])


def test_the_file_decides_like_the_memory(folder):
    @settings(max_examples=40)
    @given(states, states, states)
    def law(base, mine, theirs):
        document = DOCUMENTS[0]
        seen = []
        for kind in ("memory", "sqlite"):
            with closing(opened(kind, folder)) as store:
                steps = ((None, base), (base, theirs), (base, mine))
                answers = [
                    store.commit(ChangeSet(str(n), WORDS, reached(document, *step)))
                    for n, step in enumerate(steps)
                ]
                happened = [(one.id, one.touched) for one in store.since(0)]
                seen.append(
                    (answers, content(store), happened, store.list(), store.history())
                )
        assert seen[0] == seen[1]

    law()


# -- two at once ---------------------------------------------------------------------------


def placed(specimen, name, x):
    return specimen.with_one(Placing(name, "f", "umbo", (Point(x, 0),)))


def test_two_writers_on_other_parts_both_enter_whatever_the_order(tmp_path):
    shell = Specimen("s")
    document = Document("specimen", "s")
    path = tmp_path / "two.hingeline"
    with closing(open_sqlite(path, create=True)) as store:
        store.commit(ChangeSet("0", WORDS, difference(document, {}, parts_of(shell))))
    start = threading.Barrier(2)
    answers = {}

    def write(who):
        with closing(open_sqlite(path, patience_s=30)) as store:
            mine = shell
            start.wait()
            for n in range(40):
                after = placed(mine, who, n)
                changes = difference(document, parts_of(mine), parts_of(after))
                answers[who, n] = store.commit(ChangeSet(f"{who}{n}", WORDS, changes))
                mine = after

    _together(write, "ab")
    assert all(isinstance(one, Saved) for one in answers.values())
    with closing(open_sqlite(path)) as store:
        found = store.load(document)[document]
        assert found.revision == 81
        assert specimen_of("s", found.parts) == placed(placed(shell, "a", 39), "b", 39)
        sequences = [answers[who, n].sequence for who in "ab" for n in range(40)]
        assert sorted(sequences) == list(range(3, 83))
        assert {fault.key for fault in store.check()} == {"store.fault_frame"}


def test_two_writers_on_one_part_lose_nothing_and_never_both_win(tmp_path):
    document = Document("specimen", "s")
    path = tmp_path / "two.hingeline"
    with closing(open_sqlite(path, create=True)) as store:
        begin = {"exists": True, "extra": {"n": 0}}
        store.commit(ChangeSet("0", WORDS, difference(document, {}, begin)))
    start = threading.Barrier(2)
    won = {"a": 0, "b": 0}

    def write(who):
        with closing(open_sqlite(path, patience_s=30)) as store:
            start.wait()
            for attempt in range(40):
                now = store.load(document)[document].parts["extra"]
                change = Change(document, "extra", now, {"n": now["n"] + 1})
                answer = store.commit(ChangeSet(f"{who}{attempt}", WORDS, (change,)))
                if isinstance(answer, Conflict):
                    (clash,) = answer.clashes[document]
                    assert clash.theirs["n"] > now["n"]
                elif answer.revisions[document] == answer.sequence - 1:
                    won[who] += 1

    _together(write, "ab")
    with closing(open_sqlite(path)) as store:
        counted = store.load(document)[document].parts["extra"]["n"]
        saved = sum(1 for past in store.history(document)) - 1
        assert counted == saved
        assert 40 <= counted <= 80


def _together(write, names):
    faults = []

    def guarded(name):
        try:
            write(name)
        except BaseException as fault:
            faults.append(fault)

    threads = [threading.Thread(target=guarded, args=(name,)) for name in names]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert faults == []


def test_closing_waits_for_whoever_is_at_it(tmp_path):
    store = open_sqlite(tmp_path / "busy.hingeline", create=True, about=ABOUT)
    reading, closed = threading.Event(), threading.Event()

    def close():
        reading.wait()
        store.close()
        closed.set()

    thread = threading.Thread(target=close)
    thread.start()
    with store._reading() as connection:
        reading.set()
        assert not closed.wait(0.05)
        assert connection.exec_driver_sql("SELECT count(*) FROM documents").scalar() == 1
    thread.join()
    assert closed.is_set()


def test_one_store_serves_many_threads(tmp_path):
    document = Document("specimen", "s")
    with closing(open_sqlite(tmp_path / "many.hingeline", create=True)) as store:
        store.commit(
            ChangeSet("0", WORDS, difference(document, {}, parts_of(Specimen("s"))))
        )

        def use(name):
            before = parts_of(Specimen("s"))
            for n in range(10):
                after = {**before, f"placing/{name}": {"n": n}}
                answer = store.commit(
                    ChangeSet(f"{name}{n}", WORDS, difference(document, before, after))
                )
                assert isinstance(answer, Saved)
                assert store.load(document)[document].parts[f"placing/{name}"] == {"n": n}
                assert store.count() == 1
                before = after

        _together(use, "abcdef")
        assert store.latest() == 62
