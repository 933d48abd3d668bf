"""The desk: answers come to the screen thread, never in the middle of what asked."""

from concurrent.futures import Future

import pytest

from app.background.desk import Desk
from landmarks.errors import StoreError


@pytest.mark.parametrize("fault", [None, StoreError("store.specimen_gone")])
def test_an_answer_quicker_than_the_asker_still_comes_afterwards(qtbot, monkeypatch, fault):
    desk, came = Desk(), []

    def done_at_once(question):
        future = Future()
        if fault is None:
            future.set_result(question())
        else:
            future.set_exception(fault)
        return future

    monkeypatch.setattr(desk._pool, "submit", done_at_once)
    desk.ask(lambda: 7, came.append, lambda sentence: came.append(sentence.key))
    assert desk.busy
    assert came == []
    qtbot.waitUntil(lambda: not desk.busy)
    assert came == [7 if fault is None else "store.specimen_gone"]
    desk.close()


def test_what_was_put_off_is_asked_before_the_next_question_and_once(qtbot):
    desk, came = Desk(), []

    def ask(what):
        desk.ask(lambda: what, came.append, came.append)

    desk.put_off(lambda: ask("deed"))
    assert not desk.busy
    ask("list")
    desk.put_off(lambda: ask("second deed"))
    desk.put_off(lambda: ask("third deed"))
    qtbot.waitUntil(lambda: len(came) == 4)
    assert came == ["deed", "list", "second deed", "third deed"]
    desk.close()


def test_a_closing_desk_still_asks_what_was_put_off_and_tells_nobody(qapp):
    desk, asked, came = Desk(), [], []
    desk.put_off(lambda: desk.ask(lambda: asked.append("deed"), came.append, came.append))
    desk.close()
    assert asked == ["deed"]
    qapp.processEvents()
    assert (came, desk.busy) == ([], False), "what would be told is gone with the window"
