"""The scale of the picture on the bench: a length along a line, and the camera's distance."""

from collections.abc import Mapping
from dataclasses import replace

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QLineEdit, QVBoxLayout, QWidget

from app.panels.fields import ChoiceField, WordField, labelled, number_typed, one_line
from app.panels.setup_row import SetupRow
from app.panels.strip import Strip
from app.session import Aspect, Session, deeds
from app.style.follow import follow
from app.style.fonts import scaled
from app.style.widgets import Label, button
from landmarks.collection import Picture
from landmarks.errors import ScaleError
from landmarks.geometry import Point
from landmarks.progress import steps
from landmarks.scale import Scale, two_points
from landmarks.sentences import Number, Sentence, say, text
from landmarks.sentences.numbers import plain

MM_PER: Mapping[str, float] = {
    "mm": 1.0,
    "cm": 10.0,
    "in": 25.4,  # exact, international yard and pound, 1959 (from memory)
}


class ScaleStrip(Strip):
    """Type the length of the line that was drawn; or see, change and remove the scale.

    Signals
    -------
    line_wanted()
        A line is to be drawn along the ruler (again).
    accepted(), cancelled()
        The new scale was given; the line that was drawn is not wanted.
    closed()
        As with every strip.
    """

    line_wanted = Signal()
    accepted = Signal()
    cancelled = Signal()

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__("ruler", say("scale.title"), "scale", parent)
        self._session = session
        self._line: tuple[Point, Point] | None = None
        self._picture: Picture | None = None
        self.length = QLineEdit()
        self.length.setAccessibleName(say("scale.length"))
        self.unit = ChoiceField(say("scale.unit"), [(key, key) for key in MM_PER])
        self.doubt = QLineEdit()
        self.doubt.setAccessibleName(say("scale.doubt"))
        self.doubt.setPlaceholderText(say("scale.doubt.usual"))
        self.result = Label("", "strong")
        self.trouble = Label("", "small", "minus", wrap=True)
        self.accept = button(say("scale.accept"), "primary")
        self.cancel = button(say("band.cancel"))
        self.present = Label("", "strong", wrap=True)
        self.change = button(say("scale.change"), "primary")
        self.remove = button(say("scale.remove"))
        self.distance = WordField(say("scale.distance"), say("scale.distance.unknown"))
        self.distance_unit = ChoiceField(say("scale.unit"), [(k, k) for k in MM_PER])
        self.distance_trouble = Label("", "small", "minus", wrap=True)
        self._new, self._old = self._new_line(), self._old_scale()
        self.setup = SetupRow(session)
        self._lay_out()
        self.setFocusProxy(self.change)
        for field in (self.length, self.doubt):
            field.textChanged.connect(lambda _: self._show_result())
            field.returnPressed.connect(self._accept)
        self.unit.chosen.connect(lambda _: self._show_result())
        self.accept.clicked.connect(self._accept)
        self.cancel.clicked.connect(self._cancel)
        self.change.clicked.connect(self.line_wanted)
        self.remove.clicked.connect(lambda: deeds.remove_scale(session))
        self.distance.edited.connect(self._set_distance)
        self.distance_unit.chosen.connect(lambda _: self._show_distance())
        session.changed.connect(self._look)
        follow(self._restyle)
        self._renew()

    def start(self, first: Point, second: Point) -> None:
        """Ask for the length of a line that was drawn on the picture."""
        self._line = first, second
        scale = self._scale_now()
        if scale is not None and not self.length.text():
            self.length.setText(plain(scale.length_mm))
            self.unit.show_key("mm")
        self._renew()
        self.length.setFocus(Qt.FocusReason.OtherFocusReason)
        self.length.selectAll()

    def line(self) -> tuple[Point, Point] | None:
        """Return the line whose length is asked for, or None."""
        return self._line

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Let go of the line with Esc; without one, close."""
        if event.key() == Qt.Key.Key_Escape and self._line is not None:
            self._cancel()
            return
        super().keyPressEvent(event)

    # -- laid out --------------------------------------------------------------------------

    def _new_line(self) -> QWidget:
        holder = QWidget()
        row = QHBoxLayout(holder)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(8)
        row.addWidget(labelled(self.length))
        row.addWidget(labelled(self.unit))
        row.addWidget(labelled(self.doubt))
        said = QVBoxLayout()
        said.setSpacing(2)
        said.addWidget(Label(say("scale.result"), "caption", "ink2"))
        said.addWidget(self.result)
        said.addWidget(self.trouble)
        said.addStretch(1)
        row.addSpacing(8)
        row.addLayout(said, 1)
        for one in (self.accept, self.cancel):
            row.addWidget(one, 0, Qt.AlignmentFlag.AlignTop)
        return holder

    def _old_scale(self) -> QWidget:
        holder = QWidget()
        row = QHBoxLayout(holder)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(8)
        row.addWidget(self.present, 1)
        row.addWidget(self.change)
        row.addWidget(self.remove)
        return holder

    def _lay_out(self) -> None:
        body = QWidget()
        grid = QGridLayout(body)
        grid.setContentsMargins(0, 4, 6, 4)
        grid.setHorizontalSpacing(12)
        grid.setVerticalSpacing(8)
        grid.addWidget(self._new, 0, 0, 1, 3)
        grid.addWidget(self._old, 1, 0, 1, 3)
        grid.addWidget(labelled(self.distance), 2, 0)
        grid.addWidget(labelled(self.distance_unit), 2, 1)
        why = QVBoxLayout()
        why.setSpacing(2)
        why.addWidget(Label(say("scale.distance.why"), "small", "ink2", wrap=True))
        why.addWidget(self.distance_trouble)
        why.addStretch(1)
        grid.addLayout(why, 2, 2)
        grid.addWidget(self.setup, 3, 0, 1, 3)
        grid.setColumnStretch(2, 1)
        grid.setRowStretch(4, 1)
        self.set_body(body)

    def _restyle(self) -> None:
        for field, width in (
            (self.length, 110), (self.doubt, 150), (self.unit, 84),
            (self.distance, 130), (self.distance_unit, 84),
        ):  # fmt: skip
            field.setFixedWidth(scaled(width))
        self.result.setMinimumWidth(scaled(150))

    # -- shown -----------------------------------------------------------------------------

    def _look(self, aspects: Aspect) -> None:
        if aspects & Aspect.SELECTION:
            # What was typed belongs to the picture that was on the bench till now.
            typed = self.distance.pending()
            if typed is not None:
                self._set_distance(typed)
        if aspects & (Aspect.COLLECTION | Aspect.SELECTION):
            self._line = None
            self.length.clear()
            self.doubt.clear()
        if aspects & (Aspect.COLLECTION | Aspect.SELECTION | Aspect.PICTURE):
            self._renew()

    def _scale_now(self) -> Scale | None:
        picture = self._session.picture
        return picture.scale if picture is not None else None

    def _renew(self) -> None:
        picture, scale = self._session.picture, self._scale_now()
        self._picture = picture
        drawing = self._line is not None
        self._new.setVisible(drawing)
        self._old.setVisible(not drawing)
        self.setEnabled(picture is not None)
        if drawing:
            self.set_title(say("scale.title.new"), say("scale.title.new.words"))
        else:
            self.set_title(say("scale.title"))
        self.change.setText(say("scale.change" if scale is not None else "band.give_scale"))
        self.change.setAccessibleName(self.change.text())
        self.remove.setVisible(scale is not None)
        if scale is None:
            self.present.setText(say("scale.none"))
        else:
            length = Number(scale.length_mm, scale.sigma_mm or None, "mm")
            words = self._px_per_mm(scale)
            self.present.setText(say("scale.present", words=words, length=length))
        self._show_distance()
        self._show_result()

    def _show_distance(self) -> None:
        picture = self._session.picture
        mm = picture.camera.distance_mm if picture is not None else None
        unit = MM_PER[self.distance_unit.key()]
        self.distance.show_words("" if mm is None else plain(mm / unit))
        self.distance_trouble.hide()

    def _show_result(self) -> None:
        self.trouble.hide()
        self.accept.setEnabled(False)
        self.result.setText(say("scale.result.none"))
        if self._line is None or not self.length.text().strip():
            return
        try:
            scale = self._typed()
        except ScaleError as fault:
            self._say(fault.sentence)
            return
        if scale is not None:
            self.result.setText(text(self._px_per_mm(scale)))
            self.accept.setEnabled(True)

    def _say(self, sentence: Sentence) -> None:
        self.trouble.setText(text(sentence))
        self.trouble.setAccessibleName(text(sentence))
        self.trouble.show()

    def _typed(self) -> Scale | None:
        """Return the scale that what is typed would give; None where there is no picture."""
        picture, unit = self._session.picture, MM_PER[self.unit.key()]
        if picture is None or self._line is None:
            return None
        return two_points(
            *self._line,
            _length(self.length.text(), unit),
            size=picture.size,
            sigma_mm=_length(self.doubt.text(), unit)
            if self.doubt.text().strip()
            else None,
        )

    def _px_per_mm(self, scale: Scale) -> Sentence:
        """Return what the step *Scale* would say of a scale."""
        session = self._session
        picture, specimen = session.picture, session.specimen
        if picture is None or specimen is None:
            return Sentence("scale.none")
        pictures = {picture.id: replace(picture, scale=scale)}
        found = steps(specimen, session.frame, pictures, (), session.names)
        return next(step.words for step in found if step.key == "scale")

    # -- done ------------------------------------------------------------------------------

    def _accept(self) -> None:
        try:
            scale = self._typed()
        except ScaleError as fault:
            self._say(fault.sentence)
            return
        if scale is None or self._line is None:
            return
        first, second = self._line
        self._line = None
        deeds.set_scale(self._session, first, second, scale.length_mm, scale.sigma_mm)
        self.doubt.clear()
        self._renew()
        self.accepted.emit()

    def _cancel(self) -> None:
        self._line = None
        self._renew()
        self.cancelled.emit()

    def _set_distance(self, typed: str) -> None:
        picture = self._picture
        try:
            mm = _distance(typed, MM_PER[self.distance_unit.key()])
        except ScaleError as fault:
            self.distance_trouble.setText(text(fault.sentence))
            self.distance_trouble.show()
            return
        self.distance_trouble.hide()
        if picture is not None and picture.camera.distance_mm != mm:
            camera = replace(picture.camera, distance_mm=mm)
            self._session.do(
                Sentence("deed.camera_distance"), replace(picture, camera=camera)
            )


def _distance(typed: str, unit: float) -> float | None:
    """Return a typed distance in mm, or None where nothing is typed.

    Raises
    ------
    ScaleError
        If it is no number above 0.
    """
    if not typed.strip():
        return None
    value = number_typed(typed)
    if value is None or value <= 0:
        raise ScaleError("scale.distance.not", found=one_line(typed))
    return value * unit


def _length(typed: str, unit: float) -> float:
    """Return a typed length in mm.

    Raises
    ------
    ScaleError
        If it is no number.
    """
    value = number_typed(typed)
    if value is None:
        raise ScaleError("scale.not_a_number", found=one_line(typed))
    return value * unit
