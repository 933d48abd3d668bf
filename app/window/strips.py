"""The strip under the picture: one instrument or form at a time, opened by name."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QFrame, QVBoxLayout, QWidget

from app.panels.agreement_strip import AgreementStrip
from app.panels.find_strip import FindStrip
from app.panels.fold_strip import FoldStrip
from app.panels.history_strip import HistoryStrip
from app.panels.key_sheet import KeySheet
from app.panels.label_strip import LabelStrip
from app.panels.landmark_list import LandmarkList
from app.panels.margin_strip import MarginStrip
from app.panels.name_strip import NameStrip
from app.panels.picture_strip import PictureStrip
from app.panels.plane_strip import PlaneStrip
from app.panels.repeats_strip import RepeatsStrip
from app.panels.scale_strip import ScaleStrip
from app.panels.score_strip import ScoreStrip
from app.panels.seeing_strip import SeeingStrip
from app.panels.series_strip import SeriesStrip
from app.panels.start_card import StartCard
from app.panels.trace_strip import TraceStrip
from app.session import Session
from app.settings import Settings

INSTRUMENTS: Mapping[str, Callable[[Session], QWidget]] = {
    "plane": PlaneStrip,
    "edge_trace": TraceStrip,
    "folds": FoldStrip,
    "series": SeriesStrip,
    "margins": MarginStrip,
}
"""The strip of every instrument, by its key."""


class Strips(QFrame):
    """Holds the strips; each is made when it is first opened."""

    closed = Signal()
    opened = Signal(str)
    example_wanted = Signal()
    pictures_wanted = Signal()
    collection_wanted = Signal()
    line_wanted = Signal()
    plane_wanted = Signal()
    scoring = Signal(str)
    plain_wanted = Signal()
    repeat_wanted = Signal(object)

    def __init__(self, session: Session, settings: Settings) -> None:
        super().__init__()
        self._session, self._settings = session, settings
        self._keys: tuple[tuple[str, str, str], ...] = ()
        self._made: dict[str, QWidget] = {}
        self.current = ""
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        self.hide()

    def set_keys(self, keys: Sequence[tuple[str, str, str]]) -> None:
        """Keep the key sheet's rows: key, what it does, menu."""
        self._keys = tuple(keys)

    def open(self, name: str) -> QWidget:
        """Open a strip, closing the one that is open."""
        strip = self._made.get(name) or self._make(name)
        for other in self._made.values():
            if other is not strip:
                other.hide()
        self.current = name
        strip.show()
        self.show()
        strip.setFocus(Qt.FocusReason.OtherFocusReason)
        self.opened.emit(name)
        return strip

    def close_strip(self) -> None:
        """Close the open strip; the picture has the room and the keys again."""
        if self.current:
            self.current = ""
            self.hide()
            self.closed.emit()

    def score(self, character: str = "") -> None:
        """Open the scoring strip on a character, or on the next one not looked at."""
        strip = self.open("score")
        assert isinstance(strip, ScoreStrip)
        strip.show_character(character)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Close on Esc."""
        if event.key() == Qt.Key.Key_Escape:
            self.close_strip()
        else:
            super().keyPressEvent(event)

    def _make(self, name: str) -> QWidget:
        makers: dict[str, Callable[[], QWidget]] = {
            "score": self._score_strip,
            "scale": self._scale_strip,
            "name": self._name_strip,
            "label": lambda: LabelStrip(self._session),
            "picture": lambda: PictureStrip(self._session),
            "landmarks": lambda: LandmarkList(self._session),
            "find": lambda: FindStrip(self._session),
            "history": lambda: HistoryStrip(self._session),
            "repeats": self._repeats_strip,
            "agreement": self._agreement_strip,
            "seeing": lambda: SeeingStrip(self._session),
            "keys": lambda: KeySheet(self._keys),
            "start": self._start_card,
        }
        instrument = INSTRUMENTS.get(name)
        strip = makers[name]() if instrument is None else instrument(self._session)
        if isinstance(strip, TraceStrip):
            strip.plain_wanted.connect(self.plain_wanted)
        closed = getattr(strip, "closed", None)
        if closed is not None:
            closed.connect(self.close_strip)
        layout = self.layout()
        assert layout is not None
        layout.addWidget(strip)
        self._made[name] = strip
        return strip

    def _score_strip(self) -> QWidget:
        strip = ScoreStrip(self._session)
        strip.shown.connect(self.scoring)
        return strip

    def _scale_strip(self) -> QWidget:
        strip = ScaleStrip(self._session)
        strip.line_wanted.connect(self.line_wanted)
        strip.plane_wanted.connect(self.plane_wanted)
        strip.accepted.connect(self.close_strip)
        strip.cancelled.connect(self.close_strip)
        return strip

    def _name_strip(self) -> QWidget:
        strip = NameStrip(self._session)
        strip.named.connect(self.close_strip)
        return strip

    def _repeats_strip(self) -> QWidget:
        strip = RepeatsStrip(self._session)
        strip.begin_wanted.connect(self.repeat_wanted)
        strip.report_wanted.connect(lambda: self.open("agreement"))
        return strip

    def _agreement_strip(self) -> QWidget:
        strip = AgreementStrip(self._session)
        strip.repeats_wanted.connect(lambda: self.open("repeats"))
        return strip

    def _start_card(self) -> QWidget:
        card = StartCard(self._session)
        card.example_wanted.connect(self.example_wanted)
        card.pictures_wanted.connect(self.pictures_wanted)
        card.collection_wanted.connect(self.collection_wanted)
        return card
