"""Four points around the specimen: their sides typed, what they give, a straightened preview."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QImage, QKeyEvent, QPaintEvent
from PySide6.QtWidgets import QGridLayout, QLineEdit, QVBoxLayout, QWidget

from app.instruments.plane import MOST_LEAN, PlaneAtWork
from app.panels.fields import ChoiceField, labelled, one_line, worded
from app.panels.instrument_strip import left_words
from app.panels.lengths import mm_typed
from app.panels.strip import Strip
from app.session import Aspect, Session
from app.style.follow import follow
from app.style.fonts import scaled
from app.style.widgets import FlowLayout, Label, button, icon_button
from app.style.widgets.bare import bare_row
from app.style.widgets.painted import Painted, smooth
from landmarks.errors import ScaleError
from landmarks.scale import mm_per_px
from landmarks.sentences import Number, Sentence, say, text
from landmarks.sentences.numbers import plain

PRESETS: Mapping[str, tuple[float, float]] = {
    "a4": (297.0, 210.0),  # ISO 216, from memory
    "a3": (420.0, 297.0),  # ISO 216, from memory
    "a5": (210.0, 148.0),  # ISO 216, from memory
    "a6": (148.0, 105.0),  # ISO 216, from memory
    "letter": (279.4, 215.9),  # 11 x 8.5 inches (ANSI/ASME Y14.1, from memory)
}
"""Rectangles that lie about: both sides in mm, the longer one first."""


class PlaneStrip(Strip):
    """Shows the plane at work; opened by name where none is, it says how to begin."""

    wide_from = 720

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__("crop", say("plane.title"), "plane", parent)
        self._session = session
        self._plane: PlaneAtWork | None = None
        self._n_before = 0
        keys = [*PRESETS, "square", "own"]
        self.preset = ChoiceField(say("plane.preset"), worded("plane.preset", keys))
        self.preset.show_key("own")
        self.first, self.second = QLineEdit(), QLineEdit()
        self.first.setAccessibleName(say("plane.side.first"))
        self.second.setAccessibleName(say("plane.side.second"))
        self.swap = icon_button("repeat-2", say("plane.turn"))
        self.next = Label("", "small", "ink2", wrap=True)
        self.result = Label("", "strong", wrap=True)
        self.trouble = Label("", "small", "minus", wrap=True)
        self.caution = Label("", "small", "caution", wrap=True)
        self.preview = Straightened()
        self.accept = button(say("plane.accept"), "primary")
        self.again = icon_button("rotate-ccw", say("plane.again"))
        self._lay_out()
        self.setFocusProxy(self.first)
        for field in (self.first, self.second):
            field.textEdited.connect(lambda _: self._typed())
            field.returnPressed.connect(self._accept)
        self.preset.chosen.connect(self._preset)
        self.swap.clicked.connect(self._swap)
        self.accept.clicked.connect(self._accept)
        self.again.clicked.connect(self._begin_again)
        session.changed.connect(self._look)
        follow(self._restyle)
        self._renew()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Take the corners back with Esc, one by one, as on the picture; without one, close."""
        back = event.key() == Qt.Key.Key_Escape and self._plane is not None
        if back and self._plane is not None and self._plane.step_back():
            return
        super().keyPressEvent(event)

    # -- laid out --------------------------------------------------------------------------

    def _lay_out(self) -> None:
        self._fields = QWidget()
        last = QWidget()
        swapped = bare_row(last, 8)
        swapped.addWidget(labelled(self.second, f"{say('plane.side.second')}, mm"))
        swapped.addWidget(self.swap, 0, Qt.AlignmentFlag.AlignBottom)
        fields = FlowLayout(self._fields, gap=8)
        fields.addWidget(labelled(self.preset))
        fields.addWidget(labelled(self.first, f"{say('plane.side.first')}, mm"))
        fields.addWidget(last)
        words = QVBoxLayout()
        words.setSpacing(4)
        for one in (self.next, self.result, self.trouble, self.caution):
            words.addWidget(one)
        words.addStretch(1)
        self.add_to_head(self.again, self.accept)
        body = QWidget()
        self._grid = QGridLayout(body)
        self._grid.setHorizontalSpacing(16)
        self._grid.addWidget(self._fields, 0, 0)
        self._grid.addLayout(words, 1, 0)
        self._grid.setColumnStretch(0, 1)
        self._grid.setRowStretch(1, 1)
        self._grid.addWidget(self.preview, 0, 1, 2, 1)
        self.set_body(body)

    def arrange(self, *, wide: bool) -> None:
        """Put the preview beside fields and words, or beside the words alone."""
        for one in (self._fields, self.preview):
            self._grid.removeWidget(one)
        self._grid.addWidget(self._fields, 0, 0, 1, 1 if wide else 2)
        self._grid.addWidget(self.preview, *((0, 1, 2, 1) if wide else (1, 1, 1, 1)))
        self._grid.setAlignment(self.preview, Qt.AlignmentFlag.AlignTop)

    def _restyle(self) -> None:
        for field, width in ((self.preset, 170), (self.first, 96), (self.second, 96)):
            field.setFixedWidth(scaled(width))

    # -- shown -----------------------------------------------------------------------------

    def _look(self, aspects: Aspect) -> None:
        instrument = self._session.instrument
        if aspects & Aspect.WORK or self._plane is not instrument:
            mine = instrument if isinstance(instrument, PlaneAtWork) else None
            if mine is not self._plane:
                self._plane = mine
                self._begin()
            self._renew()

    def _begin(self) -> None:
        """Show the sides of the plane that is changed; of a new one, those typed last."""
        if self._plane is None:
            return
        if self._plane.sides_mm is not None:
            self._show_sides(*self._plane.sides_mm)
        else:
            self._typed()

    def _show_sides(self, first: float, second: float) -> None:
        self.first.setText(plain(first))
        self.second.setText(plain(second))
        known = next(
            (
                key
                for key, sides in PRESETS.items()
                if sorted(sides) == sorted((first, second))
            ),
            "square" if first == second else "own",
        )
        self.preset.show_key(known)

    def _renew(self) -> None:
        plane = self._plane
        n = 0 if plane is None else len(plane.corners)
        self.set_title(say("plane.title"), left_words(plane))
        self.next.setText(_next_words(n))
        self.setEnabled(self._session.picture is not None)
        self.again.setEnabled(n > 0)
        self.preview.show_image(None if plane is None else plane.preview)
        self._show_result()
        if n == 4 and self._n_before == 3 and not self.first.text():
            self.first.setFocus(Qt.FocusReason.OtherFocusReason)
        self._n_before = n

    def _show_result(self) -> None:
        for one in (self.result, self.trouble, self.caution):
            one.hide()
        self.accept.setEnabled(False)
        plane, wrong = self._plane, self._not_a_side()
        if wrong is not None:
            self._say(self.trouble, wrong)
            return
        scale = None
        try:
            scale = None if plane is None else plane.scale()
        except ScaleError as fault:
            self._say(self.trouble, fault.sentence)
        if plane is None or scale is None:
            return
        self.accept.setEnabled(True)
        ratio = mm_per_px(scale, "")
        px = 1 / ratio.value
        lean = plane.lean() or 0.0
        values = {"px": Number(px, px * ratio.relative), "degrees": round(lean)}
        self.result.setText(say("plane.result", **values))
        self.result.show()
        if lean > MOST_LEAN:
            unlikely = Sentence("plane.unlikely", {"degrees": round(lean)})
            self._say(self.caution, unlikely)
            return
        beside = plane.caution()
        if beside is not None:
            self._say(self.caution, beside)

    def _say(self, label: Label, sentence: Sentence) -> None:
        words = text(sentence)
        label.setText(f"▲ {words}" if label is self.caution else words)
        label.setAccessibleName(words)
        label.show()

    def _not_a_side(self) -> Sentence | None:
        for field in (self.first, self.second):
            typed = field.text().strip()
            value = mm_typed(typed, "mm")
            if typed and (value is None or value <= 0):
                return Sentence("plane.not_a_side", {"found": one_line(typed)})
        return None

    # -- done ------------------------------------------------------------------------------

    def _typed(self) -> None:
        if self.sender() in (self.first, self.second):
            self.preset.show_key("own")
        first, second = (mm_typed(one.text(), "mm") for one in (self.first, self.second))
        if self._plane is not None:
            good = first is not None and second is not None and first > 0 and second > 0
            self._plane.measure(first if good else None, second if good else None)
        self._show_result()

    def _preset(self, key: str) -> None:
        if key in PRESETS:
            self._set_sides(*PRESETS[key])
        elif key == "square":
            fields = self.first, self.second
            side = next(filter(None, (mm_typed(one.text(), "mm") for one in fields)), None)
            if side:
                self._set_sides(side, side)
            self.preset.show_key("square")

    def _set_sides(self, first: float, second: float) -> None:
        self.first.setText(plain(first))
        self.second.setText(plain(second))
        self._typed()

    def _swap(self) -> None:
        first, second = self.first.text(), self.second.text()
        self.first.setText(second)
        self.second.setText(first)
        self._typed()

    def _begin_again(self) -> None:
        if self._plane is not None:
            self._plane.begin_again()

    def _accept(self) -> None:
        plane = self._plane
        if plane is None or not self.accept.isEnabled():
            return
        try:
            plane.accept()
        except ScaleError as fault:
            self._say(self.trouble, fault.sentence)
            return
        beside = plane.caution()
        if beside is not None:
            self._session.notice(beside, "of_deed")
        self.closed.emit()


class Straightened(Painted):
    """The preview: a small picture, for the eye only."""

    def __init__(self, parent: QWidget | None = None) -> None:
        self._image: QImage | None = None
        super().__init__(parent)
        self.setAccessibleName(say("plane.preview.name"))
        self.setToolTip(say("plane.preview.name"))
        self.hide()

    def show_image(self, image: QImage | None) -> None:
        """Show this picture, or nothing."""
        self._image = image
        self.setVisible(image is not None)
        self.updateGeometry()
        self.update()

    def image(self) -> QImage | None:
        """Return what is shown."""
        return self._image

    def sizeHint(self) -> QSize:
        """Return the size of the picture."""
        return QSize() if self._image is None else self._image.size()

    def minimumSizeHint(self) -> QSize:
        """Return the size of the picture: it is not cut."""
        return self.sizeHint()

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Paint the picture in the middle."""
        if self._image is None:
            return
        painter = smooth(self)
        place = QRectF(self._image.rect())
        place.moveCenter(QRectF(self.rect()).center())
        painter.drawImage(place, self._image)
        painter.end()


def _next_words(n_corners: int) -> str:
    if n_corners == 0:
        return say("plane.words.0")
    if n_corners < 4:
        return say("plane.words.more", n=4 - n_corners)
    return say("plane.words.sides")
