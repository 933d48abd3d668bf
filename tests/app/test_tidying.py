"""Garbage is looked for on the screen thread alone."""

import gc
import weakref
from threading import Thread, current_thread

import pytest

pytest.importorskip("PySide6.QtWidgets")

from PySide6.QtCore import QObject

from app.background import tidying


class Knot:
    """Something that only a look for garbage lets go: it holds itself."""

    def __init__(self):
        self.itself = self


@pytest.fixture
def tidy(qapp):
    was = gc.isenabled()
    gc.collect()
    gc.disable()
    made = tidying.Tidying(qapp)
    yield made
    made.setParent(None)
    made.deleteLater()
    if was:
        gc.enable()


def threads_of_last_words(n_knots):
    """Return the threads that let knots go which a worker makes."""
    threads = []

    def make():
        for _ in range(n_knots):
            weakref.finalize(Knot(), lambda: threads.append(current_thread().name))

    worker = Thread(target=make, name="worker")
    worker.start()
    worker.join()
    return threads


def test_a_worker_lets_nothing_go(tidy, qtbot):
    threads = threads_of_last_words(5000)
    assert threads == []
    qtbot.waitUntil(lambda: len(threads) == 5000, timeout=20_000)
    assert set(threads) == {"MainThread"}


def test_there_is_one_for_the_application(qapp):
    was = gc.isenabled()
    tidying.tidy_here(qapp)
    tidying.tidy_here(qapp)
    found = qapp.findChildren(QObject, "tidying")
    assert len(found) == 1
    assert not gc.isenabled()
    for one in found:
        one.setParent(None)
    if was:
        gc.enable()


def test_everything_is_looked_through_only_once_nobody_makes_much(tidy, monkeypatch):
    looks = []

    def look(phase, about):
        if phase == "stop":
            looks.append(about["generation"])

    monkeypatch.setattr(tidying, "WHOLE_AFTER_S", 0.0)
    gc.collect(0)
    gc.callbacks.append(look)
    try:
        tidy._old = tidying.MIDDLE + 1
        made = [[] for _ in range(tidying.YOUNG + 300)]
        tidy.tidy()
        assert looks == [0], "a worker may be at it"
        tidy.tidy()
        assert looks == [0, 2]
        tidy._old = tidying.MIDDLE + 1
        monkeypatch.setattr(tidying, "WHOLE_AT_LAST_S", 0.0)
        made += [[] for _ in range(tidying.YOUNG + 300)]
        tidy.tidy()
        assert looks == [0, 2, 2], "it is not put off for ever"
    finally:
        gc.callbacks.remove(look)
