"""A picture with its marks, the scale bar and the loupe over it; nothing is done to it yet."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from PySide6.QtCore import QPointF, QRect, QRectF, QSize
from PySide6.QtGui import QImage, QPainter, QResizeEvent
from PySide6.QtWidgets import QWidget

from app.canvas.loupe import Loupe
from app.canvas.marks import MarkLayer
from app.canvas.names import Aspect
from app.canvas.navigation import PictureView
from app.canvas.scalebar import ScaleBarOverlay
from landmarks.figures import Figure
from landmarks.geometry import Point


class MarkedView(PictureView):
    """A picture that shows a :class:`~landmarks.figures.Figure`, however it is moved about.

    The scale bar keeps away from marks and names; the loupe is over everything.
    """

    def __init__(self, parent: QWidget | None = None) -> None:
        self._bar = ScaleBarOverlay()
        self._loupe = Loupe()
        self._loupe_wanted = False
        self._figure: Figure | None = None
        self._marks: MarkLayer | None = None
        super().__init__(parent)
        self._marks = MarkLayer(self.scene())

    # ------------------------------------------------------------------ what is shown

    def begin_picture(self, size: QSize, levels: Sequence[QImage] = ()) -> None:
        """Show another picture, without marks yet."""
        self.show_figure(None)
        self.select("", -1)
        self.light(())
        super().begin_picture(size, levels)

    def show_figure(self, figure: Figure | None) -> None:
        """Show these marks; only what differs from the figure before is touched."""
        before, self._figure = self._figure, figure
        self._layer.show(figure)
        ratio = None if figure is None else figure.mm_per_px
        if before is None or figure is None or ratio != before.mm_per_px:
            self._fit_bar()
        if self._loupe.shown:
            self._update_loupe()

    def select(self, id: str, index: int = 0) -> None:
        """Show a mark as selected; an empty id: none. Tells nobody."""
        self._layer.select(id, index)
        self._update_loupe()

    def light(self, landmarks: Iterable[str]) -> None:
        """Show the marks of these landmarks as hovered, as when their measure is hovered."""
        self._layer.light(landmarks)

    @property
    def selection(self) -> tuple[str, int] | None:
        """Return the id and the index of the selected mark."""
        return self._layer.selected

    def place_of_mark(self, mark: str, index: int) -> Point | None:
        """Return where a mark lies, or None where there is none."""
        return self._layer.point_of(mark, index)

    def set_loupe(self, on: bool) -> None:  # noqa: FBT001
        """Keep the loupe on, or show it only while something is placed or moved."""
        self._loupe_wanted = on
        self._update_loupe()

    @property
    def loupe_on(self) -> bool:
        """Return whether the loupe is kept on."""
        return self._loupe_wanted

    # ------------------------------------------------------------------ for the heir

    def _loupe_target(self) -> tuple[QPointF | None, Point | None]:
        """Return where the loupe lies and which point it shows: that of the selected mark."""
        if self._loupe_wanted and self.selection is not None:
            point = self._layer.point_of(*self.selection)
            if point is not None:
                return self.place_of(point), point
        return None, None

    def _view_changed(self) -> None:
        """Follow a new zoom, turn or device pixel ratio."""
        self._layer.set_aspect(self._aspect())
        self._fit_bar()
        self._update_loupe()

    # ------------------------------------------------------------------ view and overlays

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Keep the scale bar in its corner."""
        super().resizeEvent(event)
        self._fit_bar()

    def scrollContentsBy(self, dx: int, dy: int) -> None:
        """Scroll; what lies over the picture is drawn anew where it is and where it went."""
        super().scrollContentsBy(dx, dy)
        for rect in (self._bar.rect(), self._loupe.rect()):
            if not rect.isEmpty():
                self.viewport().update(rect)
                self.viewport().update(rect.translated(dx, dy))

    def drawForeground(self, painter: QPainter, rect: QRectF | QRect) -> None:
        """Draw the scale bar and the loupe, in logical pixels of the viewport."""
        if self._size.isEmpty():
            return
        exposed = self.mapFromScene(rect).boundingRect()
        over = [one for one in (self._bar, self._loupe) if one.rect().intersects(exposed)]
        if not over:
            return
        painter.save()
        painter.resetTransform()
        if self._bar in over:
            self._bar.paint(painter)
        if self._loupe in over:
            self._loupe.paint(painter, self._picture.largest, self._size)
        painter.restore()

    def _tell_view(self) -> None:
        self._view_changed()
        super()._tell_view()

    def _start_moving(self) -> None:
        self._layer.set_moving(moving=True)
        super()._start_moving()

    def _come_to_rest(self) -> None:
        self._layer.set_moving(moving=False)
        self._layer.set_aspect(self._aspect())
        self._layer.settle()
        self._fit_bar()

    def _restyle(self) -> None:
        super()._restyle()
        if self._marks is not None:
            self._marks.restyle()
            self._fit_bar()

    def _aspect(self) -> Aspect:
        corner, view = self.place_of(Point(0.0, 0.0)), self.viewport()
        return Aspect(
            self.zoom,
            self.degrees,
            self.devicePixelRatioF(),
            (corner.x(), corner.y()),
            (view.width(), view.height()),
        )

    def _fit_bar(self) -> None:
        before = self._bar.rect()
        ratio = None if self._figure is None else self._figure.mm_per_px
        self._bar.fit(ratio, self.zoom, self.viewport().size())
        self._place_bar(before)

    def _place_bar(self, before: QRect) -> None:
        """Put the bar where it covers nothing, and draw anew where it was and where it is."""
        places = map(self.place_of, self._layer.points())
        self._bar.avoid(
            [(place.x(), place.y()) for place in places],
            [covered.translated(self.place_of(at)) for at, covered in self._layer.plates()],
        )
        if before != self._bar.rect():
            self.viewport().update(before)
        self.viewport().update(self._bar.rect())

    @property
    def _layer(self) -> MarkLayer:
        assert self._marks is not None
        return self._marks

    def _update_loupe(self) -> None:
        """Put the loupe where it is wanted, or away."""
        before = self._loupe.rect()
        place, point = self._loupe_target()
        if place is None or point is None or self._size.isEmpty():
            self._loupe.hide()
        else:
            view = self.viewport().size()
            self._loupe.put(place, point, view, self.zoom, self.degrees)
        for rect in (before, self._loupe.rect()):
            if not rect.isEmpty():
                self.viewport().update(rect)
