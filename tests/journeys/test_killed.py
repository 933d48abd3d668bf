"""The window killed at any moment of work: what it said was saved is there."""

import random
import shutil
import sys
from pathlib import Path

import pytest

from landmarks.storage import open_sqlite
from tests.core.killing import PRELOADED, kill_window, processes
from tests.journeys.conftest import DEMO

pytestmark = pytest.mark.journey


@pytest.mark.skipif(sys.platform == "win32", reason="kills and pipes of POSIX systems")
@pytest.mark.parametrize(
    ("kills", "seed"), [(10, 1), pytest.param(50, 2, marks=pytest.mark.long)]
)
@pytest.mark.timeout(1200)
def test_no_step_that_the_window_called_saved_is_lost_by_killing_it(tmp_path, kills, seed):
    """Somebody places, moves, removes, scores, names and takes back without a pause."""
    collection = tmp_path / "drawer.hingeline"
    open_sqlite(collection, create=True).close()
    picture = Path(shutil.copy(DEMO / "fluted-valve-outside.jpg", tmp_path / "shell.jpg"))
    chance, kind = random.Random(seed), processes(*PRELOADED)
    settings = tmp_path / "settings.json"
    saved = sum(
        kill_window(collection, picture, settings, kind, chance) for _ in range(kills)
    )
    assert saved >= kills
