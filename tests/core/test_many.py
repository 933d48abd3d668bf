"""Many specimens at once: what they share, and changes that touch only what is said."""

from dataclasses import replace
from itertools import count

from hypothesis import given
from hypothesis import strategies as st

from landmarks.assessment import assess
from landmarks.changes import Document, applied, difference
from landmarks.collection import picture_parts
from landmarks.identification import compile_tables
from landmarks.many import FOR_MANY, LABEL, RIGHTS, Edits, Shared, changes_of
from landmarks.observations import Condition
from landmarks.specimen import (
    Frame,
    Label,
    Observation,
    Specimen,
    Where,
    parts_of,
    specimen_of,
)
from landmarks.tables import read_tables
from tests import strategies

PERSON, AT = "p", "2026-03-01T08:00:00Z"


def ids():
    numbers = count(1)
    return lambda: f"new-{next(numbers)}"


def document(one):
    return Document("specimen", one.id)


def changed(one, edits):
    parts = parts_of(one)
    made = changes_of(document(one), parts, edits, ids())
    return specimen_of(one.id, applied(parts, made))


def shared(*specimens):
    found = Shared()
    for one in specimens:
        found.add(document(one), parts_of(one))
    return found


@given(strategies.specimens)
def test_nothing_is_changed_where_nothing_is_said(one):
    assert changes_of(document(one), parts_of(one), Edits(), ids()) == ()


@given(st.lists(strategies.specimens, min_size=1, max_size=2))
def test_saying_what_all_share_already_changes_nothing(specimens):
    found = shared(*specimens)
    words = {key: one for key, one in found.words.items() if one is not None}
    for one in specimens:
        assert changes_of(document(one), parts_of(one), Edits(words), ids()) == ()


@given(strategies.specimens, strategies.words, st.sampled_from(LABEL))
def test_a_field_is_changed_and_all_others_stay(one, words, key):
    made = changed(one, Edits({key: words}))
    assert made == replace(one, label=replace(one.label, **{key: words}))


@given(st.lists(strategies.specimens, min_size=1, max_size=2), strategies.words)
def test_what_is_changed_for_all_is_shared_by_all(specimens, words):
    made = [changed(one, Edits({"habitat": words, "region": "r"})) for one in specimens]
    found = shared(*made)
    assert (found.words["habitat"], found.words["region"]) == (words, "r")
    assert found.n == len(specimens)


@given(strategies.specimens)
def test_every_change_can_be_taken_back(one):
    parts = parts_of(one)
    edits = Edits({"origin": "farmed"}, (Condition("worn"),), (), "hinge_edge", "c", "s")
    made = changes_of(document(one), parts, edits, ids())
    after = applied(parts, made)
    assert applied(after, [change.reversed() for change in reversed(made)]) == parts
    assert {change.part for change in difference(document(one), parts, after)} == {
        change.part for change in made
    }


def test_a_field_in_which_they_differ_is_several():
    here, there = (Specimen(one, Label(locality=one, habitat="flat")) for one in "ab")
    found = shared(here, there)
    assert found.words["locality"] is None
    assert found.words["habitat"] == "flat"
    assert found.words["collector"] == ""


def test_conditions_are_added_and_taken_away_and_no_others_touched():
    worn, broken = Condition("worn", "umbo"), Condition("broken")
    one = Specimen("a", where=Where("r", condition=(worn,)))
    made = changed(one, Edits(add=(broken, worn), remove=()))
    assert made.where.condition == (worn, broken)
    made = changed(made, Edits(remove=(worn,)))
    assert made.where == Where("r", condition=(broken,))
    found = shared(one, made)
    assert found.conditions == {worn: 1, broken: 1}


def test_a_view_is_taken_away_on_purpose_only():
    frame = Frame("f", "p", "hinge_edge", number=1)
    one = Specimen("s", frames=(frame,))
    assert not Edits().touches_specimens
    assert changed(one, Edits()).frames == (frame,)
    assert changed(one, Edits(view="")).frames == (replace(frame, view=""),)


def test_every_frame_gets_the_view_and_keeps_the_rest():
    frames = (
        Frame("f", "p", ""),
        Frame("g", "q", "hinge_edge", part="left_valve", number=1),
    )
    one = Specimen("a", frames=frames)
    made = changed(one, Edits(view="hinge_edge"))
    assert [frame.view for frame in made.frames] == ["hinge_edge", "hinge_edge"]
    assert made.frames[1] == frames[1]
    changes = changes_of(document(one), parts_of(one), Edits(view="hinge_edge"), ids())
    assert [change.part for change in changes] == ["frame/f"]
    assert shared(one).pictures == {"p": None, "q": None}


def test_a_state_for_many_says_that_nobody_looked_and_is_unsure():
    one = Specimen("a")
    edits = Edits(character="scutes", state="absent", person=PERSON, at=AT)
    (seen,) = changed(one, edits).observations
    assert (seen.method, seen.sure) == (FOR_MANY, False)
    assert (seen.state, seen.person, seen.at) == ("absent", PERSON, AT)


def test_a_state_for_many_never_stands_in_for_what_somebody_saw():
    looked = Observation("o", "scutes", hidden="worn")
    one = Specimen("a", observations=(looked,))
    assert changed(one, Edits(character="scutes", state="absent")) == one
    repeat = replace(looked, occasion="blind repeat")
    other = Specimen("b", observations=(repeat,))
    assert len(changed(other, Edits(character="scutes", state="absent")).observations) == 2


def test_a_state_for_many_weighs_less_than_one_that_was_seen():
    guide = compile_tables(read_tables())
    frame = Frame("f", "p", "outside_of_valve")
    seen = Observation("o", "scutes", "all_over", frame="f")
    looked = assess(Specimen("a", frames=(frame,), observations=(seen,)), {}, guide)
    edits = Edits(character="scutes", state="all_over")
    supposed = assess(changed(Specimen("a", frames=(frame,)), edits), {}, guide)
    first = looked.answer.candidates[0]
    same = next(it for it in supposed.answer.candidates if it.taxon == first.taxon)
    assert same.probability < first.probability


@given(strategies.pictures, strategies.words, st.sampled_from(RIGHTS))
def test_rights_of_a_picture_are_changed_and_nothing_else(picture, words, key):
    here = Document("picture", picture.id)
    parts = picture_parts(picture)
    made = changes_of(here, parts, Edits({key: words, "locality": "x"}), ids())
    after = replace(picture, rights=replace(picture.rights, **{key: words}))
    assert applied(parts, made) == picture_parts(after)


def test_what_was_removed_meanwhile_is_left_alone():
    assert changes_of(Document("specimen", "a"), {}, Edits({"habitat": "x"}), ids()) == ()
