"""What undo and redo go back and forth over: the deeds of this window, in order."""

from __future__ import annotations

from dataclasses import replace

from landmarks.changes import ChangeSet
from landmarks.sentences import Sentence


class Undoing:
    """The deeds that can be taken back, and those that can be done again.

    Deeds below the ``floor`` stay: what was done before a repeat would tell, and is not taken
    back by accident.
    """

    def __init__(self) -> None:
        self.done: list[ChangeSet] = []
        self.undone: list[ChangeSet] = []
        self.floor = 0

    @property
    def undo_name(self) -> Sentence | None:
        """Return the deed that undo would take back, or None."""
        return self.done[-1].deed if len(self.done) > self.floor else None

    @property
    def redo_name(self) -> Sentence | None:
        """Return the deed that redo would do again, or None."""
        return self.undone[-1].deed if self.undone else None

    def add(self, deed: ChangeSet) -> None:
        """Remember a new deed; what was undone can no longer be done again."""
        self.undone.clear()
        self.done.append(deed)

    def raise_floor(self) -> None:
        """Let everything done so far stay."""
        self.floor = len(self.done)
        self.undone.clear()

    def drop_floor(self) -> None:
        """Let what stayed be taken back again."""
        self.floor = 0
        self.undone.clear()

    def turned(self, back: ChangeSet, deed: ChangeSet, *, again: bool) -> None:
        """Remember that a deed was taken back by another one, or done again."""
        source, target = (self.undone, self.done) if again else (self.done, self.undone)
        source.pop()
        target.append(replace(back, deed=deed.deed))

    def rewritten(self, deed: ChangeSet) -> None:
        """Let undo of a deed that was kept bring back what it was put over."""
        for deeds in (self.done, self.undone):
            for at, one in enumerate(deeds):
                if one.id == deed.id:
                    deeds[at] = replace(one, changes=deed.changes)

    def let_go(self, gone: tuple[str, ...]) -> None:
        """Forget deeds that somebody else's work was preferred to."""
        self.floor -= sum(one.id in gone for one in self.done[: self.floor])
        self.done = [one for one in self.done if one.id not in gone]
        self.undone = [one for one in self.undone if one.id not in gone]
