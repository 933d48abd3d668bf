"""A folder that appears whole, or not at all."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from uuid import uuid4

from landmarks.errors import StoreError


@contextmanager
def new_folder(folder: Path) -> Iterator[Path]:
    """Give a folder to write into beside a new one, whose name it takes when all is written.

    Raises
    ------
    StoreError
        If the folder stands already or cannot be written.
    """
    from shutil import rmtree

    values = check_free(folder)
    unfinished = folder.with_name(f".{folder.name}.{uuid4().hex[:8]}")
    try:
        unfinished.mkdir()
        yield unfinished
        unfinished.rename(folder)
    except OSError as fault:
        raise StoreError("store.disk_says", **values, reason=fault.strerror or "") from None
    finally:
        rmtree(unfinished, ignore_errors=True)


def check_free(path: Path) -> dict[str, str]:
    """Return what sentences call a new file or folder, once it is known that it can be made.

    Raises
    ------
    StoreError
        If something stands there already, or there is no folder to put it in.
    """
    values = {"file": path.name, "folder": str(path.absolute().parent)}
    if path.exists():
        raise StoreError("store.exists", **values)
    if not path.absolute().parent.is_dir():
        raise StoreError("store.no_folder", **values)
    return values
