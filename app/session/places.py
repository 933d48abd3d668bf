"""Where picture files lie, and which may be opened: beside the collection, in agreed folders.

A collection may be a stranger's, and what it names a place on this computer, or on a network,
that it has no business with. Paths are compared as they are written, because already looking
at a network path gives something away.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from pathlib import Path

from landmarks.collection import Picture

MOST_LETTERS = 3_900
"""Of all agreed folders together, as preferences keep them; the oldest are forgotten."""


def _nothing(_: str) -> None:
    """There is nobody to tell."""


class Places:
    """Finds picture files, and keeps the folders a person agreed to open them from.

    Attributes
    ----------
    collection
        The file of the open collection; None where it lies in no folder.
    """

    def __init__(
        self, folders: Iterable[str] = (), keep: Callable[[str], object] = _nothing
    ) -> None:
        self._folders = [one for one in folders if one]
        self._keep = keep
        self.collection: Path | None = None

    @property
    def home(self) -> Path | None:
        """Return the folder of the open collection, or None."""
        return None if self.collection is None else self.collection.resolve().parent

    def name(self, path: Path) -> str:
        """Return how the collection names a picture file: relative to itself where it can.

        Whoever takes a file in agrees to open pictures from its folder.
        """
        path = path.resolve()
        self.agree(path.parent)
        if self.home is not None and path.is_relative_to(self.home):
            return path.relative_to(self.home).as_posix()
        return str(path)

    def file_of(self, picture: Picture) -> Path:
        """Return where the file of a picture should be."""
        path = Path(picture.path)
        return path if path.is_absolute() or self.home is None else self.home / path

    def may_open(self, picture: Picture) -> bool:
        """Return whether a picture lies beside the collection, or where the person agreed."""
        return self.allow(picture.path, self.home)

    def is_there(self, picture: Picture) -> bool:
        """Return whether a picture may be opened and its file is where it should be."""
        return self.may_open(picture) and self.file_of(picture).exists()

    def agree(self, folder: Path) -> None:
        """Let pictures of this folder be opened from now on: the person chose it."""
        said = _plain(str(folder))
        if said not in self._folders:
            self._folders.insert(0, said)
            while len("\n".join(self._folders)) > MOST_LETTERS and len(self._folders) > 1:
                self._folders.pop()
            self._keep("\n".join(self._folders))

    def allow(self, path: str, home: Path | None) -> bool:
        """Return whether a picture may be opened that a collection names by this path.

        Parameters
        ----------
        home
            The folder of the collection; None where it lies in no folder.
        """
        if home is None:
            return not path or _inside(_plain(path), self._folders)
        beside = _plain(str(home))
        written = path if _is_absolute(path) else os.path.join(beside, path)  # noqa: PTH118
        return _inside(_plain(written), (beside, *self._folders))


def _inside(path: str, folders: Iterable[str]) -> bool:
    return any(path.startswith(one.rstrip("/") + "/") for one in folders)


def _plain(path: str) -> str:
    """Return a path with strokes one way and without ``..``, as it is written."""
    said = path.replace("\\", "/") if _is_network(path) or os.name == "nt" else path
    return os.path.normpath(said).replace("\\", "/") if said else said


def _is_network(path: str) -> bool:
    return path.startswith(("\\\\", "//"))


def _is_absolute(path: str) -> bool:
    drive = path[1:2] == ":" and path[:1].isalpha()
    return drive or path.startswith(("/", "\\"))
