"""Files that are not what they should be, and disks that let one down: a sentence each."""

import os
import shutil
import sqlite3
import subprocess
import sys
import tempfile
from contextlib import closing, contextmanager
from datetime import UTC, datetime
from hashlib import sha256
from pathlib import Path

import pytest

from landmarks.changes import Change, ChangeSet, Document
from landmarks.collection import About
from landmarks.errors import HingelineError, NewerFormatError, StoreError
from landmarks.identification import compile_tables
from landmarks.outputs.inspection import inspect_collection
from landmarks.sentences import Sentence, text
from landmarks.storage import Derived, Saved, Stamp, open_sqlite, opening
from landmarks.storage.backups import back_up, folder_of
from landmarks.storage.contract import FORMAT
from landmarks.storage.deeds import deed_of
from landmarks.storage.faults import told
from landmarks.tables import read_tables

ABOUT = About("c0ffee", "drawers", "2026-01-02T03:04:05Z")
SHELL = Document("specimen", "s1")
GUIDE = compile_tables(read_tables())

posix = pytest.mark.skipif(sys.platform == "win32", reason="files of POSIX systems")


def change(n, before=None, after=None):
    exists = (Change(SHELL, "exists", None, True),) if n == 1 else ()
    changes = (*exists, Change(SHELL, "label", before, after or {"remarks": str(n)}))
    return ChangeSet(f"d{n}", Sentence("plain", {"words": str(n)}), changes)


@pytest.fixture
def collection(tmp_path):
    """A closed collection with one specimen."""
    path = tmp_path / "drawers.hingeline"
    with closing(open_sqlite(path, create=True, about=ABOUT)) as store:
        assert isinstance(store.commit(change(1)), Saved)
    return path


def altered(path, *statements):
    """Change a file as another program might."""
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        for statement in statements:
            connection.execute(statement)


def fingerprint(path):
    return sha256(path.read_bytes()).hexdigest()


def refused(path, words, kind=StoreError, **options):
    """Expect one sentence that names the file, and the file untouched."""
    before = fingerprint(path) if path.is_file() else None
    with pytest.raises(kind, match=words) as caught:
        open_sqlite(path, **options)
    if before:
        assert fingerprint(path) == before
        assert not path.with_name(f"{path.name}-wal").exists()
    assert path.name in str(caught.value)


def sound(path):
    with closing(open_sqlite(path)) as store:
        assert store.check() == ()
        return store.load(SHELL)[SHELL].parts


# -- not a collection ----------------------------------------------------------------------


def test_no_file(tmp_path):
    refused(tmp_path / "none.hingeline", "no collection")
    assert list(tmp_path.iterdir()) == []


def test_a_folder(tmp_path):
    refused(tmp_path, "folder")


def test_an_empty_file(tmp_path):
    path = tmp_path / "empty.hingeline"
    path.touch()
    refused(path, "0 bytes")


@pytest.mark.parametrize(
    "content", [b"x", b"{}", b"\x89PNG\r\n" * 500, b"SQLite format 2\0"]
)
def test_another_kind_of_file(tmp_path, content):
    path = tmp_path / "picture.hingeline"
    path.write_bytes(content)
    refused(path, "not a collection")


def test_the_database_of_another_program(tmp_path):
    path = tmp_path / "mail.db"
    altered(path, "CREATE TABLE mail (id)")
    refused(path, "another program")


@posix
def test_a_pipe_is_not_waited_for(tmp_path):
    path = tmp_path / "pipe"
    os.mkfifo(path)
    refused(path, "not a collection")


def test_a_newer_format(collection):
    altered(collection, f"PRAGMA user_version={FORMAT + 1}")
    refused(collection, "newer version", NewerFormatError)
    refused(collection, "newer version", NewerFormatError, read_only=True)


def test_a_file_cut_short(collection):
    whole = collection.read_bytes()
    collection.write_bytes(whole[: len(whole) // 2])
    refused(collection, "damaged")


@pytest.mark.parametrize("page", range(1, 12))
def test_a_page_overwritten_is_found(collection, page):
    with collection.open("rb+") as file:
        file.seek(page * 4096)
        file.write(b"\xa5" * 4096)
    with pytest.raises(StoreError, match="damaged"):
        open_sqlite(collection)


def test_only_a_header(tmp_path):
    path = tmp_path / "head.hingeline"
    path.write_bytes(b"SQLite format 3\0")
    with pytest.raises(StoreError):
        open_sqlite(path)


# -- a stranger's file ---------------------------------------------------------------------


@pytest.mark.parametrize(
    ("statement", "words"),
    [
        ("CREATE TRIGGER t AFTER INSERT ON parts BEGIN DELETE FROM parts; END", "trigger"),
        ("CREATE VIEW v AS SELECT * FROM parts", "view"),
        ("CREATE VIRTUAL TABLE w USING fts5(x)", "virtual table"),
        ("CREATE TABLE more (x)", "table"),
        ("CREATE INDEX i ON parts (lower(content))", "index"),
        (
            "ALTER TABLE parts ADD COLUMN g TEXT GENERATED ALWAYS AS (upper(part))",
            "not built",
        ),
        ("ALTER TABLE listing ADD COLUMN more TEXT", "not built"),
        ("DROP TABLE cache", "not built"),
    ],
)
def test_what_does_not_belong_in_a_collection_is_refused_by_name(
    collection, statement, words
):
    altered(collection, statement)
    refused(collection, words)
    refused(collection, words, read_only=True)


def test_a_table_that_takes_anything_is_refused(collection):
    altered(
        collection,
        "DROP TABLE cache",
        "CREATE TABLE cache (document, revision, tables_hash, engine, value, summary)",
    )
    refused(collection, "not built")


def test_stored_text_is_held_to_the_limits_of_json(collection):
    altered(collection, f"UPDATE parts SET content = '{'[' * 5000}' WHERE part = 'label'")
    with (
        closing(open_sqlite(collection)) as store,
        pytest.raises(StoreError, match="cannot be read"),
    ):
        store.load(SHELL)


def test_a_packed_part_that_is_damaged_says_so(collection):
    altered(
        collection,
        "INSERT INTO blobs VALUES ('abc', x'789c')",
        "UPDATE parts SET content = '#abc' WHERE part = 'label'",
    )
    with closing(open_sqlite(collection)) as store:
        with pytest.raises(StoreError, match="damaged"):
            store.load(SHELL)
        assert any("outline" in text(fault) for fault in store.check())


def test_a_damaged_row_is_told_by_name_and_hides_no_other_fault(collection):
    """One specimen cannot be read, of one a part went, and an old step is no JSON any more."""
    shells = [Document("specimen", f"s{n}") for n in range(2, 5)]
    with closing(open_sqlite(collection)) as store:
        for one in shells:
            label = {"catalogue_number": f"PM-{one.id}"}
            made = Change(one, "exists", None, True), Change(one, "label", None, label)
            store.commit(ChangeSet(one.id, Sentence("plain", {"words": "x"}), made))
        store.commit(change(5, {"remarks": "1"}))
    part = "(SELECT number FROM documents WHERE id = '{}') AND part = 'label'"
    altered(
        collection,
        f"UPDATE parts SET content = '{{\"a\":' WHERE document = {part.format('s2')}",
        f"DELETE FROM parts WHERE document = {part.format('s3')}",
        f"UPDATE changes SET after = '?' WHERE sequence = 2 AND document = {part.format('s1')}",
    )
    with closing(open_sqlite(collection, read_only=True)) as store:
        found = {one.key: text(one) for one in store.check()}
        inspected = inspect_collection(store, GUIDE)
    assert found.keys() == {
        "store.fault_part", "store.fault_past", "store.fault_step", "store.fault_found"
    }  # fmt: skip
    assert "specimen PM-s2, the label is damaged" in found["store.fault_part"]
    assert "specimen PM-s3, the label is not what" in found["store.fault_past"]
    assert "the label of specimen s1" in found["store.fault_step"]
    assert {one.key for one in inspected.faults} == found.keys()
    assert inspected.n_recomputed == 3, "the others are looked through"


def test_a_packed_part_that_is_gone_says_so(collection):
    altered(collection, "UPDATE parts SET content = '#abc' WHERE part = 'label'")
    with (
        closing(open_sqlite(collection)) as store,
        pytest.raises(StoreError, match="damaged"),
    ):
        store.load(SHELL)


def test_a_list_that_lost_a_row_is_found(collection):
    altered(collection, "DELETE FROM listing")
    with closing(open_sqlite(collection)) as store:
        (fault,) = store.check()
        assert "0 specimens where there are 1" in text(fault)
        store.relist()
        assert store.check() == ()
        assert store.count() == 1


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE listing SET name = 'another'",
        "UPDATE words SET word = 'another' WHERE field = 'number'",
        "DELETE FROM numbers",
        "INSERT INTO words SELECT number, 'view', 'end', 0 FROM documents WHERE id = 's1'",
    ],
)
def test_a_list_that_finds_by_something_else_is_found_and_mended(collection, statement):
    with closing(open_sqlite(collection)) as store:
        label = {"catalogue_number": "PMM 1"}
        assert isinstance(store.commit(change(2, {"remarks": "1"}, label)), Saved)
    altered(collection, statement)
    with closing(open_sqlite(collection)) as store:
        (fault,) = store.check()
        assert "PMM 1" in text(fault)
        store.relist()
        assert store.check() == ()


@pytest.mark.parametrize(
    "raw",
    [
        None,
        [],
        {"key": "deed.no_such", "values": {}},
        {"key": "deed.undo", "values": {}},
        {
            "key": "deed.undo",
            "values": {"deed": {"sentence": {"key": "no.such", "values": {}}}},
        },
        {"key": "plain", "values": {"words": {"number": ["x", None, "", False]}}},
        {"key": "plain", "values": 3},
    ],
)
def test_a_deed_without_words_here_has_a_plain_name(raw):
    assert text(deed_of(raw)) == "a step of another version"


# -- disks and permissions -----------------------------------------------------------------


@contextmanager
def as_somebody_else():
    """Be an ordinary user for a moment where the tests are run by the administrator."""
    if os.geteuid() != 0:
        yield
        return
    os.seteuid(65534)
    try:
        yield
    finally:
        os.seteuid(0)


@pytest.fixture
def shared(collection):
    """The collection in a folder that everybody can reach."""
    folder = Path(tempfile.mkdtemp(prefix="hingeline-shared-"))
    folder.chmod(0o755)
    path = folder / collection.name
    shutil.copy(collection, path)
    path.chmod(0o644)
    yield path
    folder.chmod(0o755)
    shutil.rmtree(folder)


def test_a_database_that_is_too_old_is_named_before_anything_is_touched(
    collection, monkeypatch
):
    before = fingerprint(collection)
    monkeypatch.setattr(sqlite3, "sqlite_version_info", (3, 31, 1))
    monkeypatch.setattr(sqlite3, "sqlite_version", "3.31.1")
    with pytest.raises(StoreError, match=r"SQLite 3\.31\.1; collections need 3\.38\.0"):
        open_sqlite(collection)
    with pytest.raises(StoreError, match="newer Python"):
        open_sqlite(collection.with_name("new.hingeline"), create=True)
    assert fingerprint(collection) == before
    assert not collection.with_name("new.hingeline").exists()


@posix
def test_no_permission_to_read(shared):
    shared.chmod(0o000)
    with as_somebody_else(), pytest.raises(StoreError, match="permission"):
        open_sqlite(shared)


@posix
def test_a_read_only_folder_is_read_and_not_written(shared):
    shared.chmod(0o444)
    shared.parent.chmod(0o555)
    before = fingerprint(shared)
    with as_somebody_else():
        with closing(open_sqlite(shared, read_only=True)) as store:
            assert store.count() == 1
        with pytest.raises(StoreError, match=r"read-only"):
            open_sqlite(shared)
        with pytest.raises(StoreError, match=r"permission|cannot be"):
            open_sqlite(shared.with_name("new.hingeline"), create=True)
    assert fingerprint(shared) == before
    assert list(shared.parent.iterdir()) == [shared]
    # On a card or a share that is mounted read-only SQLite says no more than this.
    fault = sqlite3.OperationalError("unable to open database file")
    fault.sqlite_errorname = "SQLITE_CANTOPEN"
    with as_somebody_else(), pytest.raises(StoreError, match=r"read-only"), told(shared):
        raise fault


def test_reading_only_changes_nothing_and_says_so(collection):
    before = fingerprint(collection)
    with closing(open_sqlite(collection, read_only=True)) as store:
        assert store.read_only
        with pytest.raises(StoreError, match="for reading only"):
            store.commit(change(2, {"remarks": "1"}))
        store.keep_cache(Derived(SHELL, Stamp(1, "", ""), 1))
        assert store.cached(SHELL, Stamp(1, "", "")) is None
    assert fingerprint(collection) == before
    assert list(collection.parent.iterdir()) == [collection]


def test_nothing_is_made_over_another_file_or_without_a_folder(collection, tmp_path):
    refused(collection, "nothing was overwritten", create=True)
    with pytest.raises(StoreError, match="no folder"):
        open_sqlite(tmp_path / "no" / "new.hingeline", create=True)
    assert list(tmp_path.iterdir()) == [collection]


def test_locked_by_another_program(collection):
    with (
        closing(open_sqlite(collection, patience_s=0.1)) as store,
        closing(sqlite3.connect(collection, isolation_level=None)) as other,
    ):
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(StoreError, match="Another program is writing"):
            store.commit(change(2, {"remarks": "1"}))
        assert store.load(SHELL)[SHELL].parts["label"] == {"remarks": "1"}
        other.execute("ROLLBACK")
        assert isinstance(store.commit(change(2, {"remarks": "1"})), Saved)


def test_a_full_disk_costs_nothing_that_was_saved(collection, monkeypatch):
    limit = {"pages": 2**30}

    def connect(path, **options):
        made = connect_freely(path, **options)
        made.execute(f"PRAGMA max_page_count={limit['pages']}")
        return made

    connect_freely = opening.connect
    monkeypatch.setattr(opening, "connect", connect)
    limit["pages"] = 1  # Not below what the file already has: not one page more.
    long = {"remarks": os.urandom(60_000).hex()}
    with closing(open_sqlite(collection)) as store:
        with pytest.raises(StoreError, match="full"):
            store.commit(change(2, {"remarks": "1"}, long))
        assert store.load(SHELL)[SHELL].parts["label"] == {"remarks": "1"}
        assert store.check() == ()
    limit["pages"] = 2**30
    with closing(open_sqlite(collection)) as store:
        assert isinstance(store.commit(change(2, {"remarks": "1"}, long)), Saved)
    assert sound(collection)["label"] == long


@pytest.mark.skipif(sys.platform == "win32", reason="open files cannot be deleted there")
@pytest.mark.parametrize("how", ["deleted", "exchanged", "moved"])
def test_a_file_gone_underneath_is_never_acknowledged_and_can_be_copied(
    collection, tmp_path, how
):
    twin = tmp_path / "twin.hingeline"
    shutil.copy(collection, twin)
    with closing(open_sqlite(collection)) as store:
        assert store.count() == 1
        if how == "deleted":
            collection.unlink()
        elif how == "exchanged":
            twin.replace(collection)
        else:
            collection.rename(tmp_path / "elsewhere.hingeline")
        with pytest.raises(StoreError, match="not saved"):
            store.commit(change(2, {"remarks": "1"}))
        store.copy_to(tmp_path / "rescued.hingeline")
    assert sound(tmp_path / "rescued.hingeline")["label"] == {"remarks": "1"}


def test_network_drives_get_the_safe_journal_and_a_word(collection, monkeypatch):
    monkeypatch.setattr(opening, "on_network", lambda path: True)
    with closing(open_sqlite(collection)) as store:
        assert store.journal == "truncate"
        assert "network drive" in text(store.notes[0])
        assert isinstance(store.commit(change(2, {"remarks": "1"})), Saved)
        beside = {path.name: path.stat().st_size for path in collection.parent.iterdir()}
        assert beside.pop(collection.name)
        assert beside == {f"{collection.name}-journal": 0}
    assert sound(collection)["label"] == {"remarks": "2"}


def test_a_drive_that_refuses_the_write_ahead_log_gets_the_safe_journal(
    collection, monkeypatch
):
    class Refusing(sqlite3.Connection):
        def execute(self, statement, *values):
            if statement == "PRAGMA journal_mode=WAL":
                statement = "PRAGMA journal_mode"
            return super().execute(statement, *values)

    altered(collection, "PRAGMA journal_mode=DELETE")
    with closing(sqlite3.connect(collection, factory=Refusing)) as connection:
        assert opening.choose_journal(connection, collection) == "truncate"


def test_an_ordinary_disk_gets_the_write_ahead_log_synced_in_full(collection):
    with closing(open_sqlite(collection)) as store:
        assert (store.journal, store.notes) == ("wal", ())
    with closing(opening.connect(collection, read_only=False, patience_s=1)) as connection:
        assert connection.execute("PRAGMA synchronous").fetchone() == (
            3,
        )  # As FULL, and more.
        assert connection.execute("PRAGMA trusted_schema").fetchone() == (0,)
        assert connection.execute("PRAGMA journal_mode").fetchone() == ("wal",)


def test_a_newly_made_collection_is_marked_as_ours(collection):
    with closing(sqlite3.connect(collection)) as connection:
        assert connection.execute("PRAGMA application_id").fetchone() == (0x48696E67,)
        assert connection.execute("PRAGMA user_version").fetchone() == (FORMAT,)


def test_a_failed_making_leaves_nothing_behind(tmp_path, monkeypatch):
    def fail(*_):
        raise sqlite3.OperationalError("no")

    monkeypatch.setattr("landmarks.storage.writing.commit", fail)
    with pytest.raises(HingelineError):
        open_sqlite(tmp_path / "new.hingeline", create=True)
    assert list(tmp_path.iterdir()) == []


# -- network drives, as they are told apart ------------------------------------------------


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="mounts of Linux")
@pytest.mark.parametrize(
    ("kind", "far"),
    [
        ("nfs4", True),
        ("cifs", True),
        ("fuse.sshfs", True),
        ("ext4", False),
        ("tmpfs", False),
    ],
)
def test_network_file_systems_are_known_by_their_mounts(tmp_path, monkeypatch, kind, far):
    mounts = (
        "/dev/root / ext4 rw 0 0\n"
        f"server:/drawers {str(tmp_path).replace(' ', chr(92) + '040')} {kind} rw 0 0\n"
        "proc /proc proc rw 0 0\n"
    )
    monkeypatch.setattr(opening, "MOUNTS", tmp_path / "mounts")
    (tmp_path / "mounts").write_text(mounts, encoding="utf-8")
    assert opening.on_network(tmp_path / "a.hingeline") is far
    assert not opening.on_network(Path("/elsewhere/a.hingeline"))


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="mounts of Linux")
def test_a_mount_within_a_network_drive_counts_for_itself(tmp_path, monkeypatch):
    inner = tmp_path / "with a space"
    inner.mkdir()
    mounts = (
        f"server:/x {tmp_path} nfs rw 0 0\n"
        f"/dev/sdb1 {str(inner).replace(' ', chr(92) + '040')} ext4 rw 0 0\n"
    )
    monkeypatch.setattr(opening, "MOUNTS", tmp_path / "mounts")
    (tmp_path / "mounts").write_text(mounts, encoding="utf-8")
    assert opening.on_network(tmp_path / "a.hingeline")
    assert not opening.on_network(inner / "a.hingeline")


@pytest.mark.parametrize(
    ("path", "drive", "far"),
    [
        (r"\\server\share\a.hingeline", 3, True),
        (r"N:\drawers\a.hingeline", 4, True),  # DRIVE_REMOTE (Windows API, from memory).
        (r"C:\drawers\a.hingeline", 3, False),
    ],
)
def test_windows_shares_and_mapped_drives_are_network(path, drive, far):
    from pathlib import PureWindowsPath

    asked = []

    def kind(root):
        asked.append(root)
        return drive

    assert opening.windows_drive_is_far(PureWindowsPath(path), kind) is far
    assert asked == ([] if path.startswith("\\\\") else [path[:3]])


@posix
def test_the_clock_does_not_decide_which_deed_came_last(collection):
    with closing(open_sqlite(collection)) as store:
        early = ChangeSet(
            "early",
            Sentence("plain", {"words": "x"}),
            (Change(SHELL, "label", {"remarks": "1"}, {"remarks": "back"}),),
            at="1999-01-01T00:00:00Z",
        )
        assert isinstance(store.commit(early), Saved)
        assert store.history(limit=1)[0].change_set.id == "early"
        assert store.load(SHELL)[SHELL].parts["label"] == {"remarks": "back"}
    assert sound(collection)["label"] == {"remarks": "back"}


# -- what goes wrong while it is open ------------------------------------------------------


@posix
@pytest.mark.parametrize("used", [False, True])
def test_permission_withdrawn_while_it_is_open_costs_nothing(shared, tmp_path, used):
    if os.geteuid() == 0:
        for path in (shared, shared.parent):
            os.chown(path, 65534, -1)
    with as_somebody_else(), closing(open_sqlite(shared)) as store:
        assert isinstance(store.commit(change(2, {"remarks": "1"})), Saved)
    with as_somebody_else(), closing(open_sqlite(shared)) as store:
        if used:
            assert store.count() == 1
        shared.chmod(0o444)
        shared.parent.chmod(0o555)
        answer = _tried(lambda: store.commit(change(3, {"remarks": "2"})))
        if isinstance(answer, StoreError):
            assert "read-only" in str(answer)
        kept = "2" if isinstance(answer, StoreError) else "3"
        # All that was saved is still at hand, and can be taken elsewhere.
        assert store.load(SHELL)[SHELL].parts["label"] == {"remarks": kept}
        with tempfile.TemporaryDirectory() as elsewhere:
            store.copy_to(Path(elsewhere) / "rescued.hingeline")
            rescued = sound(Path(elsewhere) / "rescued.hingeline")
        assert rescued["label"] == {"remarks": kept}
        shared.parent.chmod(0o755)
        shared.chmod(0o644)
        if kept == "2":
            assert isinstance(store.commit(change(3, {"remarks": "2"})), Saved)
    assert sound(shared)["label"] == {"remarks": "3"}


@posix
def test_a_folder_closed_underneath_is_not_called_a_file_that_is_gone(shared):
    if os.geteuid() == 0:
        for path in (shared, shared.parent):
            os.chown(path, 65534, -1)
    with as_somebody_else(), closing(open_sqlite(shared)) as store:
        shared.parent.chmod(0o000)
        with pytest.raises(StoreError, match=r"out of reach.*permission denied"):
            store.commit(change(2, {"remarks": "1"}))
        shared.parent.chmod(0o755)
        assert isinstance(store.commit(change(2, {"remarks": "1"})), Saved)


def test_a_disk_too_full_to_open_a_collection_is_called_full(collection):
    """What SQLite says there is a fault of the drive; seen on a full tmpfs, 3.40.1."""
    fault = sqlite3.OperationalError("disk I/O error")
    fault.sqlite_errorname = "SQLITE_IOERR_SHMSIZE"
    with (
        pytest.raises(StoreError, match="is full, so it could not be opened"),
        told(collection),
    ):
        raise fault


def _tried(do):
    try:
        return do()
    except StoreError as fault:
        return fault


def test_a_collection_that_turns_read_only_keeps_what_was_saved(collection, monkeypatch):
    class Refusing(sqlite3.Connection):
        refuses = False

        def execute(self, statement, *values):
            if self.refuses and statement.startswith("BEGIN IMMEDIATE"):
                fault = sqlite3.OperationalError("attempt to write a readonly database")
                fault.sqlite_errorname = "SQLITE_READONLY"
                raise fault
            return super().execute(statement, *values)

        def cursor(self, *values):
            made = super().cursor(*values)
            return made if not self.refuses else _Refusing(made)

    class _Refusing:
        def __init__(self, cursor):
            self._cursor = cursor

        def execute(self, statement, *values):
            if statement.startswith("BEGIN IMMEDIATE"):
                fault = sqlite3.OperationalError("attempt to write a readonly database")
                fault.sqlite_errorname = "SQLITE_READONLY"
                raise fault
            return self._cursor.execute(statement, *values)

        def __getattr__(self, name):
            return getattr(self._cursor, name)

    connect_freely = sqlite3.connect

    def connect(*args, **more):
        return connect_freely(*args, **more, factory=Refusing)

    monkeypatch.setattr(opening.sqlite3, "connect", connect)
    with closing(open_sqlite(collection)) as store:
        assert isinstance(store.commit(change(2, {"remarks": "1"})), Saved)
        Refusing.refuses = True
        with pytest.raises(StoreError, match="read-only"):
            store.commit(change(3, {"remarks": "2"}))
        assert store.load(SHELL)[SHELL].parts["label"] == {"remarks": "2"}
        Refusing.refuses = False
        assert isinstance(store.commit(change(3, {"remarks": "2"})), Saved)
    monkeypatch.undo()
    assert sound(collection)["label"] == {"remarks": "3"}


@pytest.fixture
def small_disk(tmp_path):
    """A file system of its own, one mebibyte and a half large."""
    if sys.platform != "linux" or os.geteuid() != 0:
        pytest.skip("only the administrator of a Linux machine may mount one")
    folder = tmp_path / "small"
    folder.mkdir()
    mount = shutil.which("mount")
    made = mount and subprocess.run(
        [mount, "-t", "tmpfs", "-o", "size=1500k", "tmpfs", folder],
        capture_output=True,
        check=False,
    )
    if not mount or made.returncode:
        pytest.skip("no file system can be mounted here")
    yield folder
    subprocess.run([shutil.which("umount"), folder], check=True)


def test_a_disk_that_is_really_full_costs_nothing_that_was_saved(small_disk):
    path = small_disk / "drawers.hingeline"
    said, remarks, n = "", None, 0
    with closing(open_sqlite(path, create=True, about=ABOUT)) as store:
        while not said:
            n += 1
            long = {"remarks": os.urandom(20_000).hex()}
            try:
                assert isinstance(store.commit(change(n, remarks, long)), Saved)
            except StoreError as fault:
                said = str(fault)
            else:
                remarks = long
        assert "full" in said
        assert n > 3
        assert store.load(SHELL)[SHELL].parts["label"] == remarks
        answer = back_up(store, datetime.now(UTC), always=True)
        assert "too full" in text(answer.fault)
    assert list(folder_of(path).iterdir()) == []
    assert sound(path)["label"] == remarks
