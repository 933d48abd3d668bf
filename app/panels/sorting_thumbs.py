"""Small pictures of files that are not in the collection yet, the visible ones first."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Collection, Iterable
from pathlib import Path

from PySide6.QtCore import QObject, QSize, Signal
from PySide6.QtGui import QImage, QPixmap

from app.background.pictures import PictureLoader
from landmarks.sentences import Sentence

SIZE = QSize(192, 144)
KEPT = 900
AT_ONCE = 2
"""So many are asked for at a time, so that what comes into sight waits for no others."""


class SortingThumbs(QObject):
    """Answers at once with what there is, and asks for the rest in the order of the view.

    ``faults`` holds why a file has no thumbnail.
    """

    arrived = Signal(str)

    def __init__(
        self,
        loader: PictureLoader,
        wanted: Callable[[], Iterable[str]],
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._loader, self._wanted = loader, wanted
        self._made: OrderedDict[str, QPixmap] = OrderedDict()
        self._asked: dict[int, str] = {}
        self.faults: dict[str, Sentence] = {}
        self._away = False
        loader.thumbnailed.connect(self._come)
        loader.failed.connect(self._failed)

    def __call__(self, key: str) -> QPixmap | None:
        """Return the thumbnail of a file, or None while there is none."""
        return self._made.get(key)

    @property
    def made(self) -> Collection[str]:
        """Return the files of which there is a thumbnail."""
        return self._made.keys()

    def go_on(self) -> None:
        """Ask for what is wanted and not there, first things first."""
        if self._away or len(self._asked) >= AT_ONCE:
            return
        asked = set(self._asked.values())
        for key in self._wanted():
            if len(self._asked) >= AT_ONCE or len(self._made) >= KEPT:
                break
            if key not in self._made and key not in asked and key not in self.faults:
                self._asked[self._loader.want_thumbnail(Path(key), SIZE)] = key

    def make_room(self, near: Iterable[str]) -> None:
        """Let go of thumbnails far from these, where there are too many."""
        if len(self._made) >= KEPT:
            kept = set(near)
            for key in [one for one in self._made if one not in kept][: KEPT // 4]:
                del self._made[key]

    def put_away(self) -> None:
        """Want nothing any more."""
        self._away = True
        self._made.clear()

    def take_up(self) -> None:
        """Want them again."""
        self._away = False
        self._asked.clear()
        self.go_on()

    def forget_asked(self) -> None:
        """Ask again for what was asked for: the loader was told to forget it."""
        self._asked.clear()
        self.go_on()

    def _come(self, token: int, image: QImage) -> None:
        key = self._asked.pop(token, "")
        if key and not self._away:
            self._made[key] = QPixmap.fromImage(image)
            self.arrived.emit(key)
            self.go_on()

    def _failed(self, token: int, why: Sentence) -> None:
        key = self._asked.pop(token, "")
        if key:
            self.faults[key] = why
            self.go_on()
