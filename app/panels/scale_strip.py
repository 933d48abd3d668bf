"""The scale of the picture on the bench: a length along a line, and the camera's distance."""

from __future__ import annotations

from dataclasses import dataclass, replace

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QGridLayout, QSizePolicy, QWidget

from app.instruments.ruler import RulerAtWork
from app.panels.camera_row import CameraRow
from app.panels.instrument_strip import left_words
from app.panels.line_form import LineForm
from app.panels.ruler_fit import RulerFitRow
from app.panels.setup_row import SetupRow
from app.panels.strip import Strip
from app.session import Aspect, Session, deeds
from app.session.at_work import done_with
from app.style.widgets import Label, button
from app.style.widgets.bare import bare_column
from app.style.widgets.beside import Beside
from landmarks.errors import ScaleError
from landmarks.geometry import Point
from landmarks.instruments.doubts import doubt_sentence
from landmarks.instruments.ruler import came_about
from landmarks.progress import steps
from landmarks.scale import Scale, Setting, two_points
from landmarks.sentences import Number, Sentence, say, text


@dataclass(frozen=True, slots=True, eq=False)
class _Finishing:
    """A scale that was accepted while the graduation was still looked for."""

    ruler: RulerAtWork
    picture: str
    sigma_mm: float | None
    lens: str


class ScaleStrip(Strip):
    """Type the length of the line that was drawn; or see, change and remove the scale.

    Signals
    -------
    line_wanted()
        A line is to be drawn along the ruler (again).
    plane_wanted()
        The four points of the present scale are to be changed.
    accepted(), cancelled()
        The new scale was given; the line that was drawn is not wanted.
    closed()
        As with every strip.
    """

    line_wanted = Signal()
    plane_wanted = Signal()
    accepted = Signal()
    cancelled = Signal()
    wide_from = 460

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__("ruler", say("scale.title"), "scale", parent)
        self._session = session
        self._line: tuple[Point, Point] | None = None
        self._ruler: RulerAtWork | None = None
        self._finishing: _Finishing | None = None
        self.form = LineForm()
        self.result = Label("", "strong", wrap=True)
        self.result.setSizePolicy(
            QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred
        )
        self.fitted = RulerFitRow(self._setting)
        self.budget = Label("", "small", "ink2", wrap=True)
        self.accept = button(say("scale.accept"), "primary")
        self.cancel = button(say("band.cancel"))
        self.present = Label("", "strong", wrap=True)
        self.came = Label("", "small", "ink2", wrap=True)
        self.change = button(say("scale.change"), "primary")
        self.remove = button(say("scale.remove"))
        self._old = self._old_scale()
        self.camera, self.setup = CameraRow(session), SetupRow(session)
        self._lay_out()
        self.setFocusProxy(self.change)
        self.form.edited.connect(self._show_result)
        self.form.confirmed.connect(self._accept)
        self.accept.clicked.connect(self._accept)
        self.cancel.clicked.connect(self._cancel)
        self.change.clicked.connect(self._change)
        self.remove.clicked.connect(lambda: deeds.remove_scale(session))
        self.setup.known.textEdited.connect(self._show_check)
        session.changed.connect(self._look)
        self._renew()

    def start(self, first: Point, second: Point) -> None:
        """Ask for the length of a line that was drawn on the picture."""
        self._line = first, second
        scale = self._scale_now()
        if scale is not None and not self.form.is_filled():
            self.form.show_length(scale.length_mm)
        self._renew()
        self.form.take_focus()

    def take_ruler(self, ruler: RulerAtWork) -> None:
        """Look for the graduation along the line with this instrument, which is at work."""
        if ruler.length_mm is not None:
            self.form.show_length(ruler.length_mm)
        self._ruler = ruler
        ruler.changed.connect(self._ruler_changed)
        self._show_title()
        self._show_result()

    def line(self) -> tuple[Point, Point] | None:
        """Return the line whose length is asked for, or None."""
        return self._ruler.line if self._ruler is not None else self._line

    def arrange(self, *, wide: bool) -> None:
        """Put what was fitted and its plot beside each other where there is room."""
        self.fitted.arrange(wide=wide)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Let go of the line with Esc; without one, close."""
        if event.key() == Qt.Key.Key_Escape and self._line is not None:
            self._cancel()
            return
        super().keyPressEvent(event)

    # -- laid out --------------------------------------------------------------------------

    def _old_scale(self) -> QWidget:
        words = bare_column(spacing=2)
        words.addWidget(self.present)
        words.addWidget(self.came)
        return Beside(words, self.change, self.remove)

    def _lay_out(self) -> None:
        body = QWidget()
        grid = QGridLayout(body)
        grid.setVerticalSpacing(8)
        # The whole doubt comes before the fit, which is never the accuracy of a shell.
        rows = (self.form, self._old, self.budget, self.fitted, self.camera, self.setup)
        for number, row in enumerate(rows):
            grid.addWidget(row, number, 0)
        grid.setRowStretch(len(rows), 1)
        self.set_body(body)
        self.add_to_head(self.result, self.accept, self.cancel)

    # -- shown -----------------------------------------------------------------------------

    def _look(self, aspects: Aspect) -> None:
        if self._ruler is not None and self._session.instrument is not self._ruler:
            self._let_go()
        if aspects & Aspect.SELECTION:
            # What was typed belongs to the picture that was on the bench till now.
            self.camera.hand_on()
        if aspects & (Aspect.COLLECTION | Aspect.SELECTION):
            self._line = None
            self.fitted.show_ruler(None)
            self.form.clear()
        if aspects & (Aspect.COLLECTION | Aspect.SELECTION | Aspect.PICTURE):
            self._renew()

    def _scale_now(self) -> Scale | None:
        picture = self._session.picture
        return picture.scale if picture is not None else None

    def _renew(self) -> None:
        picture, scale = self._session.picture, self._scale_now()
        drawing = self._line is not None
        for one in (self.form, self.result, self.accept, self.cancel):
            one.setVisible(drawing)
        self._old.setVisible(not drawing)
        # While a line is measured the strip keeps to that.
        self.camera.setVisible(not drawing)
        self.setup.setVisible(not drawing)
        self.setEnabled(picture is not None)
        self._show_title()
        word = "scale.change" if scale is not None else "band.give_scale"
        if scale is not None and deeds.sides_of(scale) is not None:
            word = "plane.change"
        self.change.setText(say(word))
        self.change.setAccessibleName(self.change.text())
        self.remove.setVisible(scale is not None)
        if scale is None:
            self.present.setText(say("scale.none"))
        else:
            self.present.setText(self._present(scale))
        came = None if scale is None else came_about(scale)
        self.came.setText("" if came is None else text(came))
        self.came.setVisible(came is not None)
        self.camera.show_picture(picture)
        self._show_result()

    def _show_check(self) -> None:
        """Scroll to what the check shell says, once it is laid out."""
        said = self.setup.said
        QTimer.singleShot(0, said, lambda: self._area.ensureWidgetVisible(said))

    def _show_title(self) -> None:
        title = say("scale.title" if self._line is None else "scale.title.new")
        self.set_title(title, left_words(self._ruler))

    def _present(self, scale: Scale) -> str:
        words, sides = self._px_per_mm(scale), deeds.sides_of(scale)
        if sides is not None:
            first, second = (Number(float(f"{side:.6g}"), unit="mm") for side in sides)
            return say("plane.present", words=words, first=first, second=second)
        length = Number(scale.length_mm, scale.sigma_mm or None, "mm")
        return say("scale.present", words=words, length=length)

    def _show_result(self) -> None:
        self.form.say(None)
        self.accept.setEnabled(False)
        self.result.setText(say("scale.result.none"))
        self.fitted.show_ruler(self._ruler)
        scale = self._scale_now() if self._line is None else None
        if self._line is not None and self.form.is_filled():
            try:
                scale = self._typed()
            except ScaleError as fault:
                self.form.say(fault.sentence)
                if self._ruler is not None:
                    self._ruler.measure(None)
            if scale is not None:
                self.result.setText(text(self._px_per_mm(scale)))
                self.accept.setEnabled(True)
        self._show_budget(scale)

    def _show_budget(self, scale: Scale | None) -> None:
        """Say the doubt of a length by its causes; before one is typed, what to do."""
        setting = self._setting()
        said = None if setting is None else doubt_sentence(replace(setting, scale=scale))
        if self._line is not None and not self.form.is_filled():
            said = Sentence("scale.title.new.words")
        self.budget.setText("" if said is None else text(said))
        self.budget.setVisible(said is not None)

    def _setting(self) -> Setting | None:
        picture = self._session.picture
        return None if picture is None else picture.setting

    def _typed(self) -> Scale | None:
        """Return the scale that what is typed would give; None where there is no picture."""
        picture = self._session.picture
        if picture is None or self._line is None:
            return None
        length, sigma = self.form.length_mm(), self.form.sigma_mm()
        if self._ruler is None:
            return two_points(*self._line, length, size=picture.size, sigma_mm=sigma)
        # What makes no scale of two clicks is no length to look for either.
        two_points(*self._ruler.line, length, size=picture.size, sigma_mm=sigma)
        self._ruler.measure(length)
        return self._ruler.scale(sigma, self.form.lens.key())

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
            self.form.say(fault.sentence)
            return
        if scale is None:
            return
        if self._ruler is not None and self._ruler.busy:
            self._finish_later(self._ruler, self.form.sigma_mm())
            return
        self._give(scale)

    def _give(self, scale: Scale) -> None:
        deeds.give_scale(self._session, scale, _deed(scale))
        self._put_down()

    def _finish_later(self, ruler: RulerAtWork, sigma_mm: float | None) -> None:
        """Let the person go on at once; what the ruler says is accepted when it is there."""
        picture = self._session.picture
        if picture is None:
            return
        finishing = _Finishing(ruler, picture.id, sigma_mm, self.form.lens.key())
        self.finish()
        self._finishing = finishing
        ruler.finish(lambda: self._finished(finishing))
        self._put_down()

    def _put_down(self) -> None:
        ruler, self._ruler, self._line = self._ruler, None, None
        if ruler is not None and self._session.instrument is ruler:
            done_with(self._session)
        self.form.doubt.clear()
        self._renew()
        self.accepted.emit()

    def finish(self) -> None:
        """Wait no longer for a ruler whose scale was accepted: its two clicks count."""
        if self._finishing is not None:
            self._finished(self._finishing)

    def _finished(self, finishing: _Finishing) -> None:
        if self._finishing is not finishing:
            return
        self._finishing = None
        ruler = finishing.ruler
        scale = ruler.scale(finishing.sigma_mm, finishing.lens)
        deeds.give_scale(self._session, scale, _deed(scale), finishing.picture)
        if ruler.refused is not None:
            self._session.notice(ruler.refused)

    def _ruler_changed(self) -> None:
        if self._ruler is not None and self._line is not None:
            self._line = self._ruler.line
            self._show_result()

    def _let_go(self) -> None:
        """Forget a ruler that was put down."""
        self._ruler = self._line = None
        self._renew()
        self.cancelled.emit()

    def _change(self) -> None:
        scale = self._scale_now()
        if scale is not None and deeds.sides_of(scale) is not None:
            self.plane_wanted.emit()
        else:
            self.line_wanted.emit()

    def _cancel(self) -> None:
        self._line = None
        if self._ruler is not None:
            self._ruler = None
            done_with(self._session)
        self._renew()
        self.cancelled.emit()


def _deed(scale: Scale) -> str:
    """Return what giving a scale is called; nothing: as usual."""
    return "deed.fit_ruler" if scale.method == "ruler" else ""
