"""Laws of change sets: there and back again, and two people's work side by side."""

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from landmarks.changes import (
    Change,
    ChangeSet,
    Clash,
    Document,
    applied,
    by_document,
    difference,
    merge,
    part_name,
    reverse,
)
from landmarks.errors import ConflictError
from landmarks.geometry import Point
from landmarks.placing import Placing
from landmarks.sentences import Sentence, known, text
from landmarks.specimen import Specimen, parts_of, specimen_of, written
from tests import strategies as some

SPECIMEN = Document("specimen", "s")


@given(some.parts, some.parts)
def test_the_difference_leads_from_before_to_after(before, after):
    assert applied(before, difference(SPECIMEN, before, after)) == after


@given(st.lists(some.parts, min_size=2, max_size=6))
def test_undoing_everything_gives_the_beginning(states):
    deeds = [
        ChangeSet(str(n), Sentence("deed.undo"), difference(SPECIMEN, before, after))
        for n, (before, after) in enumerate(pairwise(states))
    ]
    now = states[-1]
    for deed in reversed(deeds):
        now = applied(now, reverse(deed, id="back", person="", at="").changes)
    assert now == states[0]


@given(some.specimens, some.specimens)
def test_a_specimen_is_changed_and_restored_through_its_parts(one, other):
    other = replace(other, id=one.id)
    changes = difference(SPECIMEN, parts_of(one), parts_of(other))
    there = applied(parts_of(one), changes)
    assert specimen_of(one.id, there) == other
    back = applied(there, [change.reversed() for change in reversed(changes)])
    assert specimen_of(one.id, back) == one


@given(some.parts, some.parts, some.parts)
def test_merging_is_symmetric_where_the_parts_differ(base, mine, theirs):
    one, other = merge(base, mine, theirs), merge(base, theirs, mine)
    clashing = {clash.part for clash in one.clashes}
    assert clashing == {clash.part for clash in other.clashes}
    apart = lambda merged: {k: v for k, v in merged.parts.items() if k not in clashing}  # noqa: E731
    assert apart(one) == apart(other)
    assert one.clashes == tuple(
        Clash(clash.part, clash.base, clash.theirs, clash.mine) for clash in other.clashes
    )


@given(some.parts, some.parts)
def test_work_of_one_side_alone_is_taken_as_it_is(base, mine):
    assert merge(base, mine, base).parts == mine
    assert merge(base, base, mine).parts == mine
    assert merge(base, mine, mine).clashes == ()


@given(some.parts, some.parts, some.parts)
def test_a_clash_is_a_part_that_both_sides_changed_and_differently(base, mine, theirs):
    for clash in merge(base, mine, theirs).clashes:
        assert clash.mine != clash.base
        assert clash.theirs != clash.base
        assert clash.mine != clash.theirs


def test_undo_refuses_where_the_part_moved_on_and_names_it():
    deed = ChangeSet(
        "1", Sentence("deed.undo"), (Change(SPECIMEN, "label", None, {"locality": "reef"}),)
    )
    undo = reverse(deed, id="2", person="", at="")
    with pytest.raises(ConflictError, match="label"):
        applied({"label": {"locality": "lagoon"}}, undo.changes)


def test_undo_is_named_for_what_it_takes_back():
    deed = ChangeSet("1", Sentence("plain", {"words": "move umbo"}), ())
    undo = reverse(deed, id="2", person="p", at="t")
    assert text(undo.deed).lower() == "undo move umbo"
    assert undo.undoes == "1"


def test_changes_are_sorted_by_the_document_they_touch():
    other = Document("picture", "p")
    changes = tuple(Change(one, "label", None, 1) for one in (SPECIMEN, other, SPECIMEN))
    assert {one: len(found) for one, found in by_document(changes).items()} == {
        SPECIMEN: 2,
        other: 1,
    }


def test_a_part_of_a_later_version_has_a_plain_name():
    assert text(part_name("hologram/1")) == "a part of another version"


@given(some.specimens)
def test_every_part_has_a_name_for_people(specimen):
    assert all(known(part_name(part).key) for part in parts_of(specimen))


def test_rows_that_stay_are_neither_written_nor_made_anew():
    first = Placing("p1", "f1", "umbo", (Point(1, 2),))
    other = Placing("p2", "f1", "left_end", (Point(3, 4),))
    specimen = Specimen("s", placings=(first, other))
    parts = parts_of(specimen)
    known = written(specimen, parts)
    moved = replace(specimen, placings=(first, replace(other, points=(Point(5, 6),))))
    after = parts_of(moved, known)
    assert after == parts_of(moved)
    assert after["placing/p1"] is parts["placing/p1"]
    made = specimen_of("s", after, known)
    assert made == moved
    assert made.placings[0] is first
