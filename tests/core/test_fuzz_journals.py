"""Journals that come with a stranger's collection: nothing else is touched, nothing is made up.

SQLite plays back what lies beside a file before anything in it can be looked at.
"""

import sqlite3
import struct
import sys
from contextlib import closing
from dataclasses import dataclass

import pytest
from hypothesis import strategies as st

from landmarks.changes import Change, ChangeSet, Document
from landmarks.collection import About
from landmarks.errors import StoreError
from landmarks.sentences import Sentence
from landmarks.storage import open_sqlite
from tests.core.fuzzing import often
from tests.core.test_fuzz_collections import walk

pytestmark = pytest.mark.timeout(1800)

SHELL = Document("specimen", "s1")
MAGIC = bytes.fromhex("d9d505f920a163d7")
PAGE, SECTOR, NONCE = 4096, 512, 1
FEW = [8, pytest.param(1000, marks=pytest.mark.long)]


@dataclass(frozen=True, slots=True)
class Left:
    """What a program that was killed leaves: a collection, and a journal with more."""

    content: bytes
    ending: str
    journal: bytes


def deed(n, before, after):
    exists = (Change(SHELL, "exists", None, True),) if n == 0 else ()
    label = Change(SHELL, "label", before, after)
    return ChangeSet(f"d{n}", Sentence("plain", {"words": "x"}), (*exists, label))


@pytest.fixture(scope="module")
def log(tmp_path_factory):
    """A collection with a step in its write-ahead log alone."""
    path = tmp_path_factory.mktemp("log") / "a.hingeline"
    with closing(open_sqlite(path, create=True, about=About("c", "drawer"))) as store:
        store.commit(deed(0, None, {"remarks": "first"}))
    with closing(open_sqlite(path)) as store:
        store.commit(deed(1, {"remarks": "first"}, {"remarks": "second"}))
        beside = path.with_name(f"{path.name}-wal").read_bytes()
        assert beside
        return Left(path.read_bytes(), "-wal", beside)


@pytest.fixture(scope="module")
def rollback(log, tmp_path_factory):
    """A collection half written, with the pages as they were before in its journal."""
    path = tmp_path_factory.mktemp("rollback") / "a.hingeline"
    path.write_bytes(log.content)
    with closing(sqlite3.connect(path)) as file:
        file.execute("PRAGMA journal_mode=DELETE")
    content = path.read_bytes()
    return Left(content[:-PAGE] + b"\xa5" * PAGE, "-journal", journal_of(content))


def journal_of(content, other=b""):
    """Return a journal that puts every page back, and names another file if there is one.

    The form is that of "The Rollback Journal" in SQLite's description of its file format,
    from memory; that SQLite reads it is what the tests show.
    """
    pages = [content[at : at + PAGE] for at in range(0, len(content), PAGE)]
    head = MAGIC + struct.pack(">IIIII", len(pages), NONCE, len(pages), SECTOR, PAGE)
    parts = [head.ljust(SECTOR, b"\0")]
    for number, page in enumerate(pages, 1):
        every = sum(page[at] for at in range(PAGE - 200, 0, -200))
        parts.append(struct.pack(">I", number) + page + struct.pack(">I", NONCE + every))
    if other:
        parts.append(struct.pack(">I", 0x40000000 // PAGE + 1) + other)
        parts.append(struct.pack(">II", len(other), sum(other)) + MAGIC)
    return b"".join(parts)


def lay(folder, left, journal):
    """Put a collection and its journal into a folder, with a picture beside them."""
    for old in folder.iterdir():
        old.unlink()
    path = folder / "a.hingeline"
    path.write_bytes(left.content)
    path.with_name(path.name + left.ending).write_bytes(journal)
    (folder / "shell.jpg").write_bytes(b"a picture")
    return path


@pytest.mark.parametrize(("kind", "remarks"), [("log", "second"), ("rollback", "first")])
def test_a_sound_journal_is_played_back(kind, remarks, request, tmp_path):
    left = request.getfixturevalue(kind)
    path = lay(tmp_path, left, left.journal)
    with closing(open_sqlite(path)) as store:
        assert store.load(SHELL)[SHELL].parts["label"] == {"remarks": remarks}
        assert store.check() == ()


@pytest.mark.skipif(sys.platform == "win32", reason="journals name files of POSIX systems")
@pytest.mark.parametrize("linked", [False, True])
@pytest.mark.parametrize("read_only", [False, True])
def test_a_journal_that_names_another_file_removes_nothing(
    rollback, tmp_path, linked, read_only
):
    """Found with this test: SQLite removes the file that such a journal names."""
    folder = tmp_path / "sent"
    folder.mkdir()
    picture = tmp_path / "own.jpg"
    picture.write_bytes(b"a picture of somebody")
    path = lay(folder, rollback, journal_of(rollback.content, bytes(picture)))
    asked = path
    if linked:
        asked = tmp_path / "link.hingeline"
        asked.symlink_to(path)
    with pytest.raises(StoreError, match=r"a\.hingeline-journal beside it names another"):
        open_sqlite(asked, read_only=read_only)
    assert picture.read_bytes() == b"a picture of somebody"
    assert path.read_bytes() == rollback.content, "it was left as it was"


@pytest.mark.parametrize("kind", ["log", "rollback"])
@pytest.mark.parametrize("times", FEW)
def test_a_spoilt_journal_is_a_sentence_or_a_sound_reading(kind, times, request, tmp_path):
    left = request.getfixturevalue(kind)

    @often(times, data=st.data())
    def body(data):
        journal = bytearray(left.journal)
        for _ in range(data.draw(st.integers(1, 6))):
            # Most of a journal are pages: its heads are where it is steered.
            near = st.integers(0, min(64, len(journal) - 1))
            at = data.draw(near | st.integers(0, len(journal) - 1))
            new = data.draw(st.binary(min_size=1, max_size=12))
            journal[at : at + len(new)] = new
        if data.draw(st.integers(0, 2)) == 0:
            journal = journal[: data.draw(st.integers(0, len(journal)))]
        walk(lay(tmp_path, left, bytes(journal)))
        assert (tmp_path / "shell.jpg").read_bytes() == b"a picture"
