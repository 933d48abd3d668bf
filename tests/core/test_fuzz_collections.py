"""Collection files spoilt at random or built to harm: sentences, no burst of memory or time."""

import json
import shutil
import sqlite3
import subprocess
import sys
import zlib
from contextlib import closing, suppress
from pathlib import Path

import pytest
from hypothesis import strategies as st

from landmarks.changes import Change, ChangeSet, Document
from landmarks.collection import About
from landmarks.errors import HingelineError, StoreError
from landmarks.sentences import Sentence, text
from landmarks.storage import Query, open_sqlite
from landmarks.storage.whole import changes_of, whole_of
from tests.core.fuzzing import HOSTILE_WORDS, TIMES, hostile_json, often, said, spoilt

pytestmark = pytest.mark.timeout(1800)

ROOT = Path(__file__).parents[2]
SHELL = Document("specimen", "s1")
OUTLINE = {"id": "p1", "landmark": "outline", "frame": "f1", "points": [
    [100 + n, 200 + n / 3] for n in range(900)]}  # fmt: skip
FILE = {"sha256": "0" * 64, "n_bytes": 9, "width": 400, "height": 300}
PARTS = {
    "exists": True,
    "label": {"catalogue_number": "PMM 7", "locality": "Halverson Reef"},
    "frame/f1": {"id": "f1", "picture": "i1", "view": "outside_of_valve"},
    "placing/p1": OUTLINE,
    "observation/o1": {"id": "o1", "character": "main_folds", "value": 5},
    "determination/d1": {"id": "d1", "level": "species", "taxa": ["tridacna_squamosa"]},
}


@pytest.fixture(scope="module")
def content(tmp_path_factory):
    """The bytes of a small whole collection with a packed outline and a history."""
    path = tmp_path_factory.mktemp("whole") / "drawer.hingeline"
    with closing(open_sqlite(path, create=True, about=About("c1", "drawer"))) as store:
        for n, (part, raw) in enumerate(PARTS.items()):
            deed = Sentence("plain", {"words": f"step {n}"})
            store.commit(ChangeSet(f"d{n}", deed, (Change(SHELL, part, None, raw),)))
        picture = Document("picture", "i1")
        there = (
            Change(picture, "exists", None, True),
            Change(picture, "path", None, "a.jpg"),
            Change(picture, "file", None, FILE),
        )
        store.commit(ChangeSet("i", Sentence("plain", {"words": "picture"}), there))
    with closing(sqlite3.connect(path)) as file:
        file.execute("PRAGMA journal_mode=DELETE")
        assert file.execute("SELECT count(*) FROM blobs").fetchone()[0] >= 1
    return path.read_bytes()


def walk(path):
    """Ask a collection everything; each answer is a value or a sentence."""
    try:
        store = open_sqlite(path)
    except HingelineError as fault:
        said(fault)
        return
    with closing(store):
        questions = (
            store.about,
            store.people,
            store.list,
            store.count,
            store.latest,
            store.check,
            store.history,
            lambda: store.list(Query(text="halverson", order="name", limit=2)),
            lambda: store.load(SHELL, Document("picture", "i1")),
            lambda: store.history(SHELL, limit=3),
            lambda: store.since(0),
            lambda: changes_of(whole_of(store)),
            lambda: store.commit(
                ChangeSet("new", Sentence("plain", {"words": "new"}),
                          (Change(SHELL, "extra", None, {"n": 1}),))),
        )  # fmt: skip
        for question in questions:
            try:
                answer = question()
            except HingelineError as fault:
                said(fault)
            else:
                assert answer is not None
        for fault in _faults(store):
            assert text(fault)


def _faults(store):
    try:
        return store.check()
    except HingelineError as fault:
        return (fault.sentence,)


@pytest.mark.parametrize("times", TIMES)
def test_spoilt_bytes_are_a_sentence_or_found_by_the_check(content, tmp_path, times):
    path = tmp_path / "drawer.hingeline"

    @often(times, data=st.data())
    def body(data):
        changed = bytearray(content)
        for _ in range(data.draw(st.integers(1, 6))):
            at = data.draw(st.integers(0, len(changed) - 1))
            new = data.draw(st.binary(min_size=1, max_size=40))
            changed[at : at + len(new)] = new
        if data.draw(st.integers(0, 3)) == 0:
            changed = changed[: data.draw(st.integers(0, len(changed)))]
        for beside in path.parent.glob(f"{path.name}-*"):
            beside.unlink()
        path.write_bytes(changed)
        walk(path)


@pytest.mark.parametrize("times", TIMES)
def test_rows_a_stranger_wrote_are_a_sentence_or_found_by_the_check(
    content, tmp_path, times
):
    """The structure of the file is sound; what stands in it is not."""
    path = tmp_path / "drawer.hingeline"
    path.write_bytes(content)
    with closing(sqlite3.connect(path)) as file:
        tables = [row[0] for row in file.execute(
            "SELECT name FROM sqlite_schema WHERE type = 'table'")]  # fmt: skip
        columns = {
            table: [row[1] for row in file.execute(f"PRAGMA table_info({table})")]
            for table in tables
        }
    places = [(table, column) for table in tables for column in columns[table]]
    values = (
        hostile_json.map(json.dumps)
        | st.sampled_from(HOSTILE_WORDS)
        | st.sampled_from(
            [None, -1, 0, 2**62, 1.5, b"", b"\x78\x9c", "#", "#abc", "[" * 99]
        )
        | st.text(max_size=9)
        | st.binary(max_size=9)
    )

    @often(times, data=st.data())
    def body(data):
        for beside in path.parent.glob(f"{path.name}-*"):
            beside.unlink()
        path.write_bytes(content)
        with closing(sqlite3.connect(path, isolation_level=None)) as file:
            for _ in range(data.draw(st.integers(1, 3))):
                table, column = data.draw(st.sampled_from(places))
                value = data.draw(values)
                if column in ("content", "before", "after") and data.draw(st.booleans()):
                    part = data.draw(st.sampled_from(list(PARTS.values())))
                    value = json.dumps(spoilt(part, data))
                n = data.draw(st.integers(0, 3))
                # A strict table takes only what fits its columns.
                with suppress(sqlite3.Error, OverflowError, UnicodeEncodeError):
                    file.execute(
                        f"UPDATE {table} SET {column} = ? WHERE {column} IN "
                        f"(SELECT {column} FROM {table} LIMIT 1 OFFSET {n})",
                        (value,),
                    )
        walk(path)


def test_what_tables_do_by_themselves_is_refused(content, tmp_path):
    """A rule of a table can swallow what is written, so that it is saved and not there."""
    for number, (was, becomes) in enumerate(
        (
            ('PRIMARY KEY (document, part)', 'PRIMARY KEY (document, part) ON CONFLICT IGNORE'),
            ("content TEXT NOT NULL", "content TEXT NOT NULL DEFAULT 'x'"),
            ("content TEXT NOT NULL", "content TEXT NOT NULL CHECK (length(content) < 9e9)"),
            ("content TEXT NOT NULL", "content TEXT NOT NULL COLLATE NOCASE"),
            ("REFERENCES documents (number)", "REFERENCES documents (number) ON DELETE CASCADE"),
        )
    ):  # fmt: skip
        path = tmp_path / f"{number}.hingeline"
        path.write_bytes(content)
        with closing(sqlite3.connect(path, isolation_level=None)) as file:
            ((sql,),) = file.execute("SELECT sql FROM sqlite_schema WHERE name = 'parts'")
            assert was in sql, sql
            file.execute("PRAGMA writable_schema=ON")
            changed = sql.replace(was, becomes, 1)
            file.execute(
                "UPDATE sqlite_schema SET sql = ? WHERE name = 'parts'", (changed,)
            )
        with pytest.raises(StoreError, match="parts"):
            open_sqlite(path)


@pytest.mark.parametrize(
    "index",
    [
        "CREATE INDEX listing_by_name ON listing (lower(name_key), document)",
        "CREATE UNIQUE INDEX listing_by_name ON listing (level)",
        "CREATE INDEX listing_by_name ON listing (name_key, document) WHERE level = ''",
    ],
)
def test_an_index_of_our_name_with_other_words_is_refused(content, tmp_path, index):
    path = tmp_path / "drawer.hingeline"
    path.write_bytes(content)
    with closing(sqlite3.connect(path, isolation_level=None)) as file:
        file.execute("DROP INDEX listing_by_name")
        file.execute(index)
    with pytest.raises(StoreError, match="listing_by_name"):
        open_sqlite(path)


@pytest.mark.skipif(sys.platform == "win32", reason="limits of POSIX systems")
def test_outlines_that_unpack_to_gigabytes_are_a_sentence_within_little_memory(
    content, tmp_path
):
    path = tmp_path / "drawer.hingeline"
    path.write_bytes(content)
    inside = b'{"part":{"x":"' + b"x" * 15_000_000 + b'"},"steps":null}'
    bomb = zlib.compress(inside, 9)
    with closing(sqlite3.connect(path, isolation_level=None)) as file:
        (number,) = file.execute("SELECT number FROM documents WHERE id = 's1'").fetchone()
        file.execute("BEGIN")
        for n in range(20):
            file.execute("INSERT INTO blobs VALUES (?, ?)", (f"b{n}", bomb))
            file.execute("INSERT INTO parts VALUES (?, ?, ?)", (number, f"x/{n}", f"#b{n}"))
        file.execute("COMMIT")
    assert path.stat().st_size < 1_000_000
    done = subprocess.run(
        [sys.executable, "-c", OPEN_WITHIN.format(path=str(path))],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=100,
    )
    assert done.returncode == 0, done.stderr[-600:]


OPEN_WITHIN = """
import resource
from tests.core.test_fuzz_collections import walk
resource.setrlimit(resource.RLIMIT_AS, (1200 * 2**20, 1200 * 2**20))
walk({path!r})
"""


def test_a_giant_value_is_a_sentence(content, tmp_path):
    path = tmp_path / "drawer.hingeline"
    path.write_bytes(content)
    with closing(sqlite3.connect(path, isolation_level=None)) as file:
        file.execute("UPDATE parts SET content = CAST(zeroblob(150000000) AS TEXT)"
                     " WHERE part = 'label'")  # fmt: skip
    walk(path)


def test_a_whole_collection_beside_its_twin_is_itself(content, tmp_path):
    """The walk that the other tests take finds nothing in a sound file."""
    path = tmp_path / "drawer.hingeline"
    path.write_bytes(content)
    shutil.copy(path, tmp_path / "twin.hingeline")
    with closing(open_sqlite(path)) as store:
        assert store.count() == 1
        assert [fault.key for fault in store.check()] == []
    walk(path)
