"""The picture rail: the frames of the specimen on the bench, with what each of them has."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import pairwise

from PySide6.QtCore import QEvent, QObject, QPointF, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QPaintEvent, QResizeEvent, QWheelEvent
from PySide6.QtWidgets import QHBoxLayout, QScrollArea, QSizePolicy, QWidget

from app.panels.fields import one_line, titled
from app.panels.rail_card import Card, card_height
from app.panels.thumbnails import Thumbnails
from app.session import Aspect, Session
from app.style import palette
from app.style.fonts import scaled
from app.style.tokens import LAYOUT
from app.style.widgets import Label, icon_button
from app.style.widgets.bare import bare_area, bare_row
from app.style.widgets.painted import smooth
from landmarks.geometry import Box
from landmarks.scheme import VIEWS
from landmarks.sentences import Sentence, say, text
from landmarks.specimen import Frame, Specimen

_GAP, _END = 4, 10
"""Between two places of the rail; at its two ends."""


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

    Many frames scroll sideways; the last place stays in sight, and says less where there is
    little room.

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
        self._row.setContentsMargins(_END, 3, _GAP, 3)
        self._row.setSpacing(_GAP)
        self._area = _Sideways()
        self._area.setWidget(self._inside)
        self._inside.setAutoFillBackground(False)
        whole = bare_row(self, 0)
        whole.addWidget(self._area)
        whole.addWidget(self.add)
        whole.addSpacing(_END)
        whole.addStretch(1)
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

    def event(self, event: QEvent) -> bool:
        """Let the last place say as much as there is room for beside the frames."""
        if event.type() == QEvent.Type.LayoutRequest:
            self._fit_add()
        return super().event(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Let the last place say as much as there is room for beside the frames."""
        super().resizeEvent(event)
        self._fit_add()

    def _fit_add(self) -> None:
        for card in self.cards:
            card.set_most(self._most_of_card())
        self.add.fit(self.width() - self._area.sizeHint().width() - _END)
        # Where the cards stand is known once they are laid out.
        QTimer.singleShot(0, self, self._show_chosen)

    def _show_chosen(self) -> None:
        chosen = next((card for card in self.cards if card.isChecked()), None)
        if chosen is not None:
            self._area.ensureWidgetVisible(chosen, 8, 0)

    def _most_of_card(self) -> int:
        """Return how wide a card may be so that it and the last place are seen whole."""
        return self.width() - self.add.least() - _GAP - 2 * _END

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
        QTimer.singleShot(0, self, self._show_chosen)
        self.add.say(say("rail.add"), missing_views(specimen))
        # A repeat takes no picture in and draws no frame: the record stays as it is.
        free = session.repeat is None
        self.add.setEnabled(specimen is not None and free)
        self.another.setEnabled(chosen is not None and bool(chosen.picture) and free)

    def _build(self, frames: Sequence[Frame], others: Sequence[Neighbour]) -> None:
        keep = (self.another, self._also)
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
        card.set_most(self._most_of_card())
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


class _Sideways(QScrollArea):
    """A row that is scrolled sideways, also by a wheel that only turns up and down."""

    def __init__(self) -> None:
        super().__init__()
        bare_area(self)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setSizePolicy(QSizePolicy.Policy.Maximum, QSizePolicy.Policy.Expanding)

    def sizeHint(self) -> QSize:
        inside = self.widget()
        return super().sizeHint() if inside is None else inside.sizeHint()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        done = super().eventFilter(watched, event)
        if watched is self.widget() and event.type() == QEvent.Type.LayoutRequest:
            self.updateGeometry()
        return done

    def wheelEvent(self, event: QWheelEvent) -> None:
        bar = self.horizontalScrollBar()
        turned = event.angleDelta()
        bar.setValue(bar.value() - (turned.x() or turned.y()))
        event.accept()


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
