"""Copies of a collection that are made while working, and which of them are kept.

They lie in a folder beside the collection, ``drawers.hingeline.backups``, each named after
its moment: ``2026-11-25T1548Z.hingeline``. A copy counts only when it was opened and found
sound; only then are older ones let go.
"""

from __future__ import annotations

import os
import re
from collections.abc import Iterable, Mapping
from contextlib import closing, suppress
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from landmarks.errors import HingelineError, StoreError
from landmarks.sentences import Sentence
from landmarks.storage.contract import Store

EVERY = timedelta(minutes=15)
"""Work after which a new copy is due, unless somebody chooses otherwise."""

N_LATEST, N_DAYS, N_WEEKS = 5, 7, 4
"""How many copies are kept: the latest, one for each day, one for each week."""

_ENDING = ".hingeline"
_NAME = re.compile(r"(\d{4}-\d\d-\d\dT\d{4})(\d\d)?Z(?:-\d+)?\.hingeline")


@dataclass(frozen=True, slots=True)
class Backup:
    """One copy that lies beside the collection: where, and of which moment (UTC)."""

    path: Path
    at: datetime


@dataclass(frozen=True, slots=True)
class BackedUp:
    """What became of making a copy.

    Attributes
    ----------
    made
        The new copy, or None where none was due or it failed.
    removed
        Older copies that were let go.
    fault
        Why there is no new copy, or None.
    """

    made: Backup | None = None
    removed: tuple[Path, ...] = ()
    fault: Sentence | None = None


def folder_of(collection: Path) -> Path:
    """Return where the copies of a collection lie."""
    return collection.with_name(f"{collection.name}.backups")


def backups_of(collection: Path) -> tuple[Backup, ...]:
    """Return the copies of a collection, newest first; other files there are left alone."""
    try:
        names = sorted(folder_of(collection).iterdir())
    except OSError:
        return ()
    found = [Backup(path, at) for path in names if (at := _moment(path)) is not None]
    return tuple(sorted(found, key=lambda one: (one.at, one.path.name), reverse=True))


def is_due(
    collection: Path, latest: int, now: datetime, *, every: timedelta = EVERY
) -> bool:
    """Return whether a copy should be made: something changed, and the last one is old.

    A clock that was set back makes a copy due rather than never.

    Parameters
    ----------
    latest
        What ``Store.latest`` says now.
    """
    found = backups_of(collection)
    if not found:
        return True
    age = now - found[0].at
    return (age >= every or age < timedelta(0)) and _latest_in(found[0].path) != latest


def back_up(
    store: Store,
    now: datetime,
    *,
    every: timedelta = EVERY,
    always: bool = False,
) -> BackedUp:
    """Make a copy if one is due, see that it is sound, and let go of what is not kept.

    To be run on a worker: readers and writers go on meanwhile. Nothing is raised: where the
    disk is full or the folder read-only, the answer says so, and older copies stay.

    Parameters
    ----------
    always
        Whether or not one is due.
    """
    path = store.path
    if path is None or store.read_only:
        return BackedUp()
    try:
        latest = store.latest()
        if not always and not is_due(path, latest, now, every=every):
            return BackedUp()
        folder = folder_of(path)
        _make_folder(folder, path)
        target = _free_name(folder, now)
        try:
            store.copy_to(target)
            _look_through(target)
        except BaseException:
            # Half a copy, or one that cannot be read, helps nobody.
            with suppress(OSError):
                target.unlink(missing_ok=True)
            raise
    except HingelineError as fault:
        values = {"file": path.name, "fault": fault.sentence}
        full = fault.sentence.key == "store.disk_full"
        key = "backup.disk_full" if full else "backup.failed"
        return BackedUp(fault=Sentence(key, values))
    moment = _moment(target) or now
    return BackedUp(Backup(target, moment), _let_go(path, now))


def to_keep(times: Iterable[datetime], now: datetime) -> frozenset[datetime]:
    """Return which moments are kept: the latest, the last of each day and of each week.

    The days are those before today, the weeks (Monday to Sunday, UTC) those before this
    one, each as far back as :data:`N_DAYS` and :data:`N_WEEKS` say. Moments that lie in the
    future - a clock was wrong - are kept, since nobody knows how old they are.
    """
    moments = sorted(set(times), reverse=True)
    past = [one for one in moments if one <= now]
    kept = {one for one in moments if one > now} | set(past[:N_LATEST])
    days: dict[date, datetime] = {}
    weeks: dict[tuple[int, int], datetime] = {}
    for one in past:
        day = one.astimezone(UTC).date()
        days.setdefault(day, one)
        weeks.setdefault(day.isocalendar()[:2], one)
    today = now.astimezone(UTC).date()
    first_day = today - timedelta(days=N_DAYS - 1)
    first_week = today - timedelta(weeks=N_WEEKS - 1, days=today.weekday())
    kept |= {one for day, one in days.items() if day >= first_day}
    kept |= {one for one in weeks.values() if one.astimezone(UTC).date() >= first_week}
    return frozenset(kept)


def _let_go(collection: Path, now: datetime) -> tuple[Path, ...]:
    found = backups_of(collection)
    kept = to_keep((one.at for one in found), now)
    removed = []
    for one in found:
        if one.at not in kept:
            with suppress(OSError):  # It is only one copy too many.
                one.path.unlink()
                removed.append(one.path)
    return tuple(removed)


def _look_through(path: Path) -> None:
    """Raise a sentence where a copy cannot be opened, is damaged, or holds no collection."""
    import sqlite3

    from landmarks.storage.opening import connect
    from landmarks.storage.sqlite import open_sqlite

    with closing(open_sqlite(path, read_only=True)) as copy:
        copy.about()
        copy.latest()
    try:
        with closing(connect(path, read_only=True, patience_s=1.0)) as raw:
            answer = raw.execute("PRAGMA quick_check(1)").fetchone()
    except sqlite3.Error:
        answer = None
    if not answer or answer[0] != "ok":
        raise StoreError("store.damaged", file=path.name, folder=str(path.parent))


def _latest_in(path: Path) -> int | None:
    from landmarks.storage.sqlite import open_sqlite

    try:
        with closing(open_sqlite(path, read_only=True)) as copy:
            return copy.latest()
    except HingelineError:
        return None


def _make_folder(folder: Path, collection: Path) -> None:
    values: Mapping[str, str] = {"file": folder.name, "folder": str(collection.parent)}
    try:
        folder.mkdir(exist_ok=True)
    except FileExistsError:
        raise StoreError("backup.no_folder", **values) from None
    except PermissionError:
        raise StoreError("store.no_permission", **values) from None
    except OSError as fault:
        reason = fault.strerror or os.strerror(fault.errno or 0)
        raise StoreError("store.disk_says", **values, reason=reason) from None


def _free_name(folder: Path, now: datetime) -> Path:
    moment = now.astimezone(UTC)
    names = [moment.strftime(f"%Y-%m-%dT%H%MZ{_ENDING}")]
    names += [moment.strftime(f"%Y-%m-%dT%H%M%SZ{_ENDING}")]
    names += [moment.strftime(f"%Y-%m-%dT%H%M%SZ-{n}{_ENDING}") for n in range(2, 100)]
    return next(path for name in names if not (path := folder / name).exists())


def _moment(path: Path) -> datetime | None:
    found = _NAME.fullmatch(path.name)
    if found is None:
        return None
    try:
        stamp = found[1] + (found[2] or "00")
        return datetime.strptime(stamp, "%Y-%m-%dT%H%M%S").replace(tzinfo=UTC)
    except ValueError:
        return None
