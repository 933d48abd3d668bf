"""Taking a collection elsewhere: what, as what, with which places; and bringing one back."""

from dataclasses import dataclass

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QCheckBox, QHBoxLayout, QVBoxLayout, QWidget

from app.panels.fields import ChoiceField, in_window, labelled
from app.panels.strip import Strip
from app.session import Aspect, Session
from app.style.widgets import Label, button
from landmarks.sentences import Sentence, say

ALL, FOUND, CHOSEN = "all", "found", "chosen"
CSV, JSON = "csv", "json"


@dataclass(frozen=True, slots=True)
class Wish:
    """What is to be written, and as what."""

    what: str = ALL
    form: str = CSV
    exact: bool = False
    history: bool = True
    renew: bool = True


class ExportStrip(Strip):
    """Two choices, one switch, and where it went.

    Signals
    -------
    export_wanted(Wish), restore_wanted(), given_up()
        The person wants it written, wants a collection made of a folder, or no more of it.
    """

    export_wanted = Signal(object)
    restore_wanted = Signal()
    given_up = Signal()

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__("upload", say("out.title"), "label", parent)
        self._session, self._busy = session, False
        self.set_title(say("out.title"), say("out.words"))
        self.what = ChoiceField(say("out.what"))
        self.form = ChoiceField(
            say("out.form"), [(one, say(f"out.form.{one}")) for one in (CSV, JSON)]
        )
        self.words = Label("", "small", "ink2", wrap=True)
        self.places = Label("", "small", "caution", wrap=True)
        self.exact = QCheckBox(say("out.exact"))
        self.stale = Label("", "small", "caution", wrap=True)
        self.renew = QCheckBox(say("out.renew"))
        self.renew.setChecked(True)
        self.history = QCheckBox(say("out.history"))
        self.history.setChecked(True)
        self.write = button(say("out.write"), "primary", "upload")
        self.restore = button(say("out.restore"), "plain", "download")
        self.give_up = button(say("many.give_up"))
        self.done = Label("", "body", wrap=True)
        self.done.setTextInteractionFlags(
            Qt.TextInteractionFlag.TextSelectableByMouse
            | Qt.TextInteractionFlag.TextSelectableByKeyboard
        )
        self._lay_out()
        self.setFocusProxy(self.what)
        self.form.chosen.connect(lambda _: self._renew())
        self.what.chosen.connect(lambda _: self._renew())
        self.exact.clicked.connect(lambda _: self._renew())
        self.write.clicked.connect(lambda: self.export_wanted.emit(self.wish()))
        self.restore.clicked.connect(self.restore_wanted)
        self.give_up.clicked.connect(self.given_up)
        session.changed.connect(self._look)
        session.chosen.changed.connect(self._offer)
        self._offer()

    def wish(self) -> Wish:
        """Return what the person asks for."""
        return Wish(
            self.what.key(),
            self.form.key(),
            self.exact.isChecked(),
            self.history.isChecked(),
            self.renew.isChecked(),
        )

    def showEvent(self, event: QShowEvent) -> None:
        """Forget what was said of the export before."""
        super().showEvent(event)
        if not self._busy:
            self._say("")

    def begin(self) -> None:
        """Say that it is being written."""
        self._busy = True
        self._say("")
        self._renew()

    def say_progress(self, words: str) -> None:
        """Say how far it is."""
        self._say(words)

    def end(self) -> None:
        """Let the person ask again."""
        self._busy = False
        self._say("")
        self._renew()

    def say_done(self, *sentences: Sentence | None) -> None:
        """Say what was written, and where."""
        self._say(" ".join(in_window(one) for one in sentences if one is not None))

    # -- inside ----------------------------------------------------------------------------

    def _lay_out(self) -> None:
        body = QWidget()
        row = QHBoxLayout()
        row.setSpacing(12)
        for one in (labelled(self.what), labelled(self.form)):
            row.addWidget(one, 1)
        column = QVBoxLayout(body)
        column.setSpacing(6)
        column.addLayout(row)
        for part in (
            self.words, self.stale, self.renew, self.places, self.exact, self.history,
            self.done,
        ):  # fmt: skip
            column.addWidget(part)
        column.addStretch(1)
        self.set_body(body)
        self.add_to_head(self.restore, self.give_up, self.write)

    def _look(self, aspects: Aspect) -> None:
        if aspects & (Aspect.ROWS | Aspect.COLLECTION):
            self._offer()

    def _offer(self) -> None:
        session = self._session
        choices = [(ALL, say("out.what.all"))]
        if session.query.text or session.query.filters:
            n = session.n_rows
            choices.append((FOUND, f"{say('out.what.found')} ({n})"))
        n = len(session.chosen)
        if n:
            choices.append((CHOSEN, f"{say('out.what.chosen')} ({n})"))
        kept = self.what.key()
        self.what.set_choices(choices)
        if kept and kept not in dict(choices):
            # What is no longer offered would otherwise be kept as it stands.
            self.what.removeItem(self.what.findData(kept))
            self.what.show_key(ALL)
        self._renew()

    def _renew(self) -> None:
        tables = self.form.key() == CSV
        self.words.setText(say(f"out.{self.form.key()}.words"))
        exact = self.exact.isChecked()
        self.places.setText(say("out.exact.words" if exact else "out.places"))
        self.places.setVisible(tables)
        self.exact.setVisible(tables)
        n_stale = self._session.listing.n_stale if self.what.key() == FOUND else 0
        self.stale.setText(say("out.stale", n=n_stale))
        self.stale.setVisible(n_stale > 0)
        self.renew.setVisible(n_stale > 0)
        self.history.setVisible(not tables and self.what.key() == ALL)
        self.give_up.setVisible(self._busy)
        self.restore.setVisible(not self._busy)
        for one in (self.write, self.restore):
            one.setEnabled(not self._busy and self._session.store is not None)

    def _say(self, words: str) -> None:
        self.done.setText(words)
        self.done.setVisible(bool(words))
