"""What the band above the picture can say: one value, whoever says it."""

from __future__ import annotations

from dataclasses import dataclass

from app.style.widgets.band import BandKind, Way
from landmarks.sentences import Sentence, text


@dataclass(frozen=True, slots=True)
class Said:
    """A title, a sentence, a note at the right, and the ways on; with a drawing or an icon."""

    kind: BandKind
    title: str
    sentence: Sentence | None = None
    note: str = ""
    ways: tuple[Way, ...] = ()
    drawing: str = ""
    icon: str = ""

    @property
    def words(self) -> str:
        """Return the sentence in words."""
        return "" if self.sentence is None else text(self.sentence)

    @property
    def heard(self) -> str:
        """Return what a screen reader says of it."""
        return f"{self.title}: {self.words}" if self.words else self.title

    @property
    def looks(self) -> tuple[object, ...]:
        """Return what can be seen of it: shown again, it would take the focus from its ways."""
        ways = tuple(way.words for way in self.ways)
        return self.kind, self.title, self.words, self.note, ways, self.drawing, self.icon
