"""Keeping a collection: the ``Store`` contract, one SQLite file, or memory.

Importing this package loads nothing heavy; names are looked up when they are first used.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from landmarks.storage.contract import (
        Conflict,
        Derived,
        Happened,
        Loaded,
        Past,
        Query,
        Row,
        Saved,
        Stamp,
        Store,
    )
    from landmarks.storage.memory import MemoryStore
    from landmarks.storage.sqlite import open_sqlite

__all__ = [
    "Conflict",
    "Derived",
    "Happened",
    "Loaded",
    "MemoryStore",
    "Past",
    "Query",
    "Row",
    "Saved",
    "Stamp",
    "Store",
    "open_sqlite",
]

_HOMES = {"MemoryStore": "memory", "open_sqlite": "sqlite"}


def __getattr__(name: str) -> Any:
    if name not in __all__:
        raise AttributeError(name)
    return getattr(import_module(f"{__name__}.{_HOMES.get(name, 'contract')}"), name)
