"""What stands beside the step map: the collection at its left, undo and help at its right."""

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QPaintEvent
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QWidget

from app.panels.fields import one_line
from app.panels.hints import clock
from app.panels.strip import on_ground
from app.session import Aspect, Session
from app.style import palette
from app.style.follow import follow
from app.style.fonts import line_height, scaled
from app.style.icons import icon
from app.style.tokens import LAYOUT
from app.style.widgets import icon_button
from app.style.widgets.buttons import plain_tip
from app.style.widgets.painted import Painted, smooth, text_width, write
from landmarks.sentences import Sentence, say, text


class HeaderBar(QWidget):
    """Undo and redo with the deed in words, names hidden, colours, keys.

    Signals
    -------
    undo_wanted(), redo_wanted(), keys_wanted(), colours_wanted()
        The button of that name was pressed.

    Attributes
    ----------
    label
        The collection and when it was saved, to stand at the left of the step map.
    """

    undo_wanted = Signal()
    redo_wanted = Signal()
    keys_wanted = Signal()
    colours_wanted = Signal()

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session, self._at_work = session, False
        on_ground(self)
        self.setAccessibleName(say("header.title"))
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Preferred)
        self.label = CollectionLabel(session)
        self.undo = icon_button("undo-2", say("action.undo"))
        self.redo = icon_button("redo-2", say("action.redo"))
        self.names = icon_button("eye", say("header.hide_names"))
        self.names.setCheckable(True)
        self.colours = icon_button("contrast", say("header.colours"))
        self.keys = icon_button("circle-question-mark", say("header.keys"))
        self._deed = _Deed()
        row = QHBoxLayout(self)
        row.setContentsMargins(12, 0, 12, 8)
        row.setSpacing(4)
        row.addWidget(self.undo)
        row.addWidget(self.redo)
        row.addSpacing(4)
        row.addWidget(self._deed, 1)
        for one in (self.names, self.colours, self.keys):
            row.addWidget(one)
        for one in (self.undo, self.redo, self.names, self.colours, self.keys):
            # A click leaves the keyboard with the picture.
            one.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.undo.clicked.connect(self.undo_wanted)
        self.redo.clicked.connect(self.redo_wanted)
        self.keys.clicked.connect(self.keys_wanted)
        self.colours.clicked.connect(self.colours_wanted)
        self.names.clicked.connect(session.hide_names)
        session.changed.connect(self._look)
        follow(self._restyle)
        self._renew()

    def sizeHint(self) -> QSize:
        """Return the size it would like: as wide as the side below it."""
        return QSize(scaled(LAYOUT.side[1]), scaled(LAYOUT.step_map))

    def minimumSizeHint(self) -> QSize:
        """Return the least size in which it can be read."""
        return QSize(scaled(LAYOUT.side[0]), super().minimumSizeHint().height())

    def _look(self, aspects: Aspect) -> None:
        at_work = self._session.instrument is not None
        told = Aspect.PAST | Aspect.COLLECTION | Aspect.NAMES | Aspect.SPECIMEN
        if aspects & told or at_work is not self._at_work:
            self._at_work = at_work
            self._renew()

    def _renew(self) -> None:
        session = self._session
        hidden = session.names_hidden
        for made, word in ((self.undo, "undo"), (self.redo, "redo")):
            words, can = past_words(session, word)
            made.setEnabled(can)
            made.setAccessibleName(words)
            made.setToolTip(plain_tip(words))
        said = self.undo.accessibleName() if self.undo.isEnabled() else ""
        self._deed.show_words(said)
        self.names.setChecked(hidden)
        self.names.setIcon(icon("eye-off" if hidden else "eye"))
        name = say("header.show_names" if hidden else "header.hide_names")
        self.names.setAccessibleName(name)
        self.names.setToolTip(plain_tip(name))

    def _restyle(self) -> None:
        self.colours.setIcon(icon("sun" if palette.is_dark() else "moon"))


class CollectionLabel(QWidget):
    """The name of the collection, and when it was last saved."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        on_ground(self)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Preferred)
        self._lines = ("", "")
        session.changed.connect(self._look)
        follow(self._restyle)
        self._renew()

    def sizeHint(self) -> QSize:
        """Return the size it would like: as wide as the specimens below it."""
        return QSize(scaled(LAYOUT.specimens[1]), scaled(LAYOUT.step_map))

    def minimumSizeHint(self) -> QSize:
        """Return the least size in which it can be read."""
        words = line_height("strong") + line_height("small")
        return QSize(scaled(LAYOUT.specimens[0]), words + 12)

    def lines(self) -> tuple[str, str]:
        """Return what it says."""
        return self._lines

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Paint it in the colours on screen."""
        painter = smooth(self)
        painter.fillRect(self.rect(), palette.colour("ground"))
        first, second = line_height("strong"), line_height("small")
        top = (self.height() - first - second) / 2 - 4
        room = self.width() - 28.0
        write(painter, QRectF(16, top, room, first), self._lines[0], "strong")
        place = QRectF(16, top + first, room, second)
        write(painter, place, self._lines[1], "small", "ink2")
        painter.end()

    def _look(self, aspects: Aspect) -> None:
        if aspects & (Aspect.COLLECTION | Aspect.SAVING):
            self._renew()

    def _renew(self) -> None:
        session = self._session
        if session.store is None:
            lines = "", ""
        else:
            name = one_line(session.about.name) or say("collection.unnamed")
            lines = name, self._saved()
        if lines != self._lines:
            self._lines = lines
            self.setAccessibleName(", ".join(filter(None, lines)))
            self.setToolTip(plain_tip(lines[0]))
            self.update()

    def _saved(self) -> str:
        saving, example = self._session.saving, self._session.example
        at = clock(saving.at)
        words = ""
        if saving.state == "failed":
            words = say("header.not_saved")
        elif saving.state == "saving":
            words = say("header.saving")
        elif at:
            words = say("header.saved", at=at)
        if not example:
            return words or say("header.unchanged")
        return say("header.example.and", words=words) if words else say("header.example")

    def _restyle(self) -> None:
        self.updateGeometry()
        self.update()


class _Deed(Painted):
    """The deed that undo would take back, shortened where there is no room."""

    def __init__(self) -> None:
        self._words = ""
        super().__init__()
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)

    def show_words(self, words: str) -> None:
        if words != self._words:
            self._words = words
            fits = text_width(words, "small") <= self.width()
            self.setToolTip("" if fits else plain_tip(words))
            self.update()

    def sizeHint(self) -> QSize:
        return QSize(scaled(140), line_height("small"))

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = smooth(self)
        write(painter, QRectF(self.rect()), self._words, "small", "ink2")
        painter.end()


def past_words(session: Session, word: str) -> tuple[str, bool]:
    """Return what ``undo`` or ``redo`` would do, in words, and whether there is anything.

    While an instrument is at work, undo takes its last click back: no deed that is recorded
    is undone by a key that meant the click.
    """
    if word == "undo" and session.instrument is not None:
        return say("action.undo.at_work"), True
    deed = session.undo_name if word == "undo" else session.redo_name
    if deed is None:
        return say(f"action.{word}"), False
    shown = deed_words(deed, names_hidden=session.names_hidden)
    return say(f"action.{word}.deed", deed=shown), True


def deed_words(deed: Sentence, *, names_hidden: bool = False) -> str:
    """Return a deed in words; a name that was given is not told while names are hidden."""
    if names_hidden and deed.key == "deed.determine":
        return say("deed.determine.hidden")
    return text(deed)
