"""Rolling backups: when they are due, which are kept, and that they are sound."""

import shutil
import sqlite3
import sys
from contextlib import closing
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from landmarks.changes import Change, ChangeSet, Document
from landmarks.collection import About
from landmarks.errors import StoreError
from landmarks.sentences import Sentence, text
from landmarks.storage import MemoryStore, Saved, backups, open_sqlite
from landmarks.storage.backups import back_up, backups_of, folder_of, is_due, to_keep

NOW = datetime(2026, 11, 25, 15, 48, tzinfo=UTC)  # A Wednesday.
SHELL = Document("specimen", "s")


def deed(n):
    exists = (Change(SHELL, "exists", None, True),) if n == 1 else ()
    before = {"remarks": str(n - 1)} if n > 1 else None
    changes = (*exists, Change(SHELL, "label", before, {"remarks": str(n)}))
    return ChangeSet(f"d{n}", Sentence("plain", {"words": ""}), changes)


@pytest.fixture
def store(tmp_path):
    path = tmp_path / "drawers.hingeline"
    with closing(open_sqlite(path, create=True, about=About("c", "drawers"))) as made:
        assert isinstance(made.commit(deed(1)), Saved)
        yield made


def test_a_copy_is_made_beside_the_collection_and_opens(store):
    answer = back_up(store, NOW)
    assert answer.fault is None
    folder = store.path.with_name("drawers.hingeline.backups")
    assert answer.made.path == folder / "2026-11-25T1548Z.hingeline"
    assert list(folder.iterdir()) == [answer.made.path]
    with closing(open_sqlite(answer.made.path, read_only=True)) as copy:
        assert copy.history() == store.history()


def test_none_is_due_without_changes_or_too_soon(store):
    assert back_up(store, NOW).made
    assert back_up(store, NOW + timedelta(hours=1)).made is None
    store.commit(deed(2))
    assert back_up(store, NOW + timedelta(minutes=5)).made is None
    assert back_up(store, NOW + timedelta(minutes=5), always=True).made
    store.commit(deed(3))
    assert back_up(store, NOW + timedelta(minutes=21)).made
    assert len(backups_of(store.path)) == 3


def test_a_clock_set_back_makes_a_copy_due_rather_than_never(store):
    back_up(store, NOW)
    store.commit(deed(2))
    assert is_due(store.path, store.latest(), NOW - timedelta(days=400))


def test_many_copies_within_a_minute_do_not_overwrite_each_other(store):
    made = [back_up(store, NOW, always=True).made for _ in range(4)]
    assert len({one.path for one in made}) == 4
    assert all(one.path.exists() for one in made)


def test_only_what_is_kept_stays_and_other_files_are_left_alone(store):
    folder = folder_of(store.path)
    folder.mkdir()
    mine = folder / "my own copy.hingeline"
    mine.write_text("mine")
    for n in range(40):
        answer = back_up(store, NOW + timedelta(hours=6 * n), always=True)
        assert answer.fault is None
    last = NOW + timedelta(hours=6 * 39)
    times = [one.at for one in backups_of(store.path)]
    assert set(times) == to_keep(times, last)
    assert len(times) < 20
    assert mine.read_text() == "mine"


def test_a_copy_that_is_damaged_is_not_kept_and_costs_no_older_one(store, monkeypatch):
    for n in range(5):
        back_up(store, NOW + timedelta(days=-100 + n), always=True)
    before = backups_of(store.path)

    def cut_short(path):
        copy_whole(store, path)
        with path.open("rb+") as file:
            file.truncate(path.stat().st_size // 2)

    copy_whole = type(store).copy_to
    monkeypatch.setattr(store, "copy_to", cut_short, raising=False)
    answer = back_up(store, NOW, always=True)
    assert answer.made is None
    assert "older ones are kept" in text(answer.fault)
    assert backups_of(store.path) == before


def test_a_full_disk_is_said_and_costs_nothing(store, monkeypatch):
    first = back_up(store, NOW).made

    def full(path):
        path.write_bytes(b"half")
        raise StoreError("store.disk_full", file=path.name, folder="")

    monkeypatch.setattr(store, "copy_to", full, raising=False)
    answer = back_up(store, NOW + timedelta(days=1), always=True)
    assert "too full" in text(answer.fault)
    assert "collection itself is saved" in text(answer.fault)
    assert [one.path for one in backups_of(store.path)] == [first.path]


def test_a_file_in_the_place_of_the_folder_is_said(store):
    folder_of(store.path).write_text("mine")
    answer = back_up(store, NOW)
    assert "is a file" in text(answer.fault)


@pytest.mark.skipif(sys.platform == "win32", reason="folders of POSIX systems")
def test_a_read_only_folder_is_said(store, monkeypatch):
    def refuse(self, *args, **more):
        raise PermissionError(13, "no")

    monkeypatch.setattr("pathlib.Path.mkdir", refuse)
    assert "permission" in text(back_up(store, NOW).fault)


def test_readers_and_writers_go_on_while_a_copy_is_made(store, monkeypatch):
    seen = []

    def slowly(path):
        copy_whole(store, path)
        assert isinstance(store.commit(deed(2)), Saved)
        seen.append(store.load(SHELL)[SHELL].parts["label"])

    copy_whole = type(store).copy_to
    monkeypatch.setattr(store, "copy_to", slowly, raising=False)
    assert back_up(store, NOW).fault is None
    assert seen == [{"remarks": "2"}]


def test_a_writer_does_not_hold_a_copy_up(store):
    with closing(sqlite3.connect(store.path, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        assert back_up(store, NOW).fault is None
        other.execute("ROLLBACK")


def test_what_has_no_file_has_no_backups(tmp_path, store):
    memory = MemoryStore(About("c"))
    assert back_up(memory, NOW) == backups.BackedUp()
    copy = shutil.copy(store.path, tmp_path / "read.hingeline")
    with closing(open_sqlite(copy, read_only=True)) as reader:
        assert back_up(reader, NOW) == backups.BackedUp()
    assert not folder_of(tmp_path / "read.hingeline").exists()


# -- which are kept ------------------------------------------------------------------------


def ago(**more):
    return NOW - timedelta(**more)


def test_the_last_five_are_kept():
    times = [ago(minutes=15 * n) for n in range(20)]
    assert to_keep(times, NOW) == frozenset(times[:5])


def test_one_for_each_day_of_a_week_and_each_week_of_a_month():
    times = [ago(hours=3 * n) for n in range(8 * 90)]
    kept = sorted(to_keep(times, NOW), reverse=True)
    assert kept[:5] == times[:5]
    days = [one.date() for one in kept]
    assert len({one for one in days if one > ago(days=7).date()}) == 7
    # Wednesday: this week and the three before it, from Monday the 2nd.
    assert min(days) == datetime(2026, 11, 8, tzinfo=UTC).date()  # Its last day, a Sunday.
    assert {one.isocalendar()[1] for one in days} == {45, 46, 47, 48}
    assert len(kept) <= 5 + 6 + 3


moments = st.datetimes(datetime(2026, 1, 1), datetime(2026, 12, 31)).map(
    lambda one: one.replace(tzinfo=UTC)
)


@given(st.lists(moments, max_size=30), moments)
def test_keeping_twice_is_keeping_once_and_never_loses_the_newest(times, now):
    kept = to_keep(times, now)
    assert to_keep(kept, now) == kept
    assert kept <= set(times)
    if times:
        assert max(times) in kept
    future = {one for one in times if one > now}
    assert future <= kept
    assert len(kept - future) <= backups.N_LATEST + backups.N_DAYS + backups.N_WEEKS


@given(st.lists(moments, min_size=1, max_size=30))
def test_working_on_from_copy_to_copy_keeps_what_was_promised(times):
    # As it is lived: after each copy the rest is thinned, and what is left must be what
    # thinning all of them at once would have left of days and weeks.
    times = sorted(set(times))
    kept = frozenset()
    for now in times:
        kept = to_keep(kept | {now}, now)
    assert to_keep(times, times[-1]) == kept
