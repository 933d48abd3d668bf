"""Line icons that take the colour of the palette.

The files are those of Lucide (ISC; some from Feather, MIT: see icons/LICENSE), their line
thinned to 1.75 of 24.
"""

from functools import cache
from pathlib import Path

from PySide6.QtCore import QPoint, QRect, QRectF, QSize, Qt
from PySide6.QtGui import QIcon, QIconEngine, QPainter, QPixmap

from app.style import palette, svg
from app.style.tokens import ICON

FOLDER = Path(__file__).with_name("icons")


@cache
def names() -> frozenset[str]:
    """Return the names of all icons."""
    return frozenset(path.stem for path in FOLDER.glob("*.svg"))


@cache
def icon_text(name: str) -> str:
    """Return the SVG text of an icon, its line thinned.

    Raises
    ------
    KeyError
        No icon has this name.
    """
    try:
        text = (FOLDER / f"{name}.svg").read_text(encoding="utf-8")
    except FileNotFoundError:
        raise KeyError(f"no icon is called {name!r}") from None
    return text.replace('stroke-width="2"', f'stroke-width="{ICON.stroke}"')


def icon(name: str, ink: str = "ink2", on: str = "accent") -> QIcon:
    """Return an icon in a colour of the tokens; `on` is its colour when checked."""
    return QIcon(_Engine(icon_text(name), ink, on))


def icon_pixmap(name: str, size: float, ink: str = "ink2", ratio: float = 1.0) -> QPixmap:
    """Return an icon as a pixmap of a logical size, in a colour of the tokens."""
    tint = palette.colour(ink).name()
    return svg.pixmap(icon_text(name), size, size, tint, ratio)


class _Engine(QIconEngine):
    """Draws SVG text in the colours on screen at the moment of drawing."""

    def __init__(self, text: str, ink: str, on: str) -> None:
        super().__init__()
        self._text, self._ink, self._on = text, ink, on

    def clone(self) -> QIconEngine:
        return _Engine(self._text, self._ink, self._on)

    def paint(
        self, painter: QPainter, rect: QRect, mode: QIcon.Mode, state: QIcon.State
    ) -> None:
        ratio = painter.device().devicePixelRatioF()
        edge = float(min(rect.width(), rect.height()))
        drawn = svg.pixmap(self._text, edge, edge, self._tint(mode, state), ratio)
        where = QRectF(0, 0, edge, edge)
        where.moveCenter(QRectF(rect).center())
        painter.drawPixmap(where, drawn, QRectF(drawn.rect()))

    def pixmap(self, size: QSize, mode: QIcon.Mode, state: QIcon.State) -> QPixmap:
        made = QPixmap(size)
        if made.isNull():
            # A button on its way in or out has no room for a moment.
            return made
        made.fill(Qt.GlobalColor.transparent)
        painter = QPainter(made)
        self.paint(painter, QRect(QPoint(), size), mode, state)
        painter.end()
        return made

    def _tint(self, mode: QIcon.Mode, state: QIcon.State) -> str:
        if mode == QIcon.Mode.Disabled:
            return palette.colour("ink3").name()
        name = self._on if state == QIcon.State.On else self._ink
        return palette.colour(name).name()
