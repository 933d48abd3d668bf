"""Seeing better: local contrast, underwater colour, brightness, for display only."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QCheckBox, QSlider, QWidget

from app.panels.fields import labelled
from app.panels.strip import Strip
from app.session import Aspect, Session
from app.session.deeds import seeing as see
from app.style.follow import follow
from app.style.fonts import font, scaled
from app.style.widgets import FlowLayout, Label, button
from app.style.widgets.bare import bare_row
from app.style.widgets.painted import plain_tip
from landmarks.sentences import Number, number, say

TENTHS = 10


class SeeingStrip(Strip):
    """Sliders that work at once; what they do is undone by one button.

    Signals
    -------
    held(bool)
        The key for the picture as it is was pressed here, or let go.
    """

    held = Signal(bool)

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__("contrast", say("seeing.title"), "seeing", parent)
        self._session = session
        self.set_title(say("seeing.title"), f"{say('seeing.words')} {say('seeing.hold')}")
        self.contrast = _slider(say("seeing.local_contrast"), 0, TENTHS)
        self.brightness = _slider(say("seeing.brightness"), -see.MOST_STEPS, see.MOST_STEPS)
        self.stops = Label("", "small", "ink2")
        self.underwater = QCheckBox(say("seeing.underwater"))
        self.plain = button(say("seeing.plain"))
        body = QWidget()
        bright = QWidget()
        row = bare_row(bright, 12)
        row.addWidget(labelled(self.brightness))
        row.addWidget(self.stops, 0, Qt.AlignmentFlag.AlignBottom)
        row.addWidget(self.underwater, 0, Qt.AlignmentFlag.AlignBottom)
        flow = FlowLayout(body, gap=12, line_gap=6)
        for part in (labelled(self.contrast), bright):
            flow.addWidget(part)
        self.add_to_head(self.plain)
        self.set_body(body)
        self.setFocusProxy(self.contrast)
        self.contrast.valueChanged.connect(self._contrast)
        self.brightness.valueChanged.connect(lambda n: see.set_brightness(session, n))
        self.underwater.toggled.connect(self._underwater)
        self.plain.clicked.connect(lambda: see.plain(session))
        session.changed.connect(self._look)
        follow(self._restyle)
        self._renew()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Show the picture as it is while its key is held, as on the picture."""
        if not self._is_held(event, on=True):
            super().keyPressEvent(event)

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        """Show the adjusted view again."""
        if not self._is_held(event, on=False):
            super().keyReleaseEvent(event)

    def changeEvent(self, event: QEvent) -> None:
        """Forget a held key where the window is left: its release is never heard of."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.ActivationChange and not self.isActiveWindow():
            self.held.emit(False)  # noqa: FBT003 - the state itself

    def _is_held(self, event: QKeyEvent, *, on: bool) -> bool:
        plain = event.modifiers() == Qt.KeyboardModifier.NoModifier
        mine = event.key() == see.HOLD and plain and self._session.seeing.adjusted
        if mine and not event.isAutoRepeat():
            self.held.emit(on)
        return mine

    def _look(self, aspects: Aspect) -> None:
        if aspects & (Aspect.SEEING | Aspect.SELECTION | Aspect.COLLECTION):
            self._renew()

    def _renew(self) -> None:
        how = self._session.seeing
        self.setEnabled(self._session.picture is not None)
        for slider, value in (
            (self.contrast, round(how.local_contrast * TENTHS)),
            (self.brightness, see.steps_of(how)),
        ):
            before = slider.blockSignals(True)  # noqa: FBT003 - Qt's own
            slider.setValue(value)
            slider.blockSignals(before)
        before = self.underwater.blockSignals(True)  # noqa: FBT003 - Qt's own
        self.underwater.setChecked(how.underwater)
        self.underwater.blockSignals(before)
        sign = "+" if how.brightness > 0 else ""
        stops = Number(round(how.brightness, 1))
        self.stops.setText(say("seeing.stops", stops=f"{sign}{number(stops)}"))
        self.plain.setEnabled(how.adjusted)

    def _contrast(self, value: int) -> None:
        how = replace(self._session.seeing, local_contrast=value / TENTHS)
        self._session.see(how)

    def _underwater(self, on: bool) -> None:  # noqa: FBT001 - a toggle's own signal
        self._session.see(replace(self._session.seeing, underwater=on))

    def _restyle(self) -> None:
        for slider in (self.contrast, self.brightness):
            slider.setFixedWidth(scaled(120))
            slider.setMinimumHeight(scaled(24))
        self.stops.setFixedWidth(scaled(56))
        self.underwater.setFont(font("body"))


def _slider(name: str, least: int, most: int) -> QSlider:
    made = QSlider(Qt.Orientation.Horizontal)
    made.setAccessibleName(name)
    made.setToolTip(plain_tip(name))
    made.setRange(least, most)
    made.setPageStep(1)
    return made
