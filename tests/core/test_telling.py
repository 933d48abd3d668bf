"""A history in words, earlier states given back, both sides of a conflict."""

from dataclasses import replace

import pytest

from landmarks.changes import ChangeSet, Document, difference, restoring
from landmarks.collection import Person
from landmarks.geometry import Point
from landmarks.placing import Placing
from landmarks.sentences import Sentence, text
from landmarks.specimen import (
    Determination,
    Frame,
    Label,
    Observation,
    Specimen,
    Where,
    parts_of,
    specimen_of,
)
from landmarks.storage import Conflict, Saved
from landmarks.storage.telling import history_rows, names_of, sides_of
from landmarks.tables import read_tables

SHELL = Specimen("s1", label=Label("PMM 7", locality="east drawer"))
HERE = Document("specimen", "s1")
STATES = (
    SHELL,
    replace(SHELL, label=Label("PMM 8", locality="east drawer")),
    SHELL.with_one(Frame("f", "p", "hinge_edge", part="left_valve")),
    SHELL.with_one(Placing("u", "f", "umbo", (Point(2811.26, 612),))),
    SHELL.with_one(Placing("u", "f", "umbo", (), reason="worn")),
    SHELL.with_one(Observation("o", "fold_strength", "strong")),
    SHELL.with_one(
        Observation("o", "shell_length", value=152.0, sigma=0.5, unit="mm", sure=False)
    ),
    SHELL.with_one(Determination("d", "species", ("tridacna_maxima",), qualifier="cf.")),
)


def commit(store, before, after, name, **more):
    old, new = (parts_of(one) if one else {} for one in (before, after))
    deed = Sentence("plain", {"words": name})
    return store.commit(ChangeSet(name, deed, difference(HERE, old, new), **more))


@pytest.fixture
def worked(store):
    """One specimen that went through every state, one deed each."""
    before = None
    for n, state in enumerate(STATES):
        at = f"2026-02-03T04:0{n}:00Z"
        assert isinstance(
            commit(store, before, state, f"deed {n}", person="ada", at=at), Saved
        )
        before = state
    return store


def said(worked, names=None):
    rows = history_rows(worked.history(HERE), [Person("ada", "Ada Quill")], names or {})
    return [
        [f"{text(one.what)}: {text(one.before)} > {text(one.after)}" for one in row.changes]
        for row in reversed(rows)
    ]


def test_a_history_says_when_who_and_what(worked):
    row = history_rows(worked.history(HERE, limit=1), [Person("ada", "Ada Quill")])[0]
    assert (row.at, row.who, text(row.deed)) == (
        "2026-02-03T04:07:00Z",
        "Ada Quill",
        "deed 7",
    )
    assert (row.n_documents, row.undoes) == (1, False)


def test_every_change_is_told_before_and_after(worked):
    names = names_of(read_tables())
    told = said(worked, names)
    assert told[1] == ["the label: catalogue number: PMM 7 > catalogue number: PMM 8"]
    assert told[2][0] == "frame, hinge edge: nothing > hinge edge and left valve"
    assert told[3][-1] == "umbo: nothing > at 2811, 612 px"
    assert told[4] == ["umbo: at 2811, 612 px > worn away"]
    assert "Fold strength: nothing > Strong" in told[5]
    assert any("152.0 ± 0.5 mm (unsure)" in one for one in told[6])
    assert "a name: nothing > Tridacna maxima cf." in told[7]


def test_odd_parts_of_a_stranger_are_told_entry_by_entry(store):
    parts = {
        "exists": True,
        "frame/f": {"view": 3},
        "placing/p": ["<img src=x>"],
        "observation/o": {"character": "scutes", "state": ["{0}"]},
        "later/x": 5,
        "label": None,
    }
    changes = difference(
        HERE, {}, {name: raw for name, raw in parts.items() if raw is not None}
    )
    store.commit(ChangeSet("odd", Sentence("plain", {"words": ""}), changes))
    (row,) = history_rows(store.history(HERE))
    words = " | ".join(f"{text(one.what)}: {text(one.after)}" for one in row.changes)
    assert "<img src=x>" in words
    assert "{0}" in words
    assert "a part of another version: 5" in words


def test_every_earlier_state_is_given_back(worked):
    latest = worked.latest()
    for n, state in enumerate(STATES):
        then = worked.as_of(HERE, latest - len(STATES) + 1 + n)
        assert specimen_of("s1", then) == state
    assert worked.as_of(HERE, latest - len(STATES)) == {}
    assert worked.as_of(Document("specimen", "none"), 1) == {}


def test_an_earlier_state_is_restored_as_a_new_step(worked):
    latest, n_deeds = worked.latest(), len(worked.history())
    then = worked.as_of(HERE, latest - 3)
    now = worked.load(HERE)[HERE].parts
    deed = restoring(HERE, now, then, id="back", person="ada", at="", since="yesterday")
    assert isinstance(worked.commit(deed), Saved)
    assert worked.load(HERE)[HERE].parts == then
    assert len(worked.history()) == n_deeds + 1
    assert (
        text(worked.history(limit=1)[0].change_set.deed) == "restore the state of yesterday"
    )
    assert specimen_of("s1", worked.as_of(HERE, latest)) == STATES[-1]


def test_what_was_removed_can_be_brought_back(worked):
    latest = worked.latest()
    commit(worked, STATES[-1], None, "remove")
    assert worked.load(HERE) == {}
    then = worked.as_of(HERE, latest)
    deed = restoring(HERE, {}, then, id="back", person="", at="")
    assert isinstance(worked.commit(deed), Saved)
    assert specimen_of("s1", worked.load(HERE)[HERE].parts) == STATES[-1]


def test_a_clock_set_back_changes_nothing_in_the_order_of_deeds(store):
    commit(store, None, SHELL, "first", at="2026-05-05T00:00:00Z")
    later = replace(SHELL, label=Label("PMM 8"))
    commit(store, SHELL, later, "second", at="2019-01-01T00:00:00Z")
    names = [past.change_set.id for past in store.history()]
    assert names[:2] == ["second", "first"]
    assert [one.id for one in store.since(1)] == ["first", "second"]
    assert specimen_of("s1", store.as_of(HERE, store.latest())) == later
    assert specimen_of("s1", store.as_of(HERE, store.latest() - 1)) == SHELL


def test_a_conflict_shows_both_sides_in_words(store):
    commit(store, None, SHELL, "begin")
    commit(
        store, SHELL, replace(SHELL, where=Where("outer_bank"), label=Label("theirs")), "b"
    )
    mine = replace(SHELL, label=Label("mine", locality="east drawer"))
    answer = commit(store, SHELL, mine, "c")
    assert isinstance(answer, Conflict)
    (side,) = sides_of(answer)
    assert text(side.what) == "the label"
    assert text(side.base) == "catalogue number: PMM 7 and locality: east drawer"
    assert text(side.mine) == "catalogue number: mine and locality: east drawer"
    assert text(side.theirs) == "catalogue number: theirs"


def test_two_who_score_one_character_see_states_and_not_who_they_are(store):
    def scored(state, at):
        return SHELL.with_one(
            Observation("o", "scutes", state, at=at, person=f"person of {at}")
        )

    before = scored("all_over", "2024-09-17T09:00:52Z")
    commit(store, None, before, "begin")
    commit(store, before, scored("absent", "2026-01-01T00:00:00Z"), "b")
    answer = commit(store, before, scored("all_over", "2026-01-02T00:00:00Z"), "c")
    assert isinstance(answer, Conflict)
    (side,) = sides_of(answer)
    told = [text(one) for one in (side.base, side.mine, side.theirs)]
    assert told == ["all over", "all over", "absent"]


def test_long_texts_are_told_from_a_little_before_the_place_where_they_part(store):
    long = "A long account of where it lay, what grew there. " * 5
    commit(store, None, SHELL, "begin")
    theirs = replace(SHELL, label=Label(remarks=f"{long}Theirs ends so."))
    commit(store, SHELL, theirs, "b")
    mine = replace(SHELL, label=Label(remarks=f"{long}Mine ends otherwise."))
    answer = commit(store, SHELL, mine, "c")
    assert isinstance(answer, Conflict)
    (side,) = sides_of(answer)
    assert (
        text(side.mine) == "remarks: …where it lay, what grew there. Mine ends otherwise."
    )
    assert text(side.theirs) == "remarks: …where it lay, what grew there. Theirs ends so."


def test_a_conflict_with_somebody_who_removed_it_says_so(store):
    commit(store, None, SHELL, "begin")
    commit(store, SHELL, None, "remove")
    answer = commit(store, SHELL, replace(SHELL, label=Label("mine")), "c")
    assert isinstance(answer, Conflict)
    sides = {side.part: side for side in sides_of(answer)}
    assert text(sides["exists"].theirs) == "nothing"
    assert text(sides["exists"].mine) == "there"
    assert text(sides["label"].theirs) == "nothing"
