"""The picture rail: the frames of the specimen on the bench, with what each of them has."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import pairwise

from PySide6.QtCore import QMimeData, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QDrag, QKeyEvent, QMouseEvent, QPaintEvent, QPen, QWheelEvent
from PySide6.QtWidgets import (
    QApplication,
    QHBoxLayout,
    QScrollArea,
    QSizePolicy,
    QWidget,
)

from app.panels.fields import one_line, titled
from app.panels.thumbnails import Thumbnails, dashed, paint_thumbnail
from app.session import Aspect, Session
from app.style import focus, palette
from app.style.fonts import line_height, scaled
from app.style.icons import icon_pixmap
from app.style.tokens import ICON, LAYOUT, RADIUS
from app.style.widgets import Label, icon_button
from app.style.widgets.bare import bare_area, bare_column
from app.style.widgets.buttons import plain_tip
from app.style.widgets.painted import PaintedChoice, rounded, smooth, text_width, write
from landmarks.geometry import Box
from landmarks.scheme import VIEWS
from landmarks.sentences import Sentence, say, text
from landmarks.specimen import Frame, Specimen

THUMB = (48, 36)
FRAME = "application/x-hingeline-frame"
"""What a card carries when it is dragged: the id of its frame."""


@dataclass(frozen=True, slots=True)
class Neighbour:
    """A frame of another specimen that was drawn on the same picture."""

    specimen: str
    frame: str
    picture: str
    region: Box | None = None
    number: str = ""


class PictureRail(QWidget):
    """The frames side by side; the last place is for a picture still to come.

    Signals
    -------
    add_wanted()
        Another picture of the specimen on the bench.
    frame_wanted()
        Another specimen on the picture on the bench.
    """

    add_wanted = Signal()
    frame_wanted = Signal()

    def __init__(
        self,
        session: Session,
        thumbnails: Thumbnails | None = None,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._session, self._thumbnails = session, thumbnails
        self._neighbours: tuple[Neighbour, ...] = ()
        self._shown: object = None
        self.setAccessibleName(say("rail.title"))
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.cards: list[Card] = []
        self.add = Card(say("rail.add"), icon="plus", empty=True)
        self.add.clicked.connect(self.add_wanted)
        self.another = icon_button("crop", say("rail.another"))
        self.another.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.another.clicked.connect(self.frame_wanted)
        self._also = Label(say("rail.also"), "caption", "ink2")
        self._inside = QWidget()
        self._row = QHBoxLayout(self._inside)
        self._row.setContentsMargins(10, 3, 10, 3)
        self._row.setSpacing(4)
        self._area = _Sideways()
        self._area.setWidget(self._inside)
        self._inside.setAutoFillBackground(False)
        whole = bare_column(self)
        whole.addWidget(self._area)
        if thumbnails is not None:
            thumbnails.arrived.connect(self._thumbnail_came)
        session.changed.connect(self._look)
        self._renew()

    @property
    def neighbours(self) -> tuple[Neighbour, ...]:
        """Frames of other specimens on the same picture, as the window found them."""
        return self._neighbours

    @neighbours.setter
    def neighbours(self, found: Sequence[Neighbour]) -> None:
        self._neighbours = tuple(found)
        self._renew()

    def sizeHint(self) -> QSize:
        """Return the size it would like."""
        return QSize(scaled(400), max(scaled(LAYOUT.picture_rail), card_height() + 10))

    def minimumSizeHint(self) -> QSize:
        """Return the least size in which it can be read."""
        return QSize(scaled(160), self.sizeHint().height())

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Draw the ground and the line below."""
        painter = smooth(self)
        painter.fillRect(self.rect(), palette.colour("sheet"))
        painter.setPen(palette.colour("line"))
        below = self.height() - 0.5
        painter.drawLine(QPointF(0, below), QPointF(self.width(), below))
        painter.end()

    def _look(self, aspects: Aspect) -> None:
        if aspects & (Aspect.COLLECTION | Aspect.SELECTION):
            self._neighbours = tuple(
                one for one in self._neighbours if one.picture == self._picture_id()
            )
        if aspects & (
            Aspect.COLLECTION | Aspect.SELECTION | Aspect.SPECIMEN | Aspect.PICTURE
        ):
            self._renew()

    def _picture_id(self) -> str:
        frame = self._session.frame
        return frame.picture if frame is not None else ""

    def _renew(self) -> None:
        session = self._session
        specimen, chosen = session.specimen, session.frame
        frames = specimen.frames if specimen is not None else ()
        others = [one for one in self._neighbours if one.picture == self._picture_id()]
        wanted = (tuple(one.id for one in frames), tuple(others), specimen is None)
        if wanted != self._shown:
            self._shown = wanted
            self._build(frames, others)
        for frame, card in zip(frames, self.cards, strict=False):
            card.say(view_words(frame), self._has(specimen, frame))
            card.setChecked(chosen is not None and frame.id == chosen.id)
            card.shows = frame.picture, frame.region
            card.show_thumbnail(self._thumbnail(*card.shows))
            if card.isChecked():
                self._area.ensureWidgetVisible(card, 8, 0)
        self.add.say(say("rail.add"), missing_views(specimen))
        # A repeat takes no picture in and draws no frame: the record stays as it is.
        free = session.repeat is None
        self.add.setEnabled(specimen is not None and free)
        self.another.setEnabled(chosen is not None and bool(chosen.picture) and free)

    def _build(self, frames: Sequence[Frame], others: Sequence[Neighbour]) -> None:
        keep = (self.add, self.another, self._also)
        while (item := self._row.takeAt(0)) is not None:
            old = item.widget()
            if old is not None and old not in keep:
                old.hide()
                old.deleteLater()
        self.cards = []
        for frame in frames:
            card = self._add_card("", partial(self._session.choose_frame, frame.id))
            card.frame = frame.id
        self.another.setVisible(bool(frames))
        if frames:
            self._row.addWidget(self.another)
        self._also.setVisible(bool(others))
        if others:
            self._row.addSpacing(8)
            self._row.addWidget(self._also)
        for one in others:
            title = one_line(one.number) or say("specimens.no_number")
            go = partial(self._session.choose, one.specimen, one.frame)
            card = self._add_card(title, go)
            card.say(card.title, say("rail.neighbour"))
            card.shows = one.picture, one.region
            card.show_thumbnail(self._thumbnail(*card.shows))
        self._row.addWidget(self.add)
        self._row.addStretch(1)
        order = [
            *self.cards[: len(frames)],
            self.another,
            *self.cards[len(frames) :],
            self.add,
        ]
        for first, second in pairwise(order):
            if first.window() is second.window():
                QWidget.setTabOrder(first, second)

    def _add_card(self, title: str, go: Callable[[], None]) -> "Card":
        card = Card(title)
        card.clicked.connect(lambda _=False: go())
        card.turned.connect(self._turn)
        self.cards.append(card)
        self._row.addWidget(card)
        return card

    def _turn(self, card: "Card", by: int) -> None:
        at = self.cards.index(card) + by
        if 0 <= at < len(self.cards):
            self.cards[at].setFocus(Qt.FocusReason.OtherFocusReason)
            self._area.ensureWidgetVisible(self.cards[at], 8, 0)

    def _has(self, specimen: Specimen | None, frame: Frame) -> str:
        if specimen is None:
            return ""
        picture = self._session.pictures.get(frame.picture)
        scale = "scale" if picture is not None and picture.scale is not None else "no_scale"
        if frame.view not in VIEWS or not VIEWS[frame.view].landmarks:
            return say(f"rail.{scale}")
        n = len(specimen.placed(frame.id))
        landmarks = Sentence("rail.landmarks" if n else "rail.no_landmarks", {"n": n})
        return say("rail.has", scale=Sentence(f"rail.{scale}"), landmarks=landmarks)

    def _thumbnail(self, picture: str, region: Box | None) -> object:
        if self._thumbnails is None or not picture:
            return None
        return self._thumbnails(picture, region)

    def _thumbnail_came(self, picture_id: str) -> None:
        # The cards stay: only what they show of this picture is another.
        for card in self.cards:
            if card.shows[0] == picture_id:
                card.show_thumbnail(self._thumbnail(*card.shows))


class Card(PaintedChoice):
    """One place of the rail: thumbnail or icon, title, what it has."""

    turned = Signal(object, int)

    def __init__(
        self,
        title: str,
        icon: str = "",
        *,
        empty: bool = False,
        parent: QWidget | None = None,
    ) -> None:
        self.title, self.words, self._icon, self._empty = title, "", icon, empty
        self._thumbnail: object = None
        self.frame = ""
        self.shows: tuple[str, Box | None] = "", None
        self._pressed = QPointF()
        super().__init__(parent)
        self.setCheckable(not empty)
        # A click leaves the keyboard with the picture.
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self.setAccessibleName(title)

    def say(self, title: str, words: str) -> None:
        """Show a title and a line of words below."""
        self.title, self.words = title, words
        spoken = f"{title}, {words}" if words else title
        self.setAccessibleName(spoken)
        self.setToolTip(plain_tip(spoken))
        self.restyle()

    def show_thumbnail(self, thumbnail: object) -> None:
        """Show a thumbnail, or the place of one that is on its way."""
        self._thumbnail = thumbnail
        self.update()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Go to the next card with the arrow keys; Enter chooses."""
        turn = {Qt.Key.Key_Left: -1, Qt.Key.Key_Right: 1}.get(Qt.Key(event.key()))
        if turn is not None:
            self.turned.emit(self, turn)
        elif event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.click()
        else:
            super().keyPressEvent(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Remember where a drag would begin."""
        self._pressed = event.position()
        super().mousePressEvent(event)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Let the frame be dragged to another specimen."""
        far = (event.position() - self._pressed).manhattanLength()
        held = bool(event.buttons() & Qt.MouseButton.LeftButton)
        if not (held and self.frame and far >= QApplication.startDragDistance()):
            super().mouseMoveEvent(event)
            return
        self.setDown(False)
        drag, data = QDrag(self), QMimeData()
        data.setData(FRAME, self.frame.encode())
        drag.setMimeData(data)
        drag.setPixmap(self.grab())
        drag.exec(Qt.DropAction.MoveAction)

    def sizeHint(self) -> QSize:
        """Return the size it would like."""
        words = max(
            text_width(self.title, "small_strong"), text_width(self.words, "caption")
        )
        left = scaled(THUMB[0]) + 16
        return QSize(round(left + min(words, scaled(180)) + 14), card_height())

    def minimumSizeHint(self) -> QSize:
        """Return the least size in which it can be read."""
        return self.sizeHint()

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Paint it in the colours on screen."""
        painter = smooth(self)
        whole = QRectF(self.rect())
        chosen, hovered = self.isChecked(), self.underMouse() and self.isEnabled()
        if self._empty:
            dashed(painter, whole.adjusted(1, 1, -1, -1), RADIUS.row)
        if chosen or hovered:
            rounded(painter, whole, RADIUS.row, "accent_soft" if chosen else "ground")
        if chosen:
            painter.setPen(QPen(palette.colour("accent"), 1.6))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(whole.adjusted(1, 1, -1, -1), RADIUS.row, RADIUS.row)
        where = QRectF(6, 0, scaled(THUMB[0]), scaled(THUMB[1]))
        where.moveTop(whole.center().y() - where.height() / 2)
        if self._icon:
            edge = float(scaled(ICON.tool))
            ink = "ink2" if self.isEnabled() else "ink3"
            mark = icon_pixmap(self._icon, edge, ink, self.devicePixelRatioF())
            painter.drawPixmap(where.center() - QPointF(edge / 2, edge / 2), mark)
        else:
            paint_thumbnail(painter, where, self._thumbnail)  # type: ignore[arg-type]
        ink = "accent" if chosen else ("ink" if self.isEnabled() else "ink3")
        first, second = line_height("small_strong"), line_height("caption")
        top = whole.center().y() - (first + second * bool(self.words)) / 2
        left = where.right() + 9
        room = whole.right() - 9 - left
        write(painter, QRectF(left, top, room, first), self.title, "small_strong", ink)
        ink = "ink2" if self.isEnabled() else "ink3"
        write(painter, QRectF(left, top + first, room, second), self.words, "caption", ink)
        if self.hasFocus():
            focus.paint_ring(painter, whole, RADIUS.row)
        painter.end()


class _Sideways(QScrollArea):
    """A row that is scrolled sideways, also by a wheel that only turns up and down."""

    def __init__(self) -> None:
        super().__init__()
        bare_area(self)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)

    def wheelEvent(self, event: QWheelEvent) -> None:
        bar = self.horizontalScrollBar()
        turned = event.angleDelta()
        bar.setValue(bar.value() - (turned.x() or turned.y()))
        event.accept()


def card_height() -> int:
    """Return the height of a card, in logical pixels."""
    words = line_height("small_strong") + line_height("caption")
    return max(scaled(THUMB[1]) + 10, words + 8)


def view_words(frame: Frame) -> str:
    """Return what a frame shows, to stand as a title."""
    if not frame.view:
        return say("rail.no_view")
    known = frame.view in VIEWS
    return titled(say(f"view.{frame.view}")) if known else one_line(frame.view)


def missing_views(specimen: Specimen | None) -> str:
    """Return two views that a specimen has no frame of yet, those with landmarks first."""
    if specimen is None:
        return ""
    seen = {one.view for one in specimen.frames}
    living = any(VIEWS[key].living for key in seen if key in VIEWS)
    fits = [
        row
        for row in VIEWS.values()
        if row.key not in seen and row.key != "label" and row.living is living
    ]
    if not seen - {""} or not fits:
        return say("rail.another_view")
    first = sorted(fits, key=lambda row: not row.landmarks)[:2]
    return ", ".join(text(Sentence(f"view.{row.key}")) for row in first)
