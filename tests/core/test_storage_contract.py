"""What every store must do: the same tests for one file and for memory."""

from dataclasses import replace
from itertools import chain

import pytest

from landmarks.changes import Change, ChangeSet, Document, difference, reverse
from landmarks.collection import Person, person_parts
from landmarks.errors import ConflictError, DocumentError, StoreError
from landmarks.geometry import Box, Point
from landmarks.placing import Placing
from landmarks.sentences import Number, Sentence, text
from landmarks.specimen import (
    Determination,
    Frame,
    Label,
    Specimen,
    parts_of,
    specimen_of,
)
from landmarks.storage import (
    Conflict,
    Derived,
    Query,
    Saved,
    Stamp,
    open_sqlite,
)
from tests.core.conftest import ABOUT

SHELL = Specimen(
    "s1", label=Label(catalogue_number="PMM 7"), frames=(Frame("f1", "p1", "v"),)
)
STAMP = Stamp(1, "tables", "engine")


def at(specimen):
    return Document("specimen", specimen.id)


def deed(before, after, name="d", **more):
    """The change set that makes one specimen of another."""
    document = at(after or before)
    old, new = (parts_of(one) if one else {} for one in (before, after))
    words = Sentence("plain", {"words": name})
    return ChangeSet(name, words, difference(document, old, new), **more)


def saved(store, before, after, name):
    answer = store.commit(deed(before, after, name))
    assert isinstance(answer, Saved)
    return after


def loaded(store, specimen):
    found = store.load(at(specimen))
    return specimen_of(specimen.id, found[at(specimen)].parts) if found else None


def with_number(specimen, number):
    return replace(specimen, label=Label(catalogue_number=number))


def placed(specimen, placing_id, x):
    return specimen.with_one(Placing(placing_id, "f1", "umbo", (Point(x, 1),)))


def test_a_new_collection_says_what_it_is(store):
    assert store.about() == ABOUT
    assert store.list() == store.people() == store.documents("specimen") == ()
    assert store.check() == ()
    assert store.notes == ()
    assert not store.read_only


def test_what_is_saved_is_read(store):
    answer = store.commit(deed(None, SHELL))
    assert answer == Saved(store.latest(), {at(SHELL): 1}, ())
    assert loaded(store, SHELL) == SHELL
    assert store.documents("specimen") == (at(SHELL),)


def test_what_is_not_there_is_left_out(store):
    assert store.load(at(SHELL)) == {}
    assert store.history(at(SHELL)) == ()
    assert store.cached(at(SHELL), STAMP) is None


def test_many_documents_are_loaded_in_the_order_asked(store):
    shells = [Specimen(f"s{n}") for n in range(1200)]
    changes = [change for one in shells for change in deed(None, one).changes]
    store.commit(ChangeSet("many", Sentence("plain", {"words": ""}), tuple(changes)))
    wanted = [at(one) for one in reversed(shells)]
    assert list(store.load(*wanted)) == wanted
    assert store.count() == 1200


def test_the_same_change_set_is_applied_once(store):
    first = store.commit(deed(None, SHELL, "a"))
    saved(store, SHELL, with_number(SHELL, "PMM 8"), "b")
    again = store.commit(deed(None, SHELL, "a"))
    assert again.sequence == first.sequence
    assert again.revisions == {at(SHELL): 2}
    assert loaded(store, SHELL).label.catalogue_number == "PMM 8"
    assert store.latest() == first.sequence + 1


def test_work_on_other_parts_is_merged_and_told(store):
    saved(store, None, SHELL, "a")
    saved(store, SHELL, placed(SHELL, "theirs", 1), "b")
    answer = store.commit(deed(SHELL, placed(SHELL, "mine", 2), "c"), {at(SHELL): 1})
    assert answer == Saved(store.latest(), {at(SHELL): 3}, (at(SHELL),))
    assert loaded(store, SHELL) == placed(placed(SHELL, "theirs", 1), "mine", 2)


def test_nothing_has_moved_on_where_the_revision_is_as_expected(store):
    saved(store, None, SHELL, "a")
    answer = store.commit(deed(SHELL, placed(SHELL, "mine", 2), "b"), {at(SHELL): 1})
    assert answer.moved_on == ()


def test_another_version_of_the_same_part_is_a_conflict_with_both(store):
    saved(store, None, SHELL, "a")
    saved(store, SHELL, with_number(SHELL, "theirs"), "b")
    answer = store.commit(deed(SHELL, with_number(SHELL, "mine"), "c"))
    assert isinstance(answer, Conflict)
    (clash,) = answer.clashes[at(SHELL)]
    numbers = [raw["catalogue_number"] for raw in (clash.base, clash.mine, clash.theirs)]
    assert (clash.part, *numbers) == ("label", "PMM 7", "mine", "theirs")
    assert answer.revisions == {at(SHELL): 2}
    assert "label" in text(answer.sentence)
    assert isinstance(answer.error(), ConflictError)


def test_a_conflict_in_one_document_writes_nothing_in_any(store):
    other = Specimen("s2")
    saved(store, None, SHELL, "a")
    saved(store, SHELL, with_number(SHELL, "theirs"), "b")
    before = store.latest()
    both = deed(None, other).changes + deed(SHELL, with_number(SHELL, "mine")).changes
    assert isinstance(store.commit(ChangeSet("c", Sentence("plain"), both)), Conflict)
    assert store.latest() == before
    assert store.load(at(other)) == {}
    assert store.count() == 1


def test_the_same_change_by_both_is_no_conflict(store):
    saved(store, None, SHELL, "a")
    moved = with_number(SHELL, "same")
    saved(store, SHELL, moved, "b")
    answer = store.commit(deed(SHELL, moved, "c"))
    assert isinstance(answer, Saved)
    assert answer.revisions == {at(SHELL): 2}


def test_nothing_is_added_to_a_specimen_that_somebody_removed(store):
    saved(store, None, SHELL, "a")
    store.commit(deed(SHELL, None, "b"))
    answer = store.commit(deed(SHELL, placed(SHELL, "mine", 2), "c"))
    assert isinstance(answer, Conflict)
    assert "removed" in text(answer.sentence)
    assert store.load(at(SHELL)) == {}


def test_a_specimen_to_which_somebody_added_is_not_removed(store):
    saved(store, None, SHELL, "a")
    saved(store, SHELL, placed(SHELL, "theirs", 2), "b")
    answer = store.commit(deed(SHELL, None, "c"))
    assert isinstance(answer, Conflict)
    assert [clash.part for clash in answer.clashes[at(SHELL)]] == ["placing/theirs"]
    assert loaded(store, SHELL) == placed(SHELL, "theirs", 2)


def test_a_removed_specimen_comes_back_by_undo(store):
    saved(store, None, SHELL, "a")
    removing = deed(SHELL, None, "b")
    store.commit(removing)
    assert (store.count(), store.documents("specimen"), store.load(at(SHELL))) == (
        0,
        (),
        {},
    )
    answer = store.commit(reverse(removing, id="c", person="", at=""))
    assert answer.revisions == {at(SHELL): 3}
    assert loaded(store, SHELL) == SHELL
    assert store.list()[0].catalogue_number == "PMM 7"


def test_a_part_touched_twice_in_one_deed_is_one_change(store):
    saved(store, None, SHELL, "a")
    steps = [SHELL, with_number(SHELL, "x"), with_number(SHELL, "y")]
    changes = deed(steps[0], steps[1]).changes + deed(steps[1], steps[2]).changes
    store.commit(ChangeSet("b", Sentence("plain", {"words": "b"}), changes))
    assert loaded(store, SHELL) == steps[2]
    (past,) = store.history(at(SHELL), limit=1)
    (change,) = past.change_set.changes
    assert (change.before, change.after) == (
        {"catalogue_number": "PMM 7"},
        {"catalogue_number": "y"},
    )


def test_history_is_newest_first_with_before_and_after(store):
    saved(store, None, SHELL, "a")
    words = Sentence("deed.undo", {"deed": Sentence("plain", {"words": "turn"})})
    done = replace(
        deed(SHELL, with_number(SHELL, "PMM 8"), "b"),
        deed=words,
        person="ada",
        at="2026-01-02T03:04:06Z",
        undoes="a",
        extra={"where": "lab"},
    )
    store.commit(done)
    newest, oldest = store.history(at(SHELL))
    assert newest.change_set == done
    assert newest.sequence == store.latest()
    assert oldest.change_set.id == "a"
    assert store.history(at(SHELL), limit=1) == (newest,)
    assert store.history(at(SHELL), before=newest.sequence) == (oldest,)
    assert store.history(limit=2) == (newest, oldest)


def test_history_of_one_document_tells_how_far_the_deed_reached(store):
    other = Specimen("s2")
    both = deed(None, SHELL).changes + deed(None, other).changes
    store.commit(ChangeSet("both", Sentence("plain", {"words": "both"}), both))
    (past,) = store.history(at(other))
    assert past.n_documents == 2
    assert {change.document for change in past.change_set.changes} == {at(other)}
    assert len(store.history(limit=1)[0].change_set.documents) == 2


def test_since_tells_what_to_redraw(store):
    start = store.latest()
    saved(store, None, SHELL, "a")
    store.commit(deed(SHELL, placed(SHELL, "x", 1), "b", person="ada", at="t"))
    first, second = store.since(start)
    assert first.sequence == start + 1
    assert second.touched == {at(SHELL): ("placing/x",)}
    assert (second.id, second.person, second.at, text(second.deed)) == (
        "b",
        "ada",
        "t",
        "b",
    )
    assert store.since(store.latest()) == ()


def test_deeds_keep_numbers_sentences_and_lists_in_their_names(store):
    inner = Sentence("plain", {"words": "umbo"})
    name = Sentence(
        "plain",
        {"words": (inner, "hinge"), "length": Number(3.5, 0.1, "mm"), "n": 3, "none": None},
    )
    store.commit(replace(deed(None, SHELL), deed=name))
    assert store.history(limit=1)[0].change_set.deed == name


def test_people_are_kept_in_the_order_in_which_they_came(store):
    people = [Person("z", "Ada Quill"), Person("a", "Bo Marsh", extra={"later": 1})]
    for one in people:
        document = Document("person", one.id)
        changes = difference(document, {}, person_parts(one))
        store.commit(ChangeSet(one.id, Sentence("plain", {"words": "come"}), changes))
    assert store.people() == tuple(people)


def test_a_row_shows_number_name_and_pictures(store):
    shell = replace(
        SHELL,
        frames=(
            Frame("f2", "p2", "v", number=1),
            Frame("f1", "p1", "v", Box(10, 20.5, 300, 200)),
            Frame("f3", "", "v"),
        ),
        determinations=(
            Determination("d1", "genus", ("hippopus",), at="2026-01-01T00:00:00Z"),
            Determination(
                "d2",
                "species",
                ("tridacna_maxima",),
                qualifier="cf.",
                at="2026-01-02T00:00:00Z",
            ),
        ),
    )
    saved(store, None, shell, "a")
    (row,) = store.list()
    assert (row.specimen, row.catalogue_number, row.revision) == ("s1", "PMM 7", 1)
    assert (row.name, row.taxa) == ("Tridacna maxima", ("tridacna_maxima",))
    assert (row.level, row.qualifier) == ("species", "cf.")
    assert (row.n_pictures, row.picture) == (2, "p1")
    assert row.region == Box(10, 20.5, 300, 200)
    assert (row.summary, row.stamp) == (None, None)


@pytest.mark.parametrize("odd", ["whole", [1, 2], [0, 0, "a", 5], [0, 0, 0, 10], {}, True])
def test_an_odd_region_of_a_stranger_counts_as_the_whole_picture(store, odd):
    parts = {"exists": True, "frame/f": {"id": "f", "picture": "p", "region": odd}}
    changes = difference(Document("specimen", "s"), {}, parts)
    store.commit(ChangeSet("a", Sentence("plain", {"words": "a"}), changes))
    (row,) = store.list()
    assert (row.picture, row.region) == ("p", None)


def test_the_row_follows_every_change(store):
    saved(store, None, SHELL, "a")
    named = SHELL.with_one(Determination("d", "free_text", name="a strange clam"))
    saved(store, SHELL, named, "b")
    assert store.list()[0].name == "a strange clam"
    saved(store, named, named.without("d").without("f1"), "c")
    (row,) = store.list()
    assert (row.name, row.n_pictures, row.revision) == ("", 0, 3)


@pytest.fixture
def drawer(store):
    """Five shells to be found and sorted."""
    numbers = ("PMM 10", "PMM 9", "", "pmm 2", "Récif 1")
    for n, number in enumerate(numbers):
        shell = Specimen(f"s{n}", label=Label(catalogue_number=number, locality=f"Bay {n}"))
        if n % 2:
            shell = shell.with_one(
                Determination("d", "species", (f"tridacna_{'abcde'[n]}",))
            )
        saved(store, None, shell, str(n))
    return store


def found(store, *args, **more):
    return [row.specimen for row in store.list(Query(*args, **more))]


def test_numbers_sort_as_numbers_and_the_nameless_last(drawer):
    assert found(drawer) == ["s3", "s1", "s0", "s4", "s2"]
    assert found(drawer, order="name")[:2] == ["s1", "s3"]
    assert found(drawer, order="created") == ["s0", "s1", "s2", "s3", "s4"]
    assert found(drawer, order="created", descending=True)[0] == "s4"


def test_the_last_changed_comes_first_when_asked(drawer):
    shell = loaded(drawer, Specimen("s1"))
    saved(drawer, shell, placed(shell, "x", 1), "move")
    assert found(drawer, order="changed", descending=True, limit=1) == ["s1"]


def test_pages_make_up_the_whole_list(drawer):
    pages = [found(drawer, offset=n, limit=2) for n in (0, 2, 4, 6)]
    assert [len(page) for page in pages] == [2, 2, 1, 0]
    assert list(chain(*pages)) == found(drawer)


@pytest.mark.parametrize(
    ("words", "shells"),
    [
        ("PMM", ["s3", "s1", "s0"]),
        ("recif", ["s4"]),
        ("RÉCIF", ["s4"]),
        ("bay pmm 1", ["s1", "s0"]),
        ("tridacna b", ["s1", "s3"]),
        ("%", []),
        ("_", []),
        ("nowhere", []),
        ("x" * 100_000, []),
        ("   ", ["s3", "s1", "s0", "s4", "s2"]),
    ],
)
def test_all_words_must_be_found_whatever_their_capitals(drawer, words, shells):
    assert sorted(found(drawer, words)) == sorted(shells)
    assert drawer.count(Query(words, limit=1)) == len(shells)


def test_the_cache_answers_only_to_its_own_stamp(store):
    saved(store, None, SHELL, "a")
    before = store.latest()
    store.keep_cache(Derived(at(SHELL), STAMP, {"candidates": [1]}, {"scale": True}))
    assert store.cached(at(SHELL), STAMP) == {"candidates": [1]}
    for stale in (replace(STAMP, revision=2), replace(STAMP, tables_hash="x")):
        assert store.cached(at(SHELL), stale) is None
    (row,) = store.list()
    assert (row.summary, row.stamp, row.revision) == ({"scale": True}, STAMP, 1)
    assert store.latest() == before


def test_the_cache_keeps_the_last_value_and_nothing_for_what_is_not_there(store):
    saved(store, None, SHELL, "a")
    later = replace(STAMP, engine="later")
    store.keep_cache(Derived(at(SHELL), STAMP, 1), Derived(at(Specimen("no")), STAMP, 2))
    store.keep_cache(Derived(at(SHELL), later, 3))
    assert store.cached(at(SHELL), STAMP) is None
    assert store.cached(at(SHELL), later) == 3
    assert store.cached(at(Specimen("no")), STAMP) is None


def test_a_copy_holds_everything_with_its_history(store, tmp_path):
    saved(store, None, SHELL, "a")
    saved(store, SHELL, with_number(SHELL, "PMM 8"), "b")
    target = tmp_path / "copy.hingeline"
    store.copy_to(target)
    copy = open_sqlite(target, read_only=True)
    try:
        assert copy.about() == ABOUT
        assert copy.list() == store.list()
        assert copy.history() == store.history()
        assert copy.check() == store.check()
    finally:
        copy.close()
    with pytest.raises(StoreError, match="nothing was overwritten"):
        store.copy_to(target)


def test_a_long_outline_is_kept_to_a_hundredth_of_a_pixel(store):
    outline = tuple(Point(n * 1.23456789, 4000 - n / 7) for n in range(2000))
    traced = SHELL.with_one(Placing("o", "f1", "margin", outline))
    saved(store, None, traced, "a")
    kept = loaded(store, SHELL).placings[0].points
    assert kept == tuple(
        Point(round(x * 100) / 100, round(y * 100) / 100) for x, y in outline
    )
    # Whoever still has the unrounded points at hand goes on without a conflict.
    moved = SHELL.with_one(Placing("o", "f1", "margin", (*outline[:-1], Point(5, 5))))
    saved(store, traced, moved, "b")
    saved(store, loaded(store, SHELL), traced, "c")
    assert [len(past.change_set.changes) for past in store.history(at(SHELL), limit=2)] == [
        1,
        1,
    ]


def test_other_long_parts_are_kept_as_they_are(store):
    raw = {"notes": ["é" * 5000, 0.1234567], "points": "none", "n": [1.0, -0.0, True]}
    changes = (
        Change(at(SHELL), "exists", None, True),
        Change(at(SHELL), "extra", None, raw),
    )
    store.commit(ChangeSet("a", Sentence("plain", {"words": "a"}), changes))
    assert store.load(at(SHELL))[at(SHELL)].parts["extra"] == raw


def test_a_number_that_is_none_is_refused_and_nothing_is_written(store):
    before = store.latest()
    with pytest.raises(DocumentError):
        store.commit(
            ChangeSet("a", Sentence("plain"), (Change(at(SHELL), "x", None, float("nan")),))
        )
    assert store.latest() == before
    assert store.commit(deed(None, SHELL, "a"))


def test_the_check_finds_what_leads_nowhere(store):
    lost = SHELL.with_one(Placing("x", "no frame", "umbo"))
    broken = Document("specimen", "s2")
    changes = (
        *deed(None, lost).changes,
        Change(broken, "exists", None, True),
        Change(broken, "label", None, {"catalogue_number": 5}),
    )
    store.commit(ChangeSet("a", Sentence("plain", {"words": "a"}), changes))
    said = [text(fault) for fault in store.check()]
    assert len(said) == 3
    assert any("picture that is not there" in one for one in said)
    assert any("frame that is not there" in one for one in said)
    assert any("a text" in one for one in said)


def test_the_check_finds_a_part_under_the_id_of_another(store):
    frame = {"id": "f2", "picture": "", "view": "v"}
    changes = difference(at(SHELL), {}, {"exists": True, "frame/f1": frame})
    store.commit(ChangeSet("a", Sentence("plain", {"words": "a"}), changes))
    (fault,) = store.check()
    assert "a frame that is kept under the id of another (f1)" in text(fault)


def test_a_closed_collection_says_so(store):
    store.close()
    for ask in (
        store.about,
        store.list,
        store.latest,
        lambda: store.commit(deed(None, SHELL)),
    ):
        with pytest.raises(StoreError, match="closed"):
            ask()
    store.close()
