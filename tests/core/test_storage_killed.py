"""Killed at any moment, no acknowledged edit is lost; nothing is acknowledged unsynced."""

import random
import re
import shutil
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

from landmarks.collection import About
from landmarks.storage import open_sqlite
from tests.core.killing import kill_in_core, processes

ROOT = Path(__file__).parents[2]


@pytest.fixture
def collection(tmp_path):
    path = tmp_path / "counted.hingeline"
    open_sqlite(path, create=True, about=About("c", "counted")).close()
    return path


@pytest.mark.skipif(sys.platform == "win32", reason="kills and pipes of POSIX systems")
@pytest.mark.parametrize(
    ("kills", "seed"), [(40, 1), pytest.param(950, 2, marks=pytest.mark.long)]
)
@pytest.mark.timeout(1800)
def test_no_acknowledged_edit_is_lost_by_killing(collection, kills, seed):
    chance = random.Random(seed)
    kind = processes("tests.core.storage_work")
    acknowledged = 0
    for _ in range(kills):
        acknowledged = kill_in_core(collection, kind, chance)
    assert acknowledged >= kills
    with closing(open_sqlite(collection)) as store:
        assert [
            fault for fault in store.check() if fault.key.startswith("store.fault_")
        ] == []
        ids = {past.change_set.id for past in store.history()}
        assert ids >= {f"deed {number}" for number in range(1, acknowledged + 1)}


SYNCS = ("fsync", "fdatasync")
CALL = re.compile(r"^\d+ +(?P<name>\w+)\((?P<fd>\d+)<(?P<path>[^>]*)>(?P<rest>.*)")


@pytest.mark.parametrize("journal", ["wal", "truncate"])
def test_every_acknowledgement_comes_after_a_completed_sync(collection, tmp_path, journal):
    if shutil.which("strace") is None:
        pytest.skip("strace is not installed")
    trace = tmp_path / "trace"
    calls = "trace=write,pwrite64,pwritev,ftruncate,fsync,fdatasync,unlink"
    program = [sys.executable, "-m", "tests.core.storage_work", collection, "20", journal]
    done = subprocess.run(
        ["strace", "-f", "-y", "-e", calls, "-o", trace, *program],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=110,
    )
    if done.returncode and "ptrace" in done.stderr:
        pytest.skip("this machine does not let programs be traced")
    assert done.returncode == 0, done.stderr
    unsynced, written, acknowledged = set(), 0, 0
    for line in trace.read_text(errors="replace").splitlines():
        call = CALL.match(line)
        if f'unlink("{collection}' in line:
            unsynced.add(str(collection.parent))
        if call is None:
            continue
        name, path = call["name"], call["path"]
        of_ours = Path(path).name.startswith(collection.name)
        if name == "write" and call["fd"] == "1":
            assert '"saved ' in line
            assert written, f"acknowledged without a write before: {line}"
            assert not unsynced, f"acknowledged while {unsynced} waits for a sync: {line}"
            written, acknowledged = 0, acknowledged + 1
        elif of_ours and not path.endswith("-shm") and name not in SYNCS:
            unsynced.add(path)
            written += 1
        if name in SYNCS:
            assert line.endswith("= 0"), f"a sync that did not complete: {line}"
            unsynced.discard(path)
    assert acknowledged == 20
