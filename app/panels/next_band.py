"""The band above the picture: the one place that says what comes next, or what went wrong."""

from functools import cached_property

from PySide6.QtCore import QPoint, Qt, QTimer, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QApplication, QMenu, QSizePolicy, QWidget

from app.panels.band_armed import Taken, said_of_tool
from app.panels.band_said import Said
from app.panels.band_steps import (
    said_of_bench,
    said_of_repeat,
    said_of_step,
    said_of_valve,
)
from app.panels.band_trouble import Trouble, said_of
from app.panels.fields import titled
from app.panels.view_choice import ViewChoice
from app.session import Aspect, Session, deeds
from app.session.notices import Kind, Told
from app.style.announcing import announce
from app.style.widgets import Band, icon_button
from app.style.widgets.bare import bare_column, bare_row
from landmarks.changes import ChangeSet
from landmarks.placing import REASONS, Placing
from landmarks.sentences import Sentence, say
from landmarks.storage import Conflict

REASON_KEYS = {"hidden": "X", "worn": "W", "broken": "B", "outside_picture": "O"}
"""The keys of the reasons while the picture has the focus; the menu shows them."""
AT_LEAST_KEY = "H"
"""The key that says of a series that there are more than could be marked."""


class NextBand(QWidget):
    """What comes next for the specimen on the bench; notices come first and can be put away.

    Signals
    -------
    scale_wanted(), landmarks_wanted(), characters_wanted(), name_wanted(), label_wanted()
        The person took the way that the band offers.
    pictures_wanted()
        The specimen on the bench has no picture yet.
    trace_wanted()
        The armed line is to be traced rather than clicked point by point.
    copy_wanted()
        What cannot be saved here shall go to a copy of the collection.
    view_said()
        The keyboard was with the views, and one of them was chosen.
    cancelled()
        The armed scale or frame is not wanted after all; the tool is disarmed already.
    """

    scale_wanted = Signal()
    landmarks_wanted = Signal()
    characters_wanted = Signal()
    name_wanted = Signal()
    label_wanted = Signal()
    pictures_wanted = Signal()
    trace_wanted = Signal()
    view_said = Signal()
    copy_wanted = Signal()
    cancelled = Signal()

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self._trouble = Trouble(session, self.copy_wanted.emit)
        self._asked, self._asks = "", False
        self._quiet = False
        self._shown: object = None
        self._heard = ""
        self._taken = Taken(self.trace_wanted.emit, self.ask_why_not, self._cancel)
        self._take = {
            "scale": self.scale_wanted.emit,
            "landmarks": self.landmarks_wanted.emit,
            "characters": self.characters_wanted.emit,
            "name": self.name_wanted.emit,
            "label": self.label_wanted.emit,
            "pictures": self.pictures_wanted.emit,
        }
        self._believed: set[str] = set()
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.setProperty("ground", "raised")
        self.setAccessibleName(say("band.title"))
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Minimum)
        self.band = Band()
        self._away = icon_button("x", say("band.put_away"))
        self._away.clicked.connect(self.put_away)
        row = bare_row(spacing=0)
        row.addWidget(self.band, 1)
        row.addWidget(self._away)
        row.addSpacing(10)
        self._column = bare_column(self, 0)
        self._column.addLayout(row)
        session.changed.connect(self._look)
        session.noticed.connect(self._notice)
        session.conflicted.connect(self._clash)
        self._renew()

    @cached_property
    def views(self) -> ViewChoice:
        """Return the question what a picture shows, made when it is first asked."""
        made = ViewChoice(self._session)
        made.hide()
        self._column.addWidget(made)
        return made

    def be_quiet(self, *, quiet: bool) -> None:
        """Say only what went wrong, not what comes next: the picture is out of sight."""
        self._quiet = quiet
        self._renew()

    def put_away(self) -> None:
        """Put the notice away that is shown; what waits behind it comes."""
        self._trouble.put_away()
        self._renew()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Put a notice away with Esc."""
        if event.key() == Qt.Key.Key_Escape and not self._away.isHidden():
            self.put_away()
            return
        super().keyPressEvent(event)

    # -- what it hears ---------------------------------------------------------------------

    def _look(self, aspects: Aspect) -> None:
        before = self._trouble.n_told
        self._trouble.look(aspects)
        apart = Aspect.LIVE | Aspect.MARK | Aspect.WORK
        if aspects & ~apart or self._trouble.n_told != before:
            self._renew()

    def _notice(self, sentence: Sentence, kind: Kind) -> None:
        self._trouble.notice(sentence, kind)
        before = self._heard
        self._renew()
        if self._heard == before:
            # It waits behind another one, or is told again because it was asked for again.
            self._announce(said_of(Told(sentence, kind)))

    def _clash(self, _deed: ChangeSet, conflict: Conflict) -> None:
        self._trouble.clash(conflict)
        self._renew()

    # -- what it says ----------------------------------------------------------------------

    def _renew(self) -> None:
        focused = QApplication.focusWidget()
        if focused is not None and not self.isAncestorOf(focused):
            focused = None
        shown = self.band.buttons()
        place = next((at for at, one in enumerate(shown) if one is focused), 0)
        self._say()
        # The keyboard stays here when what it stood on has given way to the next thing.
        left = focused is not None and all(one is not focused for one in self.ways())
        asked = left and bool(self._asked)
        if asked and focused is not None and self.views.isAncestorOf(focused):
            self.view_said.emit()
        elif left and self.band.isVisible() and self.band.buttons():
            buttons = self.band.buttons()
            buttons[min(place, len(buttons) - 1)].setFocus(Qt.FocusReason.OtherFocusReason)

    def ways(self) -> tuple[QWidget, ...]:
        """Return everything here that the keyboard can go to now, in its order."""
        if self._asks:
            return tuple(self.views.buttons.values())
        away = () if self._away.isHidden() else (self._away,)
        return (*self.band.buttons(), *away)

    def _say(self) -> None:
        self._away.hide()
        self.band.show()
        frame = self._session.frame
        # A notice does not stand in the way of the first question; what is drawn on the
        # picture does, which needs the room.
        asks = frame is not None and not frame.view and not self._quiet and not self._drawn
        again = asks and not self._asks
        self._asks = asks
        if asks or self._asked:
            self.views.setVisible(asks)
        trouble = self._trouble.said()
        heard = "" if trouble is None else trouble.heard
        if trouble is not None and heard != self._heard:
            self._announce(trouble)
        self._heard = heard
        said = trouble or self._said_of_tool() or self._said_of_next()
        if said is not None:
            self._show(said)
        self._away.setVisible(trouble is not None)
        self.setVisible(said is not None or asks)
        if said is None and asks:
            self.band.hide()
        if asks and frame is not None and (again or frame.id != self._asked):
            self._asked = frame.id
            QTimer.singleShot(0, self.views, self.views.take_focus)

    @property
    def _drawn(self) -> bool:
        """Return whether something is drawn on the picture just now."""
        return self._session.tool is not None or self._session.instrument is not None

    def _said_of_tool(self) -> Said | None:
        # Where there is little room, the strip of an instrument at work says enough.
        if self._quiet and self._session.instrument is not None:
            return None
        return said_of_tool(self._session, self._taken)

    def _said_of_next(self) -> Said | None:
        session, frame = self._session, self._session.frame
        # What an instrument at work wants next is said in its strip.
        if session.instrument is not None or self._quiet:
            return None
        if session.specimen is None or frame is None:
            return said_of_bench(session, self._take)
        if not frame.view:
            return None
        if session.repeat is not None:
            return said_of_repeat(session, frame, self._take)
        if frame.id not in self._believed:
            mirrored = said_of_valve(
                session, session.specimen, frame, lambda: self._believe(frame.id)
            )
            if mirrored is not None:
                return mirrored
        return said_of_step(session, frame, self._take)

    def _believe(self, frame_id: str) -> None:
        self._believed.add(frame_id)
        self._renew()

    def _announce(self, said: Said) -> None:
        """Let a screen reader say a notice, wherever the keyboard is."""
        announce(self, said.heard, at_once=said.kind == "error")

    def _show(self, said: Said) -> None:
        if said.looks == self._shown:
            return
        self._shown = said.looks
        self.band.show_band(
            said.kind,
            said.title,
            said.words,
            note=said.note,
            ways=said.ways,
            drawing=said.drawing,
            icon=said.icon,
        )
        for made in self.band.buttons():
            # A click leaves the keyboard with the picture.
            made.setFocusPolicy(Qt.FocusPolicy.TabFocus)

    # -- what is done ----------------------------------------------------------------------

    def ask_why_not(self) -> None:
        """Ask why the armed landmark cannot be placed, in a menu at its button."""
        session, frame = self._session, self._session.frame
        tool = session.tool
        if tool is None or tool.kind != "landmark" or frame is None:
            return
        menu = self.reasons_menu()
        shown = self.band.buttons()
        owner: QWidget = shown[-1] if shown and shown[-1].isVisible() else self
        menu.popup(owner.mapToGlobal(QPoint(0, owner.height() + 2)))

    def reasons_menu(self) -> QMenu:
        """Return the menu of reasons why the armed landmark cannot be placed.

        Of a series of which some are marked already it is asked first whether there are more.
        """
        menu = QMenu(self)
        menu.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        old = self._marked_series()
        if old is not None:
            word = "band.all_marked" if old.at_least else "band.at_least"
            least = menu.addAction(f"{say(word, n=len(old.points))}\t{AT_LEAST_KEY}")
            said = {old.landmark: not old.at_least}
            least.triggered.connect(lambda _=False: deeds.say_at_least(self._session, said))
            menu.addSeparator()
        for reason in REASONS:
            key = REASON_KEYS.get(reason, "")
            action = menu.addAction(f"{titled(say(f'reason.{reason}'))}\t{key}")
            action.triggered.connect(
                lambda _=False, why=reason: deeds.cannot_place(self._session, why)
            )
        return menu

    def _marked_series(self) -> Placing | None:
        """Return what is placed of the armed series, or None."""
        session, tool = self._session, self._session.tool
        specimen, frame = session.specimen, session.frame
        if specimen is None or frame is None or tool is None:
            return None
        if session.instrument is not None:
            # Its own marks stand for those, and its strip says it of them.
            return None
        old = specimen.placed(frame.id).get(tool.landmark)
        series = deeds.is_series(session, tool.landmark)
        return old if series and old is not None and old.points else None

    def _cancel(self) -> None:
        self._session.hand.take_tool(None)
        self.cancelled.emit()
