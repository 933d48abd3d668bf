"""Older collections are brought to today's format on a copy, whole or not at all."""

import shutil
import sqlite3
from contextlib import closing
from hashlib import sha256

import pytest

from landmarks.changes import ChangeSet, Document, difference
from landmarks.collection import About
from landmarks.errors import StoreError
from landmarks.sentences import Sentence, text
from landmarks.specimen import Label, Specimen, parts_of
from landmarks.storage import open_sqlite, opening, sqlite, upgrade

NOW = opening.FORMAT
LATER = NOW + 2

SHELL = Specimen("s", label=Label("PMM 1", remarks="old words"))


@pytest.fixture
def old(tmp_path):
    """A collection of the format that was today's, with something left in its journal."""
    path = tmp_path / "drawers.hingeline"
    with closing(open_sqlite(path, create=True, about=About("c", "drawers"))) as store:
        changes = difference(Document("specimen", "s"), {}, parts_of(SHELL))
        store.commit(ChangeSet("a", Sentence("plain", {"words": "a"}), changes))
    return path


@pytest.fixture
def today(monkeypatch):
    """Pretend that today's format is two steps away."""

    def rewritten(connection, old, new):
        # The record and its history keep a part in one form: a step rewrites both.
        for table, column in (("parts", "content"), ("changes", "after")):
            connection.execute(
                f"UPDATE {table} SET {column} = replace({column}, ?, ?)", (old, new)
            )

    def second(connection):
        rewritten(connection, "old", "newer")

    def third(connection):
        rewritten(connection, "newer", "newest")

    for module in (opening, sqlite):
        monkeypatch.setattr(module, "FORMAT", LATER)
    monkeypatch.setattr(upgrade, "STEPS", {NOW: second, NOW + 1: third})
    return monkeypatch


def format_of(path):
    with closing(sqlite3.connect(path)) as connection:
        return connection.execute("PRAGMA user_version").fetchone()[0]


def remarks(store):
    document = Document("specimen", "s")
    return store.load(document)[document].parts["label"]["remarks"]


def fingerprint(path):
    return sha256(path.read_bytes()).hexdigest()


def test_there_is_a_step_from_every_older_format():
    assert sorted(upgrade.STEPS) == list(range(1, opening.FORMAT))


def test_an_older_file_is_upgraded_and_kept_as_it_was(old, today):
    with closing(open_sqlite(old)) as store:
        assert remarks(store) == "newest words"
        (note,) = store.notes
        assert f"format {NOW}" in text(note)
        assert f"format {LATER}" in text(note)
        assert store.check() == ()
    kept = old.with_name(f"drawers (format {NOW}).hingeline")
    assert (format_of(old), format_of(kept)) == (LATER, NOW)
    assert sorted(old.parent.iterdir()) == sorted([old, kept])
    today.undo()
    with closing(open_sqlite(kept)) as store:
        assert remarks(store) == "old words"


def test_an_older_backup_is_never_overwritten(old, today):
    taken = old.with_name(f"drawers (format {NOW}).hingeline")
    taken.write_text("mine")
    open_sqlite(old).close()
    assert taken.read_text() == "mine"
    assert old.with_name(f"drawers (format {NOW}, 2).hingeline").exists()


def test_where_it_is_only_read_the_file_stays_as_it_is(old, today):
    before = fingerprint(old)
    with closing(open_sqlite(old, read_only=True)) as store:
        assert remarks(store) == "newest words"
        assert store.path == old
        assert "copy" in text(store.notes[0])
    assert fingerprint(old) == before
    assert list(old.parent.iterdir()) == [old]


@pytest.mark.parametrize("read_only", [False, True])
def test_a_step_that_fails_leaves_the_file_as_it_was(old, today, read_only):
    def fails(connection):
        connection.execute("DELETE FROM parts")
        connection.execute("SELECT nonsense")

    today.setattr(upgrade, "STEPS", {NOW: upgrade.STEPS[NOW], NOW + 1: fails})
    with pytest.raises(StoreError):
        open_sqlite(old, read_only=read_only)
    assert format_of(old) == NOW
    assert list(old.parent.iterdir()) == [old]
    today.undo()
    with closing(open_sqlite(old)) as store:
        assert remarks(store) == "old words"


def test_a_missing_step_is_said(old, today):
    today.setattr(upgrade, "STEPS", {NOW + 1: upgrade.STEPS[NOW + 1]})
    with pytest.raises(StoreError, match=f"no way to format {LATER}"):
        open_sqlite(old)


def test_a_strangers_trigger_does_not_run_during_the_steps(old, today):
    with closing(sqlite3.connect(old)) as connection:
        connection.execute(
            "CREATE TRIGGER t AFTER UPDATE ON parts BEGIN DELETE FROM documents; END"
        )
    with pytest.raises(StoreError, match="trigger"):
        open_sqlite(old)
    assert format_of(old) == NOW


def test_a_file_that_somebody_has_open_is_not_upgraded(old, today):
    with closing(sqlite3.connect(old, isolation_level=None)) as other:
        other.execute("BEGIN")
        other.execute("SELECT count(*) FROM parts").fetchone()
        with pytest.raises(StoreError, match="Another program"):
            open_sqlite(old, patience_s=0.1)
    assert format_of(old) == NOW


def test_what_stands_only_in_the_journal_is_upgraded_too(old, today, tmp_path):
    today.undo()
    crashed = tmp_path / "crashed"
    crashed.mkdir()
    with closing(open_sqlite(old)) as store:
        document = Document("specimen", "s")
        after = {**parts_of(SHELL), "label": {"remarks": "old journal"}}
        changes = difference(document, parts_of(SHELL), after)
        store.commit(ChangeSet("b", Sentence("plain", {"words": "b"}), changes))
        # As a crash leaves it: the last deed stands in the journal alone.
        for path in tmp_path.glob("drawers*"):
            shutil.copy(path, crashed)
    for module in (opening, sqlite):
        today.setattr(module, "FORMAT", NOW + 1)
    step = "UPDATE parts SET content = replace(content, 'old', 'new')"
    today.setattr(upgrade, "STEPS", {NOW: lambda connection: connection.execute(step)})
    with closing(open_sqlite(crashed / old.name)) as store:
        assert remarks(store) == "new journal"
