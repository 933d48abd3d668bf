"""Classes that are loaded when they are first wanted, so that the window opens sooner."""

from __future__ import annotations

from dataclasses import dataclass
from importlib import import_module
from typing import Generic, TypeVar, cast

Made = TypeVar("Made")


@dataclass(frozen=True, slots=True)
class Late(Generic[Made]):
    """A class named by its module, loaded when the first of it is made.

    The names are words, which no type checker reads: ``tests/app/test_late.py`` loads each.
    """

    module: str
    name: str

    def load(self) -> type[Made]:
        """Return the class."""
        return cast("type[Made]", getattr(import_module(self.module), self.name))

    def __call__(self, *wanted: object) -> Made:
        """Make one."""
        return self.load()(*wanted)
