"""What the database says went wrong, as a sentence a person can act on."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from landmarks.errors import StoreError

_SENTENCES = {
    "SQLITE_BUSY": "store.locked",
    "SQLITE_LOCKED": "store.locked",
    "SQLITE_FULL": "store.disk_full",
    "SQLITE_READONLY": "store.cannot_write",
    "SQLITE_PERM": "store.no_permission",
    "SQLITE_AUTH": "store.no_permission",
    "SQLITE_CANTOPEN": "store.cannot_open",
    "SQLITE_NOTADB": "store.not_a_collection",
    "SQLITE_CORRUPT": "store.damaged",
    "SQLITE_IOERR_SHMSIZE": "store.disk_full_opening",
    "SQLITE_IOERR": "store.disk_fault",
    "SQLITE_NOMEM": "store.no_memory",
    "SQLITE_TOOBIG": "store.damaged",
    "SQLITE_SCHEMA": "store.damaged",
    "SQLITE_ERROR": "store.damaged",
}
_GONE = ("SQLITE_READONLY_DBMOVED",)


@contextmanager
def told(path: Path) -> Iterator[None]:
    """Turn every fault of database or disk into a ``StoreError`` about this file."""
    from sqlalchemy.exc import DBAPIError, SQLAlchemyError

    try:
        yield
    except DBAPIError as fault:
        raise _sentence(fault.orig, path) from fault
    except (sqlite3.Error, OSError, SQLAlchemyError) as fault:
        raise _sentence(fault, path) from fault
    except (UnicodeError, OverflowError, RecursionError) as fault:
        # What stands in the file is no text, or no number, that any of ours could be.
        raise StoreError(
            "store.damaged", file=path.name, folder=str(path.parent)
        ) from fault
    except MemoryError as fault:
        raise StoreError(
            "store.no_memory", file=path.name, folder=str(path.parent)
        ) from fault


def may_only_read(fault: BaseException | None) -> bool:
    """Return whether a fault says that the file, or its folder, may not be written."""
    name = getattr(fault, "sqlite_errorname", "") or ""
    return name.startswith("SQLITE_READONLY") and name not in _GONE


def _sentence(fault: BaseException | None, path: Path) -> StoreError:
    name = getattr(fault, "sqlite_errorname", "") or ""
    values = {"file": path.name, "folder": str(path.parent)}
    if name in _GONE:
        return StoreError("store.gone", **values)
    if name.startswith("SQLITE_CANTOPEN") and _only_read(path):
        # In a folder that may not be written SQLite cannot make the small files it needs.
        return StoreError("store.cannot_write", **values)
    if isinstance(fault, PermissionError):
        return StoreError("store.no_permission", **values)
    if isinstance(fault, OSError):
        return StoreError(
            "store.disk_says", **values, reason=fault.strerror or type(fault).__name__
        )
    for prefix, key in _SENTENCES.items():
        if name == prefix or name.startswith(f"{prefix}_"):
            return StoreError(key, **values)
    return StoreError("store.disk_says", **values, reason=str(fault)[:120])


def _only_read(path: Path) -> bool:
    ours = os.access in os.supports_effective_ids
    return path.is_file() and not os.access(path.parent, os.W_OK, effective_ids=ours)
