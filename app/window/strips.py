"""The strip under the picture: one instrument or form at a time, opened by name."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QFrame, QWidget

from app.session import Session
from app.settings import Settings
from app.style.widgets.bare import bare_column
from app.window.late import Late

STRIPS: Mapping[str, Late[QWidget]] = {
    "score": Late("app.panels.score_strip", "ScoreStrip"),
    "scale": Late("app.panels.scale_strip", "ScaleStrip"),
    "name": Late("app.panels.name_strip", "NameStrip"),
    "label": Late("app.panels.label_strip", "LabelStrip"),
    "picture": Late("app.panels.picture_strip", "PictureStrip"),
    "landmarks": Late("app.panels.landmark_list", "LandmarkList"),
    "find": Late("app.panels.find_strip", "FindStrip"),
    "many": Late("app.panels.many_strip", "ManyStrip"),
    "export": Late("app.panels.export_strip", "ExportStrip"),
    "check": Late("app.panels.check_strip", "CheckStrip"),
    "backups": Late("app.panels.backups_strip", "BackupsStrip"),
    "rights": Late("app.panels.rights_strip", "RightsStrip"),
    "clock": Late("app.panels.clock_strip", "ClockStrip"),
    "gather": Late("app.panels.gather_strip", "GatherStrip"),
    "history": Late("app.panels.history_strip", "HistoryStrip"),
    "repeats": Late("app.panels.repeats_strip", "RepeatsStrip"),
    "agreement": Late("app.panels.agreement_strip", "AgreementStrip"),
    "seeing": Late("app.panels.seeing_strip", "SeeingStrip"),
    "start": Late("app.panels.start_card", "StartCard"),
}
"""Every other strip, by its name: a class that is made with the session alone."""

INSTRUMENTS: Mapping[str, Callable[[Session], QWidget]] = {
    "plane": Late("app.panels.plane_strip", "PlaneStrip"),
    "edge_trace": Late("app.panels.trace_strip", "TraceStrip"),
    "folds": Late("app.panels.fold_strip", "FoldStrip"),
    "series": Late("app.panels.series_strip", "SeriesStrip"),
    "margins": Late("app.panels.margin_strip", "MarginStrip"),
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
    original_held = Signal(bool)

    def __init__(self, session: Session, settings: Settings) -> None:
        super().__init__()
        self._session, self._settings = session, settings
        self._keys: tuple[tuple[str, str, str], ...] = ()
        self._made: dict[str, QWidget] = {}
        self._low = False
        self.current = ""
        bare_column(self)
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
        # What gives way to it gives the keyboard to the picture.
        self.opened.emit(name)
        strip.setFocus(Qt.FocusReason.OtherFocusReason)
        return strip

    def made(self, name: str) -> QWidget | None:
        """Return a strip that was opened before, or None."""
        return self._made.get(name)

    def set_low(self, *, low: bool) -> None:
        """Say whether the window has little height, so that strips leave it to the picture."""
        self._low = low
        for strip in self._made.values():
            self._lay(strip)

    def close_strip(self) -> None:
        """Close the open strip; the picture has the room and the keys again."""
        if self.current:
            self.current = ""
            self.hide()
            self.closed.emit()

    def score(self, character: str = "") -> None:
        """Open the scoring strip on a character, or on the next one not looked at."""
        from app.panels.score_strip import ScoreStrip

        strip = self.open("score")
        assert isinstance(strip, ScoreStrip)
        strip.show_character(character)

    def report(self, occasion: str) -> None:
        """Open the report of how far the repeats of an occasion agree."""
        from app.panels.agreement_strip import AgreementStrip

        strip = self.open("agreement")
        assert isinstance(strip, AgreementStrip)
        strip.show_occasion(occasion)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Close on Esc."""
        if event.key() == Qt.Key.Key_Escape:
            self.close_strip()
        else:
            super().keyPressEvent(event)

    def _make(self, name: str) -> QWidget:
        if name == "keys":
            from app.panels.key_sheet import KeySheet

            strip: QWidget = KeySheet(self._keys)
        else:
            strip = (INSTRUMENTS.get(name) or STRIPS[name])(self._session)
        self._connect(name, strip)
        layout = self.layout()
        assert layout is not None
        layout.addWidget(strip)
        self._made[name] = strip
        self._lay(strip)
        return strip

    def _lay(self, strip: QWidget) -> None:
        lie_flat = getattr(strip, "lie_flat", None)
        if lie_flat is not None:
            lie_flat(flat=self._low)

    def _connect(self, name: str, strip: QWidget) -> None:
        closed = getattr(strip, "closed", None)
        if closed is not None:
            closed.connect(self.close_strip)
        connect = {
            "score": self._connect_score,
            "scale": self._connect_scale,
            "name": self._connect_name,
            "repeats": self._connect_repeats,
            "agreement": self._connect_agreement,
            "start": self._connect_start,
            "edge_trace": self._connect_trace,
            "seeing": self._connect_seeing,
        }.get(name)
        if connect is not None:
            connect(strip)

    def _connect_score(self, strip: QWidget) -> None:
        from app.panels.score_strip import ScoreStrip

        assert isinstance(strip, ScoreStrip)
        strip.shown.connect(self.scoring)

    def _connect_scale(self, strip: QWidget) -> None:
        from app.panels.scale_strip import ScaleStrip

        assert isinstance(strip, ScaleStrip)
        strip.line_wanted.connect(self.line_wanted)
        strip.plane_wanted.connect(self.plane_wanted)
        strip.accepted.connect(self.close_strip)
        strip.cancelled.connect(self.close_strip)

    def _connect_name(self, strip: QWidget) -> None:
        from app.panels.name_strip import NameStrip

        assert isinstance(strip, NameStrip)
        strip.named.connect(self.close_strip)

    def _connect_repeats(self, strip: QWidget) -> None:
        from app.panels.repeats_strip import RepeatsStrip

        assert isinstance(strip, RepeatsStrip)
        strip.begin_wanted.connect(self.repeat_wanted)
        strip.report_wanted.connect(lambda: self.report(strip.occasion.key()))

    def _connect_agreement(self, strip: QWidget) -> None:
        from app.panels.agreement_strip import AgreementStrip

        assert isinstance(strip, AgreementStrip)
        strip.repeats_wanted.connect(lambda: self.open("repeats"))

    def _connect_start(self, strip: QWidget) -> None:
        from app.panels.start_card import StartCard

        assert isinstance(strip, StartCard)
        strip.example_wanted.connect(self.example_wanted)
        strip.pictures_wanted.connect(self.pictures_wanted)
        strip.collection_wanted.connect(self.collection_wanted)

    def _connect_trace(self, strip: QWidget) -> None:
        from app.panels.trace_strip import TraceStrip

        assert isinstance(strip, TraceStrip)
        strip.plain_wanted.connect(self.plain_wanted)

    def _connect_seeing(self, strip: QWidget) -> None:
        from app.panels.seeing_strip import SeeingStrip

        assert isinstance(strip, SeeingStrip)
        strip.held.connect(self.original_held)
