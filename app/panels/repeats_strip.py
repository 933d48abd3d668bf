"""Choosing a repeat: whose, one of how many, by which seed; what is due; begin."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QSpinBox, QVBoxLayout, QWidget

from app.panels.fields import ChoiceField, labelled, later, one_line
from app.panels.strip import Strip
from app.session import Aspect, Session, new_id
from app.session.repeating import (
    MOST_SEED,
    Due,
    Repeat,
    ask_in_turns,
    is_saving,
    own_seed,
    read_due,
)
from app.style.follow import follow
from app.style.fonts import scaled
from app.style.widgets import FlowLayout, Label, button
from app.style.widgets.buttons import plain_tip
from landmarks.collection import Person
from landmarks.repeats import BLIND, EVERY, SECOND
from landmarks.sentences import Sentence, say

NEW = "new"
LOOK_AGAIN_MS = 250


class RepeatsStrip(Strip):
    """The lot is drawn on the worker as soon as something is chosen otherwise.

    Signals
    -------
    begin_wanted(Repeat)
        The person begins with what is due.
    report_wanted()
        How far the repeats so far agree is to be shown.
    """

    begin_wanted = Signal(object)
    report_wanted = Signal()

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__("repeat-2", say("repeats.title"), "label", parent)
        self._session = session
        self._due: Due | None = None
        self._asked = 0
        self._waits = False
        self.set_title(say("repeats.title"), say("repeats.words"))
        choices = [(one, say(f"repeats.occasion.{one}")) for one in (BLIND, SECOND)]
        self.occasion = ChoiceField(say("repeats.occasion"), choices)
        self.observer = ChoiceField(say("repeats.observer"))
        self.name = QLineEdit()
        self.name.setAccessibleName(say("repeats.observer.name"))
        self.every = _whole_number(say("repeats.every"), 2, 1000, EVERY)
        self.seed = _whole_number(say("repeats.seed"), 0, MOST_SEED, 0)
        self.seed.setToolTip(plain_tip(say("repeats.seed.tip")))
        self.said = Label("", "body", wrap=True)
        self.begin = button(say("repeats.begin"), "primary", "repeat-2")
        self.report = button(say("repeats.report"))
        self._pause = later(LOOK_AGAIN_MS, self, self._look_for_due)
        self._lay_out()
        self.setFocusProxy(self.begin)
        self.occasion.chosen.connect(lambda _: self._choose())
        self.observer.chosen.connect(lambda _: self._choose())
        self.name.textChanged.connect(lambda _: self._say())
        for field in (self.every, self.seed):
            field.valueChanged.connect(lambda _: self._choose(soon=False))
        self.begin.clicked.connect(self._begin)
        self.report.clicked.connect(self.report_wanted)
        session.changed.connect(self._look)
        follow(self._restyle)
        self._collection_came()

    def person(self) -> Person | None:
        """Return who would repeat; None while a new observer has no name yet."""
        if self.occasion.key() == BLIND:
            return self._session.person
        if self.observer.key() != NEW:
            known = self._due.people if self._due is not None else ()
            return next((one for one in known if one.id == self.observer.key()), None)
        name = self.name.text().strip()
        # Somebody of that name may have measured here before.
        for one in self._due.people if self._due is not None else ():
            if name and one.name.casefold() == name.casefold():
                return one
        return Person(new_id(), name) if name else None

    def due(self) -> Due | None:
        """Return what is due; None while the lot is being drawn."""
        return self._due

    def showEvent(self, event: QShowEvent) -> None:
        """Draw the lot anew: meanwhile more may have been recorded."""
        super().showEvent(event)
        self._choose()

    def _lay_out(self) -> None:
        fields = FlowLayout(gap=16, line_gap=8)
        self._observer, self._name = labelled(self.observer), labelled(self.name)
        for one in (labelled(self.occasion), self._observer, self._name,
                    labelled(self.every), labelled(self.seed)):  # fmt: skip
            fields.addWidget(one)
        ways = QHBoxLayout()
        ways.setSpacing(12)
        ways.addWidget(self.begin)
        ways.addWidget(self.report)
        ways.addWidget(self.said, 1)
        body = QWidget()
        column = QVBoxLayout(body)
        column.setSpacing(10)
        column.addLayout(fields)
        column.addLayout(ways)
        for key in ("repeats.help.blind", "repeats.help.tem"):
            column.addWidget(Label(say(key), "small", "ink2", wrap=True))
        column.addStretch(1)
        self.set_body(body)

    def _look(self, aspects: Aspect) -> None:
        if aspects & Aspect.COLLECTION:
            self._collection_came()
        elif aspects & Aspect.SAVING and self._waits and not is_saving(self._session):
            self._choose()

    def _collection_came(self) -> None:
        self._due = None
        self.seed.setValue(own_seed(self._session.about.id))
        self.every.setValue(EVERY)
        self._choose()

    def _choose(self, *, soon: bool = True) -> None:
        """Draw the lot for what is chosen now, at once or when nothing more is chosen."""
        self._asked += 1
        self._due_is_old()
        if not self.isVisible():
            return
        if soon:
            self._look_for_due()
        else:
            self._pause.start()

    def _due_is_old(self) -> None:
        second = self.occasion.key() == SECOND
        self._observer.setVisible(second)
        self._name.setVisible(second and self.observer.key() == NEW)
        self._say(looking=True)

    def _look_for_due(self) -> None:
        self._pause.stop()
        store = self._session.store
        # What was done last is still on its way to the collection.
        self._waits = is_saving(self._session)
        if store is None or self._waits:
            self._say(looking=self._waits)
            return
        self._asked += 1
        asked, occasion = self._asked, self.occasion.key()
        person = self._session.person.id if occasion == BLIND else self.observer.key()

        def found(due: Due) -> None:
            self._due = due
            self._offer(due)
            self._say()

        def failed(sentence: Sentence) -> None:
            self._session.notice(sentence, "error")

        pages = read_due(store, self.seed.value(), self.every.value(), occasion, person)
        ask_in_turns(self._session.desk, pages, found, failed, lambda: asked == self._asked)

    def _offer(self, due: Due) -> None:
        """Offer everybody of the collection as second observer but whoever works here."""
        unnamed = say("repeats.observer.unnamed")
        people = [
            (one.id, one_line(one.name) or unnamed)
            for one in due.people
            if one.id != self._session.person.id
        ]
        choices = [(NEW, say("repeats.observer.new")), *people]
        if choices != [
            (self.observer.itemData(at), self.observer.itemText(at))
            for at in range(self.observer.count())
        ]:
            self.observer.set_choices(choices)
        self._name.setVisible(self.occasion.key() == SECOND and self.observer.key() == NEW)

    def _say(self, *, looking: bool = False) -> None:
        due, second = self._due, self.occasion.key() == SECOND
        self.begin.setEnabled(False)
        if self._session.store is None:
            self.said.setText(say("repeats.no_collection"))
        elif due is None or looking:
            self.said.setText(say("repeats.looking"))
        elif not due.lot:
            key = "repeats.none_due.second_observer" if second else "repeats.none_due"
            values = {"drawn": due.n_drawn, "all": due.n_specimens}
            self.said.setText(say(key, every=self.every.value(), **values))
        elif self.person() is None:
            self.said.setText(say("repeats.name_needed"))
        else:
            values = {"drawn": due.n_drawn, "all": due.n_specimens}
            self.said.setText(say("repeats.due", n=len(due.lot), **values))
            self.begin.setEnabled(True)
        if due is not None and not self.begin.isEnabled() and self.begin.hasFocus():
            # What cannot be pressed is no place for the keyboard.
            self.occasion.setFocus(Qt.FocusReason.OtherFocusReason)

    def _begin(self) -> None:
        due, person = self._due, self.person()
        if due is not None and due.lot and person is not None:
            self.begin_wanted.emit(Repeat(self.occasion.key(), person, due.lot))

    def _restyle(self) -> None:
        self.occasion.setMinimumWidth(scaled(190))
        for one in (self.observer, self.name):
            one.setMinimumWidth(scaled(170))


def _whole_number(name: str, least: int, most: int, value: int) -> QSpinBox:
    made = QSpinBox()
    made.setAccessibleName(name)
    made.setRange(least, most)
    made.setValue(value)
    made.setKeyboardTracking(False)
    made.lineEdit().setAccessibleName(name)
    made.lineEdit().setTextMargins(7, 0, 0, 0)
    made.setAlignment(Qt.AlignmentFlag.AlignLeft)
    return made
