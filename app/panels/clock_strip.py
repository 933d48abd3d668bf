"""The camera's clock: how far it was off, and in which zone, for a whole dive at once."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QResizeEvent, QShowEvent
from PySide6.QtWidgets import QGridLayout, QLineEdit, QVBoxLayout, QWidget

from app.panels.fields import labelled, one_line, worded
from app.panels.meant import Meant
from app.panels.strip import Strip
from app.session import Aspect, Session
from app.session.whose import DAY, DIVE, PICTURE, Pictures
from app.style.fonts import scaled
from app.style.widgets import Label, button
from landmarks import intake
from landmarks.collection import Clock, Picture
from landmarks.errors import HingelineError
from landmarks.intake.clock import taken
from landmarks.sentences import Sentence, say, text

SCOPES = (DIVE, DAY, PICTURE)
_TWO_FROM, _THREE_FROM = 400, 480
"""From these widths on, at the usual size of type, two or three fields stand in a row."""


class ClockStrip(Strip):
    """What a watch showed, or the shift itself, and the zone; before and after beside them."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__("clock", say("clock.title"), "label", parent)
        self._session = session
        self._picture = ""
        self.set_title(say("clock.title"), say("clock.words"))
        self.watch = _field("clock.watch", "10:43:00")
        self.shift = _field("clock.shift", "+0:01:53")
        self.zone = _field("clock.zone", "+11:00")
        self.before = Label("", "body", wrap=True)
        self.after = Label("", "strong", wrap=True)
        self.trouble = Label("", "small", "minus", wrap=True)
        self.meant = Meant(session, worded("clock.scope", SCOPES), _with_a_time)
        self.correct = button(say("clock.correct"), "primary", "check")
        self.take_back = button(say("clock.take_back"))
        self._lay_out()
        self.setFocusProxy(self.watch)
        self.watch.textEdited.connect(lambda _: self._watched())
        self.shift.textEdited.connect(lambda _: self._preview())
        self.zone.textEdited.connect(lambda _: self._preview())
        for field in (self.watch, self.shift, self.zone):
            field.returnPressed.connect(self._correct)
        self.meant.changed.connect(self._preview)
        self.correct.clicked.connect(self._correct)
        self.take_back.clicked.connect(self._as_in_file)
        session.changed.connect(self._look)

    def _lay_out(self) -> None:
        body = QWidget()
        column = QVBoxLayout(body)
        column.setSpacing(6)
        self._grid = QGridLayout()
        self._grid.setHorizontalSpacing(12)
        self._holders = [labelled(one) for one in (self.watch, self.shift, self.zone)]
        column.addLayout(self._grid)
        times = QGridLayout()
        times.setHorizontalSpacing(12)
        times.setColumnStretch(1, 1)
        for row, (key, label) in enumerate(
            (("clock.before", self.before), ("clock.after", self.after))
        ):
            label.setAccessibleName(say(key))
            times.addWidget(Label(say(key), "small", "ink2"), row, 0)
            times.addWidget(label, row, 1)
        column.addLayout(times)
        column.addWidget(self.trouble)
        column.addWidget(self.meant)
        column.addStretch(1)
        self.set_body(body)
        # In the head, which never scrolls.
        self.add_to_head(self.take_back, self.correct)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Let fields stand below others where type is too large for three in a row."""
        super().resizeEvent(event)
        width = event.size().width()
        in_a_row = 1 + sum(width >= scaled(least) for least in (_TWO_FROM, _THREE_FROM))
        for at, holder in enumerate(self._holders):
            self._grid.removeWidget(holder)
            self._grid.addWidget(holder, at // in_a_row, at % in_a_row)
            self._grid.setColumnStretch(at, 3 - at % 2 if at < in_a_row else 0)

    def showEvent(self, event: QShowEvent) -> None:
        """Show the clock of the picture on the bench."""
        super().showEvent(event)
        self._look_for()

    def _look(self, aspects: Aspect) -> None:
        told = Aspect.SELECTION | Aspect.PICTURE | Aspect.COLLECTION
        if aspects & told and self.isVisible():
            self._look_for()

    def _look_for(self) -> None:
        picture = self._session.picture
        here = "" if picture is None else picture.id
        if here != self._picture:
            self._picture = here
            self._empty_fields()
        self.meant.look()

    def _empty_fields(self) -> None:
        """Empty the fields for good: undo takes the deed back, not the emptying."""
        for field in (self.watch, self.shift, self.zone):
            field.setText("")

    def _watched(self) -> None:
        """Let the shift follow from what a watch showed."""
        picture, words = self._session.picture, self.watch.text().strip()
        when = None if picture is None else taken(picture.file)
        if when is None or not words:
            self.shift.setText("")
        else:
            shown = when.local.isoformat(sep=" ", timespec="seconds")
            full = len(words) > 10
            try:
                seconds = intake.shift_between(shown if full else shown[11:], words)
            except HingelineError as fault:
                self.shift.setText("")
                self._preview(fault.sentence)
                return
            self.shift.setText(shift_words(seconds))
        self._preview()

    def _typed(self) -> tuple[float | None, str | None]:
        """Return the shift and the zone that were typed; None where none was."""
        shift, zone = self.shift.text().strip(), self.zone.text().strip()
        return (
            intake.read_shift(shift) if shift else None,
            intake.read_zone(zone) if zone else None,
        )

    def _preview(self, fault: Sentence | None = None) -> None:
        picture = self._session.picture
        self.before.setText(
            _time_words(picture, None if picture is None else picture.clock)
        )
        after, some = "", False
        try:
            shift, zone = self._typed()
            some = shift is not None or zone is not None
            if picture is not None and some:
                clock = picture.clock
                after = _time_words(
                    picture,
                    Clock(
                        clock.add_s if shift is None else shift,
                        clock.zone if zone is None else zone,
                    ),
                )
        except HingelineError as error:
            fault, some = error.sentence, False
        self.after.setText(after)
        self.trouble.setText("" if fault is None else text(fault))
        self.trouble.setVisible(fault is not None)
        free = self._session.repeat is None
        self.correct.setEnabled(some and bool(self.meant.pictures) and free)
        corrected = any(one.clock != Clock() for one in self.meant.pictures)
        self.take_back.setEnabled(corrected and free)

    def _correct(self) -> None:
        if self.correct.isEnabled():
            shift, zone = self._typed()
            deed = intake.correct_clock(self.meant.pictures, add_s=shift, zone=zone)
            self._do(deed)

    def _as_in_file(self) -> None:
        self._do(intake.correct_clock(self.meant.pictures, add_s=0.0, zone=""))

    def _do(self, deed: intake.Deed) -> None:
        if deed.changes:
            self._session.do(deed.sentence, *deed.changes)
        self._empty_fields()
        # The button that was pressed is shut now, and would hand the keyboard to the closing.
        self.watch.setFocus(Qt.FocusReason.OtherFocusReason)
        self._look_for()


def _with_a_time(pictures: Pictures) -> tuple[Pictures, str]:
    """Return the pictures whose file says when they were taken, how many, from when to when."""
    times = [(when.local, one) for one in pictures if (when := taken(one.file)) is not None]
    timed = tuple(one for _, one in times)
    words = say("clock.count", n=len(timed))
    if len(times) < 2:
        return timed, words
    first, *_, last = sorted(when for when, _ in times)
    far = first.date() != last.date()
    ends = [str(one) if far else str(one.time()) for one in (first, last)]
    return timed, say("clock.span", count=words, first=ends[0], last=ends[1])


def shift_words(seconds: float) -> str:
    """Return a shift as it can be typed.

    >>> shift_words(113), shift_words(-3723)
    ('+0:01:53', '−1:02:03')
    """
    whole = round(abs(seconds))
    sign = "\N{MINUS SIGN}" if seconds < 0 else "+"
    return f"{sign}{whole // 3600}:{whole // 60 % 60:02d}:{whole % 60:02d}"


def _field(key: str, example: str) -> QLineEdit:
    made = QLineEdit()
    made.setAccessibleName(say(key))
    made.setPlaceholderText(example)
    return made


def _time_words(picture: Picture | None, clock: Clock | None) -> str:
    when = None if picture is None else taken(picture.file, clock)
    return say("clock.no_time") if when is None else one_line(text(when.sentence))
