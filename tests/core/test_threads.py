"""Threads that give way: they alone, never the process that they work for."""

import os
import sys
import threading
from concurrent.futures import ThreadPoolExecutor

import pytest

from landmarks.threads import GIVES_WAY_BY, give_way

linux = pytest.mark.skipif(sys.platform != "linux", reason="a priority for each thread")


def priority():
    return os.getpriority(os.PRIO_PROCESS, threading.get_native_id())


@linux
def test_a_worker_gives_way_and_those_beside_it_do_not():
    before = priority()
    with ThreadPoolExecutor(1, initializer=give_way) as pool:
        assert pool.submit(priority).result() == max(before, GIVES_WAY_BY)
    with ThreadPoolExecutor(1) as pool:
        assert pool.submit(priority).result() == before


@linux
def test_the_first_thread_never_gives_way():
    before = priority()
    give_way()
    assert priority() == before


def test_where_it_is_not_allowed_nothing_happens(monkeypatch):
    def refuse(*_):
        raise PermissionError

    monkeypatch.setattr(os, "setpriority", refuse, raising=False)
    with ThreadPoolExecutor(1, initializer=give_way) as pool:
        assert pool.submit(lambda: 7).result() == 7
