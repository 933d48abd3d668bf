"""What is asked of a line along a ruler: how long it is, how surely, through which lens."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QLineEdit, QWidget

from app.panels.fields import ChoiceField, labelled, worded
from app.panels.lengths import MM_PER, length_typed
from app.style.follow import follow
from app.style.fonts import scaled
from app.style.widgets import FlowLayout, Label
from app.style.widgets.bare import bare_column
from landmarks.instruments.ruler import LENSES
from landmarks.sentences import Sentence, say, text
from landmarks.sentences.numbers import plain


class LineForm(QWidget):
    """The fields of a line that is measured, and below them what is wrong with one.

    Signals
    -------
    edited()
        Something else is typed or chosen.
    confirmed()
        Enter was pressed in a field.
    """

    edited = Signal()
    confirmed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.length, self.doubt = QLineEdit(), QLineEdit()
        self.length.setAccessibleName(say("scale.length"))
        self.doubt.setAccessibleName(say("scale.doubt"))
        self.doubt.setPlaceholderText(say("scale.doubt.usual"))
        self.unit = ChoiceField(say("scale.unit"), [(key, key) for key in MM_PER])
        self.lens = ChoiceField(say("scaling.lens"), worded("scaling.lens", LENSES))
        self.lens.setToolTip(say("scaling.lens.why"))
        self.trouble = Label("", "small", "minus", wrap=True)
        row = QWidget()
        flow = FlowLayout(row, gap=8)
        for field in (self.length, self.unit, self.doubt, self.lens):
            flow.addWidget(labelled(field))
        column = bare_column(self, 4)
        column.addWidget(row)
        column.addWidget(self.trouble)
        for typed in (self.length, self.doubt):
            typed.textChanged.connect(lambda _: self.edited.emit())
            typed.returnPressed.connect(self.confirmed)
        for choice in (self.unit, self.lens):
            choice.chosen.connect(lambda _: self.edited.emit())
        follow(self._restyle)
        self.say(None)

    def is_filled(self) -> bool:
        """Tell whether a length is typed."""
        return bool(self.length.text().strip())

    def length_mm(self) -> float:
        """Return the length that is typed, in mm.

        Raises
        ------
        ScaleError
            If it is no number; as :func:`app.panels.lengths.length_typed`.
        """
        return length_typed(self.length.text(), self.unit.key())

    def sigma_mm(self) -> float | None:
        """Return the doubt that is typed, in mm, or None; raises as :meth:`length_mm`."""
        typed = self.doubt.text()
        return length_typed(typed, self.unit.key()) if typed.strip() else None

    def show_length(self, mm: float) -> None:
        """Show a length, for the person to keep or to change."""
        self.length.setText(plain(mm))
        self.unit.show_key("mm")

    def say(self, trouble: Sentence | None) -> None:
        """Say what is wrong with what is typed; None: nothing."""
        words = "" if trouble is None else text(trouble)
        self.trouble.setText(words)
        self.trouble.setAccessibleName(words)
        self.trouble.setVisible(bool(words))

    def clear(self) -> None:
        """Forget what was typed."""
        self.length.clear()
        self.doubt.clear()

    def take_focus(self) -> None:
        """Let the length be typed, in place of what stands there."""
        self.length.setFocus(Qt.FocusReason.OtherFocusReason)
        self.length.selectAll()

    def _restyle(self) -> None:
        widths = ((self.length, 100), (self.doubt, 150), (self.unit, 84), (self.lens, 140))
        for field, width in widths:
            field.setFixedWidth(scaled(width))
