"""A collection in a file and one in memory: what holds of one holds of the other."""

import pytest

from landmarks.collection import About
from landmarks.storage import MemoryStore, open_sqlite

ABOUT = About("c0ffee", "Port Maren drawers", "2026-01-02T03:04:05Z")


@pytest.fixture(params=["sqlite", "memory"])
def store(request, tmp_path):
    if request.param == "memory":
        made = MemoryStore(ABOUT)
    else:
        made = open_sqlite(tmp_path / "drawers.hingeline", create=True, about=ABOUT)
    yield made
    made.close()
