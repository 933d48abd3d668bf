"""The inside of the window: specimens left, the picture in the middle, what follows right.

The bench lays out panels and hands wishes between them; it knows no deed by name. What can
be done is handed to it as a table (``app.actions``).
"""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QDragEnterEvent, QDropEvent, QResizeEvent
from PySide6.QtWidgets import (
    QApplication,
    QHBoxLayout,
    QSplitter,
    QVBoxLayout,
    QWidget,
)

from app.background.pictures import PictureLoader
from app.canvas.bound import BoundCanvas
from app.canvas.dropped import files_of
from app.panels.fields import one_line
from app.panels.header import HeaderBar
from app.panels.hints import HintLine
from app.panels.next_band import NextBand
from app.panels.rail import Neighbour, PictureRail
from app.panels.side import Side
from app.panels.specimens import SpecimensPanel
from app.panels.steps import StepsBar
from app.session import Aspect, Session, Tool, deeds
from app.session.at_work import MARK, take_back
from app.settings import Settings
from app.shell import Shell
from app.style import fonts, palette
from app.window.field_undo import FieldUndo
from app.window.files import Files
from app.window.framing import Framing
from app.window.keeping import Keeping
from app.window.labels import LabelsDesk
from app.window.pages import Pages
from app.window.regrouping import Regrouping
from app.window.repeats import Repeats
from app.window.room import Room
from app.window.scaling import Scaling
from app.window.scanner import Scanner
from app.window.sorting import SortingDesk
from app.window.stepping import Stepping
from app.window.strips import INSTRUMENTS, Strips
from app.window.tab_order import go_on
from app.window.tabling import Tabling
from app.window.taking_up import TakingUp
from app.window.thumbnails import Thumbnails
from app.window.widths import Widths
from landmarks.placing import TRUE_ZEROS
from landmarks.scheme import VIEWS
from landmarks.sentences import say

_STEP_OF_STRIP = {
    "picture": "picture",
    "scale": "scale",
    "plane": "scale",
    "landmarks": "landmarks",
    "score": "characters",
    "name": "name",
    "edge_trace": "landmarks",
    "folds": "landmarks",
    "series": "landmarks",
    "margins": "landmarks",
}
_CONTEXT_OF_STRIP = {"score": "characters", "name": "name", "landmarks": "landmarks"}


class Bench(QWidget):
    """One window on one session; the shell holds it and its menus."""

    preferences_changed = Signal()

    def __init__(self, session: Session, settings: Settings, shell: Shell) -> None:
        super().__init__()
        self.setAcceptDrops(True)
        self.session, self.settings, self.shell = session, settings, shell
        self.files = Files(session, settings, self)
        self.loader = PictureLoader(self)
        self.thumbnails = Thumbnails(session, self.loader, self)
        self._lay_out()
        self.repeats = Repeats(self)
        self.tabling = Tabling(self)
        self.keeping = Keeping(self)
        self.sorting = SortingDesk(self)
        self.regrouping = Regrouping(self)
        self.labels = LabelsDesk(self)
        self.scanner = Scanner(self)
        self.field_undo = FieldUndo(self)
        self._room = Room(self)
        self.stepping = Stepping(self)
        self._connect()

    def set_keys(self, keys: Sequence[tuple[str, str, str]]) -> None:
        """Tell the key sheet every key: the key, what it does, its menu."""
        self.strips.set_keys(keys)

    # -- wishes ----------------------------------------------------------------------------

    @property
    def has_scheme(self) -> bool:
        """Return whether the frame on the bench has landmarks to place."""
        frame = self.session.frame
        return (
            frame is not None and frame.view in VIEWS and bool(VIEWS[frame.view].landmarks)
        )

    def open_strip(self, name: str) -> None:
        """Open a strip under the picture by name."""
        if self.repeats.may_open(name):
            self.strips.open(name)

    def start_scale(self) -> None:
        """Arm the scale tool: the next line on the picture becomes a scale.

        A line that was left on this picture is gone on with first.
        """
        if not self.repeats.may_open("scale") or self.scaling.go_on():
            return
        self.session.hand.take_tool(Tool("scale"))
        self.canvas.setFocus()

    def lay_plane(self) -> None:
        """Ask for four points around the specimen; they give the scale and put it straight."""
        if self.repeats.may_open("scale"):
            self.scaling.plane()

    def start_landmarks(self) -> None:
        """Arm the next landmark without an answer."""
        deeds.arm(self.session)
        self.canvas.setFocus()

    def start_characters(self, character: str = "") -> None:
        """Open the scoring strip, on one character or on the next that was not looked at."""
        self.session.hand.take_tool(None)
        self.strips.score(character)

    def undo(self) -> None:
        """Take back the last click of the instrument at work; without one, the last deed."""
        if not take_back(self.session):
            self.session.undo()

    def true_zero(self) -> None:
        """Answer the armed landmark with its true zero: closed, or there are none."""
        tool, frame = self.session.tool, self.session.frame
        if tool is None or frame is None or frame.view not in VIEWS:
            return
        row = VIEWS[frame.view].landmark(tool.landmark)
        if row is not None and row.may_be_none in TRUE_ZEROS:
            deeds.cannot_place(self.session, row.may_be_none)

    def delete_mark(self) -> None:
        """Take the selected mark away."""
        at_work, mark = self.session.instrument, self.session.mark
        if mark is None:
            return
        if at_work is not None and mark[0].startswith(MARK):
            at_work.delete(*mark)
            self.session.hand.choose_mark(None)
        else:
            deeds.delete_mark(self.session, *mark)

    def finish(self) -> None:
        """Accept what the instrument at work found, or leave the series that is armed."""
        if self.session.instrument is not None:
            self.session.instrument.accept()
        else:
            deeds.finish_series(self.session)

    def toggle_loupe(self) -> None:
        """Show or hide the loupe."""
        self.canvas.set_loupe(not self.canvas.loupe_on)

    def use_colours(self, scheme: str) -> None:
        """Use the light or dark colours, or those of the system."""
        self.settings.set("colours", scheme)
        self._restyle()

    def text_size(self, by: int) -> None:
        """Make all text larger or smaller by so many pixels."""
        size = min(28, max(10, int(self.settings["text_size"]) + by))
        self.settings.set("text_size", size)
        fonts.set_base_size(size)
        self._restyle()

    def focusNextPrevChild(self, forward: bool) -> bool:  # noqa: FBT001 - as Qt calls it
        """Go through the window as one reads it; strips and pages have an order of their own."""
        page = self.pages.page
        middle = (
            (self.rail, self.band, self.canvas, self.strips) if page is None else (page,)
        )
        ours = (self.header.label, self.steps, self.header, self.specimens)
        regions = (*ours, *middle, *self.side.sections())
        return go_on(regions, middle[-1:], forward=forward) or super().focusNextPrevChild(
            forward
        )

    # -- inside ----------------------------------------------------------------------------

    def _lay_out(self) -> None:
        self.header = HeaderBar(self.session)
        self.steps = StepsBar(self.session)
        self.specimens = SpecimensPanel(self.session, self.thumbnails)
        self.rail = PictureRail(self.session, self.thumbnails)
        self.band = NextBand(self.session)
        self.canvas = BoundCanvas(self.session, self.loader)
        self.strips = Strips(self.session, self.settings)
        self.taking_up = TakingUp(self.session, self.canvas, self)
        self.scaling = Scaling(self.session, self.canvas, self.strips, self)
        self.framing = Framing(self.session, self.canvas, self)
        self.side = Side(self.session)
        self.hints = HintLine(self.session)

        middle = QWidget()
        column = self.middle = QVBoxLayout(middle)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.rail)
        column.addWidget(self.band)
        column.addWidget(self.canvas, 1)
        column.addWidget(self.strips)

        self.splitter = QSplitter(Qt.Orientation.Horizontal)
        self.splitter.setChildrenCollapsible(False)
        self.splitter.setHandleWidth(1)
        self.splitter.addWidget(self.specimens)
        self.pages = Pages(middle)
        self.splitter.addWidget(self.pages)
        self.splitter.addWidget(self.side)
        self.splitter.setStretchFactor(1, 1)
        self._widths = Widths(self)

        top = QWidget()
        line = QHBoxLayout(top)
        line.setContentsMargins(0, 0, 0, 0)
        line.setSpacing(0)
        line.addWidget(self.header.label)
        line.addWidget(self.steps, 1)
        line.addWidget(self.header)

        rows = QVBoxLayout(self)
        rows.setContentsMargins(0, 0, 0, 0)
        rows.setSpacing(0)
        rows.addWidget(top)
        rows.addWidget(self.splitter, 1)
        rows.addWidget(self.hints)

    def _connect(self) -> None:
        session = self.session
        session.changed.connect(self._changed)
        self.preferences_changed.connect(self._room.share)
        self.preferences_changed.connect(self._widths.align_header)
        self.shell.may_close = self._may_close
        self.shell.closing.connect(self.put_away)
        application = QApplication.instance()
        if isinstance(application, QApplication):
            application.focusChanged.connect(self._focus_moved)
        self.specimens.pictures_wanted.connect(self.files.pick_pictures)
        self.specimens.find_wanted.connect(lambda: self.open_strip("find"))
        self.specimens.many_wanted.connect(lambda: self.open_strip("many"))
        self.rail.add_wanted.connect(self.files.pick_view)
        self.rail.frame_wanted.connect(self.framing.another)
        self.steps.stepped.connect(self.stepping.step)
        self.band.scale_wanted.connect(self.stepping.scale)
        self.band.landmarks_wanted.connect(self.start_landmarks)
        self.band.characters_wanted.connect(self.start_characters)
        self.band.name_wanted.connect(lambda: self.open_strip("name"))
        self.side.wanted.connect(self.start_characters)
        self.band.label_wanted.connect(lambda: self.open_strip("label"))
        self.band.pictures_wanted.connect(self.files.pick_view)
        self.band.copy_wanted.connect(self.files.pick_copy)
        self.canvas.pointed.connect(self.hints.show_point)
        self.canvas.scale_drawn.connect(self.scaling.rule)
        self.canvas.files_dropped.connect(self.files.open_anything)
        self.strips.closed.connect(self._strip_closed)
        self.strips.opened.connect(self._strip_opened)
        self.strips.line_wanted.connect(self.start_scale)
        self.strips.plain_wanted.connect(self.taking_up.trace)
        self.band.trace_wanted.connect(self.taking_up.trace)
        self.band.view_said.connect(self.canvas.setFocus)
        self.strips.scoring.connect(self.side.set_scoring)
        self.strips.original_held.connect(self.canvas.hold_original)
        self.strips.repeat_wanted.connect(self.repeats.begin)
        self.strips.example_wanted.connect(self.files.open_example)
        self.strips.pictures_wanted.connect(self.files.pick_pictures)
        self.strips.collection_wanted.connect(self.files.pick_new_collection)
        self.header.undo_wanted.connect(self.undo)
        self.header.redo_wanted.connect(session.redo)
        self.header.keys_wanted.connect(lambda: self.open_strip("keys"))
        self.header.colours_wanted.connect(self._other_colours)

    def _changed(self, aspects: Aspect) -> None:
        if aspects & Aspect.COLLECTION:
            name = self.session.about.name
            key = "window.title_example" if self.session.example else "window.title"
            words = one_line(say(key, collection=name or say("collection.unnamed")))
            # Once alone it would be the place where Qt marks what is not saved.
            self.shell.setWindowTitle(words.replace("[*]", "[*][*]"))
        if aspects & (Aspect.SELECTION | Aspect.SPECIMEN | Aspect.ROWS):
            self._show_neighbours()
        if aspects & Aspect.WORK:
            self._show_instrument()

    def _show_instrument(self) -> None:
        """Open the strip of the instrument at work, or close that of one put down."""
        instrument, open_ = self.session.instrument, self.strips.current
        wanted = "" if instrument is None else instrument.key
        if wanted == open_:
            return
        if wanted:
            self.strips.open(wanted)
            self.canvas.setFocus()
        elif open_ in INSTRUMENTS:
            self.strips.close_strip()

    def _show_neighbours(self) -> None:
        here = self.session.specimen
        self.rail.neighbours = tuple(
            Neighbour(
                one.id, frame.id, frame.picture, frame.region, one.label.catalogue_number
            )
            for one, frame in self.session.neighbours
            if here is not None and one.id != here.id
        )

    def _focus_moved(self, _: QWidget | None, now: QWidget | None) -> None:
        if now is self.canvas:
            self.hints.set_context("picture")
        elif now is not None and self.specimens.isAncestorOf(now):
            self.hints.set_context("specimens")

    def _restyle(self) -> None:
        application = QApplication.instance()
        if isinstance(application, QApplication):
            palette.apply(application, self.settings["colours"])
        self.preferences_changed.emit()

    def _strip_opened(self, name: str) -> None:
        self._room.share()
        instrument = self.session.instrument
        if instrument is not None and name != instrument.key:
            self.session.hand.take_instrument(None)
        self.steps.set_current(_STEP_OF_STRIP.get(name, ""))
        # An instrument leaves the keys with the picture.
        usual = "picture" if name in INSTRUMENTS else "label"
        self.hints.set_context(_CONTEXT_OF_STRIP.get(name, usual))

    def _strip_closed(self) -> None:
        self._room.share()
        self.steps.set_current("")
        self.side.set_scoring("")
        self.session.hand.take_instrument(None)
        self.canvas.setFocus()

    def _other_colours(self) -> None:
        dark = palette.is_dark()
        self.use_colours("light" if dark else "dark")

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        """Welcome files anywhere in the window."""
        if files_of(event):
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        """Open the collection or take in the pictures that were dropped."""
        event.acceptProposedAction()
        self.files.open_anything(files_of(event))

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Give the side two columns where the window is wide, less room where it is narrow."""
        super().resizeEvent(event)
        self.side.fit_window(self.width())
        self._room.share()
        self._widths.fit()

    def _may_close(self) -> bool:
        """Return whether the window may be closed; why not is said above the picture."""
        if self.session.opening.may_close():
            return self.sorting.may_close()
        self.sorting.step_aside()
        return False

    def put_away(self) -> None:
        """Remember the places of things, write what waits, and stop every worker."""
        self.settings.set("window", self.shell.geometry_words)
        self._widths.remember()
        self.keeping.close()
        self.files.close()
        self.sorting.put_away()
        self.tabling.put_away()
        self.thumbnails.put_away()
        self.canvas.put_away()
        self.taking_up.close()
        self.scaling.close()
        self.loader.close()
        self.session.opening.close()
