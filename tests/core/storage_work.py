"""A process that saves one deed after the other and says so, until somebody kills it.

Run by the tests as a child, or as a program: ``storage_work.py FILE COUNT JOURNAL``.
"""

import os
import sys
from pathlib import Path

from landmarks.changes import Change, ChangeSet, Document
from landmarks.sentences import Sentence
from landmarks.storage import Saved, Store, opening
from landmarks.storage.sqlite import open_sqlite

SHELL, PICTURE = Document("specimen", "s"), Document("picture", "p")
ACKNOWLEDGED = "saved {}\n"


def deed(number: int) -> ChangeSet:
    """Return the deed that counts both documents on by one, or makes them."""
    words = Sentence("plain", {"words": f"count to {number}"})
    begin = tuple(Change(one, "exists", None, True) for one in (SHELL, PICTURE))
    changes = tuple(
        Change(one, part, _part(number - 1), _part(number))
        for one, part in ((SHELL, "extra"), (PICTURE, "extra"))
    )
    return ChangeSet(f"deed {number}", words, (begin if number == 1 else ()) + changes)


def counted(store: Store) -> int:
    """Return how far the collection has counted; both documents must agree."""
    found = store.load(SHELL, PICTURE)
    numbers = {one.parts["extra"]["n"] for one in found.values()}
    assert len(numbers) <= 1
    return numbers.pop() if numbers else 0


def work(path: Path, out: int, count: int = 1_000_000) -> None:
    """Save deeds and acknowledge each on a file handle once it is saved."""
    store = open_sqlite(path)
    begin = counted(store) + 1
    for number in range(begin, begin + count):
        assert isinstance(store.commit(deed(number)), Saved)
        os.write(out, ACKNOWLEDGED.format(number).encode())
    store.close()


def _part(number: int) -> dict[str, object] | None:
    # Long enough that every deed touches several pages of the file.
    return {"n": number, "ballast": f"{number:06d}" * 500} if number else None


if __name__ == "__main__":
    if sys.argv[3] == "truncate":
        opening.on_network = lambda path: True
    work(Path(sys.argv[1]), 1, int(sys.argv[2]))
