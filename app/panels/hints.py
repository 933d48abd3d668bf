"""The hint line: where the pointer is, which keys help here, whether all is saved."""

from collections.abc import Mapping, Sequence
from datetime import datetime

from PySide6.QtCore import QLocale, QRectF, QSize, Qt, QTime
from PySide6.QtGui import QPaintEvent
from PySide6.QtWidgets import QApplication, QHBoxLayout, QSizePolicy, QWidget

from app.panels.strip import CONTEXT
from app.session import Aspect, Session
from app.style.fonts import line_height, scaled
from app.style.tokens import LAYOUT
from app.style.widgets import Label, button
from app.style.widgets.buttons import plain_tip
from app.style.widgets.keycap import keycap_size, paint_keycap
from app.style.widgets.painted import Painted, smooth, text_width, write
from landmarks.geometry import Point
from landmarks.scheme import SERIES, VIEWS
from landmarks.sentences import say
from landmarks.sentences.numbers import plain

Hint = tuple[tuple[str, ...], str]
"""Keys as their caps show them, and the key of the catalogue for what they do."""

MOST_HINTS = 5

# fmt: off
HINTS: Mapping[str, tuple[Hint, ...]] = {
    "picture":    ((("N",), "hint.next"), (("S",), "hint.scale"), (("Space",), "hint.pan"),
                   (("Z",), "hint.loupe"), (("F1",), "hint.keys")),
    "landmark":   ((("Click",), "hint.place"), (("Shift",), "hint.over_mark"),
                   (("X",), "hint.cannot"), (("N",), "hint.next"), (("Esc",), "hint.disarm")),
    "points":     ((("Click",), "hint.place"), (("Shift",), "hint.over_mark"),
                   (("Enter",), "hint.series_done"), (("X",), "hint.cannot"),
                   (("Esc",), "hint.disarm")),
    "series":     ((("Click",), "hint.place"), (("Enter",), "hint.series_done"),
                   (("X",), "hint.cannot"), (("Esc",), "hint.disarm"), (("Z",), "hint.loupe"),
                   (("H",), "hint.at_least")),
    "mark":       ((("←", "↑", "↓", "→"), "hint.nudge"), (("Alt",), "hint.tenth"),
                   ((",", "."), "hint.other_mark"), (("Del",), "hint.remove"),
                   (("N",), "hint.next")),
    "scale":      ((("Drag",), "hint.ruler"), (("Enter",), "hint.accept"),
                   (("Esc",), "hint.cancel"), (("Z",), "hint.loupe")),
    "frame":      ((("Drag",), "hint.frame"), (("Esc",), "hint.cancel")),
    "views":      ((("1", "…", "0"), "hint.view"), (("L",), "hint.view_label")),
    "specimens":  ((("↑", "↓"), "hint.specimen"), (("Ctrl", "Shift"), "hint.choose_many"),
                   (("Tab",), "hint.tab"), (("F1",), "hint.keys")),
    "table":      ((("Enter",), "hint.to_bench"), (("Ctrl", "Shift"), "hint.choose_many"),
                   (("Ctrl+A",), "hint.choose_all"), (("1", "…", "0"), "hint.view_of_many"),
                   (("Esc",), "hint.back")),
    "characters": ((("1", "…", "9"), "hint.choose"), (("0",), "hint.not_seen"),
                   (("U",), "hint.unsure"), (("←", "→"), "hint.other_character"),
                   (("Esc",), "hint.back")),
    "name":       ((("Enter",), "hint.give_name"), (("Tab",), "hint.tab"),
                   (("Esc",), "hint.back")),
    "filter":     ((("↓",), "hint.list"), (("Esc",), "hint.clear"), (("F1",), "hint.keys")),
    "label":      ((("Tab",), "hint.tab"), (("Esc",), "hint.back")),
    "landmarks":  ((("↑", "↓"), "hint.row"), (("Enter",), "hint.arm"), (("X",), "hint.cannot"),
                   (("Del",), "hint.remove"), (("Esc",), "hint.back")),
    "folds":      ((("Click",), "hint.fold"), (("Shift",), "hint.end_fold"),
                   ((",", "."), "hint.other_mark"), (("Del",), "hint.remove"),
                   (("Enter",), "hint.accept"), (("H",), "hint.at_least")),
    "plane":      ((("Click",), "hint.corner"), (("Backspace",), "hint.take_back"),
                   (("Tab",), "hint.tab"), (("Z",), "hint.loupe"), (("Esc",), "hint.back")),
    "margins":    ((("Esc",), "hint.back"), (("Z",), "hint.loupe")),
    "edge_trace": ((("Click",), "hint.follow"), (("Shift",), "hint.straight"),
                   (("Enter",), "hint.finish"), (("Backspace",), "hint.take_back"),
                   (("E",), "hint.plain")),
    "traced_line": ((("Click",), "hint.correct"), (("Shift",), "hint.straight"),
                    ((",", "."), "hint.other_mark"), (("Del",), "hint.remove"),
                    (("Enter",), "hint.accept")),
    "sorting":    ((("M",), "hint.merge"), (("B",), "hint.divide"), (("S",), "hint.split"),
                   (("Z",), "hint.large"), (("G",), "hint.whole_specimen"),
                   (("E",), "hint.everywhere"),
                   (("N",), "hint.number"), (("Shift+N",), "hint.number_on"),
                   (("[", "]"), "hint.to_beside"),
                   (("1", "…", "0"), "hint.view"), (("Backspace",), "hint.no_view"),
                   (("Del",), "hint.leave_out"), (("T",), "hint.take_along"),
                   (("Shift",), "hint.choose_stretch"), (("Ctrl+A",), "hint.choose_all"),
                   (("+", "−"), "hint.thumbnails"), (("Ctrl+Z",), "hint.take_back"),
                   (("Ctrl+Enter",), "hint.take_in")),
    "":           ((("Tab",), "hint.tab"), (("F1",), "hint.keys")),
}
# fmt: on
"""What helps where: the tool in hand, else the place that has the focus."""


class HintLine(QWidget):
    """The line along the bottom of the window."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self._context = self._home = "picture"
        self._table = dict(HINTS)
        self._shown: Sequence[Hint] = ()
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.setProperty("ground", "ground")
        self.setAccessibleName(say("hints.title"))
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self._where = _Where()
        self._caps = _Caps()
        self._adjusted = Label(say("seeing.hint"), "small", "caution")
        self._saving = Label("", "small", "ink2")
        self._saving.setTextInteractionFlags(Qt.TextInteractionFlag.NoTextInteraction)
        self.retry = button(say("band.try_again"), "link")
        self.retry.clicked.connect(session.journal.retry)
        row = QHBoxLayout(self)
        row.setContentsMargins(16, 0, 16, 0)
        row.setSpacing(12)
        row.addWidget(self._where)
        row.addWidget(self._caps, 1)
        row.addWidget(self._adjusted)
        row.addWidget(self._saving)
        row.addWidget(self.retry)
        session.changed.connect(self._look)
        application = QApplication.instance()
        if isinstance(application, QApplication):
            application.focusChanged.connect(self._focus_moved)
        self._show_hints()
        self._show_saving()
        self._adjusted.hide()

    def show_point(self, point: Point | None) -> None:
        """Show where the pointer is on the picture; None where it is not."""
        self._where.show_words("" if point is None else point_words(point))

    def set_context(self, context: str) -> None:
        """Say which place has the focus: a key of `HINTS`."""
        if context != self._context:
            self._context = context
            self._show_hints()

    def set_home(self, context: str) -> None:
        """Say which place has the keys where nothing else has: the page in front."""
        self._home = context
        self.set_context(context)

    def set_hints(self, context: str, hints: Sequence[Hint]) -> None:
        """Give a context other hints than those of `HINTS`."""
        self._table[context] = tuple(hints)
        self._show_hints()

    def context(self) -> str:
        """Return the context whose keys are shown: the tool's while one is armed."""
        session = self._session
        tool, at_work = session.tool, session.instrument
        if at_work is not None and self._context in ("picture", "", at_work.key):
            return at_work.stage if at_work.stage in self._table else self._context
        if tool is not None and self._context in ("picture", "", "views"):
            if tool.kind == "landmark":
                return "points" if _is_series(session) else "landmark"
            return tool.kind
        if self._context == "picture" and session.mark is not None:
            return "mark"
        return self._context

    def sizeHint(self) -> QSize:
        """Return the size it would like."""
        return QSize(scaled(600), max(LAYOUT.hints, line_height("small") + 10))

    def minimumSizeHint(self) -> QSize:
        """Return the least size in which it can be read."""
        return QSize(scaled(300), self.sizeHint().height())

    def _focus_moved(self, _old: QWidget | None, new: QWidget | None) -> None:
        """Take the context of the place that has the focus now; without one, the picture's."""
        place = new
        while place is not None and place.property(CONTEXT) is None:
            place = place.parentWidget()
        if new is not None:
            found = place.property(CONTEXT) if place is not None else self._home
            self.set_context(str(found))

    def _look(self, aspects: Aspect) -> None:
        wanted = (
            Aspect.TOOL | Aspect.SELECTION | Aspect.MARK | Aspect.SPECIMEN | Aspect.WORK
        )
        if aspects & wanted:
            self._show_hints()
        if aspects & (Aspect.SAVING | Aspect.COLLECTION):
            self._show_saving()
        if aspects & (Aspect.SEEING | Aspect.SELECTION):
            self._adjusted.setVisible(self._session.seeing.adjusted)

    def _show_hints(self) -> None:
        hints = self._table.get(self.context(), self._table[""])
        if hints is self._shown:
            return
        self._shown = hints
        self._caps.show_hints([(caps, say(key)) for caps, key in hints[:MOST_HINTS]])

    def _show_saving(self) -> None:
        saving = self._session.saving
        at = clock(saving.at)
        if self._session.store is None:
            words = ""
        elif saving.state == "failed":
            words = say("saving.failed", why=saving.fault)
        elif saving.state == "saving":
            words = say("saving.now", n=saving.n_waiting)
        else:
            words = say("saving.saved_at", at=at) if at else say("saving.saved")
        failed = saving.state == "failed"
        self._saving.set_ink("minus" if failed else "ink2")
        self._saving.setText(_shortened(words, 70))
        self._saving.setToolTip(plain_tip(words) if failed else "")
        self._saving.setAccessibleName(words)
        self.retry.setVisible(failed)


class _Where(Painted):
    """The coordinates, of one width so that nothing moves with them."""

    def __init__(self) -> None:
        self._words = ""
        super().__init__()
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Preferred)

    def show_words(self, words: str) -> None:
        if words != self._words:
            self._words = words
            self.setAccessibleName(words)
            self.update()

    def sizeHint(self) -> QSize:
        widest = say("hints.point", x="00000.0", y="00000.0")
        return QSize(round(text_width(widest, "small")) + 4, line_height("small"))

    def minimumSizeHint(self) -> QSize:
        return self.sizeHint()

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = smooth(self)
        write(painter, QRectF(self.rect()), self._words, "small", "ink2")
        painter.end()


class _Caps(Painted):
    """Key caps with what they do, as many as there is room for."""

    def __init__(self) -> None:
        self._hints: list[tuple[tuple[str, ...], str]] = []
        super().__init__()
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)

    def show_hints(self, hints: list[tuple[tuple[str, ...], str]]) -> None:
        if hints != self._hints:
            self._hints = hints
            spoken = (f"{' '.join(caps)}: {words}" for caps, words in hints)
            self.setAccessibleName("; ".join(spoken))
            self.update()

    def sizeHint(self) -> QSize:
        return QSize(scaled(300), scaled(20))

    def minimumSizeHint(self) -> QSize:
        return QSize(scaled(40), scaled(20))

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = smooth(self)
        x, middle, right = 0.0, self.height() / 2, float(self.width())
        for caps, words in self._hints:
            sizes = [keycap_size(cap) for cap in caps]
            wide = text_width(words, "small")
            if x + sum(width + 3 for width, _ in sizes) + 4 + wide > right:
                break
            for cap, (width, height) in zip(caps, sizes, strict=True):
                paint_keycap(painter, QRectF(x, middle - height / 2, width, height), cap)
                x += width + 3
            x += 4
            place = QRectF(x, 0, wide + 1, self.height())
            write(painter, place, words, "small", "ink2")
            x += wide + scaled(18)
        painter.end()


def point_words(point: Point) -> str:
    """Return coordinates as the hint line says them, to a tenth of a pixel."""
    return say("hints.point", x=_tenth(point.x), y=_tenth(point.y))


def clock(at: str) -> str:
    """Return the time of day, here, of a moment in UTC as records carry it."""
    try:
        here = datetime.fromisoformat(at).astimezone()
    except ValueError:
        return ""
    return QLocale().toString(QTime(here.hour, here.minute), QLocale.FormatType.ShortFormat)


def day(at: str) -> str:
    """Return the date, here, of a moment in UTC as records carry it."""
    try:
        return datetime.fromisoformat(at).astimezone().date().isoformat()
    except ValueError:
        return ""


def _tenth(value: float) -> str:
    # One fixed decimal: numbers under a moving pointer must not change their width.
    return plain(value, 1)


def _is_series(session: Session) -> bool:
    tool, frame = session.tool, session.frame
    if tool is None or frame is None or frame.view not in VIEWS:
        return False
    row = VIEWS[frame.view].landmark(tool.landmark)
    return row is not None and row.kind == SERIES


def _shortened(words: str, most: int) -> str:
    return words if len(words) <= most else f"{words[: most - 1].rstrip()}…"
