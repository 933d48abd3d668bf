"""A line in which a measure is typed: value, doubt, and how it was taken."""

from __future__ import annotations

from math import isfinite

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QComboBox, QHBoxLayout, QLineEdit, QVBoxLayout, QWidget

from app.panels import measure_words, side_words
from app.panels.side_rows import EDGE, INDENT
from app.session import Session, deeds
from app.style.fonts import scaled
from app.style.widgets import Label
from app.style.widgets.buttons import button
from landmarks.assessment import MeasureRow
from landmarks.measures import MEASURES
from landmarks.sentences import say

METHODS = ("calliper", "tape", "label", "by_eye")
_EXAMPLES = {"mm": "144.8", "": "0.64", "count": "5", "mm²": "330", "°": "5.6"}


class TypingEntry(QWidget):
    """The line itself; Enter keeps what was typed, Esc leaves everything as it was.

    Signals
    -------
    done()
        What was typed is kept, or the person left.
    """

    done = Signal()

    def __init__(
        self,
        session: Session,
        keys: tuple[str, ...],
        row: MeasureRow | None = None,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._session, self._keys = session, keys
        self._which = QComboBox()
        for key in keys:
            self._which.addItem(measure_words.measure_name(key), key)
        self._which.setAccessibleName(say("side.type.which"))
        self._which.setVisible(len(keys) > 1)
        self.value, self.sigma = QLineEdit(), QLineEdit()
        self.value.setPlaceholderText(say("side.type.value_hint"))
        self.value.setToolTip(say("side.type.value_tip"))
        self.sigma.setPlaceholderText(say("side.type.sigma_hint"))
        self._unit = Label(role="small", ink="ink2")
        self.method = QComboBox()
        for key in METHODS:
            self.method.addItem(side_words.word("method", key), key)
        self.method.setAccessibleName(say("side.type.method"))
        self._fault = Label(role="small", ink="minus", wrap=True)
        self._fault.hide()
        self.keep_button = button(say("side.type.keep"))
        self.cancel_button = button(say("side.type.cancel"), "link")
        self.back_button = button(say("side.type.take_back"), "link")
        self.back_button.setVisible(self._typed_before())
        self._lay_out()
        self._which.currentIndexChanged.connect(lambda _: self._name_fields())
        self.value.returnPressed.connect(self.keep)
        self.sigma.returnPressed.connect(self.keep)
        self.keep_button.clicked.connect(self.keep)
        self.cancel_button.clicked.connect(self.done)
        self.back_button.clicked.connect(self._take_back)
        self._name_fields()
        if row is not None and row.method in METHODS and row.value is not None:
            self.method.setCurrentIndex(METHODS.index(row.method))
            least = row.at_least and not MEASURES[row.key].at_least
            self.value.setText(measure_words.figure(row.value, at_least=least))

    def measure(self) -> str:
        """Return the key of the measure that is typed."""
        return str(self._which.currentData())

    def begin(self) -> None:
        """Let the person type."""
        first = self._which if len(self._keys) > 1 else self.value
        first.setFocus(Qt.FocusReason.OtherFocusReason)
        self.value.selectAll()

    def fault(self) -> str:
        """Return the sentence about what was typed, empty where it is sound."""
        return self._fault.text()

    def keep(self) -> None:
        """Keep what was typed, or say in one sentence what is wrong with it."""
        key = self.measure()
        try:
            typed, at_least = _bound(self.value.text())
            value = self._number(typed, key)
            if at_least and not value:
                raise _NotSoundError(say("side.type.at_least_zero"))
            sigma = self._sigma(key)
        except _NotSoundError as fault:
            self._fault.setText(str(fault))
            self._fault.show()
            self.value.setFocus(Qt.FocusReason.OtherFocusReason)
            return
        self.done.emit()
        method = str(self.method.currentData())
        deeds.type_measure(self._session, key, value, method, sigma, at_least=at_least)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Leave on Esc."""
        if event.key() == Qt.Key.Key_Escape:
            self.done.emit()
            return
        super().keyPressEvent(event)

    def _lay_out(self) -> None:
        self.value.setFixedWidth(scaled(84))
        self.sigma.setFixedWidth(scaled(72))
        first = QHBoxLayout()
        first.setSpacing(6)
        first.addWidget(self.value)
        first.addWidget(Label("±", "small", "ink2"))
        first.addWidget(self.sigma)
        first.addWidget(self._unit)
        first.addStretch(1)
        second = QHBoxLayout()
        second.setSpacing(10)
        second.addWidget(self.method)
        second.addWidget(self.keep_button)
        second.addWidget(self.cancel_button)
        second.addStretch(1)
        column = QVBoxLayout(self)
        column.setContentsMargins(INDENT, 4, EDGE, 8)
        column.setSpacing(6)
        column.addWidget(self._which)
        column.addLayout(first)
        column.addLayout(second)
        column.addWidget(self.back_button, 0, Qt.AlignmentFlag.AlignLeft)
        column.addWidget(self._fault)

    def _name_fields(self) -> None:
        key = self.measure()
        name = measure_words.measure_name(key)
        unit = MEASURES[key].unit
        self.value.setAccessibleName(say("side.type.value", measure=name))
        self.sigma.setAccessibleName(say("side.type.sigma", measure=name))
        self._unit.setText("" if unit == "count" else unit)

    def _typed_before(self) -> bool:
        specimen = self._session.specimen
        return (
            specimen is not None
            and len(self._keys) == 1
            and any(one.character == self._keys[0] for one in specimen.recorded)
        )

    def _take_back(self) -> None:
        key = self.measure()
        self.done.emit()
        deeds.unsee(self._session, key)

    def _number(self, typed: str, key: str) -> float:
        try:
            # A decimal comma is what half of the world types.
            found = float(typed.strip().replace(",", ".").removesuffix("mm").strip())
        except ValueError:
            found = float("nan")
        if not isfinite(found):
            example = _EXAMPLES.get(MEASURES[key].unit, "0.64")
            raise _NotSoundError(
                say("side.type.not_a_number", found=typed.strip(), example=example)
            )
        if found < 0:
            raise _NotSoundError(say("side.type.negative", found=typed.strip()))
        if found == 0 and key == "shell_length":
            raise _NotSoundError(say("side.type.zero"))
        return found

    def _sigma(self, key: str) -> float | None:
        typed = self.sigma.text().strip()
        if not typed:
            return None
        if typed.startswith("-"):
            raise _NotSoundError(say("side.type.sigma_negative", found=typed))
        return self._number(typed, key)


def _bound(typed: str) -> tuple[str, bool]:
    """Return what was typed without a sign for *at least* before it, and whether there is one."""
    bare = typed.strip()
    rest = bare.removeprefix("≥").removeprefix(">=")
    return rest, rest != bare


class _NotSoundError(Exception):
    """What was typed cannot be meant; the words say why."""
