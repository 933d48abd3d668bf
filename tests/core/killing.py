"""Killing a process at its work, and reading what it said before it died."""

import multiprocessing
import os
import random
import time
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import Any

from landmarks.storage import open_sqlite
from tests.core import storage_work

PRELOADED = ("app.application", "app.actions", "app.window", "tests.journeys.window_work")
"""What a killed window needs, without a window system being begun."""


def processes(*preloaded: str) -> Any:
    """Return a kind of process that is begun quickly, these modules loaded already."""
    made = multiprocessing.get_context("forkserver")
    made.set_forkserver_preload(list(preloaded))
    return made


def killed(
    kind: Any,
    work: Callable[..., None],
    values: tuple[Any, ...],
    enough: int,
    pause_s: float,
) -> bytes:
    """Begin ``work(*values, handle)``, kill it after ``enough`` lines and a pause.

    Returns
    -------
    All that it said on its handle before it died.
    """
    reading, writing = os.pipe()
    child = kind.Process(target=work, args=(*values, Handle(writing)))
    child.start()
    os.close(writing)
    heard = b""
    with os.fdopen(reading, "rb", buffering=0) as pipe:
        while heard.count(b"\n") < enough:
            more = pipe.read(4096)
            if not more:
                child.join()
                raise AssertionError(f"the child ended by itself ({child.exitcode})")
            heard += more
        time.sleep(pause_s)
        child.kill()
        child.join()
        while more := pipe.read(4096):
            heard += more
    return heard


def kill_in_core(collection: Path, kind: Any, chance: random.Random) -> int:
    """Kill a process that counts a collection on; return how many deeds were acknowledged.

    Every acknowledged deed must be there, whole, and no more than the one after it.
    """
    heard = killed(
        kind, _count, (collection,), chance.randrange(1, 25), chance.uniform(0, 0.006)
    )
    acknowledged = int(heard.split()[-1])
    with closing(open_sqlite(collection)) as store:
        counted = storage_work.counted(store)
        assert acknowledged <= counted <= acknowledged + 1
        assert store.latest() == counted + 1
    return acknowledged


def kill_window(
    collection: Path,
    picture: Path,
    settings: Path,
    kind: Any,
    chance: random.Random,
) -> int:
    """Kill a window that somebody works at; return how many deeds it had acknowledged.

    Every acknowledged deed must be in the history, and what is there must be what the
    history makes of it; structure, contents and references must be sound.
    """
    heard = killed(
        kind,
        _work_at_window,
        (collection, picture, settings, chance.randrange(10**9)),
        chance.randrange(1, 20),
        chance.uniform(0, 0.05),
    )
    said = [line.split() for line in heard.decode().split("\n")[:-1]]
    with closing(open_sqlite(collection)) as store:
        past = store.history()
        saved = {one.change_set.id: one.sequence for one in past}
        for deed, sequence in said:
            assert saved.get(deed) == int(sequence), f"deed {sequence} was acknowledged"
        assert replayed(past) == now(store)
        assert store.check() == ()
    return len(said)


def replayed(past: Any) -> dict[tuple[Any, str], Any]:
    """Return the parts of all documents as their history, newest first, makes them."""
    parts: dict[tuple[Any, str], Any] = {}
    for one in reversed(past):
        for change in one.change_set.changes:
            if change.after is None:
                parts.pop((change.document, change.part), None)
            else:
                parts[change.document, change.part] = change.after
    return parts


def now(store: Any) -> dict[tuple[Any, str], Any]:
    """Return the parts of all documents as they are in a collection."""
    found = {}
    for kind in ("collection", "person", "picture", "specimen"):
        for document, one in store.load(*store.documents(kind)).items():
            found |= {(document, part): value for part, value in one.parts.items()}
    return found


class Handle:
    """A file handle that travels to a child process."""

    def __init__(self, number: int) -> None:
        self.number = number

    def __getstate__(self) -> Any:
        from multiprocessing.reduction import DupFd

        return DupFd(self.number)

    def __setstate__(self, state: Any) -> None:
        self.number = state.detach()


def _count(collection: Path, handle: Handle) -> None:
    storage_work.work(collection, handle.number)


def _work_at_window(
    collection: Path, picture: Path, settings: Path, seed: int, handle: Handle
) -> None:
    from tests.journeys import window_work

    window_work.work(collection, picture, settings, handle.number, seed)
