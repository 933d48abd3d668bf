"""The band above the picture: the one place that says what comes next, or what went wrong."""

from collections import deque
from dataclasses import dataclass

from PySide6.QtCore import QPoint, Qt, QTimer, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QApplication, QMenu, QSizePolicy, QWidget

from app.panels.fields import one_line, titled
from app.panels.view_choice import ViewChoice
from app.session import Aspect, Session, deeds
from app.style.drawings import landmark_drawing, scale_drawing
from app.style.widgets import Band, icon_button
from app.style.widgets.band import BandKind, Way
from app.style.widgets.bare import bare_column, bare_row
from landmarks.changes import ChangeSet
from landmarks.placing import REASONS
from landmarks.progress import FULL, NONE, Step
from landmarks.scheme import OUTLINE, PATH, VIEWS, Landmark
from landmarks.sentences import Sentence, say, text, word
from landmarks.sides import contradiction, valve_of
from landmarks.specimen import Frame, Specimen
from landmarks.storage import Conflict
from landmarks.storage.telling import names_of, sides_of

REASON_KEYS = {"hidden": "X", "worn": "W", "broken": "B", "outside_picture": "O"}
"""The keys of the reasons while the picture has the focus; the menu shows them."""

MOST_SIDES = 3
"""So many parts of a conflict are told one by one."""

KINDS: dict[str, BandKind] = {"info": "info", "caution": "caution", "error": "error"}

PASSING = "passing"
"""The kind of a notice that has had its time once anything else is begun or done."""


@dataclass(frozen=True, slots=True)
class Told:
    """A notice that waits to be read: what it says and of which kind it is."""

    sentence: Sentence
    kind: str


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
    cancelled = Signal()

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self._told: deque[Told] = deque()
        self._conflict: Conflict | None = None
        self._later = False
        self._asked = ""
        self._quiet = False
        self._shown: object = None
        self._believed: set[str] = set()
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.setProperty("ground", "raised")
        self.setAccessibleName(say("band.title"))
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Minimum)
        self.band = Band()
        self.views = ViewChoice(session)
        self._away = icon_button("x", say("band.put_away"))
        self._away.clicked.connect(self.put_away)
        row = bare_row(spacing=0)
        row.addWidget(self.band, 1)
        row.addWidget(self._away)
        row.addSpacing(10)
        column = bare_column(self, 0)
        column.addLayout(row)
        column.addWidget(self.views)
        session.changed.connect(self._look)
        session.noticed.connect(self._notice)
        session.conflicted.connect(self._clash)
        self._renew()

    def be_quiet(self, *, quiet: bool) -> None:
        """Say only what went wrong, not what comes next: the picture is out of sight."""
        self._quiet = quiet
        self._renew()

    def put_away(self) -> None:
        """Put the notice away that is shown; what waits behind it comes."""
        if self._conflict is not None or self._failed():
            self._later = True
        elif self._told:
            self._told.popleft()
        self._renew()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Put a notice away with Esc."""
        if event.key() == Qt.Key.Key_Escape and not self._away.isHidden():
            self.put_away()
            return
        super().keyPressEvent(event)

    # -- what it hears ---------------------------------------------------------------------

    def _look(self, aspects: Aspect) -> None:
        if aspects & Aspect.COLLECTION:
            self._told.clear()
            self._conflict, self._later = None, False
        if aspects & Aspect.PAST and self._told and self._told[0].kind == "info":
            self._told.popleft()
        begun = Aspect.PAST | Aspect.TOOL | Aspect.WORK | Aspect.SELECTION
        if aspects & begun and any(one.kind == PASSING for one in self._told):
            self._told = deque(one for one in self._told if one.kind != PASSING)
            self._renew()
        if aspects & Aspect.SAVING and self._session.saving.fault is None:
            self._conflict, self._later = None, False
        if aspects & ~(Aspect.LIVE | Aspect.MARK | Aspect.WORK):
            self._renew()

    def _notice(self, sentence: Sentence, kind: str) -> None:
        told = Told(sentence, kind)
        if kind == PASSING:
            # It answers the key that was pressed just now: it is said at once.
            self._told = deque(one for one in self._told if one.kind != PASSING)
            self._told.appendleft(told)
        elif told not in self._told:
            self._told.append(told)
        self._renew()

    def _clash(self, _deed: ChangeSet, conflict: Conflict) -> None:
        self._conflict, self._later = conflict, False
        self._renew()

    def _failed(self) -> bool:
        return self._session.saving.fault is not None

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
        if left and focused is not None and self.views.isAncestorOf(focused):
            self.view_said.emit()
        elif left and self.band.isVisible() and self.band.buttons():
            buttons = self.band.buttons()
            buttons[min(place, len(buttons) - 1)].setFocus(Qt.FocusReason.OtherFocusReason)

    def ways(self) -> tuple[QWidget, ...]:
        """Return everything here that the keyboard can go to now, in its order."""
        if not self.views.isHidden():
            return tuple(self.views.buttons.values())
        away = () if self._away.isHidden() else (self._away,)
        return (*self.band.buttons(), *away)

    def _say(self) -> None:
        self._away.hide()
        self.band.show()
        frame = self._session.frame
        # A notice does not stand in the way of the first question.
        asks = frame is not None and not frame.view and not self._quiet
        self.views.setVisible(asks)
        # What an instrument at work wants next is said in its strip.
        idle = self._session.instrument is None and not self._quiet
        said = self._say_trouble() or self._say_tool() or (idle and self._say_next())
        self.setVisible(said)
        if asks and frame is not None and frame.id != self._asked:
            self._asked = frame.id
            QTimer.singleShot(0, self.views, self.views.take_focus)

    def _say_trouble(self) -> bool:
        if self._later and not self._told:
            return False
        if self._conflict is not None and not self._later:
            ways = (
                Way(say("band.keep_mine"), self._keep_mine, "primary"),
                Way(say("band.take_theirs"), self._take_theirs),
            )
            self._show("caution", say("band.conflict"), self._both_sides(self._conflict),
                       ways=ways, icon="users")  # fmt: skip
        elif self._failed() and not self._later:
            fault = self._session.saving.fault
            again = (Way(say("band.try_again"), self._session.journal.retry, "primary"),)
            self._show("error", say("band.not_saved"), fault, ways=again)
        elif self._told:
            told, n = self._told[0], len(self._told)
            note = say("band.more_notices", n=n - 1) if n > 1 else ""
            kind = KINDS.get(told.kind, "info")
            self._show(kind, say(f"band.{kind}"), told.sentence, note=note)
        else:
            return False
        self._away.show()
        return True

    def _say_tool(self) -> bool:
        session = self._session
        tool, frame = session.tool, session.frame
        if tool is None or frame is None or session.specimen is None:
            return False
        if tool.kind == "landmark":
            scheme = VIEWS.get(frame.view)
            row = scheme.landmark(tool.landmark) if scheme is not None else None
            if row is None:
                return False
            self._say_landmark(row, frame)
            return True
        cancel = (Way(say("band.cancel"), self._cancel),)
        if tool.kind == "scale":
            self._show("next", say("band.scale"), Sentence("band.scale.words"), ways=cancel,
                       drawing=scale_drawing(), icon="ruler")  # fmt: skip
            return True
        if tool.kind == "frame":
            asked = "band.frame.own" if tool.own else "band.frame"
            if tool.landmark == deeds.LABEL:
                asked = "band.frame.label"
            self._show(
                "next", say(asked), Sentence(f"{asked}.words"), ways=cancel, icon="crop"
            )
            return True
        return False

    def _say_landmark(self, row: Landmark, frame: Frame) -> None:
        specimen = self._session.specimen
        placed = specimen.placed(frame.id) if specimen is not None else {}
        old = placed.get(row.key)
        n_points = len(old.points) if old is not None else 0
        keys = [one.key for one in VIEWS[frame.view].required]
        if row.optional:
            note = say("band.place.optional")
            if n_points:
                note = say("band.place.optional.points", points=n_points)
        else:
            place = {"n": keys.index(row.key) + 1, "all": len(keys)}
            note = say("band.place", **place)
            if row.grows and n_points:
                note = say("band.place.points", points=n_points, **place)
        name = Sentence(f"landmark.{row.key}.name")
        word = "band.landmark" if old is None or row.grows else "band.landmark.again"
        ways = []
        at_work = self._session.instrument
        if at_work is None and row.kind in (PATH, OUTLINE):
            ways.append(Way(say("band.trace"), self.trace_wanted.emit))
        if at_work is not None:
            # Its strip settles it.
            n_points = 0
        if row.grows and n_points:
            ways.append(
                Way(say("band.done"), lambda: deeds.finish_series(self._session), "primary")
            )
        elif row.may_be_none:
            none = row.may_be_none
            ways.append(
                Way(say(f"band.{none}"), lambda: deeds.cannot_place(self._session, none))
            )
        ways.append(Way(say("band.cannot"), self.ask_why_not))
        definition = Sentence(f"landmark.{frame.view}.{row.key}.definition")
        self._show("next", say(word, landmark=name, letter=row.letter), definition, note=note,
                   ways=ways, drawing=landmark_drawing(frame.view, row.key))  # fmt: skip

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
        """Return the menu of reasons why the armed landmark cannot be placed."""
        menu = QMenu(self)
        menu.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        for reason in REASONS:
            key = REASON_KEYS.get(reason, "")
            action = menu.addAction(f"{titled(say(f'reason.{reason}'))}\t{key}")
            action.triggered.connect(
                lambda _=False, why=reason: deeds.cannot_place(self._session, why)
            )
        return menu

    def _say_next(self) -> bool:
        session, frame = self._session, self._session.frame
        if session.specimen is None:
            if session.store is None or not session.n_rows:
                return False
            self._show("info", say("band.choose"), Sentence("band.choose.words"))
            return True
        if frame is None:
            way = Way(say("band.no_picture.way"), self.pictures_wanted.emit, "primary")
            self._show("info", say("band.no_picture"), Sentence("band.no_picture.words"),
                       ways=(way,), icon="image")  # fmt: skip
            return True
        if not frame.view:
            self.band.hide()
            return True
        if session.repeat is not None:
            return self._say_repeat(frame)
        if frame.id not in self._believed and self._say_mirrored(session.specimen, frame):
            return True
        return self._say_step({step.key: step for step in session.steps}, frame)

    def _say_repeat(self, frame: Frame) -> bool:
        """Say what is left to repeat of this specimen; going on stands beside it, too."""
        session = self._session
        has = {step.key: step for step in session.steps}
        scheme = VIEWS[frame.view].landmarks if frame.view in VIEWS else ()
        if scheme and has["landmarks"].has != FULL:
            what, note, icon = "place", text(has["landmarks"].words), "crosshair"
            way = Way(say("repeats.way.place"), self.landmarks_wanted.emit, "primary")
        elif has["characters"].has != FULL:
            what, note, icon = "score", text(has["characters"].words), "eye"
            way = Way(say("repeats.way.score"), self.characters_wanted.emit, "primary")
        else:
            what, note, icon = "done", "", "repeat-2"
            last = session.repeat is not None and session.repeat.next() is None
            on = say("repeats.last" if last else "repeats.next")
            way = Way(on, session.veil.next, "primary")
        title, sentence = say(f"repeats.{what}"), Sentence(f"repeats.{what}.words")
        self._show("next", title, sentence, note=note, icon=icon, ways=(way,))
        return True

    def _say_mirrored(self, specimen: Specimen, frame: Frame) -> bool:
        """Say that the landmarks lie as in the other valve, until the person settles it."""
        placed = specimen.placed(frame.id)
        doubt, found = contradiction(frame, placed), valve_of(placed, frame.view)
        if doubt is None or found is None:
            return False

        def believe() -> None:
            self._believed.add(frame.id)
            self._renew()

        ways = (
            Way(say("band.other_valve", valve=word("part", found)),
                lambda: deeds.set_part(self._session, found), "primary"),
            Way(say("band.as_recorded"), believe),
        )  # fmt: skip
        self._show("caution", say("band.mirrored"), doubt, ways=ways, icon="triangle-alert")
        return True

    def _say_step(self, steps: dict[str, Step], frame: Frame) -> bool:
        scheme = VIEWS[frame.view].landmarks if frame.view in VIEWS else ()
        ways = {
            "scale": Way(say("band.give_scale"), self.scale_wanted.emit),
            "landmarks": Way(say("band.place_landmarks"), self.landmarks_wanted.emit),
            "characters": Way(say("band.score"), self.characters_wanted.emit),
            "name": Way(say("band.give_name"), self.name_wanted.emit),
            "label": Way(say("band.copy_label"), self.label_wanted.emit),
        }
        scale, landmarks = steps["scale"].has, steps["landmarks"].has
        drawing, icon, note = "", "", ""
        chosen: tuple[str, ...]
        if frame.view == "label":
            words, chosen, icon = "band.label", ("label",), "tag"
        elif frame.view.startswith("living") and steps["characters"].has != FULL:
            # On the reef there is seldom a ruler; what can be seen tells most.
            words, chosen, icon = "band.characters", ("characters", "landmarks"), "eye"
            note = text(steps["characters"].words)
            if scale == NONE:
                chosen = ("characters", "scale")
        elif scheme and scale == NONE and landmarks == NONE:
            words, chosen, drawing = (
                "band.no_scale",
                ("scale", "landmarks"),
                scale_drawing(),
            )
            icon = "ruler"
        elif scheme and landmarks != FULL:
            words, chosen, icon = "band.landmarks", ("landmarks",), "crosshair"
            note = text(steps["landmarks"].words)
            if scale == NONE:
                chosen = ("landmarks", "scale")
        elif steps["characters"].has != FULL:
            words, chosen, icon = "band.characters", ("characters",), "eye"
            note = text(steps["characters"].words)
        elif steps["name"].has == NONE:
            words, chosen, icon = "band.name", ("name",), "tag"
        else:
            return False
        first, *others = (ways[key] for key in chosen)
        self._show("next", say(words), Sentence(f"{words}.words"), note=note, icon=icon,
                   ways=(Way(first.words, first.take, "primary"), *others),
                   drawing=drawing)  # fmt: skip
        return True

    def _show(
        self,
        kind: BandKind,
        title: str,
        sentence: Sentence | None,
        *,
        note: str = "",
        ways: tuple[Way, ...] | list[Way] = (),
        drawing: str = "",
        icon: str = "",
    ) -> None:
        words = text(sentence) if sentence is not None else ""
        shown = (kind, title, words, note, tuple(way.words for way in ways), drawing, icon)
        # Shown again as it is, it would take the focus from its buttons.
        if shown != self._shown:
            self._shown = shown
            self.band.show_band(
                kind, title, words, note=note, ways=ways, drawing=drawing, icon=icon
            )
            for made in self.band.buttons():
                # A click leaves the keyboard with the picture.
                made.setFocusPolicy(Qt.FocusPolicy.TabFocus)

    # -- what is done ----------------------------------------------------------------------

    def _both_sides(self, conflict: Conflict) -> Sentence:
        """Return what the part was, what is mine and what theirs; no names while hidden."""
        guide = self._session.guide
        names = {} if guide is None else names_of(guide.tables)
        rows = sides_of(conflict, names)
        if self._session.names_hidden or not rows:
            return conflict.sentence
        told: list[Sentence] = []
        for one in rows[:MOST_SIDES]:
            values = {"base": one.base, "mine": one.mine, "theirs": one.theirs}
            what = titled(one_line(text(one.what)))
            told.append(Sentence("others.sides", {"what": what, **values}))
        if len(rows) > MOST_SIDES:
            told.append(Sentence("others.more", {"n": len(rows) - MOST_SIDES}))
        words = " ".join(text(one) for one in (conflict.sentence, *told))
        return Sentence("plain", {"words": one_line(words)})

    def _keep_mine(self) -> None:
        conflict = self._conflict
        if conflict is not None:
            self._conflict = None
            self._session.journal.keep_mine(conflict)

    def _take_theirs(self) -> None:
        self._conflict = None
        self._session.journal.take_theirs()
        self._session.reader.again()

    def _cancel(self) -> None:
        self._session.take_tool(None)
        self.cancelled.emit()
