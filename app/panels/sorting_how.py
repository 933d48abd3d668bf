"""How the pictures of the sorting table are sorted: the method, and the gap it goes by."""

from __future__ import annotations

import re
from collections.abc import Callable
from math import exp, log
from typing import Any

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QValidator
from PySide6.QtWidgets import QDoubleSpinBox, QHBoxLayout, QSizePolicy, QSlider, QWidget

from app.panels.fields import ChoiceField, later, worded
from app.session.sorting import ALONE, LABELS, NAME, TIME
from app.style.follow import follow
from app.style.fonts import scaled
from app.style.widgets import Label, button
from landmarks.intake.spacing import said_gap
from landmarks.sentences import number, say

METHODS = (TIME, NAME, LABELS, ALONE)
LEAST_MIN, MOST_MIN = 1 / 60, 240.0
_SLIDES = 200
_EXACT = 6
"""Decimals of the minutes that are kept, so that no second is rounded away."""
_MINUTES = {"s": 1 / 60, "min": 1.0, "h": 60.0}
_WRITTEN = re.compile(r"\s*(\d+(?:[.,]\d*)?|[.,]\d+)\s*(s|min|h|)\s*")
_PAUSE_MS = 120


class GapField(QDoubleSpinBox):
    """A gap of time (minutes), written in the unit in which sentences say it.

    Another unit can be written (s, min, h); a number alone is in the unit that is shown.
    """

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setRange(LEAST_MIN, MOST_MIN)
        self.setDecimals(_EXACT)

    def textFromValue(self, minutes: float) -> str:
        """Return the gap as sentences say it."""
        return number(said_gap(minutes * 60))

    def valueFromText(self, words: str) -> float:
        """Return the minutes that are written; what cannot be read changes nothing."""
        found = _WRITTEN.fullmatch(words)
        if found is None:
            return self.value()
        unit = found[2] or said_gap(self.value() * 60).unit
        return float(found[1].replace(",", ".")) * _MINUTES[unit]

    def validate(self, words: str, at: int) -> tuple[QValidator.State, str, int]:
        """Let every sign be written; a gap is there once it can be read."""
        found = _WRITTEN.fullmatch(words) is not None
        state = QValidator.State.Acceptable if found else QValidator.State.Intermediate
        return state, words, at


class SortingHow(QWidget):
    """A method, and for gaps of time a slider and a field with the same gap.

    Signals
    -------
    method_wanted(method)
        Another method was chosen.
    gap_wanted(seconds)
        Another gap was set, and left alone for a moment.
    """

    method_wanted = Signal(str)
    gap_wanted = Signal(float)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.method = ChoiceField(say("sorting.method"), worded("sorting.by", METHODS))
        self.gap = GapField()
        self.gap.setAccessibleName(say("sorting.gap"))
        self.gap.setToolTip(say("sorting.gap"))
        self.gap.setKeyboardTracking(False)
        # The style sheet's room inside a field does not reach the line of a spin box.
        self.gap.lineEdit().setTextMargins(scaled(7), 0, 0, 0)
        self.slider = QSlider(Qt.Orientation.Horizontal)
        self.slider.setRange(0, _SLIDES)
        self.slider.setAccessibleName(say("sorting.gap"))
        self.slider.setToolTip(say("sorting.gap"))
        self.found_gap = button(say("sorting.gap.found"), "link")
        self._name = Label(say("sorting.method"), "small", "ink2")
        self._pause = later(
            _PAUSE_MS, self, lambda: self.gap_wanted.emit(self.gap.value() * 60)
        )
        line = QHBoxLayout(self)
        line.setContentsMargins(0, 0, 10, 0)
        line.setSpacing(8)
        for one in (self._name, self.method, self.slider, self.gap, self.found_gap):
            line.addWidget(one)
        self.method.chosen.connect(self._choose)
        self.gap.valueChanged.connect(lambda _: self._pause.start())
        self.slider.valueChanged.connect(self._slid)
        self.found_gap.clicked.connect(lambda: self._choose(TIME))
        self.method.setMinimumContentsLength(13)
        self.method.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        follow(self._restyle)

    def show_method(self, method: str, gap_s: float | None) -> None:
        """Show how it is sorted now; a gap somebody is just setting is not set back."""
        self.method.show_key(method)
        for widget in (self.slider, self.gap, self.found_gap):
            widget.setVisible(method == TIME)
        if method == TIME and gap_s and not self._pause.isActive():
            self._quietly(self.gap.setValue, gap_s / 60)
            self._quietly(self.slider.setValue, slide_of(gap_s / 60))

    def _choose(self, method: str) -> None:
        """Ask for a method; a gap that was set just before is no longer wanted."""
        self._pause.stop()
        self.method_wanted.emit(method)

    def _slid(self, slide: int) -> None:
        self._quietly(self.gap.setValue, minutes_of(slide))
        self._pause.start()

    def _quietly(self, set_value: Callable[[Any], None], value: float) -> None:
        for widget in (self.gap, self.slider):
            widget.blockSignals(True)  # noqa: FBT003 - Qt's own call
        set_value(value)
        for widget in (self.gap, self.slider):
            widget.blockSignals(False)  # noqa: FBT003 - Qt's own call

    def _restyle(self) -> None:
        # All as high as the field that is highest, so that they stand on one line.
        high = self.method.sizeHint().height()
        self.slider.setFixedSize(scaled(120), high)
        for one in (self.gap, self.found_gap, self._name):
            one.setFixedHeight(high)
        # Qt leaves room for the ends of the range, which are shorter than what lies between.
        more = self.gap.fontMetrics().horizontalAdvance("0.00")
        self.gap.setMinimumWidth(self.gap.sizeHint().width() + more)


def minutes_of(slide: int) -> float:
    """Return the minutes of a place of the slider: seconds at its left, hours at its right.

    >>> round(minutes_of(0) * 60), round(minutes_of(_SLIDES))
    (1, 240)
    """
    share = slide / _SLIDES
    return exp(log(LEAST_MIN) + share * (log(MOST_MIN) - log(LEAST_MIN)))


def slide_of(minutes: float) -> int:
    """Return the place of the slider for some minutes."""
    inside = min(max(minutes, LEAST_MIN), MOST_MIN)
    return round(_SLIDES * log(inside / LEAST_MIN) / log(MOST_MIN / LEAST_MIN))
