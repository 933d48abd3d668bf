"""Folders of species tables and label tables, spoilt at random: sentences, never tracebacks."""

import csv
import shutil
import time
from io import StringIO

import pytest
from hypothesis import strategies as st

from landmarks.errors import DocumentError, TablesError
from landmarks.identification import compile_tables
from landmarks.intake.columns import match_columns
from landmarks.intake.labels import parse_label_table
from landmarks.sentences import text
from landmarks.tables import SHIPPED, check_tables, read_tables
from landmarks.tables.reading import fault_sentence
from tests.core.fuzzing import HOSTILE_WORDS, TIMES, often, said

pytestmark = pytest.mark.timeout(1800)

PATIENCE_S = 10.0


@pytest.fixture
def folder(tmp_path):
    made = tmp_path / "tables"
    shutil.copytree(SHIPPED, made)
    return made


def read(folder):
    """Read the tables: whole, or one sentence for the first fault and one for each."""
    begun = time.process_time()
    try:
        compile_tables(read_tables(folder))
    except TablesError as fault:
        said(fault)
        try:
            for one in check_tables(folder)[:50]:
                assert text(fault_sentence(one))
        except TablesError as again:
            said(again)
    assert time.process_time() - begun < PATIENCE_S


@pytest.mark.parametrize("times", [25, pytest.param(1500, marks=pytest.mark.long)])
def test_tables_with_spoilt_cells_are_read_or_every_fault_is_a_sentence(folder, times):
    names = sorted(path.name for path in folder.glob("*.csv"))
    whole = {name: (folder / name).read_text(encoding="utf-8") for name in names}

    @often(times, data=st.data())
    def body(data):
        name = data.draw(st.sampled_from(names))
        rows = list(csv.reader(StringIO(whole[name])))
        for _ in range(data.draw(st.integers(1, 6))):
            row = rows[data.draw(st.integers(0, len(rows) - 1))]
            at = data.draw(st.integers(0, len(row) - 1))
            row[at] = data.draw(st.sampled_from(HOSTILE_WORDS) | st.text(max_size=9))
        written = StringIO()
        try:
            csv.writer(written).writerows(rows)
            (folder / name).write_text(written.getvalue(), encoding="utf-8")
        except (csv.Error, UnicodeEncodeError):
            return
        try:
            read(folder)
        finally:
            (folder / name).write_text(whole[name], encoding="utf-8")


@pytest.mark.parametrize("times", [25, pytest.param(1500, marks=pytest.mark.long)])
def test_tables_with_spoilt_bytes_are_read_or_a_sentence(folder, times):
    names = sorted(path.name for path in folder.iterdir() if path.is_file())
    whole = {name: (folder / name).read_bytes() for name in names}

    @often(times, data=st.data())
    def body(data):
        name = data.draw(st.sampled_from([*names, "guide.toml", "guide.toml"]))
        content = bytearray(whole[name])
        for _ in range(data.draw(st.integers(1, 8))):
            at = data.draw(st.integers(0, len(content)))
            content[at : at + data.draw(st.integers(0, 3))] = data.draw(
                st.binary(max_size=3)
            )
        if data.draw(st.booleans()):
            content = content[: data.draw(st.integers(0, len(content)))]
        (folder / name).write_bytes(content)
        try:
            read(folder)
        finally:
            (folder / name).write_bytes(whole[name])


BOMBS = {
    "guide.toml": {
        "deep": b"a = " + b"[" * 100_000,
        "deep tables": b"[" + b"a." * 100_000 + b"a]",
        "a long number": b"a = " + b"9" * 1_000_000,
        "large": b"# " + b"x" * 30_000_000,
        "many": b"".join(b"k%d = 1\n" % n for n in range(200_000)),
        "wrong size": b"size = [1, 2]\ntitle = {a = 1}\n",
        "wrong number": b'[size]\ncharacter = "shell_length"\nspecies_from_mm = true\n',
        "no number": b'[size]\ncharacter = "shell_length"\nspecies_from_mm = nan\n',
    },
    "cells.csv": {
        "a long word in every row": None,
        "many columns": b",".join(b"c%d" % n for n in range(600_000)) + b"\n",
        "many faulty rows": None,
        "one endless line": b"x" * 4_900_000,
        "only quotes": b'"' * 4_900_000,
    },
}


@pytest.mark.parametrize(
    ("name", "kind"), [(name, kind) for name, kinds in BOMBS.items() for kind in kinds]
)
def test_bombs_of_tables_are_a_sentence_in_time(folder, name, kind):
    content = BOMBS[name][kind]
    if content is None:
        heading, first = (folder / name).read_bytes().splitlines()[:2]
        word = b"z" * 120_000 if kind.startswith("a long") else b"zzzz zzzz"
        row = word + first[first.index(b",") :] + b"\n"
        content = heading + b"\n" + row * (4_900_000 // len(row))
    (folder / name).write_bytes(content)
    read(folder)


def test_a_folder_in_place_of_a_file_is_a_sentence(folder):
    (folder / "taxa.csv").unlink()
    (folder / "taxa.csv").mkdir()
    read(folder)


@pytest.mark.parametrize("times", TIMES)
def test_label_tables_of_any_bytes_are_read_or_a_sentence(times):
    cells = st.sampled_from(HOSTILE_WORDS) | st.text(max_size=6)
    written = st.lists(st.lists(cells, max_size=5), max_size=6).map(
        lambda rows: "\n".join(";".join(row) for row in rows)
    )
    encoded = st.tuples(
        written, st.sampled_from(["utf-8", "utf-16", "cp1252", "utf-8-sig"])
    )

    @often(
        times,
        content=st.binary(max_size=300)
        | encoded.map(lambda pair: pair[0].encode(pair[1], "replace")),
    )
    def body(content):
        try:
            table = parse_label_table(content, "labels.csv")
        except DocumentError as fault:
            said(fault, "labels.csv")
            return
        assert all(len(row) == len(table.header) for row in table.rows)
        matching = match_columns(table.header)
        assert len(matching.targets) == len(table.header)
        for note in table.notes:
            assert text(note)


@pytest.mark.parametrize(
    "content",
    [
        b'"' * 10_000_000,
        b"a,b\n" + b"," * 10_000_000,
        b"a" * 10_000_000,
        b"a;b\n" + b"1;2;3\n" * 100_000,
        b"a\n" + b"\n" * 10_000_000 + b"1",
        ",".join(f"column {n}" for n in range(300_000)).encode() + b"\n1\n",
    ],
    ids=["quotes", "commas", "one word", "long rows", "blank lines", "columns"],
)
def test_bombs_of_label_tables_are_read_or_a_sentence_in_time(content):
    begun = time.process_time()
    try:
        table = parse_label_table(content, "labels.csv")
        match_columns(table.header)
        assert len(table.notes) < 1000
    except DocumentError as fault:
        said(fault)
    assert time.process_time() - begun < PATIENCE_S
