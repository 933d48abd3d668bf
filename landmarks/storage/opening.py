"""Opening a file that may be a stranger's: nothing in it is run, everything is looked at.

Only tables and indexes of our own format are accepted; triggers, views, virtual tables and
generated columns are refused, because they could run whenever the file is read or written.
"""

from __future__ import annotations

import os
import re
import sqlite3
import stat
import sys
from collections.abc import Callable, Sequence
from contextlib import closing, suppress
from pathlib import Path, PurePath
from typing import NamedTuple

from landmarks.errors import NewerFormatError, StoreError
from landmarks.storage.contract import FORMAT

APPLICATION_ID = 0x48696E67
"""Marks a file as ours in its header: the letters ``Hing``."""

CHECKED_AT_ONCE = 64 * 1024 * 1024
"""Bytes up to which the whole structure is verified while opening; above, ``check`` does it
at leisure: a damaged page is found when it is read, and said."""

LONGEST = 128 * 1024 * 1024
"""Bytes of the longest value that is read; a part is a few kilobytes."""

MOUNTS = Path("/proc/self/mounts")
"""Where the kernel of Linux lists what lies where (proc(5), from memory)."""

_REMOTE = 4
_MAGIC = b"SQLite format 3\x00"
_JOURNAL = b"\xd9\xd5\x05\xf9\x20\xa1\x63\xd7"
"""Begins a journal, and ends one that names another file."""
_NETWORK = ("nfs", "nfs4", "cifs", "smb", "smb2", "smb3", "smbfs", "9p", "afs", "ncpfs",
            "fuse.sshfs", "fuse.rclone", "fuse.davfs", "davfs", "ceph", "glusterfs",
            "fuse.glusterfs", "lustre", "webdav", "afpfs")  # fmt: skip
_OBJECTS = "SELECT type, name, sql FROM sqlite_schema"
_RULES = re.compile(r"\b(ON|CHECK|CONFLICT|DEFAULT|COLLATE|GENERATED|AS)\b", re.IGNORECASE)
"""Words of tables that act by themselves; ours have none. A rule such as ON CONFLICT IGNORE
would swallow what was acknowledged."""


OLDEST = (3, 38, 0)
"""The first SQLite with strict tables and with JSON built in (its release notes, from memory)."""


def check_sqlite() -> None:
    """Refuse to work with an SQLite that cannot read our files.

    Raises
    ------
    StoreError
        If Python was built with one that is too old.
    """
    if sqlite3.sqlite_version_info < OLDEST:
        least = ".".join(map(str, OLDEST))
        raise StoreError("store.old_sqlite", found=sqlite3.sqlite_version, least=least)


class Identity(NamedTuple):
    """Which file it is, whatever its name: device and number on it."""

    device: int
    number: int


def identity(path: Path) -> Identity | None:
    """Return which file stands under this path, or None where there is none.

    Raises
    ------
    StoreError
        If that cannot be told: the folder or the drive is out of reach.
    """
    try:
        found = path.stat()
    except (FileNotFoundError, NotADirectoryError):
        return None
    except OSError as fault:
        values = {"file": path.name, "folder": str(path.parent)}
        reason = (fault.strerror or type(fault).__name__).lower()
        raise StoreError("store.out_of_reach", **values, reason=reason) from None
    return Identity(found.st_dev, found.st_ino)


def look_at(path: Path) -> None:
    """Raise a sentence where the path is no database file that may be read.

    Raises
    ------
    StoreError
        If it is missing, a folder, empty, out of reach or something else.
    """
    values = {"file": path.name, "folder": str(path.parent)}
    try:
        mode = path.stat().st_mode
        if stat.S_ISDIR(mode):
            raise StoreError("store.is_folder", **values)
        if not stat.S_ISREG(mode):
            raise StoreError("store.not_a_collection", **values)
        with path.open("rb") as file:
            head = file.read(len(_MAGIC))
    except FileNotFoundError:
        raise StoreError("store.missing", **values) from None
    except PermissionError:
        raise StoreError("store.no_permission", **values) from None
    except NotADirectoryError:
        raise StoreError("store.missing", **values) from None
    except OSError as fault:
        raise StoreError("store.disk_says", **values, reason=fault.strerror or "") from None
    if not head:
        raise StoreError("store.empty", **values)
    if head != _MAGIC:
        raise StoreError("store.not_a_collection", **values)


def connect(
    path: Path, *, read_only: bool, patience_s: float, journal: str = ""
) -> sqlite3.Connection:
    """Return a careful connection to an existing file; it never makes one.

    Parameters
    ----------
    journal
        What :func:`choose_journal` chose. Only ``wal`` is remembered by the file itself.

    Raises
    ------
    StoreError
        If a journal beside it names another file.
    """
    _refuse_journal_of_others(path)
    mode = "mode=ro" if read_only else "mode=rw"
    # To read beside a writer SQLite makes small files of its own. Where the folder does not
    # allow that and no journal lies there, nobody is writing; SQLite needs to be told.
    if read_only and not _may_write(path.parent) and not _beside(path, "-wal").exists():
        mode += "&immutable=1"
    connection = sqlite3.connect(
        f"{path.absolute().as_uri()}?{mode}",
        uri=True,
        timeout=patience_s,
        isolation_level=None,
        check_same_thread=False,
    )
    try:
        connection.setlimit(sqlite3.SQLITE_LIMIT_LENGTH, LONGEST)
        connection.execute("PRAGMA trusted_schema=OFF")
        connection.execute("PRAGMA cell_size_check=ON")
        connection.execute("PRAGMA foreign_keys=ON")
        # As FULL, and a journal that is deleted stays deleted (SQLite, from memory).
        connection.execute("PRAGMA synchronous=EXTRA")
        connection.execute("PRAGMA fullfsync=ON")
        if journal == "truncate":
            connection.execute("PRAGMA journal_mode=TRUNCATE")
    except sqlite3.Error:
        connection.close()
        raise
    return connection


def tidy_up(path: Path) -> None:
    """Remove the small files that reading leaves beside a file, unless others need them.

    Whoever only reads may not remove them; a connection that could write does so when it is
    the last to close, and changes nothing else.
    """
    log = _beside(path, "-wal")
    if not _may_write(path.parent) or not log.exists() or log.stat().st_size:
        return
    with (
        suppress(sqlite3.Error),
        closing(connect(path, read_only=False, patience_s=0)) as last,
    ):
        last.execute(_OBJECTS).fetchall()


def format_of(connection: sqlite3.Connection, path: Path) -> int:
    """Return the format of a collection file.

    Raises
    ------
    StoreError
        If it is another program's database; ``NewerFormatError`` if a later version's.
    """
    values = {"file": path.name, "folder": str(path.parent)}
    if connection.execute("PRAGMA application_id").fetchone()[0] != APPLICATION_ID:
        raise StoreError("store.of_another_program", **values)
    found = int(connection.execute("PRAGMA user_version").fetchone()[0])
    if found > FORMAT:
        raise NewerFormatError("store.newer_format", **values, found=found, known=FORMAT)
    if found < 1:
        raise StoreError("store.damaged", **values)
    return found


def inspect(connection: sqlite3.Connection, path: Path) -> None:
    """Raise a sentence where the file holds anything that is not of our format.

    Raises
    ------
    StoreError
        Naming the trigger, view or table; or saying that the file is damaged.
    """
    from landmarks.storage.schema import METADATA

    values = {"file": path.name, "folder": str(path.parent)}
    indexes = {
        str(index.name): _index_words(str(index.name), table.name, index.columns.keys())
        for table in METADATA.sorted_tables
        for index in table.indexes
    }
    refuse_what_runs(connection, path)
    for kind, name, sql in connection.execute(_OBJECTS):
        if kind == "table" and name in METADATA.tables and _RULES.search(sql):
            raise StoreError("store.foreign_columns", **values, name=name)
        # An index without words of its own is the database's, for the key of a table.
        ours = (
            name in METADATA.tables
            if kind == "table"
            else sql is None or (name in indexes and indexes[name].match(sql) is not None)
        )
        if not ours:
            raise StoreError("store.foreign_object", **values, kind=kind, name=name[:60])
    for table in METADATA.sorted_tables:
        columns = connection.execute(f'PRAGMA table_xinfo("{table.name}")')
        same = {row[1]: row[6] for row in columns} == {one.name: 0 for one in table.columns}
        listed = connection.execute(f'PRAGMA table_list("{table.name}")').fetchone()
        if not (same and listed and listed[5]):  # Strict: a text is a text in every row.
            raise StoreError("store.foreign_columns", **values, name=table.name)
    if path.stat().st_size <= CHECKED_AT_ONCE:
        answer = connection.execute("PRAGMA quick_check(1)").fetchone()
        if not answer or answer[0] != "ok":
            raise StoreError("store.damaged", **values)


def _index_words(name: str, table: str, columns: Sequence[str]) -> re.Pattern[str]:
    """Return how the words of an index of ours read, however they are spaced and quoted."""
    inside = r"\s*,\s*".join(f'"?{column}"?' for column in columns)
    words = rf'\s*CREATE\s+INDEX\s+"?{name}"?\s+ON\s+"?{table}"?\s*\(\s*{inside}\s*\)\s*\Z'
    return re.compile(words, re.IGNORECASE)


def refuse_what_runs(connection: sqlite3.Connection, path: Path) -> None:
    """Raise a sentence for everything in the file that acts by itself, whatever its format.

    Raises
    ------
    StoreError
        Naming the trigger, view or virtual table.
    """
    for kind, name, sql in connection.execute(_OBJECTS):
        virtual = (sql or "").lstrip().upper().startswith("CREATE VIRTUAL")
        if kind not in ("table", "index") or virtual:
            raise StoreError(
                "store.foreign_object",
                file=path.name,
                folder=str(path.parent),
                kind="virtual table" if virtual else kind,
                name=name[:60],
            )


def choose_journal(connection: sqlite3.Connection, path: Path) -> str:
    """Return the journal the file is written with: ``wal``, or ``truncate`` where safer.

    Write-ahead logs need memory shared by everybody who has the file open, which network
    drives do not offer (SQLite, "Write-Ahead Logging", section 1, from memory).
    """
    if not on_network(path):
        answer = connection.execute("PRAGMA journal_mode=WAL").fetchone()
        if answer and answer[0] == "wal":
            return "wal"
    return str(connection.execute("PRAGMA journal_mode=TRUNCATE").fetchone()[0])


def on_network(path: Path) -> bool:
    """Return whether the file lies, as far as can be told, on another machine's drive."""
    where = path.absolute()
    if sys.platform == "win32":
        import ctypes

        return windows_drive_is_far(where, ctypes.windll.kernel32.GetDriveTypeW)
    if sys.platform == "darwin":
        return where.parts[1:2] in (("Volumes",), ("net",))
    return _linux_kind(where.resolve()) in _NETWORK


def windows_drive_is_far(where: PurePath, kind_of: Callable[[str], int]) -> bool:
    """Return whether a path of Windows is a share, or on a drive that stands for one.

    Parameters
    ----------
    kind_of
        ``GetDriveTypeW``; it answers 4 for a remote drive (Windows API, from memory).
    """
    if where.drive.startswith("\\\\"):
        return True
    return kind_of(f"{where.drive}\\") == _REMOTE


def sync_folder(folder: Path) -> None:
    """Make a new or renamed file survive a power cut, where folders can be synced."""
    if os.name == "nt":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _refuse_journal_of_others(path: Path) -> None:
    """Raise a sentence where the journal beside a file ends with the name of another file.

    Such a journal is left by a change of several databases at once, which ours never is.
    SQLite, which follows links first, would remove the file it names, whatever that is, once
    it has played the journal back (SQLite, "Atomic Commit In SQLite", section 5, from
    memory; the removing was tried out with version 3.40.1).
    """
    journal = _beside(path.resolve(), "-journal")
    try:
        with journal.open("rb") as file:
            file.seek(0, os.SEEK_END)
            file.seek(max(file.tell() - len(_JOURNAL), 0))
            names_another = file.read() == _JOURNAL
    except OSError:
        return
    if names_another:
        raise StoreError("store.foreign_journal", file=path.name, journal=journal.name)


def _may_write(folder: Path) -> bool:
    return os.access(folder, os.W_OK, effective_ids=os.access in os.supports_effective_ids)


def _beside(path: Path, ending: str) -> Path:
    return path.with_name(path.name + ending)


def _linux_kind(where: Path) -> str:
    """Return the kind of file system under a path, as the kernel lists it."""
    try:
        mounts = MOUNTS.read_text(encoding="utf-8", errors="replace")
    except OSError:
        return ""
    best, kind = "", ""
    for line in mounts.splitlines():
        words = line.split(" ")
        point = words[1].replace("\\040", " ") if len(words) > 2 else ""
        if point and len(point) >= len(best) and where.is_relative_to(point):
            best, kind = point, words[2]
    return kind
