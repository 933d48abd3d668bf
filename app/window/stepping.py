"""From step to step, from specimen to specimen, from frame to frame."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject

from app.session import Aspect, finding
from landmarks.progress import FULL
from landmarks.storage import Row

if TYPE_CHECKING:
    from app.window.bench import Bench


class Stepping(QObject):
    """Goes where the keys and the map of the five steps lead."""

    def __init__(self, bench: Bench) -> None:
        super().__init__(bench)
        self._bench, self._session = bench, bench.session
        self._wanted = ""
        self._session.changed.connect(self._changed)

    def step(self, key: str) -> None:
        """Go to one of the five steps."""
        bench = self._bench
        wishes: dict[str, Callable[[], None]] = {
            "picture": lambda: bench.open_strip("picture"),
            "scale": self.scale,
            "landmarks": bench.start_landmarks,
            "characters": lambda: bench.start_characters(),
            "name": lambda: bench.open_strip("name"),
        }
        wishes[key]()

    def scale(self) -> None:
        """Open the strip of the scale; where there is none yet, arm its tool."""
        picture = self._session.picture
        if picture is not None and picture.scale is not None:
            self._bench.open_strip("scale")
        else:
            self._bench.start_scale()

    def specimen(self, by: int) -> None:
        """Go to the next specimen of the list, or the one before; in a repeat, of its lot."""
        if self._session.repeat is not None:
            if by > 0:
                self._session.veil.next()
            return
        ids = [row.specimen for row in self._session.rows]
        here = self._session.specimen
        if here is not None and here.id in ids:
            index = ids.index(here.id) + by
            if 0 <= index < len(ids):
                self._session.choose(ids[index])

    def frame(self, by: int) -> None:
        """Go to the next frame of the specimen, or the one before."""
        specimen, frame = self._session.specimen, self._session.frame
        if specimen is not None and frame is not None:
            ids = [one.id for one in specimen.frames]
            index = ids.index(frame.id) + by
            if 0 <= index < len(ids):
                self._session.choose_frame(ids[index])

    def next_missing(self) -> None:
        """Go to the next specimen of the list that lacks a step, and to that step."""

        def found(row: Row) -> None:
            self._wanted = row.specimen
            self._session.choose(row.specimen)

        finding.find_missing(self._session, found)

    def _changed(self, aspects: Aspect) -> None:
        """Begin the first step that a specimen lacks, once it is on the bench."""
        here = self._session.specimen
        if not aspects & Aspect.SELECTION or here is None or here.id != self._wanted:
            return
        self._wanted = ""
        lacking = (one.key for one in self._session.steps if one.has != FULL)
        key = next(lacking, "")
        if key:
            self.step(key)
