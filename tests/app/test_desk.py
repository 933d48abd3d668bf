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
