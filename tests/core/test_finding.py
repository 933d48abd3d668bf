"""Conditions typed, written, kept and asked; both stores find the same."""

from contextlib import closing
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from landmarks.changes import Change, ChangeSet, Document, difference, merge, reverse
from landmarks.codec import decode, encode
from landmarks.errors import HingelineError
from landmarks.finding import (
    DATE,
    NUMBER,
    RELATIONS,
    WORDS,
    YES,
    Fact,
    Filter,
    SavedFilter,
    checked_filter,
    fields,
    filter_words,
    fits,
    parse_filter,
    saved_filter_parts,
    saved_filters_of,
    sorting_fields,
    written,
)
from landmarks.observations import Condition
from landmarks.sentences import Sentence, known, text
from landmarks.specimen import (
    Determination,
    Frame,
    Label,
    Observation,
    Specimen,
    Where,
    parts_of,
)
from landmarks.storage import (
    Derived,
    MemoryStore,
    Query,
    Saved,
    Stamp,
    open_sqlite,
    querying,
)
from landmarks.storage.follows import _ENTRIES, ONCE, Follows, _together
from landmarks.storage.listing import FACTS_OF, ROW_OF
from tests import strategies
from tests.core.conftest import ABOUT

USUAL = querying.WIDE, querying.FIRST_PAGES
TODAY = {"tables_hash": "t", "engine": "e"}


# -- the language --------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("typed", "field", "relation", "values"),
    [
        ("shell_length > 80", "shell_length", "more_than", (80.0,)),
        ("shell_length>=80.5mm", "shell_length", "at_least", (80.5,)),
        ("shell_length between 80 and 120 mm", "shell_length", "between", (80.0, 120.0)),
        ("certainty < 60 %", "certainty", "less_than", (0.6,)),
        ("certainty between 20 and 50 %", "certainty", "between", (0.2, 0.5)),
        ("main_folds = 5", "main_folds", "is", (5.0,)),
        ("missing is scale", "missing", "is", ("scale",)),
        ("view lacks hinge_edge", "view", "is_not", ("hinge_edge",)),
        ("view has hinge_edge", "view", "is", ("hinge_edge",)),
        ("region unknown", "region", "unknown", ()),
        ("region is known", "region", "known", ()),
        ("collected after 2026-03", "collected", "more_than", ("2026-03",)),
        ("determiner is 'Ada QUILL'", "determiner", "is", ("ada quill",)),
        ('text contains "Récif, slope"', "text", "contains", ("recif, slope",)),
        ("stale", "stale", "is", ("yes",)),
        ("stale is no", "stale", "is", ("no",)),
    ],
)
def test_what_people_type_is_read(typed, field, relation, values):
    assert parse_filter(typed) == Filter(field, relation, values)


def test_surely_asks_that_the_doubt_does_not_matter():
    assert parse_filter("surely shell_length > 80").surely


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("", "is no condition"),
        ("shell_length", "is no condition"),
        ("shel_length > 3", "nearest is “shell_length”"),
        ("shell_length > many", "is a number, which “many” is not"),
        ("shell_length > 8 cm", "kept in mm"),
        ("shell_length > nan", "is a number"),
        ("shell_length > 1e999", "is a number"),
        ("certainty > 80", "between 0 and 1"),
        ("view > 3", "is a word"),
        ("shell_length contains 8", "is a number and cannot"),
        ("shell_length between 9 and 3", "lower one first"),
        ("shell_length between 9", "two values"),
        ("region is", "needs one value"),
        ("region is ''", "lacks its word"),
        ("region unknown reef", "no value belongs"),
        ("collected after May", "is a date"),
        ("collected = 20260301", "is a date"),
        ("text is reef", "use contains"),
        ("stale is maybe", "yes or no"),
        ("stale unknown", "use is yes or is no"),
        ("surely view is end", "Only numbers"),
    ],
)
def test_what_cannot_be_read_is_one_sentence(typed, said):
    with pytest.raises(HingelineError) as caught:
        parse_filter(typed)
    assert said in str(caught.value)
    assert "{" not in str(caught.value)


words = st.text(
    st.characters(exclude_categories=("Cs", "Cc")) | st.sampled_from("ab \"'“”=<>"),
    max_size=12,
)
numbers = st.floats(-1e6, 1e6).map(lambda number: round(number, 3))
dates = st.dates().map(lambda day: day.isoformat()) | st.sampled_from(["2020", "2021-05"])


@st.composite
def filters(draw):
    """Any condition that makes sense."""
    field = draw(st.sampled_from(sorted(fields())))
    kind = fields()[field].kind
    relation = draw(
        st.sampled_from([one for one, kinds in RELATIONS.items() if kind in kinds])
    )
    one = {
        WORDS: words,
        "text": words,
        DATE: dates,
        NUMBER: numbers,
        YES: st.sampled_from(["yes", "no"]),
    }[kind]
    n = {"between": 2, "known": 0, "unknown": 0}.get(relation, 1)
    values = sorted(draw(one) for _ in range(n))
    surely = kind == NUMBER and draw(st.booleans())
    try:
        return checked_filter(Filter(field, relation, tuple(values), surely))
    except HingelineError:
        return checked_filter(Filter("shell_length", "known"))


@given(filters())
def test_what_is_written_reads_back(one):
    assert parse_filter(written(one)) == one
    assert checked_filter(one) == one
    assert decode(Filter, encode(one)) == one
    assert "{" not in text(filter_words(one)) or "{" in written(one)


def test_every_field_and_relation_has_its_words():
    for one in fields().values():
        assert known(one.name.key), one.key
    for relation in RELATIONS:
        assert known(f"finding.relation.{relation}")
        assert known(f"finding.says.{relation}")


def test_a_value_with_doubt_fits_surely_only_beyond_two_standard_uncertainties():
    length = (Fact("shell_length", number=81.0, sigma=0.6),)
    assert fits(parse_filter("shell_length > 80"), length)
    assert not fits(parse_filter("surely shell_length > 80"), length)
    assert fits(parse_filter("surely shell_length > 79.7"), length)
    one_sided = (Fact("shell_length", number=81.0, sigma=0.0, at_least=True),)
    assert fits(parse_filter("surely shell_length > 80"), one_sided)
    assert not fits(parse_filter("surely shell_length < 90"), one_sided)


def test_missing_is_never_zero():
    assert not fits(parse_filter("byssal_ratio < 0.1"), ())
    assert fits(parse_filter("byssal_ratio = 0"), (Fact("byssal_ratio", number=0.0),))


@pytest.mark.parametrize(
    "odd",
    [
        Filter("taste", "is", ("salty",)),
        Filter("region", "resembles", ("x",)),
        Filter("shell_length", "more_than", ()),
        Filter("shell_length", "more_than", ("many",)),
        Filter("region", "is", ("",)),
    ],
)
def test_no_query_holds_a_condition_that_means_nothing(odd):
    with pytest.raises(HingelineError):
        Query(filters=(odd,))


# -- saved filters -------------------------------------------------------------------------

COLLECTION = Document("collection", ABOUT.id)
MINE = SavedFilter("m", "Mine", (parse_filter("missing is scale"),), order="shell_length")
THEIRS = SavedFilter("t", "Theirs", (parse_filter("stale"),), "reef")


def test_saved_filters_are_parts_that_merge_and_undo(store):
    for one in (MINE, THEIRS):
        changes = difference(COLLECTION, {}, saved_filter_parts(one))
        deed = ChangeSet(one.id, Sentence("plain", {"words": one.name}), changes)
        assert isinstance(store.commit(deed), Saved)
    parts = store.load(COLLECTION)[COLLECTION].parts
    assert saved_filters_of(parts) == (MINE, THEIRS)
    assert store.about() == ABOUT
    undone = reverse(deed, id="undo", person="", at="")
    assert isinstance(store.commit(undone), Saved)
    assert saved_filters_of(store.load(COLLECTION)[COLLECTION].parts) == (MINE,)
    merged = merge({}, saved_filter_parts(MINE), saved_filter_parts(THEIRS))
    assert saved_filters_of(merged.parts) == (MINE, THEIRS)
    assert merged.clashes == ()


# -- stores --------------------------------------------------------------------------------


def specimen(number, **more):
    return Specimen(f"s{number:02}", label=Label(f"PMM {number}"), **more)


SHELLS = (
    specimen(
        1,
        where=Where("halverson_reef", origin="wild", condition=(Condition("worn"),)),
        frames=(Frame("f", "p1", "hinge_edge", part="left_valve"), Frame("g", "p2", "end")),
        observations=(
            Observation("o", "scutes", "wide"),
            Observation("h", "ribs", hidden="worn"),
        ),
        determinations=(
            Determination("d1", "genus", ("hippopus",), at="2020-01-01T00:00:00Z"),
            Determination(
                "d2",
                "species",
                ("tridacna_maxima",),
                qualifier="cf.",
                determiner="Ada Quill",
                at="2024-05-06T07:08:09Z",
            ),
        ),
    ),
    specimen(2, frames=(Frame("f", "p1", "end"),)),
    specimen(3, where=Where("port_maren")),
    specimen(4),
)
LENGTHS = {1: (81.0, 0.6), 2: (120.0, 0.2), 4: (81.0, None)}


def document(one):
    return Document("specimen", one.id)


@pytest.fixture
def drawer(store):
    """Four specimens; what follows is kept of all but the third."""
    for one in SHELLS:
        changes = difference(document(one), {}, parts_of(one))
        store.commit(ChangeSet(one.id, Sentence("plain", {"words": one.id}), changes))
    store.keep_cache(
        *(
            Derived(
                document(one),
                Stamp(1, "t", "e" if n != 4 else "old"),
                {},
                {},
                (
                    Fact("shell_length", number=LENGTHS[n][0], sigma=LENGTHS[n][1]),
                    Fact("certainty", number=n / 5),
                    Fact("missing", "scale"),
                    *((Fact("missing", "name"),) if n > 1 else ()),
                ),
            )
            for n, one in enumerate(SHELLS, 1)
            if n in LENGTHS
        )
    )
    return store


def found(store, *typed, **more):
    query = Query(filters=tuple(map(parse_filter, typed)), **TODAY, **more)
    rows = store.list(query)
    if "limit" not in more and "offset" not in more:
        assert store.count(query) == len(rows)
    return "".join(str(int(row.specimen[1:])) for row in rows)


@pytest.mark.parametrize(
    ("typed", "numbers"),
    [
        ("shell_length > 81", "2"),
        ("shell_length >= 81", "124"),
        ("shell_length between 80 and 90", "14"),
        ("surely shell_length between 80 and 90", "4"),
        ("shell_length unknown", "3"),
        ("shell_length is known", "124"),
        ("shell_length != 81", "23"),
        ("certainty >= 80 %", "4"),
        ("missing is name", "24"),
        ("missing is not name", "13"),
        ("region is halverson_reef", "1"),
        ("region unknown", "24"),
        ("region contains r", "13"),
        ("origin is wild", "1"),
        ("origin unknown", "234"),
        ("condition is worn", "1"),
        ("view has end", "12"),
        ("view lacks end", "34"),
        ("part is left_valve", "1"),
        ("state is scutes/wide", "1"),
        ("state contains ribs", ""),
        ("taxon is tridacna_maxima", "1"),
        ("taxon is hippopus", ""),
        ("name contains maxima", "1"),
        ("level is species", "1"),
        ("qualifier is cf.", "1"),
        ("determiner contains quill", "1"),
        ("determined from 2024-05", "1"),
        ("determined until 2024-05", "1"),
        ("determined until 2024-04", ""),
        ("determined is 2024", "1"),
        ("determined after 2024-05", ""),
        ("number is 'pmm 3'", "3"),
        ("pictures >= 2", "1"),
        ("pictures = 0", "34"),
        ("text contains maxima", "1"),
        ("stale", "34"),
        ("stale is no", "12"),
    ],
)
def test_specimens_are_found_by_anything(drawer, typed, numbers):
    assert found(drawer, typed) == numbers


def test_all_conditions_must_hold(drawer):
    assert found(drawer, "missing is scale", "view has end", "shell_length < 100") == "1"
    assert found(drawer, "view lacks end", "stale", "text contains pmm") == "34"


def test_what_lacks_the_field_comes_last_in_either_direction(drawer):
    assert found(drawer, order="shell_length") == "1423"
    assert found(drawer, order="shell_length", descending=True) == "2413"
    assert found(drawer, order="region") == "1324"
    assert found(drawer, "missing is scale", order="certainty", descending=True) == "421"


@pytest.mark.parametrize("order", ["shell_length", "region", "catalogue_number", "name"])
@pytest.mark.parametrize("descending", [False, True])
def test_pages_neither_repeat_nor_lose_any(drawer, order, descending):
    more = {"order": order, "descending": descending}
    for size in (1, 2, 3):
        pages = [found(drawer, offset=at, limit=size, **more) for at in range(0, 6, size)]
        assert "".join(pages) == found(drawer, **more)


def test_rows_bring_along_what_was_asked_for(drawer):
    query = Query(columns=("shell_length", "view"), limit=1)
    (row,) = drawer.list(query)
    assert row.facts == (
        Fact("view", "end"),
        Fact("view", "hinge_edge"),
        Fact("shell_length", number=81.0, sigma=0.6),
    )
    assert drawer.list(Query(limit=1))[0].facts == ()


def test_the_next_specimen_that_lacks_a_step(drawer):
    query = Query(filters=(parse_filter("missing is name"),))
    follows = {
        after: (row.specimen if (row := drawer.following(query, after)) else None)
        for after in ("", "s01", "s02", "s03", "s04", "never was")
    }
    assert follows == {
        "": "s02",
        "s01": "s02",
        "s02": "s04",
        "s03": "s04",
        "s04": "s02",
        "never was": "s02",
    }
    only = Query(filters=(parse_filter("region is port_maren"),))
    assert drawer.following(only, "s03") is None
    assert drawer.following(only, "s04").specimen == "s03"


@pytest.mark.parametrize(
    "order", ["shell_length", "region", "catalogue_number", "name", "created"]
)
@pytest.mark.parametrize("descending", [False, True])
def test_what_follows_is_what_the_list_shows_next(drawer, order, descending):
    query = Query(order=order, descending=descending)
    ids = [row.specimen for row in drawer.list(query)]
    for here, there in pairwise([*ids, ids[0]]):
        assert drawer.following(query, here).specimen == there


def test_what_was_removed_is_found_by_nothing(drawer):
    one = SHELLS[0]
    gone = difference(document(one), parts_of(one), {})
    drawer.commit(ChangeSet("gone", Sentence("plain", {"words": ""}), gone))
    late = Derived(document(one), Stamp(1, "t", "e"), {}, {}, (Fact("missing", "name"),))
    drawer.keep_cache(late)
    assert found(drawer, "missing is name") == "24"
    assert found(drawer, "missing is not name") == "3"
    assert found(drawer, "view has end") == "2"


def test_recorded_facts_follow_every_deed_and_its_undo(drawer):
    one = SHELLS[2]
    moved = replace(one, where=Where("outer_bank"))
    changes = difference(document(one), parts_of(one), parts_of(moved))
    deed = ChangeSet("move", Sentence("plain", {"words": ""}), changes)
    drawer.commit(deed)
    assert (
        found(drawer, "region is port_maren"),
        found(drawer, "region is outer_bank"),
    ) == (
        "",
        "3",
    )
    drawer.commit(reverse(deed, id="back", person="", at=""))
    assert found(drawer, "region is port_maren") == "3"


def test_taking_the_list_anew_changes_nothing_that_was_right(drawer):
    query = Query(columns=tuple(fields()), order="changed")
    before, latest = drawer.list(query), drawer.latest()
    drawer.relist()
    assert (drawer.list(query), drawer.latest()) == (before, latest)
    assert {fault.key for fault in drawer.check()} == {"store.fault_picture"}


def test_a_changed_picture_makes_stale_what_was_derived_from_it(drawer):
    picture = Document("picture", "p1")
    words = Sentence("plain", {"words": ""})
    new = Change(picture, "exists", None, True)
    drawer.commit(ChangeSet("new", words, (new,)))
    drawer.keep_cache(
        *(
            Derived(document(one), Stamp(1, "t", "e"), {}, {}, (Fact("missing", "scale"),))
            for one in SHELLS
        )
    )
    assert found(drawer, "stale") == ""
    drawer.commit(
        ChangeSet("scale", words, (Change(picture, "camera", None, {"setup": "x"}),))
    )
    assert found(drawer, "stale") == "12"
    assert drawer.cached(document(SHELLS[0]), Stamp(1, "t", "e")) is None


def test_recorded_fields_are_never_taken_from_what_is_derived(drawer):
    odd = (Fact("region", "nowhere"), Fact("no_such_field", "x"), Fact("missing", "scale"))
    drawer.keep_cache(Derived(document(SHELLS[2]), Stamp(1, "t", "e"), {}, {}, odd))
    assert found(drawer, "region is nowhere") == ""
    assert found(drawer, "missing is scale") == "1234"


some_facts = st.lists(
    st.one_of(
        st.builds(
            Fact,
            st.sampled_from(["shell_length", "certainty", "fit"]),
            number=st.sampled_from([0.0, 0.25, 0.5, 1.0, 80.0, 81.0]),
            sigma=st.sampled_from([None, 0.0, 0.5]),
            at_least=st.booleans(),
        ),
        st.builds(
            Fact,
            st.sampled_from(["missing", "leading", "captured"]),
            st.sampled_from(["2020", "2020-05", "scale"]),
        ),
    ),
    max_size=4,
    unique_by=lambda one: one.field,
)
asked = st.sampled_from(
    [
        "shell_length > 80", "shell_length <= 80", "surely shell_length >= 80",
        "surely shell_length < 81", "shell_length between 0 and 80", "shell_length unknown",
        "certainty is 0.5", "certainty != 0.5", "fit known", "missing is scale",
        "missing != scale", "leading contains 20", "captured is 2020", "captured before 2020-05",
        "captured until 2020", "captured after 2020", "stale", "stale is no", "text contains s",
        "region is a", "region unknown", "view lacks end", "text contains zz",
    ]
).map(parse_filter)  # fmt: skip


@settings(max_examples=60)
@given(
    st.lists(
        st.tuples(st.sampled_from(["", "a", "b"]), some_facts, st.sampled_from("et")),
        min_size=1,
        max_size=7,
    ),
    st.lists(asked, max_size=3),
    st.sampled_from(["catalogue_number", "changed", *sorting_fields()]),
    st.booleans(),
    st.sampled_from(["", "s"]),
    st.sampled_from([(0, 1000), (10_000, 1000), (10_000, 0)]),
)
def test_the_file_finds_what_memory_finds(
    tmp_path_factory, rows, conditions, order, descending, words, ways
):
    stores = [
        MemoryStore(ABOUT),
        open_sqlite(
            tmp_path_factory.mktemp("both") / "c.hingeline", create=True, about=ABOUT
        ),
    ]
    query = Query(
        words,
        order,
        descending,
        filters=tuple(conditions),
        tables_hash="t",
        engine="e",
        columns=("shell_length", "missing", "region"),
    )
    answers = []
    try:
        querying.WIDE, querying.FIRST_PAGES = ways
        for store in stores:
            for n, (region, facts, engine) in enumerate(rows):
                one = Specimen(f"s{n}", label=Label(f"s {n % 3}"), where=Where(region))
                changes = difference(document(one), {}, parts_of(one))
                store.commit(ChangeSet(one.id, Sentence("plain", {"words": ""}), changes))
                store.keep_cache(
                    Derived(document(one), Stamp(1, "t", engine), {}, {}, tuple(facts))
                )
            pages = [
                store.list(replace(query, offset=at, limit=2))
                for at in range(0, len(rows), 2)
            ]
            everything = store.list(query)
            assert tuple(row for page in pages for row in page) == everything
            assert store.count(query) == len(everything)
            assert store.ids(query) == tuple(row.specimen for row in everything)
            assert store.ids(replace(query, offset=1, limit=2)) == store.ids(query)[1:3]
            follow = [store.following(query, f"s{n}") for n in range(len(rows) + 1)]
            answers.append((everything, follow))
    finally:
        querying.WIDE, querying.FIRST_PAGES = USUAL
        for store in stores:
            store.close()
    assert answers[0] == answers[1]


@settings(max_examples=25)
@given(strategies.specimens, strategies.specimens)
def test_what_a_change_leaves_to_be_found_is_what_is_found_anew(
    tmp_path_factory, before, after
):
    path = tmp_path_factory.mktemp("anew") / "c.hingeline"
    here, parts = document(before), parts_of(after)
    words = Sentence("plain", {"words": ""})
    with closing(open_sqlite(path, create=True, about=ABOUT)) as store:
        store.commit(ChangeSet("", words, difference(here, {}, parts_of(before))))
        for change in difference(here, parts_of(before), parts):
            # Part by part, so that each kind is listed by itself.
            assert isinstance(store.commit(ChangeSet(change.part, words, (change,))), Saved)
        query = Query(columns=tuple(field for some in FACTS_OF.values() for field in some))
        found = store.list(query)
        store.relist()
        assert store.list(query) == found
        loaded = store.load(here, kinds=("label", "frame"))[here].parts
        assert loaded == {
            part: raw
            for part, raw in store.load(here)[here].parts.items()
            if part.partition("/")[0] in ("exists", "label", "frame")
        }


def test_every_recorded_field_follows_from_one_kind_of_parts():
    told = [field for some in FACTS_OF.values() for field in some]
    recorded = [key for key, one in fields().items() if not one.derived and key != "text"]
    assert sorted(told) == sorted(recorded)


def test_every_entry_of_a_part_that_there_is_once_tells_what_follows_from_it():
    for part in ONCE:
        told = [_together(frozenset((f"{part}.{key}",))) for key in _ENTRIES[part]]
        facts = frozenset().union(*(one.facts for one in told))
        columns = frozenset().union(*(one.columns for one in told))
        assert facts == frozenset(FACTS_OF[part])
        assert columns == frozenset(ROW_OF.get(part, ()))
        assert _together(frozenset((part,))) == Follows(facts, columns)
