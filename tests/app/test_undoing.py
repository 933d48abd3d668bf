"""What undo and redo go over: a plain value of deeds, with a floor below which all stays."""

from app.session.undoing import Undoing
from landmarks.changes import Change, ChangeSet, Document, reverse
from landmarks.sentences import Sentence

UMBO = Document("specimen", "s1")


def deed(name, after="b"):
    words = Sentence("plain", {"words": name})
    return ChangeSet(name, words, (Change(UMBO, "label", "a", after),), "ann", "2026-01-01")


def taken_back(past, again=False):
    one = (past.undone if again else past.done)[-1]
    back = reverse(one, id=f"back {one.id}", person="ann", at="2026-01-02")
    past.turned(back, one, again=again)
    return back


def test_deeds_go_back_and_forth_under_their_own_names():
    past = Undoing()
    past.add(deed("first"))
    past.add(deed("second"))
    back = taken_back(past)
    assert past.undo_name == deed("first").deed
    assert past.redo_name == deed("second").deed
    assert past.undone[-1].changes == back.changes
    taken_back(past, again=True)
    assert past.undo_name == deed("second").deed
    assert past.redo_name is None


def test_a_new_deed_ends_what_could_be_done_again():
    past = Undoing()
    past.add(deed("first"))
    taken_back(past)
    past.add(deed("other"))
    assert past.redo_name is None
    assert past.undo_name == deed("other").deed


def test_what_lies_below_the_floor_stays_until_it_is_dropped():
    past = Undoing()
    past.add(deed("before"))
    past.raise_floor()
    assert past.undo_name is None
    past.add(deed("in between"))
    assert past.undo_name == deed("in between").deed
    past.let_go(("before",))
    assert past.floor == 0
    assert past.undo_name == deed("in between").deed
    past.drop_floor()
    assert [one.id for one in past.done] == ["in between"]


def test_a_deed_that_was_kept_over_another_takes_that_one_back_too():
    past = Undoing()
    past.add(deed("mine", after="mine"))
    past.rewritten(deed("mine", after="theirs and mine"))
    assert past.done[-1].changes[0].after == "theirs and mine"
