"""Which notice is read first, and that the next one comes when it is put away."""

from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtGui import QAccessible

from app.panels import next_band
from app.panels.next_band import NextBand
from app.session import Aspect, Session
from app.session.notices import RULES, Kind, Told, after_another, in_order, is_act
from landmarks.sentences import Sentence, say

KINDS = get_args(Kind)
stacks = st.lists(
    st.builds(
        Told,
        st.integers(0, 9).map(lambda n: Sentence("plain", {"words": str(n)})),
        st.sampled_from(KINDS),
        st.integers(0, 3),
    ),
    max_size=6,
    unique=True,
)


def words(n):
    return Sentence("plain", {"words": n})


@pytest.fixture
def band(qtbot, monkeypatch):
    """A band above no picture at all; ``heard`` is what a screen reader was told."""
    session = Session()
    made = NextBand(session)
    qtbot.addWidget(made)
    made.show()
    made.heard = []
    monkeypatch.setattr(
        next_band,
        "announce",
        lambda _, said, *, at_once: made.heard.append((said, at_once)),
    )
    yield made
    session.opening.close()


def read_all(band):
    """Put one notice away after the other; return their sentences as they came."""
    found = []
    while band._away.isVisibleTo(band):
        found.append(band._shown[2])
        band.put_away()
    return found


def told(band, *notices):
    for sentence, kind in notices:
        band._session.notice(words(sentence), kind)


def test_every_kind_has_a_rule():
    assert tuple(RULES) == KINDS


@given(stacks)
def test_an_order_is_kept_when_one_more_comes_or_one_goes(stack):
    order = in_order(stack)
    assert sorted(map(id, order)) == sorted(map(id, stack))
    assert [one for one in order if one in stack[:-1]] == list(in_order(stack[:-1]))
    left = after_another(stack, deed=True)
    assert [one for one in order if one in left] == list(in_order(left))
    gone = [one for one in order if one not in left]
    assert sum(one.rule.until != "begun" for one in gone) <= 1
    assert all(RULES[one.kind].until != "put_away" for one in gone)
    assert all(one.rule.until != "begun" for one in after_another(stack, deed=False))


@given(stacks)
def test_what_was_asked_for_stands_before_what_was_not(stack):
    asked = [RULES[one.kind].asked for one in in_order(stack)]
    assert asked == sorted(asked, reverse=True)


@pytest.mark.parametrize("refusal", [kind for kind in KINDS if is_act(kind)])
def test_a_refusal_is_read_first_whatever_waits(band, refusal):
    told(band, ("a", "error"), ("b", "caution"), ("c", "news"), ("d", "warning"))
    told(band, ("e", "info"), ("no", refusal))
    assert read_all(band)[0] == "no"


def test_of_one_deed_the_refusal_then_the_caution_then_what_is_done(band):
    told(band, ("copy failed", "warning"), ("done", "info"), ("upgraded", "news"))
    told(band, ("look again", "caution"), ("and here", "caution"), ("not all", "error"))
    assert read_all(band) == [
        "not all", "look again", "and here", "done", "copy failed", "upgraded",
    ]  # fmt: skip


def test_what_is_done_now_stands_before_what_was_wrong_before(band, qtbot):
    told(band, ("not read", "error"), ("only to read", "caution"), ("no copy", "warning"))
    band._session.tell(Aspect.PAST)
    told(band, ("copied", "info"))
    told(band, ("upgraded", "news"))
    assert band._shown[2] == "copied"
    four = say("band.more_notices", n=4)
    assert band.band.accessibleDescription() == f"copied {four}"
    band.resize(558, 100)
    qtbot.waitUntil(lambda: band.band._note.isVisible())
    assert band.band._note.text() == four
    band._session.tell(Aspect.PAST)
    assert read_all(band) == ["not read", "only to read", "no copy", "upgraded"]


def test_each_notice_is_heard_once_and_what_waits_behind_it_too(band):
    told(band, ("a", "error"))
    told(band, ("b", "caution"))
    told(band, ("a", "error"))
    heard = [said.split(": ")[1] for said, _ in band.heard]
    assert heard == ["a", "b", "a"]
    assert [at_once for _, at_once in band.heard] == [True, False, True]
    assert read_all(band) == ["a", "b"]
    assert [said.split(": ")[1] for said, _ in band.heard][3:] == ["b"]


def test_a_screen_reader_is_given_the_words(band, monkeypatch):
    monkeypatch.undo()
    events = []
    monkeypatch.setattr(
        QAccessible, "updateAccessibility", lambda event: events.append(event.message())
    )
    told(band, ("not here", "refused"))
    assert events == [f"{say('band.caution')}: not here"]
